"""`onboard batch`: join forms to accounts; looks first, records when told."""

from __future__ import annotations

import json
import shlex
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, TypeVar

import typer

from onboard import intake
from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    SettingsFile,
    SheetName,
    Told,
    Who,
    console,
    in_words,
    open_sheet,
    progress_bar,
    remember_columns,
    say,
)
from onboard.errors import FileTrouble, Trouble
from onboard.model import Decision, Drop, Enrol, Hold, SameAs
from onboard.office import Office, open_office
from onboard.reports import answers
from onboard.reports import batch as report
from onboard.reports.counts import counted
from onboard.tasks.process_batch import BatchReport, Outcome, process_batch
from onboard.tasks.write_packets import PacketsReport, write_packets

T = TypeVar("T", bound=Decision)


def batch(
    file: Annotated[Path | None, typer.Argument(help="The join forms: CSV, XLSX or ODS.")] = None,
    record: Record = False,
    answered: Annotated[
        Path | None,
        typer.Option("--answers", help="The sheet of questions, with your answers filled in."),
    ] = None,
    column: Told = None,
    sheet_name: SheetName = "",
    remember: Annotated[
        bool, typer.Option("--remember", help="Remember the columns for files like this one.")
    ] = False,
    whole: Annotated[bool, typer.Option("--all", help="Show every line of every list.")] = False,
    machine: Machine = False,
    settings: SettingsFile = None,
    who: Who = "",
) -> None:
    """Turn a file of join forms into accounts and welcome packets.

    Looks and says what would happen; with `--record` it happens. Rows that need a person are
    written to a sheet of questions: fill in the answers and give it back with `--answers`.

    Example: `onboard batch fixtures_demo/join-forms.csv`

    Example: `onboard batch forms.xlsx --record --column "Contact=phone"`

    Example: `onboard batch --record --answers forms-questions.xlsx`
    """
    if file is None and answered is None:
        raise FileTrouble(
            "Nothing to do: give a file of join forms, or --answers with a sheet of answers."
        )
    office = open_office(settings, beside=file or answered, who=who)
    sheet = open_sheet(office, file, column, quiet=machine, sheet_name=sheet_name) if file else None
    if sheet and remember:
        remember_columns(office, sheet)
    rulings = intake.read_answers(answered, by=office.who) if answered else ()
    named = file or answered
    assert named is not None
    seen = _Seen(machine, whole, file.name if file else "")
    with progress_bar("Rows", None, shown=not machine) as progress:
        done = process_batch(
            office, sheet.rows() if sheet else (), file=named.name, keep=record, rulings=rulings,
            tell=seen.tell, progress=progress,
        )  # fmt: skip
    packets = questions = None
    if record:
        try:
            questions = _write_questions(list(seen.holds.values()), named)
            with progress_bar("Packets", done.enrolled, shown=not machine) as progress:
                packets = write_packets(office, progress=progress)
        except (Trouble, OSError) as error:
            raise FileTrouble(
                f"{in_words(error)}\nThe batch itself is recorded: {done.enrolled} enrolled. When that is put "
                "right, run this for the packets that are still due: onboard packets --write"
            ) from error
    if machine:
        console.file.write(json.dumps(_sums(done, record, packets, questions)) + "\n")
    else:
        _print(seen, done)
        for words in sheet.passed_over.words() if sheet else ():
            say(words)
        _print_what_next(office, named, done, record, packets, questions)
    raise typer.Exit(NEEDS_A_PERSON if done.held else DONE)


@dataclass
class _Seen:
    """What is shown in the end: every row on hold, and the first few of the others.

    The last word about a row holds. Only what is shown is kept, so that a huge file needs no
    huge memory.
    """

    machine: bool
    whole: bool
    file: str  # of the join forms; "" if answers alone are given
    holds: dict[str, Hold] = field(default_factory=dict)
    others: dict[str, Outcome] = field(default_factory=dict)
    kinds: Counter[str] = field(default_factory=Counter)
    doubts: report.Doubts = field(init=False)

    def __post_init__(self) -> None:
        self.doubts = report.Doubts(self.file)

    def tell(self, outcome: Outcome) -> None:
        decision = outcome.decision
        key = decision.applicant.raw.key
        if self.machine:
            line = report.as_json(decision, outcome.owner, given_before=outcome.given_before)
            console.file.write(line + "\n")
        if outcome.given_before:
            return
        if isinstance(decision, Hold):
            self.holds[key] = decision
            return
        self.holds.pop(key, None)
        if isinstance(decision, Enrol):
            self.doubts.add(decision)
        kind = report.VERDICT[type(decision)]
        self.kinds[kind] += 1
        if self.whole or self.kinds[kind] <= report.SHOWN:
            self.others[key] = outcome

    def of(self, kind: type[T]) -> list[T]:
        return [o.decision for o in self.others.values() if isinstance(o.decision, kind)]


def _write_questions(holds: list[Hold], named: Path) -> Path | None:
    if not holds:
        return None
    stem = named.stem.removesuffix("-questions")
    file = named.with_name(f"{stem}-questions.xlsx")
    answers.write(holds, file)
    return file


def _print(seen: _Seen, done: BatchReport) -> None:
    same = [(d, report.whose(d)) for d in seen.of(SameAs)]
    enrolled = seen.of(Enrol)
    console.print(
        report.lists(
            list(seen.holds.values()), enrolled, same, seen.of(Drop), seen.kinds, seen.file
        )
    )
    if table := seen.doubts.table():
        console.print(table)
    console.print(report.codes(done.codes))


def _print_what_next(
    office: Office,
    named: Path,
    done: BatchReport,
    record: bool,
    packets: PacketsReport | None,
    questions: Path | None,
) -> None:
    for note in done.notes:
        say(note)
    parts = (
        f"{done.enrolled} enrolled", f"{done.same} already members", f"{done.held} on hold",
        f"{done.dropped} left out", f"{done.given_before} given before",
    )  # fmt: skip
    say(f"{done.rows} rows: {', '.join(parts)}.", style="bold")
    if done.waiting:
        say(f"{counted(done.waiting, 'row')} of these came before, and waited on hold.")
    if not record:
        say("This was a look: nothing was recorded or written.")
        say(f"To record it: onboard batch {shlex.quote(str(named))} --record")
        return
    say(f"Recorded in {office.roster_name}.")
    if packets and packets.written:
        by_mail = len(packets.written) - len(packets.by_letter_only)
        say(
            f"Wrote {counted(by_mail, 'mail')} and {counted(len(packets.written), 'letter')} to {packets.folder}."
        )
        if packets.by_letter_only:
            say(
                f"By letter only (no email, or said no to mail): {', '.join(packets.by_letter_only)}."
            )
        say(
            "They hold first passwords: keep them private. To send the mails: onboard packets --send"
        )
    if questions:
        say(
            f"Wrote the questions about {counted(done.held, 'row')} on hold to {questions}: "
            "answer them there, then give it back:"
        )
        say(f"  onboard batch --record --answers {shlex.quote(str(questions))}")


def _sums(
    done: BatchReport, record: bool, packets: PacketsReport | None, questions: Path | None
) -> dict[str, object]:
    return {
        "sums": {
            "rows": done.rows, "enrolled": done.enrolled, "already members": done.same,
            "on hold": done.held, "left out": done.dropped, "given before": done.given_before,
        },
        "recorded": record,
        "packets": packets.written if packets else [],
        "outbox": str(packets.folder) if packets else None,
        "questions": str(questions) if questions else None,
        "notes": done.notes,
    }  # fmt: skip
