"""Handles: the steps, the numbers, the words, the laws."""

from __future__ import annotations

import doctest
import re
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from precis_i18n import get_profile

from onboard import handles
from onboard.clean import name
from onboard.model import Handle, PersonName, Step, Weight
from onboard.settings import HandleRule

# ---------------------------------------------------------------- the steps


def test_each_step_is_told_in_order() -> None:
    handle = handles.clean('Dr. Seán "Shay" Q. O’Brien-Núñez Jr. (born Soto)').value
    assert handle == Handle(
        "seanobriennunez",
        (
            Step(
                "title",
                'Dr Seán "Shay" Q O\'Brien-Núñez Jr (born Soto)',
                'Seán "Shay" Q O\'Brien-Núñez Jr (born Soto)',
            ),
            Step(
                "nickname",
                'Seán "Shay" Q O\'Brien-Núñez Jr (born Soto)',
                "Seán Q O'Brien-Núñez Jr (born Soto)",
            ),
            Step(
                "suffix",
                "Seán Q O'Brien-Núñez Jr (born Soto)",
                "Seán Q O'Brien-Núñez (born Soto)",
            ),
            Step("former-name", "Seán Q O'Brien-Núñez (born Soto)", "Seán Q O'Brien-Núñez"),
            Step("middle-name", "Seán Q O'Brien-Núñez", "Seán O'Brien-Núñez"),
            Step("accents", "Seán O'Brien-Núñez", "Sean O'Brien-Nunez"),
            Step("apostrophe", "Sean O'Brien-Nunez", "Sean OBrien-Nunez"),
            Step("hyphen", "Sean OBrien-Nunez", "Sean OBrienNunez"),
            Step("join", "Sean OBrienNunez", "SeanOBrienNunez"),
            Step("small-letters", "SeanOBrienNunez", "seanobriennunez"),
        ),
    )


def test_the_steps_are_told_in_english_and_spanish() -> None:
    handle = handles.free(handles.clean("Pat O'Brien").value or Handle(""), {"patobrien"})
    assert handles.tell(handle) == (
        "We leave out the apostrophe: Pat O'Brien becomes Pat OBrien.",
        "We write everything as one word: Pat OBrien becomes PatOBrien.",
        "We use small letters only: PatOBrien becomes patobrien.",
        "We add a number, so it is yours alone: patobrien becomes patobrien2.",
    )
    assert handles.tell(handle, "es") == (
        "Quitamos el apóstrofo: Pat O'Brien queda como Pat OBrien.",
        "Lo juntamos todo en una sola palabra: Pat OBrien queda como PatOBrien.",
        "Usamos solo letras minúsculas: PatOBrien queda como patobrien.",
        "Agregamos un número para que sea solo suyo: patobrien queda como patobrien2.",
    )
    assert handles.tell(handle, "tlh") == handles.tell(handle, "en")


@pytest.mark.parametrize("what", handles.STEPS)
def test_every_step_has_a_sentence_in_each_language(what: str) -> None:
    for language in ("en", "es"):
        told = handles.tell(Handle("x", (Step(what, "(before)", "(after)"),)), language)
        assert "(before)" in told[0]
        assert "(after)" in told[0]


# ---------------------------------------------------------------- two last names

ANA = PersonName("Ana", family="Soto Feliciano")


