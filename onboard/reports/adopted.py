"""What bringing in existing members came to, for people and for programs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from onboard.model import Applicant, Finding, News, Weight
from onboard.reports import cells, kinds
from onboard.reports.counts import counted
from onboard.reports.decisions import MANY, TAKEN, asked_for_all
from onboard.reports.table import Piece, Table, Words

SHOWN = 20  # rows and sites that are listed, unless all are asked for
# Columns of the sheet of questions, beside the file's own.
ASKS, FROM, KEY = ADDED = ("What is needed", "Came from row", "Form key")

# How a site is read that is none of ours, by the finding about it.
NO_SITE = {
    "site.closed": "none: this one is closed",
    "site.unknown": "none: not in the settings",
    "site.ambiguous": "none: could be several",
    "site.missing": "none",
}


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A row that was not brought in: its number, the name in it, why, its cells, and its key."""

    line: int
    name: str
    why: str
    cells: Sequence[tuple[str, str]] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class Same:
    """A row of somebody who was a member already: its number, the name and the sign-in name in it."""

    line: int
    name: str
    handle: str
    news: News  # what was taken along of it, and what to ask about


@dataclass(slots=True)
class AdoptReport:
    """Who was brought in, what there is to say of it, and which rows were skipped and why."""

    rows: int = 0
    adopted: int = 0
    named: int = 0  # of these, those who got a sign-in name
    given_before: int = 0
    skipped: list[LeftOut] = field(default_factory=list)
    same: list[Same] = field(default_factory=list)  # who was on the roster before
    without_name: int = 0  # of these, those that have no sign-in name
    never: int = 0  # members whose last sign-in was empty, which counts as never
    as_of: date | None = None  # the day of the list, as its newest sign-in or order shows
    findings: Counter[str] = field(default_factory=Counter)  # rows, by code
    weights: dict[str, Weight] = field(default_factory=dict)  # by code
    notes: list[str] = field(default_factory=list)  # what could not be looked at, and why
    sites: Counter[tuple[str, str]] = field(default_factory=Counter)  # as said, as read

    @property
    def left_out(self) -> list[tuple[int, str, str]]:
        """The rows that were skipped: number, name and why."""
        return [(row.line, row.name, row.why) for row in self.skipped]

    def add(self, applicant: Applicant, findings: Sequence[Finding]) -> None:
        """Count what there is to say of a member who was brought in."""
        self.adopted += 1
        codes = {finding.code: finding for finding in findings} if findings else {}
        for code, finding in codes.items():
            self.findings[code] += 1
            self.weights.setdefault(code, finding.weight)
        if "site" in applicant.raw.fields:
            site = applicant.site
            read = site.value or next(
                (NO_SITE[code] for code in codes if code in NO_SITE), "none: not in the settings"
            )
            self.sites[" ".join(site.said.split())[:60], read] += 1


def as_json(
    done: AdoptReport, *, recorded: bool, questions: Path | None = None
) -> Mapping[str, Any]:
    """The result for a program."""
    return {
        "rows": done.rows,
        "adopted": done.adopted,
        "named": done.named,
        "given_before": done.given_before,
        "left_out": done.left_out,
        "same": [(one.line, one.name, one.news.member.owner) for one in done.same],
        "findings": dict(sorted(done.findings.items())),
        "sites": [
            {"said": said, "read": read, "rows": rows}
            for (said, read), rows in sorted(done.sites.items())
        ],
        "questions": str(questions) if questions else None,
        "notes": done.notes,
        "recorded": recorded,
    }


def pieces(
    done: AdoptReport,
    *,
    roster: str,
    again: str,
    about: Mapping[str, str],
    whole: bool = False,
) -> list[Piece]:
    """The sites and findings, the rows that were skipped, and the sums.

    `roster` is where it was saved, "" for a preview, which the line `again` saves; `about` says what
    each kind of finding is; `whole` shows all.
    """
    shown = len(done.skipped) if whole else SHOWN
    skipped = [
        f"Skipped row {row.line}, {row.name or '(no name)'}: {row.why}."
        for row in done.skipped[:shown]
    ]
    if more := len(done.skipped) - len(skipped):
        skipped.append(f"… and {more:,} more: --all shows them.")
    named = f" ({done.named:,} with a new sign-in name)" if done.named else ""
    same = f"{len(done.same):,} already on the roster, " if done.same else ""
    sums = (
        f"{counted(done.rows, 'row')}: {counted(done.adopted, 'member')} brought in{named}, {same}"
        f"{done.given_before:,} already in an earlier file, {len(done.skipped):,} skipped."
    )
    told: list[Piece] = [Words(words) for words in done.notes]
    told += [table for table in (_sites(done, whole), _findings(done, about)) if table]
    told += [
        Words(words) for words in (*_to_call(done), *_days(done), *map(_same, done.same), *skipped)
    ]
    told.append(Words(sums, is_strong=True))
    if roster:
        told.append(Words(f"Saved in {roster}."))
    else:
        told += [Words("This was a preview. Nothing was saved."), Words(f"To save it: {again}")]
    return told


