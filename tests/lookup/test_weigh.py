"""What counts as near, and what is certain."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.lookup import facts as facts_of
from onboard.lookup import keys
from onboard.lookup.facts import Facts, Home, Name
from onboard.lookup.judge import QUESTIONS as ASKED
from onboard.lookup.judge import judge
from onboard.lookup.said import read
from onboard.lookup.slips import word
from onboard.lookup.weigh import least
from onboard.lookup.words import QUESTIONS, evidence
from onboard.model import Person

ROBERT = Facts(
    "lima grange",
    handles=("robertjohnson2",),
    names=(Name(("robert",), ("johnson",), ("miller",), ("t",)),),
    emails=("bob.johnson@example.org", "rj@example.net"),
    phones=("4195550143",),
    homes=(Home("12", ("elm",), "45801"),),
)
SITES = {"lima grange", "athens barn"}

# What is said of Robert, from the surest down; each is less like him than the one before.
DOWN = [
    [
        "Robert Johnson",
        "robertjohnson2",
        "bob.johnson@example.org",
        "419-555-0143",
        "RJ@example.net",
    ],
    ["Bob Johnson", "Robert Miller", "Johnson Robert", "R. Johnson", "bob_johnson"],
    ["Robbert Johnson", "robertjonson2", "bob.jonson@example.org", "419-555-0144", "Robert Jonson"],
    ["Robbert Jonson", "bob.jonsn@example.org", "419-555-0154"],
    ["Walter Jonson", "zoe@example.org", "614-555-0999", "Ann Lee"],
]


def bits(said: str, facts: Facts = ROBERT) -> float:
    return least(read(said, SITES), facts)[0]


def test_the_less_like_it_is_the_more_bits_it_costs() -> None:
    for surer, less in pairwise(DOWN):
        assert max(map(bits, surer)) < min(map(bits, less)), (surer, less)


@pytest.mark.parametrize(
    ("said", "known", "how"),
    [
        ("bob", "robert", "short form"), ("robert", "bob", "short form"), ("lupita", "guadalupe", "short form"),
        ("robbie", "robert", "short form"), ("dolly", "dolores", "short form"), ("wil", "wilhelmina", "cut"),
        ("r", "robert", "initial"), ("jonson", "johnson", "slip"), ("ojhnson", "johnson", "slip"),
        ("pheuffer", "feufer", "sound"), ("jonso", "johnson", "slips"), ("li", "lo", "slip"),
        ("ann", "bob", "other"), ("walter", "robert", "other"),
    ],
)  # fmt: skip
def test_words_are_alike_in_a_way_that_has_a_name(said: str, known: str, how: str) -> None:
    assert word(said, known)[1] == how


@pytest.mark.parametrize(
    ("said", "known", "more"),
    [
        ("beth", "elizabeth", 3.0), ("beth", "elisabeth", 4.0), ("cathy", "catherine", 3.0), ("cathy", "katharine", 4.0),
        ("jackie", "jacqueline", 3.0), ("jacky", "jacqueline", 4.0),
        # the other way round: the pet form is on file, and the name in full is said, spelt in another way
        ("elizabeth", "beth", 3.0), ("elisabeth", "beth", 4.0), ("catherine", "katie", 4.0), ("guadalupe", "lupita", 3.0),
        ("lisbeth", "beth", 4.0), ("lisbeth", "elizabeth", 4.0),  # its first vowel is left off
        # through the one name in full
        ("liz", "beth", 5.0), ("lupe", "lupita", 5.0), ("bill", "liam", 5.0),
    ],
)  # fmt: skip
def test_a_pet_form_of_another_spelling_of_the_name_costs_a_little_more(
    said: str, known: str, more: float
) -> None:
    assert word(said, known) == (more, "short form")


@pytest.mark.parametrize(("said", "known"), [("micheal", "shelly"), ("shelly", "micheal")])
def test_names_that_only_sound_alike_have_no_pet_forms_in_common(said: str, known: str) -> None:
    assert word(said, known)[0] >= 5.0


@pytest.mark.parametrize(
    ("said", "mostly", "seldom"),
    [("patsy", "patricia", "martha"), ("jerry", "gerald", "geraldine"), ("jack", "john", "jacqueline")],
)  # fmt: skip
def test_who_is_called_so_mostly_has_one_name_and_seldom_another(
    said: str, mostly: str, seldom: str
) -> None:
    assert word(said, mostly)[0] < word(said, seldom)[0]
    assert word(said, seldom)[1] == "short form"


def test_a_family_name_that_was_said_is_not_asked_for() -> None:
    ana = Facts(names=(Name(("ana",), ("flores", "lopez")),))
    assert judge(read("Flores"), {1: ana}, roster=400, bearers={"flores": 1}).ask == "first name"
    assert judge(read("Ana"), {1: ana}, roster=400, bearers={"ana": 1}).ask == "family name"


ANA = Facts(names=(Name(("ana",), ("garcia", "lopez")),), emails=("ana.lopez@example.org",))


@pytest.mark.parametrize(
    ("said", "facts", "costs"),
    [
        # Half of a double family name is all that many say, and is near to all of it.
        ("Ana Garcia Lopez", ANA, 0.0), ("Ana Lopez Garcia", ANA, 0.0), ("Ana Garcia", ANA, 0.5), ("Ana Lopez", ANA, 0.5),
        # The family name first, without a comma that would tell.
        ("Johnson, Robert", ROBERT, 0.0), ("Johnson Robert", ROBERT, 1.5), ("Johnson Bob", ROBERT, 4.5),
        ("Lopez Ana", ANA, 2.0),
        # The number behind a name is that of the handle, or left out, or another.
        ("robertjohnson2", ROBERT, 0.0), ("robertjohnson", ROBERT, 2.0), ("robertjohnson7", ROBERT, 3.0),
        ("robertjohnson9876", ROBERT, 4.0),
        # A second @ is a sign too many, and so is a point.
        ("ana@lopez@example.org", ANA, 1.0), ("analopez@example.org", ANA, 1.0), ("ana.lopez@example.org", ANA, 0.0),
    ],
)  # fmt: skip
def test_what_is_said_otherwise_than_it_stands_costs_its_bits(
    said: str, facts: Facts, costs: float
) -> None:
    assert bits(said, facts) == costs


WORDS = st.text("abcdeklmnorstu", min_size=3, max_size=11)


@settings(max_examples=300, deadline=None)
@given(
    WORDS,
    st.integers(0, 10),
    st.sampled_from("abcdeklmnorstu"),
    st.sampled_from(["out", "in", "for", "swap"]),
)
def test_a_word_with_one_slip_shares_a_key_with_the_right_one(
    right: str, at: int, letter: str, slip: str
) -> None:
    at %= len(right)
    wrong = {
        "out": right[:at] + right[at + 1 :],
        "in": right[:at] + letter + right[at:],
        "for": right[:at] + letter + right[at + 1 :],
        "swap": right[:at] + right[at : at + 2][::-1] + right[at + 2 :],
    }[slip]
    if len(wrong) > 2:
        assert keys.near(right) & keys.near(wrong)


PEOPLE = st.builds(
    Person, owner=st.just("member:1"), given=st.text(max_size=12), family=st.text(max_size=12),
    former=st.text(max_size=8), called=st.text(max_size=8), email=st.text(max_size=20),
    phone=st.text("0123456789+-() ", max_size=16), street=st.text(max_size=20), zip5=st.text(max_size=6),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(
    st.lists(PEOPLE, max_size=3), st.text(max_size=20), st.lists(st.text(max_size=12), max_size=2)
)
def test_facts_are_read_back_as_they_were_written(
    people: list[Person], site: str, handles: list[str]
) -> None:
    facts = facts_of.of(people, site=site, handles=handles, emails=["Pat,|Lee\n@Example.org"])
    assert facts_of.of_text(facts_of.as_text(facts)) == facts
    keys.of(facts)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=80), st.lists(PEOPLE, min_size=1, max_size=3))
def test_any_text_beside_any_facts_has_a_cost_and_words(text: str, people: list[Person]) -> None:
    cost, _, clues = least(read(text, SITES), facts_of.of(people))
    assert cost >= 0.0
    for clue in clues:
        assert evidence(clue)


# ---------------------------------------------------------------- certain, or what to ask


def judged(said: str, *known: Facts, roster: int = 500, site: str = "", cut_short: bool = False):  # type: ignore[no-untyped-def]
    bearers = {"robert": roster // 50, "johnson": roster // 150, "bob": roster // 1000}
    readings = read(said, SITES, site=site)
    return judge(
        readings, dict(enumerate(known)), roster=roster, cut_short=cut_short,
        bearers={w: bearers.get(w, 0) for one in readings for w in one.words},
    )  # fmt: skip


def other(**changes: object) -> Facts:
    return Facts(**{name: getattr(ROBERT, name) for name in ROBERT.__dataclass_fields__} | changes)


@pytest.mark.parametrize(
    "said", ["Robert Johnson lima grange", "bob.johnson@example.org", "Bob Johnson 0143"]
)
def test_one_who_alone_fits_is_certain(said: str) -> None:
    assert judged(said, ROBERT, other(names=(Name(("ana",), ("ruiz",)),), handles=(), emails=(),
                                      phones=("6145550188",))).certain  # fmt: skip


@pytest.mark.parametrize(
    ("said", "twin", "ask"),
    [
        ("Robert Johnson", {"site": "athens barn"}, "site"),
        ("Robert Johnson lima grange", {"phones": ("6145550188",)}, "phone end"),
        ("4195550143", {"names": (Name(("ana",), ("johnson",)),)}, "first name"),
        ("bob johnson 0143 lima grange", {"homes": (Home("7", ("oak",), "45701"),)}, "zip"),
    ],
)
def test_of_two_who_fit_neither_is_certain_and_what_splits_them_is_asked(
    said: str, twin: dict[str, object], ask: str
) -> None:
    found = judged(said, ROBERT, other(**twin))
    assert (found.certain, found.lead, found.ask) == (False, 0.0, ask)


@pytest.mark.parametrize(
    "said",
    ["Robbert Jonson lima grange", "Robert Johnson athens barn", "419-555-0154", "Robert Johnson 9999",
     "Walter Johnson lima grange"],
)  # fmt: skip
def test_one_who_fits_badly_is_not_certain_though_alone(said: str) -> None:
    found = judged(said, ROBERT)
    assert not found.certain
    assert found.ask in QUESTIONS


def test_one_slip_from_somebody_else_is_not_certain() -> None:
    near = other(names=(Name(("robert",), ("johnston",)),), handles=("robertjohnston",), emails=())
    assert not judged("Robert Johnson lima grange", ROBERT, near).certain


def test_nobody_is_certain_while_more_may_fit() -> None:
    assert not judged("bob.johnson@example.org", ROBERT, cut_short=True).certain


def test_a_common_name_alone_is_not_certain_on_a_large_roster() -> None:
    assert judged("Robert Johnson", ROBERT, roster=150).certain
    assert not judged("Robert Johnson", ROBERT, roster=1_000_000).certain


def test_every_question_has_words() -> None:
    assert ASKED.keys() | {"spelling", "whose account"} == QUESTIONS.keys()


def test_the_evidence_tells_no_phone_and_no_mailbox_that_was_not_said() -> None:
    for said in ("419-555-0154", "bob.jonson@example.org", "0144", "bobjohnson@example.com"):
        told = " ".join(map(evidence, least(read(said), ROBERT)[2]))
        assert told
        assert not any(secret in told for secret in ("0143", "bob.johnson", "rj@"))