@pytest.mark.parametrize(
    ("family", "first", "last"),
    [
        ("Soto Feliciano", "anasoto", "anafeliciano"),
        ("de la Cruz Soto", "anadelacruz", "anasoto"),
        ("Ortega y Gasset", "anaortega", "anagasset"),
        ("da Silva dos Santos", "anadasilva", "anadossantos"),
        ("Soto-Feliciano", "anasotofeliciano", "anasotofeliciano"),
        ("van der Berg", "anavanderberg", "anavanderberg"),
        ("St Clair", "anastclair", "anastclair"),
        ("O Brien", "anaobrien", "anaobrien"),
        ("Lee", "analee", "analee"),
    ],
)
def test_the_coop_says_which_of_two_last_names_are_in_a_handle(
    family: str, first: str, last: str
) -> None:
    name = PersonName("Ana", family=family)
    for which, text in (("first", first), ("last", last)):
        made = handles.clean(name, HandleRule(last_names=which)).value
        assert made is not None
        assert made.text == text
        assert ("last-names" in [step.what for step in made.steps]) == (first != last)
    both = handles.clean(name).value
    assert both is not None
    assert both.text == "ana" + re.sub("[^a-z]", "", family.lower())


def test_a_member_is_told_that_one_of_two_last_names_is_in_the_handle() -> None:
    made = handles.clean(ANA, HandleRule(last_names="first")).value
    assert made is not None
    assert handles.tell(made)[0] == (
        "We use one of the last names only: Ana Soto Feliciano becomes Ana Soto."
    )
    assert handles.tell(made, "es")[0] == (
        "Usamos solo uno de los apellidos: Ana Soto Feliciano queda como Ana Soto."
    )


@pytest.mark.parametrize(
    ("said", "which", "note"),
    [
        (
            "Ana Soto Feliciano",
            "all",
            "“Soto Feliciano” was read as two last names. Ask if the first one is a middle name."
            " Now the sign-in name is anasotofeliciano; if so, it would be anafeliciano. To change both:"
            ' onboard correct anasotofeliciano --name "Feliciano, Ana Soto" --new-handle --record',
        ),
        (
            "Jennifer Soto Keller",
            "all",
            "“Soto” was read as a middle name. Ask if it is part of the last name."
            " Now the sign-in name is jenniferkeller; if so, it would be jennifersotokeller. To change"
            ' both: onboard correct jenniferkeller --name "Soto Keller, Jennifer" --new-handle --record',
        ),
        (
            "Ana Soto Feliciano",
            "last",
            "“Soto Feliciano” was read as two last names. Ask if the first one is a middle name."
            " The sign-in name is anafeliciano either way. To change the name:"
            ' onboard correct anafeliciano --name "Feliciano, Ana Soto" --record',
        ),
    ],
)
def test_a_doubt_about_two_last_names_tells_both_handles(said: str, which: str, note: str) -> None:
    rule = HandleRule(last_names=which)
    made = handles.clean(said, rule).value
    assert made is not None
    told = handles.with_both_readings(name.clean(said), made.text, rule)
    assert [finding.note for finding in told.findings] == [note]


# ---------------------------------------------------------------- what stops a handle


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Pat and Robin Lee", "handle.joint"),
        ("Ad Min", "handle.reserved"),
        ("Ro Ot", "handle.reserved"),
        ("Adrn In", "handle.reserved"),  # looks like admin
        ("Иван Петров", "handle.script"),
        ("Jos? Garc?a", "handle.unclear"),
    ],
)
def test_a_name_that_gives_no_handle_says_why(said: str, code: str) -> None:
    result = handles.clean(said)
    assert result.value is None
    assert result.findings[-1].code == code
    assert result.blocked


def test_a_joint_sign_up_says_whose_handles_it_would_be() -> None:
    assert handles.clean("Pat and Robin Lee").findings[-1].note == (
        "“Pat Lee and Robin Lee” is more than one person."
        " Ask who the account is for (patlee and robinlee)."
    )


def test_a_reserved_word_of_the_coop_is_kept_free() -> None:
    rule = HandleRule(reserved=("PatLee",))
    assert handles.clean("Pat Lee", rule).findings[-1].code == "handle.reserved"
    assert handles.clean("Pat Leeson", rule).value is not None


