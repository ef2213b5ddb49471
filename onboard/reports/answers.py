"""The sheet of questions: one row for each form on hold, for a coordinator to fill in.

`onboard.intake.answers` reads it back. The columns stand in onboard/tables/answer_sheet.tsv, for
both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain
from pathlib import Path

from onboard.clean import name as names
from onboard.clean import secret
from onboard.model import AddressQuestion, Answer, Hold, Match, PacketQuestion, Person
from onboard.model.form import ASIDE, EXTRA
from onboard.reports import cells
from onboard.tables import answer_sheet

_FILLED_IN = ("answer", "member", "by", "why")
_NEVER_CORRECTED = frozenset(("id", "submitted", "handle", "notes"))
_IN_NAME = frozenset(("full_name", "given", "middle", "family", "second_family", "suffix"))
_IN_ADDRESS = ("address", "number", "street", "unit", "city", "state", "zip", "last_line")
_ALWAYS_CORRECTED = ("email", "phone")
_LONGEST = 500  # characters shown of what somebody said in their own words
_OF_A_PACKET = (Answer.WAIT, Answer.RIGHT, Answer.LETTER)

ANSWERS = {
    Answer.ENROL: "A new person. First fix what the question asks about.",
    Answer.SAME: 'Already a member. Write the member\'s number under "{member}".',
    Answer.DROP: "Do not enroll this form.",
    Answer.WAIT: "You don't know yet. The question comes again.",
    Answer.RIGHT: 'The address is right, or you wrote the right one under "{email}" or "{address}". The welcome '
    "packet goes there.",
    Answer.LETTER: "Do not email the welcome packet. Print its letter, as it is.",
}


def write(holds: Iterable[Hold], file: Path, asked: Sequence[PacketQuestion] = ()) -> None:
    """Writes the questions about `holds`, and those `asked` about members whose packets wait, to `file`
    (XLSX, or CSV without the instructions).

    A sheet that was there before is kept beside it as "… (earlier)": it may hold answers.
    Raises `FileTrouble` when it cannot be written.
    """
    held = tuple(holds)
    fields = correctable(held)
    if any(isinstance(one, AddressQuestion) for one in asked) and "address" not in fields:
        fields = (*fields, "address")
    columns = answer_sheet.columns()
    heads = {name: column.heading for name, column in columns.items()}
    corrections = [answer_sheet.correction(field) for field in fields]
    front = [
        heads[name] for name in ("known", "ask", "form", "evidence", "allowed", "answer", "member")
    ]
    headings = [
        *front, *corrections, *(heads[name] for name in ("by", "why", "source", "row")),
    ]  # fmt: skip
    lines = chain(
        (_line(hold, fields) for hold in held), (_line_about_packet(one, fields) for one in asked)
    )
    allowed = [
        answer for answer in ANSWERS
        if (held and answer not in _OF_A_PACKET[1:]) or (asked and answer in _OF_A_PACKET)
    ]  # fmt: skip
    widths = {c.heading: c.width for c in columns.values()} | dict.fromkeys(corrections, 20)
    questions = cells.Page(
        "Questions",
        headings,
        lines,
        widths,
        {heads["answer"]: [answer.shown for answer in allowed]},
        frozenset([*(heads[name] for name in _FILLED_IN), *corrections]),
    )
    if file.exists():
        file.replace(file.with_name(f"{file.stem} (earlier){file.suffix}"))
    cells.write(file, questions, _instructions(allowed))


def correctable(holds: Sequence[Hold]) -> tuple[str, ...]:
    """The fields for which the sheet has a column to correct: those that the forms have."""
    had = {field: None for hold in holds for field in hold.applicant.raw.fields}
    had |= dict.fromkeys(_ALWAYS_CORRECTED)
    return tuple(f for f in had if f not in _NEVER_CORRECTED and not f.startswith((EXTRA, ASIDE)))


def _line(hold: Hold, fields: Sequence[str]) -> list[str]:
    raw = hold.applicant.raw
    return [
        _known_as(hold),
        "\n".join(_numbered([question.ask for question in hold.questions])),
        "\n".join(_form(hold)),
        "\n\n".join(_evidence(match) for match in hold.matches),
        ", ".join(_allowed(hold)),
        "",
        "",
        *[""] * len(fields),
        "",
        "",
        f"{raw.file}, row {raw.line}",
        raw.key,
    ]


def _line_about_packet(one: PacketQuestion, fields: Sequence[str]) -> list[str]:
    member = one.member
    if isinstance(one, AddressQuestion):
        notes = one.notes
        said = [f"address: {', '.join(member.address) or '(none)'}"]
    else:
        notes, doubt = one.doubt.notes, one.doubt
        said = [f"email, as the form says it: {_short(text)}" for text in doubt.said]
        said.append(f"{'understood as' if doubt.said else 'email'}: {doubt.address}")
    return [
        names.show(member.name),
        "\n".join(_numbered(notes)),
        "\n".join([*said, f"sign-in name: {member.handle.text}"]),
        "",
        ", ".join(answer.shown for answer in (Answer.RIGHT, Answer.LETTER, Answer.WAIT)),
        "",
        "",
        *[""] * len(fields),
        "",
        "",
        "welcome packet",
        one.row,
    ]


def _form(hold: Hold) -> list[str]:
    """What the form says, a field a line; the name has a column of its own."""
    said = {f: text for f, text in hold.applicant.raw.fields.items() if text and f not in _IN_NAME}
    where = [_short(said.pop(field)) for field in _IN_ADDRESS if field in said]
    lines = [f"address: {', '.join(where)}"] if where else []
    return lines + [f"{_called(field)}: {_said(field, text)}" for field, text in said.items()]


def _said(field: str, text: str) -> str:
    """What the form says in a field; of what the member wrote in their own words, no password."""
    if field.startswith((EXTRA, ASIDE)):
        return _short(secret.hidden(text, asked=_called(field)), _LONGEST)
    return _short(secret.hidden(text) if field == "notes" else text)


def _called(field: str) -> str:
    """What a line of the form is called: a question of somebody else's is kept in its own words."""
    for own in (EXTRA, ASIDE):
        if field.startswith(own):
            return _short(field.removeprefix(own)).rstrip(":")
    return field.replace("_", " ")


