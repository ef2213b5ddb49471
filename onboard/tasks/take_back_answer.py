"""An answer about a form taken back, as long as nobody was enrolled by it: the form is on hold again."""

from __future__ import annotations

from onboard.errors import FileTrouble
from onboard.model import Answer, Hold, Ruling
from onboard.office import Act, Office
from onboard.reports.batch import AnsweredForm
from onboard.roster import answered
from onboard.roster.answered import Answered
from onboard.tasks.answer_form import judged

MOST = 20  # answers that are listed


def answers_to_take_back(office: Office, most: int = MOST) -> list[Answered]:
    """The newest answers that can be taken back, the newest first. Raises `StoreTrouble`."""
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        return answered.answered(connection, most=most)


def take_back_answer(office: Office, start: str, *, why: str = "") -> AnsweredForm:
    """What the form whose key starts so is asked, now that the answer about it is taken back.

    A form that was the same person as a member is that member's no more; what it had changed there, as a no to
    email, stays. Raises `FileTrouble` unless it is just one form with an answer that can be taken back, and
    `StoreTrouble`; then nothing was changed.
    """
    office.see_that_one_may(Act.INTAKE)
    with office.reading() as connection:
        found = answered.answered(connection, start.strip(), most=2)
    if len(found) != 1:
        raise _none(start, len(found))
    key = found[0].raw.key
    _, outcomes = judged(office, Ruling(key, Answer.UNDO, office.who, why))
    left = [one for one in outcomes.values() if isinstance(one.decision, Hold)]
    return AnsweredForm([outcomes[key].decision], left=len(left))


def _none(start: str, found: int) -> FileTrouble:
    """The trouble that no single form has an answer to take back."""
    if found:
        return FileTrouble(
            f"More than one answered form has a key that starts with {start}. Type more of it. To see the keys: "
            "onboard answer --answered"
        )
    return FileTrouble(
        f"No form whose key starts with {start} has an answer to take back. Once somebody is enrolled, close the account "
        "instead: onboard close. To see the answers that can be taken back: onboard answer --answered"
    )
