"""What is decided of a row, case by case, on matches made by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from coop_forms import form

from onboard.clean import row
from onboard.decide import adopt, decide
from onboard.model import (
    Answer,
    Applicant,
    Decision,
    Drop,
    Enrol,
    Evidence,
    Hold,
    Match,
    Part,
    Person,
    RawRow,
    Ruling,
    SameAs,
    Verdict,
)
from onboard.settings import HandleRule

RULE = HandleRule()
SAME, UNCLEAR = Verdict.SAME, Verdict.UNCLEAR


def match(owner: str, verdict: Verdict, *, household: bool = False, name: str = "Pat Lee") -> Match:
    """Somebody known: "member:7" or "row:…"."""
    given, _, family = name.partition(" ")
    parts = (
        Part("chance", "", "", -12.0, "two people at random"),
        Part("email", "pat@example.org", "pat@example.org", 14.0, "same email"),
        Part("family", "Lee", "Lee", 6.0, "same family name"),
        Part("given", "Pat", "Pat", 5.0, "same given name"),
        Part("phone", "+1419", "+1419", 4.0, "same phone"),
        Part("zip5", "45801", "45801", 3.0, "same ZIP"),
        Part("street", "12 MAIN", "9 ELM", -2.0, "another street"),
        Part("unit", "1", "2", -1.0, "another unit"),
        Part("born", "a", "b", -0.5, "another birthday"),
    )
    confidence = {SAME: 0.9996, UNCLEAR: 0.7}[verdict]
    evidence = Evidence(parts, 8.0, confidence, verdict, household)
    return Match(Person(owner, given=given, family=family), evidence)


def judged(
    raw: RawRow,
    *matches: Match,
    ruling: Ruling | None = None,
    taken: Any = (),
    asking: Any = (),
) -> Decision:
    return decide(applicant(raw), matches, ruling, taken=taken, rule=RULE, asking=asking)


def applicant(raw: RawRow) -> Applicant:
    return row.clean(raw)


def ruled(answer: Answer, **more: Any) -> Ruling:
    return Ruling("key", answer, "Robin", **more)


MEMBER, OTHER, HELD = "member:7", "member:9", "row:abc"
SURE_WORDS = (
    "over 99% sure: same email, same family name, same given name, same phone; "
    "against it: another street, another unit"
)

# (what, matches, owners asking, kind, owner meant, fields asked)
CASES: list[tuple[str, tuple[Match, ...], tuple[str, ...], type, str, tuple[str, ...]]] = [
    ("nobody is like them", (), (), Enrol, "", ()),
    ("one member is the same", (match(MEMBER, SAME),), (), SameAs, MEMBER, ()),
    (
        "one is the same, another is unclear",
        (match(MEMBER, SAME), match(OTHER, UNCLEAR)),
        (), SameAs, MEMBER, (),
    ),
    ("one member is unclear", (match(MEMBER, UNCLEAR),), (), Hold, "", ("match",)),
    (
        "a member of the household is unclear",
        (match(MEMBER, UNCLEAR, household=True),),
        (), Hold, "", ("match",),
    ),
    (
        "two members are the same",
        (match(MEMBER, SAME), match(OTHER, SAME)),
        (), Hold, "", ("match",),
    ),
    ("a row on hold for its fields is the same", (match(HELD, SAME),), (), Enrol, "", ()),
    ("a row on hold over who it is is the same", (match(HELD, SAME),), (HELD,), Hold, "", ("match",)),
    ("a row on hold is unclear", (match(HELD, UNCLEAR),), (), Hold, "", ("match",)),
    ("a row on hold is unclear and asks", (match(HELD, UNCLEAR),), (HELD,), Hold, "", ("match",)),
    (
        "a member and a row that asks are the same",
        (match(MEMBER, SAME), match(HELD, SAME)),
        (HELD,), SameAs, MEMBER, (),
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("matches", "asking", "kind", "owner", "asked"),
    [case[1:] for case in CASES],
    ids=[case[0] for case in CASES],
)
def test_what_a_sound_form_comes_to(
    pat: Callable[..., RawRow],
    matches: tuple[Match, ...],
    asking: tuple[str, ...],
    kind: type,
    owner: str,
    asked: tuple[str, ...],
) -> None:
    decision = judged(pat(), *matches, asking=asking)
    assert type(decision) is kind
    assert getattr(decision, "owner", "") == owner
    assert tuple(q.field for q in getattr(decision, "questions", ())) == asked


def test_whose_account_it_is_where_a_helper_filled_out_the_form_only_a_name_settles(
    pat: Callable[..., RawRow],
) -> None:
    raw = pat(full_name="Marvin Pryce for Odessa Pryce")
    held = judged(raw, match(MEMBER, SAME, name="Marvin Pryce"))
    assert isinstance(held, Hold), "the helper is a member, and the form another's"
    assert "name" in {question.field for question in held.questions}
    assert isinstance(judged(raw, ruling=ruled(Answer.ENROL)), Hold)
    named = {"full_name": "Odessa Pryce"}
    answered = judged(row.corrected(raw, named), ruling=ruled(Answer.ENROL, corrections=named))
    assert isinstance(answered, Enrol)
    assert answered.handle.text == "odessapryce"


LACKING = {"email": ""}  # a blocking finding: nowhere to write to

ON_FIELDS: list[tuple[str, dict[str, str], tuple[Match, ...], type, tuple[str, ...]]] = [
    ("nobody is like them", LACKING, (), Hold, ("email",)),
    ("one member is the same: they are known, lacking or not", LACKING, (match(MEMBER, SAME),), SameAs, ()),
    ("one member is unclear: both are asked at once", LACKING, (match(MEMBER, UNCLEAR),), Hold, ("match", "email")),
    ("a row on hold for its fields is the same", LACKING, (match(HELD, SAME),), Hold, ("email",)),
    ("two fields at once", {"email": "", "full_name": ""}, (), Hold, ("name", "email")),
]  # fmt: skip


@pytest.mark.parametrize(
    ("other", "matches", "kind", "asked"),
    [case[1:] for case in ON_FIELDS],
    ids=[case[0] for case in ON_FIELDS],
)
def test_what_a_form_comes_to_that_lacks_something(
    pat: Callable[..., RawRow],
    other: dict[str, str],
    matches: tuple[Match, ...],
    kind: type,
    asked: tuple[str, ...],
) -> None:
    decision = judged(pat(**other), *matches)
    assert type(decision) is kind
    assert {q.field for q in getattr(decision, "questions", ())} == set(asked)


# (what, form, matches, ruling, kind, what it says)
RULED: list[tuple[str, dict[str, str], tuple[Match, ...], Ruling, type, str]] = [
    ("drop", {}, (), ruled(Answer.DROP), Drop, "Robin decided: do not enroll"),
    ("drop, with a reason", {}, (match(MEMBER, SAME),), ruled(Answer.DROP, why="a prank"), Drop,
     "Robin decided: do not enroll (a prank)"),
    ("same", {}, (match(MEMBER, UNCLEAR),), ruled(Answer.SAME, member=OTHER), SameAs,
     "Robin decided: the same person as member 9"),
    ("same wins over a lacking field", LACKING, (), ruled(Answer.SAME, member=OTHER), SameAs,
     "Robin decided: the same person as member 9"),
    ("same without a member says nothing", {}, (match(MEMBER, UNCLEAR),), ruled(Answer.SAME), Hold,
     "70% sure: same email"),
    ("enrol in spite of a likeness", {}, (match(MEMBER, SAME),), ruled(Answer.ENROL, why="twins"), Enrol,
     "Robin decided: a new person (twins)"),
    ("enrol in spite of a lacking field", LACKING, (), ruled(Answer.ENROL), Enrol,
     "Robin decided: a new person"),
    ("enrol, but no handle can be made", {"full_name": ""}, (), ruled(Answer.ENROL), Hold, ""),
    ("wait: as if nothing were said", {}, (match(MEMBER, UNCLEAR),), ruled(Answer.WAIT), Hold,
     "70% sure: same email"),
    ("wait, and meanwhile nobody is like them", {}, (), ruled(Answer.WAIT), Enrol,
     "nobody like them is on the roster"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("other", "matches", "ruling", "kind", "says"),
    [case[1:] for case in RULED],
    ids=[case[0] for case in RULED],
)
def test_what_a_ruling_comes_to(
    pat: Callable[..., RawRow],
    other: dict[str, str],
    matches: tuple[Match, ...],
    ruling: Ruling,
    kind: type,
    says: str,
) -> None:
    decision = judged(pat(**other), *matches, ruling=ruling)
    assert type(decision) is kind
    assert "; ".join(decision.reasons).startswith(says)


def test_a_ruling_that_enrols_remembers_whom_it_told_apart(pat: Callable[..., RawRow]) -> None:
    told_apart = (match(MEMBER, SAME), match(HELD, UNCLEAR))
    decision = judged(pat(), *told_apart, ruling=ruled(Answer.ENROL))
    assert isinstance(decision, Enrol)
    assert decision.matches == told_apart
    alone = judged(pat(), match(HELD, SAME))
    assert isinstance(alone, Enrol)
    assert alone.matches == (), "nobody has told these two apart"


EMPTY: list[tuple[dict[str, str], type]] = [
    ({"full_name": "", "email": "", "phone": "", "street": ""}, Drop),
    ({"full_name": "  ", "email": "\t", "phone": "\n", "street": "\xa0"}, Drop),
    ({"submitted": "2026-11-25", "site": "Lima Grange"}, Drop),
    ({"full_name": "", "email": "pat@example.org"}, Hold),
    ({"full_name": "?", "email": ""}, Hold),
]


@pytest.mark.parametrize(("fields", "kind"), EMPTY)
def test_a_row_that_names_nobody_is_left_out(fields: dict[str, str], kind: type) -> None:
    decision = judged(form(2, **fields))
    assert type(decision) is kind
    if kind is Drop:
        assert decision.reasons == ("the row has no name and no way to reach anybody",)
        still = judged(form(2, **fields), ruling=ruled(Answer.ENROL))
        assert type(still) is Drop, "no ruling makes an account of nothing"


def test_a_question_names_whom_it_asks_about(pat: Callable[..., RawRow]) -> None:
    one = judged(pat(), match(MEMBER, UNCLEAR))
    both = judged(pat(), match(MEMBER, SAME), match(OTHER, SAME, name="Patricia Lee"))
    waiting = judged(pat(), match(HELD, UNCLEAR))
    assert [q.ask for d in (one, both, waiting) if isinstance(d, Hold) for q in d.questions] == [
        "Is this the same person as Pat Lee (member 7)?",
        "Is this the same person as Pat Lee (member 7) or Patricia Lee (member 9)?",
        "This may be the same person as Pat Lee (on hold). Answer that row first.",
    ]
    assert isinstance(one, Hold)
    assert isinstance(waiting, Hold)
    assert one.questions[0].answers == (Answer.SAME, Answer.ENROL, Answer.DROP, Answer.WAIT)
    assert Answer.SAME not in waiting.questions[0].answers, "a row on hold is no member yet"


def test_somebody_without_a_name_is_named_by_what_is_known(pat: Callable[..., RawRow]) -> None:
    bare = match(MEMBER, UNCLEAR)
    asked = []
    for person in (
        Person(MEMBER, email="pat@example.org"),
        Person(MEMBER, phone="+14195550143"),
        Person(MEMBER),
    ):
        decision = judged(pat(), replace(bare, person=person))
        assert isinstance(decision, Hold)
        asked.append(decision.questions[0].ask)
    assert asked == [
        "Is this the same person as pat@example.org (member 7)?",
        "Is this the same person as +14195550143 (member 7)?",
        "Is this the same person as somebody with no name (member 7)?",
    ]


def test_reasons_say_how_sure_it_is_and_what_speaks_against_it(pat: Callable[..., RawRow]) -> None:
    assert judged(pat(), match(MEMBER, SAME)).reasons == (SURE_WORDS,)
    two = judged(pat(), match(MEMBER, SAME), match(OTHER, SAME, name="Patricia Lee"))
    assert two.reasons == (
        f"Pat Lee (member 7): {SURE_WORDS}",
        f"Patricia Lee (member 9): {SURE_WORDS}",
    )


def test_a_handle_that_was_ever_given_is_not_given_again(pat: Callable[..., RawRow]) -> None:
    handles = []
    for taken in ((), {"patlee"}, {"patlee", "patlee2"}, {"patlee2"}):
        decision = judged(pat(), taken=taken)
        assert isinstance(decision, Enrol)
        handles.append(decision.handle.text)
    assert handles == ["patlee", "patlee2", "patlee3", "patlee"]


def test_the_same_arguments_give_the_same_decision(pat: Callable[..., RawRow]) -> None:
    found = [judged(pat(), match(MEMBER, UNCLEAR), asking=(HELD,)) for _ in range(2)]
    assert found[0] == found[1]


ADOPTED: list[tuple[str, tuple[str, ...], type, str]] = [
    ("plee7", (), Enrol, "had an account already"),
    ("plee7", ("plee",), Enrol, "had an account already"),
    ("pat.lee@example.org", (), Enrol, "had an account already"),
    ("", (), Hold, "the row has no sign-in name: fill in the one the member signs in with"),
    ("plee7", ("plee7",), Hold, "the sign-in name plee7 belongs to a member already on the roster"),
    ("PLee7", ("plee7",), Hold, "the sign-in name PLee7 belongs to a member already on the roster"),
]


@pytest.mark.parametrize(("handle", "taken", "kind", "why"), ADOPTED)
def test_a_member_is_taken_over_under_the_handle_they_have(
    pat: Callable[..., RawRow], handle: str, taken: tuple[str, ...], kind: type, why: str
) -> None:
    decision = adopt(applicant(pat(full_name="", email="")), handle, taken)
    assert type(decision) is kind
    assert decision.reasons == (why,)
    if isinstance(decision, Enrol):
        assert decision.handle.text == handle
        assert decision.handle.steps == ()


@pytest.mark.parametrize(
    "handle",
    ["../../etc/passwd", "a\\b", "pat lee", "pat\x1b[2J", "pat\n", "\u202eeel", "x" * 101, ".x"],
)
def test_what_nobody_can_sign_in_with_is_not_taken_over(
    pat: Callable[..., RawRow], handle: str
) -> None:
    decision = adopt(applicant(pat()), handle, ())
    assert type(decision) is Hold
    assert "can't be a sign-in name" in decision.reasons[0]
    assert decision.reasons[0].isprintable()


@pytest.mark.parametrize(
    ("name", "code"),
    [("Con", "handle.device"), ("Maximiliana Wolfeschlegelsteinhausen", "handle.shortened")],
)
def test_what_is_odd_about_a_handle_is_told_with_the_new_member(name: str, code: str) -> None:
    decision = judged(form(full_name=name, email="pat@example.org"))
    assert isinstance(decision, Enrol)
    assert code in {finding.code for finding in decision.applicant.findings}
