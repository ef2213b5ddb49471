"""A form on hold answered by a coordinator: found by its key, ruled on, and judged again."""

from __future__ import annotations

from collections.abc import Mapping

from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.intake import FIELDS, answer_said, field_called
from onboard.model import Answer, Decision, Hold, Owner, RawRow, Ruling
from onboard.office import Act, Office
from onboard.reports.batch import AnsweredForm, BatchReport
from onboard.reports.counts import counted
from onboard.roster import search
from onboard.tasks.outcome import Outcome
from onboard.tasks.paged import Page, page_of
from onboard.tasks.process_batch import look_at_holds, process_batch

ANSWERED = "Somebody has answered this form in the meantime. Nothing was changed."
# The fields that a coordinator is told of; every other one of `FIELDS` can be corrected, too.
TOLD = "name, first name, last name, email, phone, address, city, state, zip or site"


def forms_on_hold(office: Office) -> list[Hold]:
    """The forms on hold, in the order they came. Raises `StoreTrouble`."""
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        if not search.count_held(connection):
            return []
    return _held(look_at_holds(office))


def holds_page(office: Office, number: int = 1) -> Page[Hold]:
    """A page of the forms on hold, in the order they came, as `page_of` has it. Only these are judged; those that wait for
    no answer any more are left out.

    Raises `StoreTrouble`.
    """
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        keys = search.held_keys(connection)
    page = page_of(keys, number)
    told = look_at_holds(office, *page.some) if page.some else {}
    return page.of(_held({key: told[key] for key in page.some if key in told}))


def next_on_hold(office: Office, key: str) -> str:
    """The key of the form on hold that came next after this one, which is on hold; "" after the last.

    Raises `StoreTrouble`.
    """
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        keys = search.held_keys(connection)
    at = keys.index(key) + 1 if key in keys else 0
    return keys[at] if 0 < at < len(keys) else ""


def form_on_hold(office: Office, start: str) -> Hold:
    """The form on hold whose key starts so. Raises `FileTrouble` unless it is just one, and
    `StoreTrouble`."""
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        keys = [key for key in search.held_keys(connection) if key.startswith(start)]
    alone = look_at_holds(office, keys[0]) if len(keys) == 1 else {}
    meant = [one for one in _held(alone) if one.applicant.raw.key == keys[0]]
    if meant:
        return meant[0]
    how = "to see the keys: onboard answer"
    if len(keys) > 1:
        forms = counted(len(keys), "form")
        raise FileTrouble(
            f"{forms} on hold have a key that starts with {start}. Type more of it; {how}"
        )
    raise FileTrouble(f"No form on hold has a key that starts with {start}. {how.capitalize()}")


def form_as_written(office: Office, hold: Hold) -> RawRow:
    """The row of a form on hold as it came in: without what a coordinator has corrected since, and what
    was repaired as the file was read."""
    with office.reading() as connection:
        key = hold.applicant.raw.key
        raw = search.raw_rows(connection, [key]).get(key, hold.applicant.raw)
    spoilt = {one.field: one.said for one in raw.findings if one.field in raw.fields}
    return raw.but({**raw.fields, **spoilt}, raw.findings)


def answer_form(
    office: Office,
    start: str,
    said: str,
    *,
    member: int = 0,
    corrections: Mapping[str, str] | None = None,
    why: str = "",
) -> AnsweredForm:
    """What became of the form whose key starts so, and of others that this answer settled.

    `said` is the answer, as `intake.answer_said` reads it; `member` is who it is, if they are a
    member already; `corrections` are by field, called as in `FIELDS` or as a heading may be. Raises `FileTrouble` where the key, the answer, the
    member or a field is not one that there is, `ChangedMeanwhile` where somebody else answered it since it was
    found, and `StoreTrouble`; then nothing was changed.
    """
    answer = answer_said(said)
    if answer is None:
        raise FileTrouble(f"{said} is not an answer. Write enroll, same, drop or wait.")
    hold = form_on_hold(office, start)
    key = hold.applicant.raw.key
    corrections = _by_field(corrections or {})
    if answer is Answer.SAME and not member:
        member = _only_candidate(hold)
    whose = Owner.of_member(member) if member else None
    ruling = Ruling(key, answer, office.who, why, whose, corrections)
    report, outcomes = judged(office, ruling, only=key)
    if key not in outcomes:
        raise ChangedMeanwhile(ANSWERED)
    settled: list[Decision] = [
        outcome.decision
        for one, outcome in outcomes.items()
        if one == key or not isinstance(outcome.decision, Hold)
    ]
    news = [outcomes[key].news]
    return AnsweredForm(settled, left=report.held, news=[one for one in news if one])


def _by_field(corrections: Mapping[str, str]) -> dict[str, str]:
    """The corrections by the fields that they are of; `FileTrouble` if one is of none."""
    fields = {said: field_called(said) for said in corrections}
    if unknown := sorted(said for said, field in fields.items() if field not in FIELDS):
        raise FileTrouble(
            f"There is no field {', '.join(unknown)} to correct. You can correct {TOLD}."
        )
    return {fields[said]: text for said, text in corrections.items()}


def _only_candidate(hold: Hold) -> int:
    """The one member whom the form may be; `FileTrouble` if they are none or several."""
    meant = {Owner(m.person.owner).member_id for m in hold.matches} - {None}
    if len(meant) != 1:
        raise FileTrouble("Say which member it is: --member NUMBER")
    return meant.pop() or 0


def judged(
    office: Office, ruling: Ruling, only: str = ""
) -> tuple[BatchReport, dict[str, Outcome]]:
    """The last word about each form on hold, by its key, after this ruling, which is kept; or about the `only` one
    that has this key and what it settles. With the sums."""
    outcomes: dict[str, Outcome] = {}
    report = process_batch(
        office, (), file="", keep=True, rulings=[ruling], only=only,
        tell=lambda outcome: outcomes.update({outcome.decision.applicant.raw.key: outcome}),
    )  # fmt: skip
    return report, outcomes


def _held(outcomes: Mapping[str, Outcome]) -> list[Hold]:
    return [o.decision for o in outcomes.values() if isinstance(o.decision, Hold)]
