"""How soon a page of the guide is there on a slow line, in Debian's Chromium.

    python tests/benchmarks/slow_line.py [ROUNDS]

1 Mbit/s down, 300 ms from question to answer, an empty cache: the first view (the browser's own "first
contentful paint", W3C Paint Timing) and the end of loading, the median of so many rounds in milliseconds. The line
is slowed by the browser (DevTools protocol, Network.emulateNetworkConditions), so the time for a secure
connection to a far server comes on top.
"""

from __future__ import annotations

import functools
import http.server
import statistics
import sys
import threading
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "guide"))

import browser
import guide_made

DOWN, WAIT = 1_000_000 / 8, 300  # bytes a second; ms
PAINT = "() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
LOADED = "() => performance.getEntriesByType('navigation')[0].loadEventEnd"


class Quiet(http.server.SimpleHTTPRequestHandler):
    """Serves the folder and says nothing."""

    def log_message(self, *about: object) -> None:
        """Nothing."""


def main(rounds: int = 5) -> None:
    """Time each page in both languages."""
    with TemporaryDirectory() as name, browser.chromium() as chromium:
        folder = guide_made.write(Path(name), guide_made.settings())
        handler = functools.partial(Quiet, directory=str(folder))
        server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
        threading.Thread(target=server.serve_forever, daemon=True).start()
        for file in sorted(folder.rglob("*.html")):
            path = file.relative_to(folder).as_posix()
            paints, loads = [], []
            for _ in range(rounds):
                context = chromium.new_context(viewport={"width": 390, "height": 780})
                page = context.new_page()
                line = context.new_cdp_session(page)
                line.send("Network.enable")
                slow = {"offline": False, "latency": WAIT, "downloadThroughput": DOWN}
                line.send("Network.emulateNetworkConditions", {**slow, "uploadThroughput": DOWN})
                page.goto(f"http://127.0.0.1:{server.server_port}/{path}", wait_until="load")
                page.wait_for_function(PAINT)
                paints.append(page.evaluate(PAINT))
                loads.append(page.evaluate(LOADED))
                context.close()
            size, first, whole = (
                file.stat().st_size,
                statistics.median(paints),
                statistics.median(loads),
            )
            print(
                f"{path:<20}{size:>8,} bytes  first view {first:>6,.0f}  loaded {whole:>6,.0f}",
                flush=True,
            )
        server.shutdown()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