def test_a_handle_that_is_too_long_is_cut_and_said() -> None:
    result = handles.clean("Maximiliana Wolfeschlegelstein", HandleRule(longest=12))
    assert result.value is not None
    assert result.value.text == "maximilianaw"
    assert result.value.steps[-1] == Step(
        "shorten", "maximilianawolfeschlegelstein", "maximilianaw"
    )
    assert [(f.code, f.weight) for f in result.findings] == [("handle.shortened", Weight.DOUBTFUL)]


@pytest.mark.parametrize(
    ("said", "text"),
    [
        ("Con", "concoop"),
        ("Nu L", "nulcoop"),
        ("Pr N", "prncoop"),
        ("Au X", "auxcoop"),
        ("Co M1", "com1coop"),
        ("Lp T9", "lpt9coop"),
        ("Co N12", "con12coop"),
        ("Con Lee", "conlee"),
        ("Com Er", "comer"),
    ],
)
def test_no_handle_is_a_device_of_windows(said: str, text: str) -> None:
    result = handles.clean(said)
    assert result.value is not None
    assert result.value.text == text
    changed = text.endswith("coop")
    assert [f.code for f in result.findings] == ["handle.device"] * changed
    if changed:
        assert result.findings[0].note == (
            f"Windows keeps “{text[:-4]}” for itself, and no packet could have it as a file name."
            f" The sign-in name is “{text}”. Tell the member, who will expect the name alone."
        )


def test_no_number_makes_a_device_of_a_handle() -> None:
    """A second “com” would be com2."""
    made = handles.clean("Com").value
    assert made is not None
    assert handles.free(made, {made.text}).text == "comcoop2"
    short = HandleRule(longest=8)
    for said in ("Com 1234567", "Con", "Lpt 1"):
        value = handles.clean(said, short).value
        assert value is not None
        assert len(value.text) <= 8
        taken = {value.text, *(f"{value.text[:7]}{n}" for n in range(2, 9))}
        assert not re.fullmatch(
            "(con|prn|aux|nul|com|lpt)[0-9]*", handles.free(value, taken, short).text
        )


# ---------------------------------------------------------------- numbers


@pytest.mark.parametrize(
    ("taken", "free"),
    [
        (set(), "patlee"),
        ({"patlee"}, "patlee2"),
        ({"patlee", "patlee2", "patlee4"}, "patlee3"),
        ({"patlee2"}, "patlee"),
    ],
)
def test_the_first_free_number_from_two_is_taken(taken: set[str], free: str) -> None:
    handle = Handle("patlee", (Step("join", "pat lee", "patlee"),))
    got = handles.free(handle, taken)
    assert got.text == free
    if free != "patlee":
        assert got.steps == (*handle.steps, Step("number", "patlee", free))


def test_a_number_fits_into_the_longest_handle() -> None:
    rule = HandleRule(longest=6)
    taken = {"patlee", *(f"patle{n}" for n in range(2, 10))}
    assert handles.free(Handle("patlee"), taken, rule).text == "patl10"


def test_a_number_never_makes_a_word_the_coop_reserves() -> None:
    rule = HandleRule(reserved=("patlee2",))
    assert handles.free(Handle("patlee"), {"patlee"}, rule).text == "patlee3"


# ---------------------------------------------------------------- look-alikes


@pytest.mark.parametrize(
    ("one", "other", "alike"),
    [
        ("bernard", "bemard", True),
        ("vvill", "will", True),
        ("patlee", "pat1ee", True),
        ("carol0", "carolo", True),
        ("pаtlee", "patlee", True),  # Cyrillic а, UTS 39 confusables
        ("patlee", "pattee", False),
        ("anna", "ana", False),
    ],
)
def test_skeletons_are_equal_only_for_look_alikes(one: str, other: str, alike: bool) -> None:
    assert (handles.skeleton(one) == handles.skeleton(other)) is alike


# ---------------------------------------------------------------- laws

