"""What to ask new members when you can, in words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from shlex import quote
from typing import TYPE_CHECKING

from onboard.clean import name as names
from onboard.reports import kinds
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.to_ask import ToAsk

TITLE = "Ask these members when you can. They have their accounts."
NOBODY = "There is nothing to ask new members."


def pieces(
    asked: Sequence[ToAsk], line: Callable[[str], str] = "onboard {}".format
) -> Iterator[Piece]:
    """A line for each question, and how to save the answer."""
    if not asked:
        yield Words(NOBODY)
        return
    rows = [
        (names.show(one.member.name), one.member.handle.text, kinds.called(found.code), found.note)
        for one in asked
        for found in one.findings
    ]
    yield Table.of(("name", "sign-in name", "about", "please check"), rows, title=TITLE)
    if meant := [one for one in asked if one.site]:
        yield Words("The settings say by now which drop site these meant. To save it:")
        for one in meant:
            what = f"correct {quote(one.member.handle.text)} --site {quote(one.site)} --record"
            yield Words(f"  {line(what)}")
    handle = quote(asked[0].member.handle.text)
    yield Words(
        "If the member says that all is right, nothing is asked any more. For example: "
        f"{line(f'correct {handle} --all-right --record')}"
    )
