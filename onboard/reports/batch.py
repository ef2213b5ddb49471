"""What a batch came to, for a person to act on and for a program to read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from shlex import quote
from typing import Any

from onboard.model import (
    Decision,
    Drop,
    EmailQuestion,
    Enrol,
    Hold,
    News,
    PacketQuestion,
    SameAs,
    SharedMailbox,
    Weight,
)
from onboard.reports import kinds, packets
from onboard.reports.counts import counted
from onboard.reports.decisions import SETTLED, Seen, lists, proposals, shown_name
from onboard.reports.table import Piece, Words

FEW = 5  # rows that are named in one line
NOTICED = 3  # and of what was noticed


@dataclass(slots=True)
class BatchReport:
    """The sums of a batch. A row that was first held and then settled counts once, as settled."""

    rows: int = 0  # of the file, and those on hold from earlier batches
    waiting: int = 0  # of these, those on hold from earlier batches
    enrolled: int = 0
    same: int = 0
    held: int = 0  # on hold when the batch ended, from earlier batches too
    dropped: int = 0
    given_before: int = 0
    members_again: int = (
        0  # of the members' rows, those that say of the person what an earlier file said
    )
    codes: Counter[str] = field(default_factory=Counter)  # findings, by code
    first: dict[tuple[str, str], list[int]] = field(default_factory=dict)  # rows, by code and file
    notes: list[str] = field(default_factory=list)

    def count(self, decision: Decision) -> None:
        """Count what became of a row; on hold is counted when all is done."""
        self.enrolled += isinstance(decision, Enrol)
        self.same += isinstance(decision, SameAs)
        self.dropped += isinstance(decision, Drop)
        raw = decision.applicant.raw
        for finding in decision.applicant.findings:
            self.codes[finding.code] += 1
            rows = self.first.setdefault((finding.code, raw.file), [])
            if len(rows) < NOTICED and raw.line not in rows:
                rows.append(raw.line)


@dataclass(frozen=True, slots=True)
class Batch:
    """What a batch came to, and what was made of it."""

    seen: Seen
    sums: BatchReport
    roster: str = ""  # where it was saved; "" for a preview
    questions: Path | None = None  # the sheet about those on hold
    outbox: Path | None = None
    packets: Sequence[str] = ()  # sign-in names of those whose packets were made
    by_letter_only: Sequence[str] = ()  # of these, those who get no email
    ends_early: Sequence[str] = ()  # and those whose passwords end too early: see packets.made
    asked: Sequence[PacketQuestion] = ()  # whose packets wait for an answer about where they go
    shared: Sequence[SharedMailbox] = ()  # mailboxes of several members that packets go to
    has_told: bool = False  # whether the ordering page was told of anybody before
    has_mail: bool = True  # whether the settings name a mail server
    has_passwords: bool = True  # whether packets hold one, or members set their own
    samples: Sequence[str] = ()  # values of the starter in the settings: they stop a save


@dataclass(frozen=True, slots=True)
class AnsweredForm:
    """What an answer settled."""

    settled: Sequence[Decision]  # the form that was answered, and others that it set free
    left: int  # forms still on hold
    news: Sequence[News] = ()  # what the form of a member says that is not on file


def deleted_since(lines: Sequence[int]) -> list[str]:
    """What is said of the rows of a file whose members were deleted since they wrote them."""
    if not lines:
        return []
    more = f", and {len(lines) - FEW:,} more" if len(lines) > FEW else ""
    which = f"{'Row' if len(lines) == 1 else 'Rows'} {', '.join(map(str, lines[:FEW]))}{more}"
    return [
        f"{which}: left out, and nothing of it is saved. Whoever wrote it was deleted at their request. If they "
        "want to join again, ask them for a new form."
    ]


# ---------------------------------------------------------------- for programs


def as_json(done: Batch) -> dict[str, Any]:
    """The sums for a program, after what became of each row."""
    sums, made = done.sums, packets.made_as_json(done.packets, done.asked)
    return {
        "sums": {
            "rows": sums.rows, "enrolled": sums.enrolled, "already members": sums.same,
            "on hold": sums.held, "left out": sums.dropped, "given before": sums.given_before,
        },
        "recorded": bool(done.roster),
        "packets": made["written"],
        "waiting": made["waiting"],
        "outbox": str(done.outbox) if done.outbox else None,
        "questions": str(done.questions) if done.questions else None,
        "notes": sums.notes,
    }  # fmt: skip


# ---------------------------------------------------------------- for people


def pieces(
    done: Batch,
    *,
    again: str,
    passed_over: Sequence[str] = (),
    line: Callable[[str], str] = "onboard {}".format,
) -> list[Piece]:
    """The lists, the sums, and what to do next.

    `again` is the line that saves what was previewed; `line` makes a whole line that works where
    the reader is of a command, such as "packets --send"; `passed_over` says which rows of the file
    hold no form.
    """
    notes = [*passed_over, *done.sums.notes, _sums(done.sums)]
    found: list[Piece] = [*lists(done.seen, line), _noticed(done.sums, done.seen.file)]
    found += [Words(note, is_strong=note is notes[-1]) for note in notes]
    if done.sums.waiting:
        came = counted(done.sums.waiting, "row")
        found.append(Words(f"{came} of these came in an earlier file and had been on hold."))
    if done.sums.members_again:
        came = counted(done.sums.members_again, "row")
        found.append(Words(f"{came} of members came in an earlier file, too."))
    if not done.roster:
        preview = ["This was a preview. Nothing was saved."]
        if done.samples:
            preview.append(
                f"It can't be saved yet: fill in the sample {'value' if len(done.samples) == 1 else 'values'}"
                " listed above in the settings first."
            )
        preview.append(f"{'Then save' if done.samples else 'To save'} it: {again}")
        return [*found, *map(Words, preview)]
    found.append(Words(f"Saved in {done.roster}."))
    if done.packets and done.outbox:
        found += packets.made(
            done.packets,
            done.by_letter_only,
            done.outbox,
            done.ends_early,
            has_mail=done.has_mail,
            secret=done.has_passwords,
        )
        found += packets.shared(done.shared, line)
    return [*found, *map(Words, _next(done, line))]


def answered(done: AnsweredForm, line: Callable[[str], str] = "onboard {}".format) -> list[Piece]:
    """What became of each form, and what is left to do."""
    told = [f"{shown_name(one)}: {SETTLED[type(one)]}. {_because(one)}" for one in done.settled]
    told += [
        f"Please check: {finding.note}"
        for one in done.settled
        if isinstance(one, Enrol)
        for finding in one.applicant.findings
        if finding.weight is Weight.DOUBTFUL
    ]
    told += [words for news in done.news for words in proposals(news, line)]
    told.append(f"{counted(done.left, 'form')} still on hold.")
    if any(isinstance(one, Enrol) and not one.had_account for one in done.settled):
        told.append(f"To make the welcome packet: {line('packets --write')}")
    return [Words(words) for words in told]


def taken_back(done: AnsweredForm, line: Callable[[str], str] = "onboard {}".format) -> list[Piece]:
    """What becomes of a form whose answer was taken back."""
    (now,) = done.settled
    told = [f"The answer is taken back. {shown_name(now)}: {SETTLED[type(now)]}. {_because(now)}"]
    told.append(f"{counted(done.left, 'form')} still on hold.")
    if isinstance(now, Hold):
        told.append(f"To answer it: {line(f'answer {now.applicant.raw.key[:6]}')}")
    return [Words(words) for words in told]


def _because(decision: Decision) -> str:
    if isinstance(decision, Hold):
        return " ".join(question.ask for question in decision.questions)
    reasons = "; ".join(decision.reasons)
    if " decided: " in reasons:
        return reasons  # it begins with somebody's name, which stays as they write it
    return reasons[:1].upper() + reasons[1:]


def _noticed(sums: BatchReport, file: str) -> Words:
    """How often each kind of thing to check or fixed was met, and in which rows of the file first."""
    rows = {code: list(map(str, found)) for (code, of), found in sums.first.items() if of == file}
    return Words(f"Noticed: {kinds.told(sums.codes, rows) or 'nothing'}.\n", is_faint=True)


def _sums(sums: BatchReport) -> str:
    return (
        f"{counted(sums.rows, 'row')}: {counted(sums.enrolled, 'new member')}, "
        f"{sums.same:,} already {'a member' if sums.same == 1 else 'members'}, "
        f"{sums.held:,} on hold, {sums.dropped:,} not enrolled, "
        f"{sums.given_before:,} already in an earlier file."
    )


def _listed(things: Sequence[str]) -> str:
    """Several things in one sentence.

    >>> _listed(["2 rows", "1 email address", "1 mailbox"])
    '2 rows, 1 email address and 1 mailbox'
    """
    *first, last = things
    return f"{', '.join(first)} and {last}" if first else last


def _addresses(number: int, asked: Sequence[PacketQuestion]) -> str:
    """So many addresses that packets wait for, by what they are."""
    kinds = {type(one) for one in asked}
    what = (
        "address"
        if len(kinds) > 1
        else "email address"
        if EmailQuestion in kinds
        else "mailing address"
    )
    return counted(number, what, f"{what}es")


def _next(done: Batch, line: Callable[[str], str]) -> list[str]:
    steps = []
    if done.asked:
        of_emails = all(isinstance(one, EmailQuestion) for one in done.asked)
        listed = done.seen.wrong_emails if of_emails else 0
        number = len(done.asked)
        which = _addresses(number, done.asked)
        where = " listed above" if listed == number else ""
        if 0 < listed < number:  # others wait from earlier, or for another reason
            where = f" ({listed:,} of them listed above)"
        steps.append(
            f"Check the {which}{where}. The welcome packets wait until then: {line('packets')}"
        )
    if done.packets:
        letters = len(done.by_letter_only)
        steps += packets.next_steps(
            len(done.packets) - letters,
            letters,
            has_told=done.has_told,
            has_mail=done.has_mail,
            line=line,
        )
    said = packets.in_order(steps)
    if done.questions:
        about = [f"{counted(done.sums.held, 'row')} on hold"] if done.sums.held else []
        about += [_addresses(len(done.asked), done.asked)] if done.asked else []
        about += (
            [counted(len(done.shared), "mailbox that several use", "mailboxes that several use")]
            if done.shared
            else []
        )
        said += [
            f"The questions about {_listed(about)} are in {done.questions}. "
            "Fill in your answers, save the file, and give it back:",
            f"  {line(f'batch --record --answers {quote(str(done.questions))}')}",
        ]
    return said