def next_lines(
    done: AdoptReport,
    *,
    questions: Path | None,
    answered: str,
    with_names: str,
    line: Callable[[str], str],
    saved: bool,
) -> list[str]:
    """What to do about the rows that were skipped, and with who was brought in.

    `answered` is the line that gives the sheet of questions back, `with_names` the one that gives a
    sign-in name to who has none; `line` makes a whole line of a command.
    """
    told = []
    if done.without_name and with_names:
        told += [
            f"{counted(done.without_name, 'row')} {'has' if done.without_name == 1 else 'have'} no sign-in "
            "name. If these members have no account yet, the program can make one, with a welcome packet:",
            f"  {with_names}",
            "Or put them in a file of their own, for: " + line("batch FILE"),
        ]
    if questions:
        told += [
            f"The rows that need you are on hold. One that is no member's, or whose person is on the roster: "
            f"{line('answer')}",
            f"The others are in {questions}, too. Fix them there, save the file, and give it back:",
            f"  {answered}",
        ]
    elif done.skipped and not saved:
        told.append("When you save it, the skipped rows go into a sheet for you to fix.")
    if saved and done.named:
        told.append(f"To make the welcome packets: {line('packets --write')}")
    if saved and any(weight is not Weight.MENDED for weight in done.weights.values()):
        told.append(f"To see who to ask about what: {line('audit --to audit')}")
    return told


def _same(one: Same) -> str:
    """A row of somebody who was a member already, and what there is to do."""
    member, changes = one.news.member, one.news.recorded
    told = [
        f"Row {one.line}, {one.name or '(no name)'}: already on the roster ({member.owner.shown}, "
        f"{member.handle.text})."
    ]
    taken = [TAKEN[change.field] for change in changes if change.field in TAKEN]
    taken += [
        "a yes to email" if change.after else "a no to email"
        for change in changes
        if change.field == "consent"
    ]
    if taken:
        told.append(f"Taken along from the list: {', '.join(taken)}.")
    if asked := [change.field for change in one.news.proposed]:
        told.append(f"Ask which is right: {', '.join(asked)}. The audit has both.")
    if one.handle.casefold() != member.handle.text.casefold():
        told.append(
            f"The list has the sign-in name {one.handle}. Ask which one works on the ordering page, and have "
            "the other one closed there."
        )
    return " ".join(told)


def write_questions(left_out: Sequence[LeftOut], named: Path) -> Path | None:
    """The sheet of the rows that need a person, beside the file they came from; None if there are none.

    It has the columns of that file, so that it can be fixed and given again. A sheet that was there
    before is kept as "… (earlier)". Raises `FileTrouble` when it cannot be written.
    """
    if not left_out:
        return None
    file = named.with_name(f"{named.stem.removesuffix('-questions')}-questions.xlsx")
    heads = list(
        dict.fromkeys(head for row in left_out for head, _ in row.cells if head not in ADDED)
    )
    rows = []
    for row in left_out:
        said = dict(row.cells)
        need = row.why[:1].upper() + row.why[1:] + "."
        rows.append([need, str(row.line), *(said.get(head, "") for head in heads), row.key])
    if file.exists():
        file.replace(file.with_name(f"{file.stem} (earlier){file.suffix}"))
    cells.write(file, cells.Page("Questions", [ASKS, FROM, *heads, KEY], rows, {ASKS: 60}))
    return file


def _sites(done: AdoptReport, whole: bool) -> Table | None:
    """The drop sites as the list says them, and as they were read; those that are none first."""
    unread = set(NO_SITE.values())
    listed = sorted(
        done.sites.items(), key=lambda item: (item[0][1] not in unread, -item[1], item[0])
    )
    if not listed:
        return None
    shown = listed if whole else listed[:SHOWN]
    rows = [(said or "(empty)", read, f"{count:,}") for (said, read), count in shown]
    more = len(listed) - len(shown)
    note = f"… and {more:,} more: --all shows them" if more else ""
    return Table.of(
        ("in the file", "read as", "rows"), rows, title="Drop sites", note=note, numbers=("rows",)
    )


def _to_call(done: AdoptReport) -> list[str]:
    """What several rows call a drop site that is none of ours: one answer is for all of them."""
    unread = set(NO_SITE.values())
    many = [
        said
        for (said, read), rows in done.sites.items()
        if said and read in unread and rows >= MANY
    ]
    return list(map(asked_for_all, sorted(many)))


def _findings(done: AdoptReport, about: Mapping[str, str]) -> Table | None:
    """How many rows each kind of finding has, what needs an answer first."""
    order = (Weight.BLOCKING, Weight.DOUBTFUL, Weight.MENDED)
    rows = [
        (f"{done.findings[code]:,}", kinds.WEIGHTS[weight], about.get(code, kinds.called(code)))
        for weight in order
        for code in sorted(done.findings)
        if done.weights[code] is weight
    ]
    if not rows:
        return None
    heads = ("rows", "weight", "what it is")
    return Table.of(heads, rows, title="Noticed, and kept with the member", numbers=("rows",))


def _days(done: AdoptReport) -> list[str]:
    if not done.as_of:
        return []
    empty = (
        f" {counted(done.never, 'member')} with an empty one never signed in." if done.never else ""
    )
    return [f"Last sign-ins are taken as of {done.as_of}, the newest day in the list.{empty}"]
