"""An audit for people and programs: what was found, kind by kind, beside the audit before.

`Report` is what every form of it is made of: the terminal's summary and JSON here, the page in
`audit_page`, the spreadsheets in `audit_sheets`.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from itertools import groupby
from pathlib import Path
from typing import Any

from onboard.errors import FileTrouble
from onboard.model import Weight
from onboard.reports import kinds
from onboard.reports.counts import counted
from onboard.reports.private import private_file
from onboard.reports.table import Piece, Table, Words

VERSION = 1  # of the JSON
MOST_HISTORY = 60  # audits whose counts are kept
TOLD = 3  # calls that the terminal names; the page has all
GROUP_NAMES = {
    "reach": "Reach", "access": "Access", "twice": "Joined twice", "place": "Place", "fields": "Fields",
    "upkeep": "Not in use", "sound": "The roster itself",
}  # fmt: skip
GROUP_ABOUT = {
    "reach": "Can you reach members by email, letter or phone, and whose address is it?",
    "access": "Can members sign in, with sign-in names that nobody mixes up?",
    "twice": "Which accounts belong, or may belong, to one person?",
    "place": "Where do members live and pick up?",
    "fields": "What do the rules say about names and other values on file?",
    "upkeep": "Which accounts does nobody use, and who was never asked?",
    "sound": "Is the roster itself whole?",
}
WEIGHT_WORDS = kinds.WEIGHTS | {Weight.MENDED: "good to know"}  # nothing is fixed by an audit


@dataclass(frozen=True, slots=True)
class Item:
    """One finding, as it is told."""

    owner: str
    name: str
    handle: str
    site: str
    field: str
    said: str
    note: str
    others: tuple[str, ...] = ()  # further accounts: "patlee2 (Pat Lee)"
    before: str = ""  # of the proposed change, as text
    after: str = ""
    new: bool = False  # not found by the audit before
    key: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class KindOf:
    """All findings of one kind."""

    code: str
    group: str
    weight: Weight
    about: str
    items: Sequence[Item]
    before: int | None = None  # how many the audit before found; None if there was none
    new: int = 0
    gone: int = 0
    is_nearly_all: bool = False  # nearly every account has it: the roster's matter, not theirs
    elsewhere: int = 0  # findings that are kept elsewhere, and not among the items

    @property
    def count(self) -> int:
        return len(self.items) + self.elsewhere


@dataclass(frozen=True, slots=True)
class CallTo:
    """A call worth making first."""

    whom: str
    phone: str
    why_them: str
    helps: int  # members; 0 where it is about a drop site alone
    reasons: tuple[str, ...]
    notes: tuple[str, ...]
    soon: bool
    points: int
    about: tuple[str, ...] = ()  # names of some of the members, where somebody else is called
    ask: tuple[str, ...] = ()  # what to ask them, the most pressing first

    def named(self, most: int | None = None) -> str:
        """Whom the call is about, at most so many of them by name; "" if whoever is called."""
        if not self.about:
            return ""
        names = self.about[:most]
        more = self.helps - len(names)
        return f"About {', '.join([*names, *([f'{more:,} more'] if more > 0 else [])])}."


@dataclass(frozen=True, slots=True)
class Dot:
    """Members of one ZIP code, or a drop site, on the map. Degrees."""

    name: str
    latitude: float
    longitude: float
    members: int
    closed: bool = False
    odd: int = 0  # of the members, those with a finding of this place
    where: str = ""  # of a drop site: its city and ZIP code


@dataclass(frozen=True, slots=True)
class Report:
    """What an audit came to."""

    coop: str
    at: str  # ISO 8601, UTC
    day: str  # at the co-op, in words
    source: str
    members: int
    open: int
    touched: int  # open accounts of which something is said that wants doing
    kinds: Sequence[KindOf]
    proposed: int = 0  # changes, of members or of the cells of a spreadsheet
    calls: Sequence[CallTo] = ()
    notes: tuple[str, ...] = ()
    households: int = 0
    sites: Sequence[Dot] = ()
    homes: Sequence[Dot] = ()
    elsewhere: int = 0  # members whose ZIP code is not on the map
    before: str = ""  # when the audit before was
    history: Sequence[Mapping[str, Any]] = field(default_factory=list)

    def groups(self) -> list[tuple[str, list[KindOf]]]:
        """The kinds by group, in the order in which they are told."""
        return [(group, list(kinds)) for group, kinds in groupby(self.kinds, lambda k: k.group)]

    def count(self, weight: Weight) -> int:
        """How many findings are of a weight, without what nearly all accounts have."""
        return sum(
            kind.count for kind in self.kinds if kind.weight is weight and not kind.is_nearly_all
        )

    @property
    def needs_a_person(self) -> bool:
        """Whether anything found wants an answer or a look."""
        return any(kind.count and kind.weight is not Weight.MENDED for kind in self.kinds)


# ---------------------------------------------------------------- the audit before


@dataclass(frozen=True, slots=True)
class Earlier:
    """What an earlier audit found."""

    at: str
    day: str
    keys: Mapping[str, Mapping[tuple[str, ...], int]]  # by code, how many had each key
    history: Sequence[Mapping[str, Any]]


def read_earlier(file: Path) -> Earlier:
    """An earlier audit, out of its JSON. Raises `FileTrouble` if the file is none."""
    try:
        said = json.loads(file.read_text("utf-8"), object_hook=_by_its_key)
        if said["audit"] != VERSION:
            raise FileTrouble(
                f"{file} was made by another version of onboard. Move it away, and run the audit again."
            )
        keys: dict[str, Counter[tuple[str, ...]]] = {k["code"]: Counter() for k in said["kinds"]}
        for code, key in said["findings"]:
            keys[code][key] += 1
        return Earlier(said["at"], said["day"], keys, said["history"])
    except OSError as error:
        raise FileTrouble(f"{file} can't be read ({error.strerror}). Check who owns it.") from error
    except (ValueError, KeyError, TypeError) as error:
        raise FileTrouble(
            f"{file} is not an audit made by onboard. Move it away, and run the audit again."
        ) from error


def _by_its_key(said: dict[str, Any]) -> object:
    """Of a finding its code and its key, while the file is read: of very many, all they say would not fit into memory."""
    return (said["code"], tuple(said["key"])) if "key" in said else said


# ---------------------------------------------------------------- JSON


def write_json(report: Report, file: Path) -> None:
    """Write the whole audit as JSON, readable by its owner only. It is ASCII (RFC 8259, section 7).

    Raises `FileTrouble` when it cannot be written.
    """
    with private_file(file) as out:
        out.write("{\n")
        head = summary(report)
        for key, value in head.items():
            out.write(f" {json.dumps(key)}: {json.dumps(value)},\n")
        out.write(' "findings": [')
        first = True
        for kind in report.kinds:
            for item in kind.items:
                out.write(("\n  " if first else ",\n  ") + json.dumps(_finding(kind, item)))
                first = False
        out.write("\n ]\n}\n")


def summary(report: Report) -> dict[str, Any]:
    """The audit as JSON has it, without the findings one by one."""
    return {
        "audit": VERSION,
        "at": report.at,
        "day": report.day,
        "source": report.source,
        "members": report.members,
        "open": report.open,
        "touched": report.touched,
        "households": report.households,
        "compared_with": report.before or None,
        "notes": list(report.notes),
        "kinds": [
            {
                "code": kind.code, "group": kind.group, "weight": str(kind.weight), "about": kind.about,
                "count": kind.count, "before": kind.before, "new": kind.new, "gone": kind.gone,
            }
            for kind in report.kinds
        ],
        "calls": [asdict(call) for call in report.calls],
        "history": list(report.history),
    }  # fmt: skip


def json_lines(report: Report) -> Iterator[str]:
    """Each finding as a JSON object on one line, the summary last."""
    for kind in report.kinds:
        for item in kind.items:
            yield json.dumps(_finding(kind, item))
    yield json.dumps(summary(report))


def _finding(kind: KindOf, item: Item) -> dict[str, Any]:
    line: dict[str, Any] = {
        "code": kind.code, "group": kind.group, "weight": str(kind.weight), "owner": item.owner,
        "handle": item.handle, "name": item.name, "site": item.site, "field": item.field,
        "said": item.said, "note": item.note, "others": list(item.others), "key": list(item.key),
        "new": item.new,
    }  # fmt: skip
    if item.before or item.after:
        line["proposed"] = {"before": item.before, "after": item.after}
    return line


# ---------------------------------------------------------------- summary


def pieces(report: Report) -> Iterator[Piece]:
    """The summary: what was found kind by kind, the first calls, what to know about it."""
    yield Words(f"{headline(report)}\n", is_strong=True)
    for group, found in report.groups():
        rows = [
            (f"{kind.count:,}", change(kind), WEIGHT_WORDS[kind.weight], kind.about)
            for kind in found
            if (kind.count or kind.gone) and not kind.is_nearly_all
        ]
        if rows:
            headings = ("found", "change", "weight", "what it is")
            yield Table.of(headings, rows, title=GROUP_NAMES[group], numbers=("found", "change"))
    if report.calls:
        yield Words("Calls to make first", is_strong=True)
        for number, call in enumerate(report.calls[:TOLD], start=1):
            yield Words(f"  {number}. {_called(call)}")
            yield from (Words(f"     {words}") for words in call.ask[:1])
        if (more := len(report.calls) - TOLD) > 0:
            yield Words(f"  and {more} more: see audit.html")
    yield from (Words(f"\n{note}") for note in report.notes)


def _called(call: CallTo) -> str:
    who = f"{call.whom}, {call.why_them}" if call.why_them else call.whom
    why = "; ".join(call.reasons[:2])
    if call.helps:
        why = f"helps {counted(call.helps, 'member')} ({why})"
    return f"{who}, {call.phone}: {why}"


def written(files: Sequence[Path], folder: Path | None) -> Iterator[Piece]:
    """Where the whole report is, or how to get it."""
    yield Words("")
    if files:
        yield Words(f"Wrote {', '.join(file.name for file in files)} to {folder}.")
        yield Words("They name members. Keep them where only people who need them can read them.")
    else:
        yield Words(
            "For the whole report, with lists, a map and proposed changes, add --to FOLDER."
        )


def headline(report: Report) -> str:
    """The audit in one sentence."""
    return (
        f"Checked {counted(report.open, 'open account')}: {report.touched:,} with something to do. "
        f"{counted(report.count(Weight.BLOCKING), 'finding')} that "
        f"{'needs' if report.count(Weight.BLOCKING) == 1 else 'need'} an answer, "
        f"{report.count(Weight.DOUBTFUL):,} to check, {report.count(Weight.MENDED):,} good to know; "
        f"{counted(report.proposed, 'change')} proposed."
    )


def change(kind: KindOf) -> str:
    """How a kind stands beside the audit before.

    >>> change(KindOf("reach.none", "reach", Weight.BLOCKING, "", (), before=3, gone=3))
    '-3'
    """
    if kind.before is None:
        return ""
    difference = kind.count - kind.before
    return f"{difference:+,}" if difference else "="


def better_and_worse(report: Report) -> tuple[list[KindOf], list[KindOf]]:
    """The kinds of which fewer, and of which more were found than before, the most changed first."""

    def by(difference: int) -> list[KindOf]:
        changed: Iterable[KindOf] = (
            k
            for k in report.kinds
            if k.before is not None
            and not k.is_nearly_all
            and (k.count - k.before) * difference > 0
        )
        return sorted(changed, key=lambda k: -abs(k.count - (k.before or 0)))

    return by(-1), by(1)
