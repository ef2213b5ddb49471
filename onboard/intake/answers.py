"""Reads the sheet of questions back after a coordinator has filled it in."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from onboard.errors import FileTrouble
from onboard.intake import damage, filled_in
from onboard.intake.fields import FIELDS
from onboard.intake.headings import fold
from onboard.model import Answer, Owner, Ruling
from onboard.tables import answer_sheet

# What people write for each answer. "Yes" and "no" are not among them: to "is this the same
# person?" they mean the opposite of what they mean to "shall this person be enrolled?".
_SAID: Mapping[str, Answer] = {
    **dict.fromkeys(
        ("enrol", "enroll", "enrolled", "enrolment", "new", "new person", "new member",
         "enrol as new", "enroll as new", "enrol new", "enroll new", "nuevo", "nueva",
         "persona nueva", "inscribir"),
        Answer.ENROL,
    ),
    **dict.fromkeys(("same", "same person", "same member", "same as", "misma", "mismo",
                     "misma persona", "igual"), Answer.SAME),
    **dict.fromkeys(("drop", "dropped", "drop it", "do not enrol", "do not enroll",
                     "don t enrol", "don t enroll", "descartar"), Answer.DROP),
    **dict.fromkeys(("wait", "waiting", "later", "not yet", "esperar"), Answer.WAIT),
    **dict.fromkeys(("right", "right as it is", "it is right", "correct", "confirm", "confirmed",
                     "correcto", "correcta", "confirmado", "confirmar"), Answer.RIGHT),
    **dict.fromkeys(("letter", "a letter", "send a letter", "by letter", "carta", "por carta"),
                    Answer.LETTER),
}  # fmt: skip
_SAME_AS = re.compile(
    r"(?:same(?: (?:person|member))?(?: as)?|mism[ao](?: persona)?(?: que)?|igual que)"
    r"(?: member| no| number)? (\d{1,12})"
)
_MEMBER = re.compile(r"(?:member|no|number)? ?(\d{1,12})(?: \D.*)?")
_KEY = re.compile(r"[0-9a-f]{24}|member:\d{1,12} (?:letter:.*|\S+)")
_OF_A_FORM = (Answer.ENROL, Answer.SAME, Answer.DROP, Answer.WAIT)
_OF_AN_EMAIL = (Answer.RIGHT, Answer.LETTER, Answer.WAIT)
_EMPTIED = "-"  # a correction that says: nothing belongs here


def read_answers(file: Path, *, by: str = "") -> tuple[Ruling, ...]:
    """The rulings in an answered sheet (XLSX, ODS or CSV), in its order.

    Rows without an answer are none. `by` stands for whoever left "Answered by" empty. Raises
    `FileTrouble` that lists every row that cannot be used, with what is allowed there.
    """
    file = Path(file)
    lines = filled_in.lines(file, _names(), ("answer", "row"))
    if lines is None:
        columns = answer_sheet.columns()
        raise FileTrouble(
            f"{file} is not a sheet of questions. Give the file that the batch made, with your answers. "
            f'It has the columns "{columns["answer"].heading}" and "{columns["row"].heading}".'
        )
    rulings: dict[str, tuple[int, Ruling]] = {}
    wrong: list[str] = []
    for at, cells in lines:
        said = {name: text.strip() for name, text in cells.items()}
        mistake, ruling = _ruling(said, by)
        if ruling:
            number, earlier = rulings.get(ruling.row, (at, ruling))
            if earlier != ruling:
                mistake = f"row {number} gives this form another answer. Delete one of the two"
            rulings.setdefault(ruling.row, (at, ruling))
        if mistake:
            who = f" ({said['known']})" if said.get("known") else ""
            wrong.append(f"- row {at}{who}: {mistake}.")
    if wrong:
        raise filled_in.refused(file, wrong)
    return tuple(ruling for _number, ruling in rulings.values())


def answer_said(text: str) -> Answer | None:
    """The answer that a person means, or None.

    >>> answer_said("Enroll"), answer_said("perhaps")
    (<Answer.ENROL: 'enrol'>, None)
    """
    return _SAID.get(fold(text))


def _names() -> dict[str, str]:
    """Columns, and fields that are corrected, by folded heading."""
    names = {
        fold(heading): name
        for name, column in answer_sheet.columns().items()
        for heading in (column.heading, *column.also)
    }
    return names | {fold(answer_sheet.correction(field)): f"={field}" for field in FIELDS}


def _ruling(said: Mapping[str, str], by: str) -> tuple[str, Ruling | None]:
    """What is wrong with a line, and the ruling in it; neither where it is unanswered."""
    state = said.get("=state", "")
    corrections = {
        name[1:]: "" if text == _EMPTIED else damage.clean(text, name[1:], state).value or ""
        for name, text in said.items()
        if name.startswith("=") and text
    }
    member = said.get("member", "")
    whose: Owner | None = None
    if member:
        match = _MEMBER.fullmatch(fold(member.removesuffix(".0")))
        if not match:
            return f'"{member}" is not a member\'s number. Write a number such as 17', None
        whose = Owner.of_member(int(match[1]))
    words = fold(said["answer"])
    if not words:
        if corrections or member:
            return f"it is filled in, but has no answer. Write {_any_of(said)}", None
        return "", None
    answer = answer_said(words)
    if same := _SAME_AS.fullmatch(words):
        answer, named = Answer.SAME, Owner.of_member(int(same[1]))
        if whose and whose != named:
            return f'"{said["answer"]}" and member "{member}" are two members. Leave one', None
        whose = named
    if answer is None or answer not in _allowed(said):
        return f'"{said["answer"]}" is not an answer here. Write {_any_of(said)}', None
    if answer is Answer.SAME and not whose:
        whose = _only_candidate(said.get("evidence", ""))
    if answer is Answer.SAME and not whose:
        return '"same" needs the member\'s number, such as 17', None
    if answer is not Answer.SAME and whose:
        return (
            f'"{answer.shown}" takes no member ({member}). Empty that cell, or answer "same"',
            None,
        )
    if not _KEY.fullmatch(said["row"]):
        return (
            f'the form key "{said["row"]}" was changed. Copy it from the sheet as it was made',
            None,
        )
    who = said.get("by") or by
    if not who:
        return "it does not say who answered. Write a name", None
    return "", Ruling(said["row"], answer, who, said.get("why", ""), whose, corrections)


def _only_candidate(evidence: str) -> Owner | None:
    """The one member whom the form may be, as the sheet says; None if they are none or several."""
    meant = set(re.findall(r"^Member (\d{1,12}):", evidence, re.MULTILINE))
    return Owner.of_member(int(meant.pop())) if len(meant) == 1 else None


def _allowed(said: Mapping[str, str]) -> list[Answer]:
    """What the row itself allows, or every answer to such a question."""
    answers = [answer_said(word) for word in said.get("allowed", "").split(",")]
    every = _OF_AN_EMAIL if Owner(said["row"]).is_member else _OF_A_FORM
    return [answer for answer in answers if answer] or list(every)


def _any_of(said: Mapping[str, str]) -> str:
    *others, last = [answer.shown for answer in _allowed(said)]
    return f"{', '.join(others)} or {last}" if others else last
