"""The others of a form for several people, once an answer has said whose account it is: nobody may lose them."""

from __future__ import annotations

from onboard.clean import name as names
from onboard.model import Cleaned, Finding, Kind, PersonName, Weight

OTHER = Kind(
    "name.other_of_two",
    Weight.DOUBTFUL,
    "The form was for somebody else, too, who has no account by it.",
    wrong="a form of Pat and Kim Lee, answered for Pat Lee",
    right="a form of Pat Lee",
)
KINDS = (OTHER,)  # not for a rule's `clean`: finding this takes an answer


def found(form: Cleaned[PersonName], answered: Cleaned[PersonName]) -> tuple[Finding, ...]:
    """What to ask about the others of a form whose account an answer has said to be of one of them; nothing if the
    form was for one person, or is for several still."""
    both, mine = form.value, answered.value
    if both is None or mine is None or not both.joint or mine.joint:
        return ()
    others = [names.show(one) for one in both.each if not is_called_alike(one.given, mine.given)]
    who = " and ".join(others)
    said = " ".join(form.said.split())
    note = (
        f"The form was for {len(both.each)} people, “{said[:100]}”. This account is for {names.show(mine)}. Ask if {who} "
        "should have an account, too: then have them send a form of their own. If not, or if they have one, say that all is right."
    )
    return (OTHER.found(said, note),) if others else ()


def was_for_several(name: Cleaned[PersonName]) -> bool:
    """Whether the form was for several people, and an answer said for whom the account is."""
    return any(one.code == OTHER.code for one in name.findings)


def is_called_alike(given: str, other: str) -> bool:
    """Whether two have the same first name, of which either may say more.

    >>> is_called_alike("Ana María", "ana"), is_called_alike("Ana", "Anabel")
    (True, False)
    """
    return given.casefold().partition(" ")[0] == other.casefold().partition(" ")[0]
