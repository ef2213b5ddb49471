"""What becomes of a row: the decision, its reasons, and what a person answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import NamedTuple, TypeAlias

from onboard.model.applicant import Applicant
from onboard.model.match import Match
from onboard.model.owner import Owner


class Handle(NamedTuple):
    """A sign-in handle and the plain-words steps by which it came from the name."""

    text: str
    steps: tuple[Step, ...] = ()

    @property
    def base(self) -> str:
        """What it is without the number that tells it from others, in small letters.

        >>> Handle("PatLee2").base, Handle("1234").base
        ('patlee', '1234')
        """
        return (self.text.rstrip("0123456789") or self.text).casefold()


class Step(NamedTuple):
    """One step from a name to a handle.

    `what` is a stable word that the templates translate ("join", "small-letters",
    "apostrophe", …); `before` and `after` are the text on either side of it.
    """

    what: str
    before: str
    after: str


class Answer(StrEnum):
    """What a coordinator may answer to a row on hold, or about an email address in doubt."""

    ENROL = "enrol"  # a new person (after the corrections, if any)
    SAME = "same"  # the member named in the ruling
    DROP = "drop"  # not to be enrolled
    WAIT = "wait"  # nothing yet
    UNDO = "undo"  # the answer before is taken back: ask again
    RIGHT = "right"  # the email address on file is right as it is (after the correction, if any)
    LETTER = "letter"  # the packet goes by letter instead

    @property
    def shown(self) -> str:
        """The answer as people read and write it; programs and rosters know its value.

        >>> Answer.ENROL.shown
        'enroll'
        """
        return "enroll" if self is Answer.ENROL else self.value


@dataclass(frozen=True, slots=True)
class Ruling:
    """A coordinator's answer to one row on hold, or about a member's email address."""

    row: str  # RawRow.key; about an email address "member:17 pat@example.org"
    answer: Answer
    by: str
    why: str = ""
    member: Owner | None = None  # who is meant, with `Answer.SAME`
    corrections: Mapping[str, str] = field(default_factory=dict)  # field: corrected text
    named: str = field(default="", compare=False)  # the member's name, where the roster knows it


@dataclass(frozen=True, slots=True)
class Question:
    """What must be known before a row on hold can go on."""

    field: str  # the field to correct, or "match"
    ask: str  # a sentence for the coordinator
    answers: tuple[Answer, ...]


@dataclass(frozen=True, slots=True)
class Enrol:
    """A new member, under this handle."""

    applicant: Applicant
    handle: Handle
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()  # people whom a ruling told apart from this one
    had_account: bool = False  # they sign in already: no password is made and no packet is due


@dataclass(frozen=True, slots=True)
class SameAs:
    """A person we know already; the new spelling is kept with them."""

    applicant: Applicant
    owner: Owner
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()
    named: str = ""  # the person's name, where no match says it


@dataclass(frozen=True, slots=True)
class Hold:
    """Waits for a person's answer."""

    applicant: Applicant
    questions: tuple[Question, ...]
    reasons: tuple[str, ...] = ()
    matches: tuple[Match, ...] = ()


@dataclass(frozen=True, slots=True)
class Drop:
    """Not enrolled, on a coordinator's word or because the row holds nothing."""

    applicant: Applicant
    reasons: tuple[str, ...] = ()


Decision: TypeAlias = Enrol | SameAs | Hold | Drop
