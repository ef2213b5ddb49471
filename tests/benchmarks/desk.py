"""How long the desk's pages take with many members: each page that a link leads to, and the box of a call.

    python tests/audit/decay.py members 1000000 5 --to FOLDER
    python tests/benchmarks/desk.py FOLDER [--each 20]

What a served desk loads at its start is loaded first, and whoever is at work may issue passwords, so that cards show
how to reach a member. The pages are reached as a person reaches them, by their links, up to so many of each kind. A time
is that of one request in this process, from the question to the last byte, by the clock and in CPU, in ms. What is typed
into the box is a member's name, letter by letter, as a volunteer types it.
The room of the roster's care has pages once `onboard audit` was run in FOLDER.
"""

from __future__ import annotations

import argparse
import random
import re
import sys
import time
from collections import Counter, defaultdict, deque
from dataclasses import replace
from html import unescape
from pathlib import Path
from urllib.parse import urljoin, urlsplit

sys.path.insert(0, str(Path(__file__).parents[1]))
sys.path.insert(0, str(Path(__file__).parents[1] / "pages"))

from at_desk import BASE, PORT, AtDesk, Clock
from starlette.testclient import TestClient

from onboard import settings
from onboard.desk import desking, serving
from onboard.desk.place import Place
from onboard.office import Office
from onboard.roster import search

Times = dict[str, list[tuple[float, float]]]


def kind(path: str) -> str:
    """The kind of page: its path without what names one member, file or finding, and its questions."""
    parts = urlsplit(path)
    names = sorted({part.partition("=")[0] for part in parts.query.split("&") if part})
    bare = re.sub(r"/(?=[^/]*\d)[\w%.:-]+", "/N", parts.path)
    return bare + (f"?{'&'.join(names)}" if names else "")


def asked(desk: AtDesk, path: str, name: str, times: Times) -> str:
    """The page at this path; how long it took is noted."""
    cpu, wall = time.process_time(), time.perf_counter()
    answer = desk.client.get(path)
    times[name].append((1000 * (time.perf_counter() - wall), 1000 * (time.process_time() - cpu)))
    if answer.status_code >= 400:
        print(f"{path}: {answer.status_code}")
    html = "html" in answer.headers.get("content-type", "")
    return answer.text if html else ""


def walk(desk: AtDesk, each: int, times: Times) -> None:
    """Every page that links lead to, so many of each kind."""
    waiting, seen, count = deque(["/"]), {"/"}, Counter[str]()
    while waiting:
        path = waiting.popleft()
        page = asked(desk, path, kind(path), times)
        for link in re.findall(r'href="([^"]+)"', page):
            there = urljoin(BASE + path, unescape(link)).partition("#")[0]
            if not there.startswith(f"{BASE}/"):
                continue
            there = there.removeprefix(BASE)
            if there in seen or "/static/" in there or "sign-out" in there:
                continue
            if count[kind(there)] < each:
                count[kind(there)] += 1
                seen.add(there)
                waiting.append(there)


def typed(desk: AtDesk, office: Office, each: int, times: Times) -> None:
    """Names into the box of a call, letter by letter."""
    chance, csrf = random.Random(5), desk.csrf
    with office.reading() as connection:
        drawn = chance.sample(range(1, search.last_number(connection) + 1), each)
        members = search.members_by_number(connection, drawn).values()
    for name in (f"{member.name.given} {member.name.family}" for member in members):
        for end in range(2, len(name) + 1):
            form = {"csrf": csrf, "said": name[:end]}
            cpu, wall = time.process_time(), time.perf_counter()
            answer = desk.client.post("/calls/found", data=form, headers={"origin": BASE})
            times["the box of a call"].append(
                (1000 * (time.perf_counter() - wall), 1000 * (time.process_time() - cpu))
            )
            assert answer.status_code == 200, answer.text


def main() -> None:
    """Measure and tell."""
    words = argparse.ArgumentParser()
    words.add_argument("folder", type=Path)
    words.add_argument("--each", type=int, default=20)
    given = words.parse_args()
    coop = settings.read(given.folder / "onboard.toml")
    coop = replace(coop, desk=replace(coop.desk, may_reissue=("Robin",)))
    clock = Clock()
    office = Office(coop, who="Robin", now=clock)
    place = Place.at_home(office, PORT)
    desk = AtDesk(desking.make(place), place, TestClient(desking.make(place), base_url=BASE), clock)
    desk.sign_in()
    serving.warm_up(office)
    times: Times = defaultdict(list)
    walk(desk, given.each, times)
    typed(desk, office, given.each, times)
    print(f"{'page':60} times  middle    95 %     all ms CPU: middle, 95 %")
    for name, found in sorted(times.items(), key=lambda item: -max(item[1])[0]):
        wall, cpu = sorted(a for a, _ in found), sorted(b for _, b in found)
        middle, at = len(wall) // 2, min(len(wall) - 1, round(0.95 * len(wall)))
        print(
            f"{name:60} {len(wall):5} {wall[middle]:7.1f} {wall[at]:7.1f} {wall[-1]:7.1f}"
            f"    {cpu[middle]:7.1f} {cpu[at]:7.1f}"
        )


if __name__ == "__main__":
    main()