_LETTERS = st.text(
    st.characters(categories=["Lu", "Ll", "Mn", "Zs", "Pd", "Po", "Nd"], max_codepoint=0x24F),
    max_size=25,
)
_NAMES = st.builds(
    PersonName, _LETTERS, _LETTERS, _LETTERS, st.sampled_from(("", "Jr", "III")), called=_LETTERS
)


@settings(max_examples=200, deadline=None)
@given(st.one_of(_NAMES, st.text(max_size=40)))
def test_a_handle_is_small_letters_and_digits_and_passes_precis(said: PersonName | str) -> None:
    handle = handles.clean(said).value
    if handle is not None:
        assert set(handle.text) <= set("abcdefghijklmnopqrstuvwxyz0123456789")
        assert 0 < len(handle.text) <= HandleRule().longest
        # RFC 8265 section 3.3; ASCII only is the narrowest level of UTS 39 section 5.2
        assert get_profile("UsernameCaseMapped:ToLower").enforce(handle.text) == handle.text


@settings(max_examples=200, deadline=None)
@given(_NAMES, st.sets(st.integers(2, 5)))
def test_the_steps_lead_from_the_name_to_the_handle_without_a_gap(
    person: PersonName, numbers: set[int]
) -> None:
    handle = handles.clean(person).value
    if handle is None:
        return
    handle = handles.free(handle, {handle.text, *(f"{handle.text}{n}" for n in numbers)})
    steps = handle.steps
    assert steps[0].before == name.show(person)
    assert steps[-1].after == handle.text
    assert all(a.after == b.before for a, b in pairwise(steps))
    assert all(step.before != step.after for step in steps)
    assert {step.what for step in steps} <= handles.STEPS.keys()
    assert len(handles.tell(handle)) == len(steps)


@settings(max_examples=100, deadline=None)
@given(_NAMES)
def test_the_same_name_gives_the_same_handle(person: PersonName) -> None:
    assert handles.clean(person) == handles.clean(person)


@settings(max_examples=100, deadline=None)
@given(
    st.sampled_from(["Pat Lee", "José Núñez", "Sean O'Brien", "Mary Ann Smith", "Ludwig van Dyke"]),
    st.sampled_from([str.upper, str.lower, str.title, str]),
    st.sampled_from(["{}", "  {} ", "{},", "Dr. {}", "{} Jr.", "{}\u200b", "\ufeff{}"]),
)
def test_one_name_typed_in_several_ways_gives_one_handle(said: str, case, around: str) -> None:  # type: ignore[no-untyped-def]
    once, again = (handles.clean(text).value for text in (said, around.format(case(said))))
    assert once is not None
    assert again is not None
    assert once.text == again.text


@pytest.mark.parametrize("kind", handles.KINDS, ids=lambda kind: kind.code)
def test_every_kind_is_found_in_its_wrong_example_only(kind) -> None:  # type: ignore[no-untyped-def]
    assert kind.code in {finding.code for finding in handles.clean(kind.wrong).findings}
    assert kind.code not in {finding.code for finding in handles.clean(kind.right).findings}


def test_the_page_about_handles_names_every_step_and_finding_and_its_examples_run() -> None:
    page = Path(__file__).parents[1] / "docs" / "handles.md"
    text = page.read_text("utf-8")
    for what, sentences in handles.STEPS.items():
        told = sentences["en"].format(before="*before*", after="*after*")
        assert f"| `{what}` | {told} |" in text
    assert all(f"`{kind.code}`" in text for kind in handles.KINDS)
    assert doctest.testfile(str(page), module_relative=False).failed == 0


def test_the_examples_in_the_table_of_the_page_hold() -> None:
    page = Path(__file__).parents[1] / "docs" / "handles.md"
    table = page.read_text("utf-8").split("| in the name |")[1].split("\n\n")[0]
    examples = re.findall(r"(?:\| |, )([^|`]+?) → `(\w+)`", table)
    assert len(examples) == 14
    for said, text in examples:
        made = handles.clean(said.strip()).value
        assert made is not None
        assert made.text == text
