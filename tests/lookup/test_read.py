"""What callers say is read for what it is, whatever they say."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.lookup.said import Said, read

SITES = {"prairie hall", "lima grange", "athens feed barn", "hill"}

# (what is said, what of the plainest reading)
CASES: list[tuple[str, dict[str, Any]]] = [
    (
        "I'm Jeaanne, something like Benack, at Prairie Hall, it won't take my email",
        {"words": ("jeaanne", "benack"), "site": "prairie hall"},
    ),
    ("Benack, Jeanne", {"words": ("benack", "jeanne"), "family_first": True}),
    ("JOSÉ NÚÑEZ", {"words": ("jose", "nunez"), "family_first": False}),
    ("Ana & Ben Ruiz", {"words": ("ana", "ben", "ruiz"), "together": True}),
    ("Ana y Ben Ruiz", {"words": ("ana", "ben", "ruiz"), "together": True}),
    ("J. O'Hara", {"words": ("j", "ohara")}),
    ("Will Young", {"words": ("will", "young")}),  # both are names, and words of a sentence
    ("soy Ana Ruiz del sitio Lima Grange", {"words": ("ana", "ruiz"), "site": "lima grange"}),
    ("Ana Ruiz praire hal", {"words": ("ana", "ruiz"), "site": "prairie hall"}),
    ("Ana Ruiz from Athens", {"words": ("ana", "ruiz"), "site": "athens feed barn"}),
    ("pat.lee@example.org", {"emails": (("pat.lee", "example.org"),), "words": ()}),
    ("Pat@Example.ORG.", {"emails": (("pat", "example.org"),)}),
    ("pat at example.org", {"emails": (("pat", "example.org"),)}),
    ("pat@lee@example.org", {"emails": (("patlee", "example.org"),), "words": ()}),  # the key twice
    ("pat.lee7gmail.com", {"emails": (("pat.lee7", "gmail.com"),), "words": ()}),  # no @
    ("it is pat.lee.yahoo.com, Ann", {"emails": (("pat.lee", "yahoo.com"),), "words": ("ann",)}),
    (
        "patlee7 gmail.com",
        {"emails": (("patlee7", "gmail.com"),), "words": ()},
    ),  # a blank for the @
    ("it is pat.lee gmail com, Ann", {"emails": (("pat.lee", "gmail.com"),), "words": ("ann",)}),
    ("patlee7 at gmail", {"emails": (("patlee7", "gmail.com"),), "words": ()}),
    ("pat dot lee at gmail", {"emails": (("pat.lee", "gmail.com"),), "words": ()}),
    ("tulip yahoo.com", {"emails": (("tulip", "yahoo.com"),), "words": ()}),
    (
        "mi correo es tulip arroba yahoo punto com",
        {"emails": (("tulip", "yahoo.com"),), "words": ()},
    ),
    (
        "Pat Lee, gmail.com",
        {"emails": (), "words": ("pat", "lee")},
    ),  # a name, and where the mailbox is
    ("Pat Lee at gmail", {"emails": (), "words": ("pat", "lee")}),
    ("vivo en 12 Elm St", {"number": "12", "street": ("elm",), "words": ()}),
    ("Pat Cox", {"emails": (), "words": ("pat", "cox")}),  # a provider, and a name
    ("Pat at Charter", {"emails": ()}),
    ("hotmail.com", {"emails": ()}),  # nobody's mailbox
    ("pat.lee.example.org", {"emails": (), "whole": "pat.lee.example.org"}),  # no domain we know
    ("pat dot lee at example dot org", {"emails": (("pat.lee", "example.org"),)}),
    ("pat arroba example punto org", {"emails": (("pat", "example.org"),)}),
    ("Ana at Prairie Hall", {"emails": (), "words": ("ana",), "site": "prairie hall"}),
    ("(419) 555-0143", {"phones": ("4195550143",)}),
    ("+1 419 555 0143", {"phones": ("4195550143",)}),
    ("1-419-555-0143 ext 3", {"phones": ("4195550143",), "words": ()}),
    ("419 5550143 cell", {"phones": ("4195550143",)}),
    ("419555014", {"phones": ("419555014",)}),  # a digit too few
    ("Ana 555-0143", {"phones": ("5550143",), "words": ("ana",)}),
    ("Lee 0143", {"tails": ("0143",), "words": ("lee",)}),
    ("Ann 419-555-0143 45801-1234", {"phones": ("4195550143",), "zips": ("45801",)}),
    ("Ana Ruiz 12 Elm Street 45801", {"number": "12", "street": ("elm",), "zips": ("45801",)}),
    ("patlee2", {"whole": "patlee2", "as_one": True, "words": ("patlee",)}),
    ("@pat_lee", {"whole": "pat_lee", "as_one": True}),
    ("Pat Lee2", {"whole": "patlee2", "as_one": False}),
    ("", {"words": ()}),
    ("\ud800 \x00 \u202e", {"words": ()}),
]


@pytest.mark.parametrize(("said", "expected"), CASES, ids=[ascii(said) for said, _ in CASES])
def test_it_is_read_for_what_it_is(said: str, expected: dict[str, Any]) -> None:
    plain = read(said, SITES)[0]
    assert {name: getattr(plain, name) for name in expected} == expected


def test_a_name_that_is_also_a_site_is_read_both_ways() -> None:
    readings = read("Mary Hill", SITES)
    assert {(one.words, one.site) for one in readings} == {
        (("mary",), "hill"),
        (("mary", "hill"), ""),
    }


def lists(said: str, sites: set[str]) -> list[Said]:
    """The readings that take a text for names, numbers and a place, and for no sentence."""
    return [one for one in read(said, sites) if not one.told]


TOWNS = SITES | {"madison east garage", "madison west church lot"}


@pytest.mark.parametrize(
    ("said", "words", "sites"),
    [
        ("Joel Rivas, Madison West", ("joel", "rivas"), {"madison west church lot"}),
        ("Joel Rivas at the garage in Madison", ("joel", "rivas"), {"madison east garage"}),
        ("Joel Rivas, the church lot", ("joel", "rivas"), {"madison west church lot"}),
        ("Joel Rivas from Madison", ("joel", "rivas"), TOWNS - SITES),
        ("soy Joel Rivas de Madison", ("joel", "rivas"), TOWNS - SITES),
        ("soy Joel Rivas, vivo en Madison", ("joel", "rivas"), TOWNS - SITES),
    ],
)
def test_a_site_may_be_said_in_part(said: str, words: tuple[str, ...], sites: set[str]) -> None:
    readings = lists(said, TOWNS)
    assert {one.site for one in readings if one.site} == sites
    assert all(one.words == words for one in readings if one.site)


@pytest.mark.parametrize("said", ["Joel Rivas from Verona", "soy Joel Rivas, vivo en San Juan"])
def test_a_town_that_is_no_site_is_read_as_a_name_and_as_none(said: str) -> None:
    prices = {one.words: one.unsure for one in lists(said, SITES)}
    assert prices["joel", "rivas"] == 3.0
    assert next(unsure for words, unsure in prices.items() if len(words) > 2) == 0.0


@pytest.mark.parametrize(
    ("said", "both"),
    [
        (
            "Ana Ruiz 2423 Elm",
            {(("ana", "ruiz"), "2423", ("elm",)), (("ana", "ruiz", "elm"), "", ())},
        ),
        ("7629 Cutten", {((), "7629", ("cutten",)), (("cutten",), "", ())}),
        ("0143 Lee", {(("lee",), "", ())}),  # no house has such a number
        ("Ana Ruiz 12 Elm St", {(("ana", "ruiz"), "12", ("elm",))}),
    ],
)
def test_a_number_and_a_word_may_be_a_street(said: str, both: set[object]) -> None:
    assert {(one.words, one.number, one.street) for one in lists(said, SITES)} == both


def test_what_leads_to_a_site_is_left_out_and_not_what_is_in_a_name() -> None:
    said = "Ana de la Cruz, the church lot"
    with_site = [one.words for one in lists(said, TOWNS) if one.site == "madison west church lot"]
    assert ("ana", "de", "la", "cruz") in with_site


@pytest.mark.parametrize(
    "said",
    [
        "my lentils would not go through, this is Joel Rivas, thank you",
        "Joel Rivas here, the barley that I put in is gone",
        "soy Joel Rivas y no veo mis lentejas",
        "hi this is joel rivas my barley is gone and the screen is blank",
    ],
)
def test_of_a_sentence_only_the_names_weigh(said: str) -> None:
    told = next(one for one in read(said, SITES) if one.told)
    assert {token.word for token in told.told if token.is_name} == {"joel", "rivas"}
    assert told.says_own_name
    assert not told.for_another


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ("V as in Victor, O, S, S. Simon.", {"voss", "simon"}),
        ("it's Z H A O, Ana Zhao", {"zhao", "ana"}),
        ("last name Ruiz, R, U, I, Z, first name Ana", {"ruiz", "ana"}),
        ("Nadia with an N as in Nancy", {"nadia"}),
    ],
)
def test_letters_that_are_said_are_a_name(said: str, words: set[str]) -> None:
    assert words in [set(one.words) for one in read(said)]


@pytest.mark.parametrize(
    ("said", "phones", "tails"),
    [
        ("this is Ana, six one two, five five five, oh one five three", ("6125550153",), ()),
        ("call me on 715 triple five 0136 please", ("7155550136",), ()),
        ("Ruiz, my number ends in forty-two eleven", (), ("4211",)),
        ("Ruiz, double oh at the very end", (), ("00",)),
        ("Soy Ana, mi número termina en cero uno nueve cinco", (), ("0195",)),
        ("I am one of two Anas", (), ()),
        ("Leif Smith, the Omaha one, 402", (), ()),
    ],
)
def test_numbers_in_words_are_numbers(
    said: str, phones: tuple[str, ...], tails: tuple[str, ...]
) -> None:
    assert {(one.phones, one.tails) for one in read(said)} == {(phones, tails)}


@pytest.mark.parametrize(
    ("said", "email"),
    [
        ("it's pat underscore lee at example dot com, all lower case", ("pat_lee", "example.com")),
        ("my email is patlee seventy two at example dot org", ("patlee72", "example.org")),
        ("write to p lee, no space, at example dot net", ("plee", "example.net")),
        ("pat lee seven at g mail dot com", ("patlee7", "gmail.com")),
        ("pat punto lee arroba example punto org", ("pat.lee", "example.org")),
    ],
)
def test_a_mailbox_may_be_said_aloud(said: str, email: tuple[str, str]) -> None:
    assert email in {one for reading in read(said) for one in reading.emails}


def test_particles_are_read_apart_and_joined() -> None:
    assert {one.words for one in lists("Ana de la Cruz", set())} == {
        ("ana", "de", "la", "cruz"),
        ("ana", "delacruz"),
    }


def test_the_site_that_is_known_stands_beside_whatever_is_said() -> None:
    assert {one.site for one in read("Ana Ruiz", SITES, site="lima grange")} == {"lima grange"}


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=300), st.sampled_from([set(), SITES]))
def test_no_text_makes_reading_raise_and_all_that_is_read_is_short(
    text: str, sites: set[str]
) -> None:
    readings = read(text, sites)
    assert readings
    for one in readings:
        assert len(one.words) == len(one.raws) <= 8
        assert all(word.isascii() and word == word.lower() for word in one.words)
        assert all(len(word) <= 40 for word in one.words)


@pytest.mark.parametrize(
    "junk", ["a" * 100_000, "a " * 50_000, "1" * 100_000, "a.@" * 40_000, "at " * 40_000]
)
def test_a_megabyte_of_junk_is_read_as_fast_as_its_beginning(junk: str) -> None:
    assert read(junk * 10, SITES) == read(junk[:5000], SITES)
