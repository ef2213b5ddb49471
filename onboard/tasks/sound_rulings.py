"""Answers to rows on hold, seen to be about rows and members that there are, and that are alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sqlalchemy import Connection

from onboard import match
from onboard.clean import name as names
from onboard.clean import row
from onboard.errors import FileTrouble
from onboard.model import Answer, Applicant, Owner, Part, Ruling, Verdict
from onboard.reports.batch import BatchReport
from onboard.roster import desk, search
from onboard.settings import Settings

TELLING = frozenset(("given", "family", "email", "phone"))  # evidence that makes a number no slip
# Fields that are corrected together: a correction of one is an answer about all.
_TOGETHER = (
    frozenset(("full_name", "given", "middle", "family", "second_family", "suffix", "name")),
    frozenset(("address", "number", "street", "unit", "city", "state", "zip", "last_line")),
)


def sound_rulings(
    connection: Connection, given: Sequence[Ruling], report: BatchReport, settings: Settings
) -> list[Ruling]:
    """The rulings that still have something to say.

    Trouble if one is about nobody, or says without a reason that a form is a member's who is nothing
    like it: a number is soon mistyped.
    """
    rows = search.seen(connection, [ruling.row for ruling in given])
    earlier, asked = search.rulings(connection, rows), search.last_questions(connection, rows)
    raw = search.raw_rows(connection, rows.keys())
    meant = {ruling.member.member_id or 0 for ruling in given if ruling.member}
    today = search.stays(connection, meant)
    members = search.members_by_number(connection, meant | set(today.values()))
    wrong, sound = [], []
    for ruling in given:
        was = rows.get(ruling.row)
        if was is None:
            wrong.append(f"No form has the key {ruling.row}. Was it saved in another roster?")
            continue
        applicant = row.clean(raw[ruling.row], region=settings.region, sites=settings.sites)
        who = f"{_name(applicant)} (row {was.line})"
        if ruling.member and ruling.member.member_id not in members:
            wrong.append(f"{who}: there is no {ruling.member.shown}.")
        elif ruling.answer is Answer.UNDO:
            if was.decision == "enrol":
                wrong.append(f"{who} is {was.owner.shown} by now. Close the account instead.")
            else:
                sound.append(ruling)
        elif was.decision != "hold":
            report.notes.append(
                f"{_name(applicant)}: The answer about row {was.line} came too late. "
                "That row is no longer on hold."
            )
        elif unlike := _unlike(connection, ruling, applicant, today):
            wrong.append(
                f"{who}: {unlike.shown} is {names.show(members[unlike.member_id or 0].name)}, and nothing "
                "on the form is like them. Check the number. If it is right, give the answer again and say why."
            )
        else:
            fields = [
                field for field, *_ in asked.get(ruling.row, ()) if field not in ("match", "row")
            ]
            sound.append(_with_earlier(ruling, earlier.get(ruling.row), fields))
    if wrong:
        raise FileTrouble("Can't use these answers:\n" + "\n".join(f"- {line}" for line in wrong))
    return sound


def _with_earlier(ruling: Ruling, earlier: Ruling | None, asked: Sequence[str]) -> Ruling:
    """The ruling, with what an earlier one settled and nobody asked about again; and where a bare "enroll"
    answers a question about the email alone, that there is none."""
    if ruling.answer is not Answer.ENROL:
        return ruling
    new = dict(ruling.corrections)
    if not new and set(asked) == {"email"}:
        new["email"] = ""
    if earlier and earlier.answer is Answer.ENROL:
        touched = {*asked, *new}
        for together in _TOGETHER:
            if not together.isdisjoint(touched):
                touched |= together
        new = {f: text for f, text in earlier.corrections.items() if f not in touched} | new
    return replace(ruling, corrections=new)


def _is_telling(part: Part) -> bool:
    """Whether it makes a number no slip. A phone that is nearly the same does not: in a small town many are."""
    return part.field in TELLING and (part.field != "phone" or part.here == part.there)


def _name(applicant: Applicant) -> str:
    value = applicant.name.value
    return names.show(value) if value else " ".join(applicant.name.said.split())[:60] or "(no name)"


def _unlike(
    connection: Connection, ruling: Ruling, applicant: Applicant, today: Mapping[int, int]
) -> Owner | None:
    """The member whom the ruling names without a reason, if nothing of them is on the form; of a merged
    account (`today`) the one that stays."""
    if ruling.answer is not Answer.SAME or not ruling.member or ruling.why.strip():
        return None
    number = ruling.member.member_id or 0
    owner = Owner.of_member(today.get(number, number))
    for spelt in desk.spellings(connection, owner):
        for person in applicant.people():
            evidence = match.compare(person, spelt)
            if (
                any(map(_is_telling, evidence.agreeing))
                or evidence.verdict is not Verdict.DIFFERENT
            ):
                return None
    return owner