def _short(text: str, longest: int = 100) -> str:
    text = " ".join(text[: 10 * longest].split())
    return text if len(text) <= longest else text[: longest - 1] + "…"


def _known_as(hold: Hold) -> str:
    name = hold.applicant.name.value
    if name is None:
        return hold.applicant.name.said or "(no name)"
    parts = (name.title, name.given, name.middle, name.family, name.suffix)
    return " ".join(part for part in parts if part) or "(no name)"


def _allowed(hold: Hold) -> list[str]:
    """What every question of the row allows, in the order of `Answer`."""
    return [
        answer.shown
        for answer in Answer
        if any(answer in question.answers for question in hold.questions)
    ]


def _numbered(asks: Sequence[str]) -> list[str]:
    return list(asks) if len(asks) < 2 else [f"{n}. {ask}" for n, ask in enumerate(asks, start=1)]


def _evidence(match: Match) -> str:
    """Who a match is, how sure, what agrees and what does not."""
    evidence = match.evidence
    lines = [f"{_whose(match.person)}, {evidence.sure} the same person"]
    if evidence.household:
        lines.append("Share a home or a helper")
    for said, parts in (("For it", evidence.agreeing), ("Against it", evidence.opposing)):
        if parts:
            lines.append(f"{said}: {', '.join(part.words for part in parts)}")
    return "\n".join(lines)


def _whose(person: Person) -> str:
    name = " ".join(p for p in (person.given, person.middle, person.family, person.suffix) if p)
    kind, _, which = person.owner.partition(":")
    where = ", ".join(p for p in (person.street, person.unit, person.city) if p)
    who = f"Member {which}" if kind == "member" else "Another form on hold"
    return f"{who}: {name}" + (f" ({where})" if where else "")


def _instructions(allowed: Sequence[Answer]) -> cells.Page:
    columns = answer_sheet.columns()
    rows: list[tuple[str, str]] = [
        ("What to do", "Each row of the sheet Questions is a join form on hold, or a welcome packet that "
         "waits because its email or mailing address may be wrong: it needs your answer. A packet that goes to a mailbox of several members does not wait. Fill in the yellow columns, save the file, and give it back: "
         "onboard batch --record --answers FILE"),
        ("Nothing is lost", "A row without an answer stays on hold and comes again. You can give "
         "the same file back as often as you like."),
    ]  # fmt: skip
    heads = {"member": columns["member"].heading} | {
        field: answer_sheet.correction(field) for field in ("email", "address")
    }
    rows += [(answer.shown, ANSWERS[answer].format(**heads)) for answer in allowed]
    rows += [(column.heading, column.help) for column in columns.values()]
    rows += [
        ("Correct: …", "What the form should say. Leave it empty where the form is right. A "
         "correction counts only in a row that has an answer."),
        ("Take care", "This sheet holds personal data. Keep it where only coordinators can read "
         "it. Delete it when everything is answered."),
    ]  # fmt: skip
    return cells.Page(
        "Instructions", ("What", "How"), rows, {"What": 26, "How": 90}, read_only_once=True
    )
