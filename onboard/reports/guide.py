"""The guide that was written, and what to do with it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from onboard.reports.counts import counted
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.publish_guide import PublishedGuide

SHOWN = {"address": "the address", "host": "the host’s name", "phone": "the host’s phone"}


def written(done: PublishedGuide) -> Iterator[Piece]:
    """How much was written, where it begins, what everybody can read in it, and the next step."""
    yield Words(
        f"Wrote {counted(len(done.pages), 'page')} and {counted(len(done.others), 'other file')}. "
        f"To read them, open {done.index}.",
        is_strong=True,
    )
    shown = " and ".join(SHOWN[what] for what in done.shows) or "neither the address nor the host"
    yield Words(
        f"No member’s data is in it. Everybody can read {shown} of each drop site. To change that: shows, under [guide] "
        "in the settings."
    )
    if done.heavy:
        yield Words(
            f"{', '.join(str(file) for file in done.heavy)}: more than 60 kB, so on a slow line the page takes more than a "
            "second to come. With less about each drop site (shows, under [guide] in the settings) it is lighter."
        )
    if done.page:
        yield Words(
            f"Lay the whole folder on your web space, so that {done.page}/index.html opens. After a change of the "
            "settings, run this again and lay the new files over the old ones."
        )
    else:
        yield Words(
            "Lay the whole folder on your web space. Then say where it is: page, under [guide] in the settings. From "
            "then on welcome packets and reminders point to it, and the codes on the pages open them."
        )


def as_json(done: PublishedGuide) -> Iterator[dict[str, Any]]:
    """A line for each file."""
    for what, files in (("page", done.pages), ("other", done.others)):
        for file in files:
            yield {"file": str(file), "what": what}
