"""Emails: the laws every rule keeps, the slips that fingers make, and the words of findings."""

from __future__ import annotations

import random
import time
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import email
from onboard.clean.email import Relation
from onboard.clean.email.providers import providers
from onboard.clean.email.slips import suggestion, targets
from onboard.model import Kind, Weight

REPAIRS = {"email.spaces", "email.characters", "email.wrapping", "email.words", "email.spelling"}

# Pieces that addresses, and cells with addresses in them, are made of
PIECES = st.sampled_from(
    ["pat", "lee", "Pat Lee", "@", "@@", ".", "..", " ", "gmail.com", "gmial.com", "example.org",
     "me", ",", ";", "<", ">", '"', "'", "(", ")", "[at]", " dot ", "mailto:", "\n", "\\n", "+coop",
     "www.", "2", "é", "а", "葉", "＠", "\u200b", "\ud800", "\x00", "none", "/", "-", "=", "xn--",
     "org",
     "http://", "io", "127.0.0.1", "[", "]", "invalid", "test", "\\", "#"]
)  # fmt: skip
CELLS = st.one_of(st.text(max_size=60), st.lists(PIECES, max_size=9).map("".join))


@settings(max_examples=1500, deadline=None)
@given(CELLS)
def test_no_text_raises_and_cleaning_twice_changes_and_mends_nothing(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.said == said
    assert cleaned.blocked or cleaned.value is not None
    if cleaned.value is None:
        return
    shown = email.show(cleaned.value)
    again = email.clean(shown)
    assert again.value == cleaned.value
    assert {f.code for f in again.findings} & REPAIRS == set()


ADDRESSES = st.sampled_from(["pat@example.org", "sam@example.net", "lee@gmail.com", "kim@aol.com"])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(ADDRESSES, min_size=2, max_size=4),
    st.sampled_from([", ", " / ", "; ", "\n"]),
    st.randoms(),
)
def test_the_order_of_addresses_in_a_cell_loses_none(
    said: list[str], between: str, random: Random
) -> None:
    def all_of(addresses: list[str]) -> set[str]:
        value = email.clean(between.join(addresses)).value
        assert value is not None
        return {value.address, *value.others}

    assert all_of(random.sample(said, len(said))) == all_of(said) == set(said)


@settings(max_examples=300, deadline=None)
@given(CELLS, CELLS)
def test_a_relation_is_the_same_both_ways(here: str, there: str) -> None:
    a, b = email.clean(here).value, email.clean(there).value
    if a is None or b is None:
        return
    assert email.relation(a.identity, b.identity) is email.relation(b.identity, a.identity)
    assert email.relation(a.identity, a.identity) is Relation.SAME


@settings(max_examples=300, deadline=None)
@given(CELLS)
def test_an_identity_is_the_identity_of_itself(said: str) -> None:
    value = email.clean(said).value
    if value is None or not value.identity.isascii():
        return
    again = email.clean(value.identity).value
    assert again is not None
    assert again.identity == value.identity


@pytest.mark.parametrize(
    "junk",
    ["a" * 10_000_000, "@" * 10_000_000, "a@" * 5_000_000, " " * 10_000_000, "<a " * 3_000_000,
     "pat@example.org " * 600_000, "(" * 10_000_000, '"' * 10_000_000, "x." * 5_000_000 + "@x.org"],
    ids=lambda junk: repr(junk[:8]),
)  # fmt: skip
def test_ten_megabytes_of_junk_take_less_than_a_second(junk: str) -> None:
    before = time.process_time()
    cleaned = email.clean(junk)
    assert time.process_time() - before < 1
    assert "email.long" in {f.code for f in cleaned.findings}
    assert all(len(f.said) < 300 and len(f.note) < 900 for f in cleaned.findings)


@pytest.mark.parametrize("kind", email.KINDS, ids=lambda kind: kind.code)
def test_each_kind_is_found_in_its_wrong_example_and_not_in_its_right(kind: Kind) -> None:
    assert kind.code in {f.code for f in email.clean(kind.wrong).findings}
    assert not email.clean(kind.right).findings


# ---------------------------------------------------------------- slips

QWERTY = ("qwertyuiop", "asdfghjkl", "zxcvbnm")


def fingers(word: str, chance: random.Random) -> str:
    """The word with one slip of the fingers in it; common practice which slips those are."""
    at = chance.randrange(1, len(word) - 1)
    row = next((r for r in QWERTY if word[at] in r), "")
    beside = row[max(row.find(word[at]) - 1, 0) : row.find(word[at]) + 2].replace(word[at], "")
    slips = [
        word[:at] + word[at + 1] + word[at] + word[at + 2 :],  # swapped
        word[:at] + word[at] + word[at:],  # doubled
        word[:at] + word[at + 1 :],  # left out
    ]
    if beside:
        slips.append(word[:at] + chance.choice(beside) + word[at + 1 :])  # the key beside
    return chance.choice(slips)


def test_single_slips_in_the_names_of_great_providers_are_told() -> None:
    chance = random.Random(20261125)
    missed, tried = [], 0
    for domain in ("gmail.com", "yahoo.com", "hotmail.com", "outlook.com", "icloud.com",
                   "comcast.net", "sbcglobal.net", "bellsouth.net", "earthlink.net", "verizon.net",
                   "optonline.net", "protonmail.com", "googlemail.com"):  # fmt: skip
        for _ in range(40):
            name, _, ending = domain.partition(".")
            typed = f"{fingers(name, chance)}.{ending}"
            if typed == domain or typed in providers():
                continue
            tried += 1
            if suggestion(typed) != domain:
                missed.append((typed, suggestion(typed)))
    assert tried > 400
    assert len(missed) <= 0.02 * tried, missed


def test_endings_mistyped_are_told_whatever_the_name() -> None:
    pairs = {"con": "com", "cmo": "com", "vom": "com", "ogr": "org", "orh": "org", "nrt": "net"}
    for typed, meant in pairs.items():
        for name in ("parish", "gmail" if meant == "com" else "greenfields"):
            assert suggestion(f"{name}.{typed}") == f"{name}.{meant}"
    for honest in ("parish.tld", "parish.farm", "parish.coop", "parish.co", "parish.store"):
        assert suggestion(honest) == ""


def test_no_known_provider_is_a_slip_of_another() -> None:
    assert [domain for domain in providers() if suggestion(domain)] == []


def test_mailbox_domains_point_to_known_providers() -> None:
    for provider in providers().values():
        assert providers()[provider.mailbox].mailbox == provider.mailbox
        assert not provider.kin or provider.kin in providers()
    assert all(target.reach >= 2 for target in targets().values())


# Real domains within two letters of a great provider: newspapers, firms and words, from memory.
NEAR_BUT_HONEST = (
    "al.com", "aon.com", "aa.com", "cox.edu", "fox.com", "box.com", "sox.com", "mit.edu",
    "msu.edu", "nps.gov", "msk.com", "man.com", "me.edu", "mn.us", "mc.com", "ge.com", "ace.com",
    "max.com", "olive.com", "give.com", "lime.com", "life.com", "love.com", "five.com",
    "alive.org", "hive.org", "june.com", "june.org", "zoo.org", "zoom.us", "yale.edu", "yoho.org",
    "yoyo.com", "gail.org", "maize.com", "maine.edu", "mail.org", "email.org", "e.com", "a.com",
    "iana.org", "outlier.org", "outlooks.org", "lookout.com", "loud.org", "cloud.org",
    "proto.org", "protein.com", "horizon.org", "horizon.com", "chart.com", "charters.org",
    "chartered.org", "contrast.org", "comcare.org", "earthling.org", "earthlinks.org",
    "optimal.org", "optima.net", "frontiers.org", "juno.org", "roadrunners.org", "mailbox.com",
    "hotel.com", "hotmeal.org", "postmail.com", "farmmail.org", "gmailer.org", "co-op.org",
    "parish.org", "example.com", "example.org", "harvest.farm",
)  # fmt: skip


def test_honest_domains_near_great_ones_are_left_in_peace() -> None:
    suspected = {domain: meant for domain in NEAR_BUT_HONEST if (meant := suggestion(domain))}
    assert suspected == {}


# ---------------------------------------------------------------- words and secrets


def test_notes_say_what_is_wrong_with_this_value_and_what_to_do() -> None:
    def note(said: str) -> str:
        (finding,) = email.clean(said).findings
        return finding.note

    assert note("pat@gmial.com") == (
        "gmial.com looks like a typo of gmail.com. Ask if they mean pat@gmail.com."
    )
    assert note("none") == (
        "No email address. Ask for one by phone. No email? Answer enroll, and a letter will be made."
    )
    assert note("pat2gmail.com") == (
        "The @ is missing. Ask if they mean pat@gmail.com or pat2@gmail.com."
    )
    assert note("pat@example.org, robin@example.net") == (
        "pat@example.org is used and robin@example.net kept. Ask which one to write to."
    )
    assert note("pat@localhost") == (
        "“pat@localhost” can't be an email address. The part after the @-sign is not valid. It"
        " should have a period. Ask for it by phone."
    )


def test_reserved_domains_for_demos_are_taken_without_a_word() -> None:
    """RFC 6761, 6.5: programs should not treat the example domains as special."""
    for domain in ("example.org", "example.com", "example.net", "shop.example"):
        assert not email.clean(f"pat@{domain}").findings


def test_test_domains_are_no_more_than_doubtful() -> None:
    for said in ("pat@example.test", "pat@example.invalid", "pat@host.internal"):
        cleaned = email.clean(said)
        assert cleaned.value is not None
        assert [(f.code, f.weight) for f in cleaned.findings] == [
            ("email.special_use", Weight.DOUBTFUL)
        ]


@pytest.mark.parametrize(
    ("said", "address"),
    [
        ('<a href="mailto:pat@example.org">pat@example.org</a>', "pat@example.org"),
        ('=HYPERLINK("mailto:pat@example.org","pat@example.org")', "pat@example.org"),
        ('my email is "pat@example.org" thanks', "pat@example.org"),
        ("Pat Lee pat.lee@example.org", "pat.lee@example.org"),
        ("Email: pat@example.org (home)", "pat@example.org"),
        ("mailto:pat@example.org?subject=Hello", "pat@example.org"),
        ("pat @ gmail . com", "pat@gmail.com"),
        ("pat arroba example punto org", "pat@example.org"),
        ("pat underscore lee at example dot org", "pat_lee@example.org"),
        ("patlee at yahoo", "patlee@yahoo.com"),
        ("pat@gmail.com@gmail.com", "pat@gmail.com"),
        ("“pat@example.org”", "pat@example.org"),
        ("'pat@example.org", "pat@example.org"),
        ("=pat@example.org", "pat@example.org"),
        ("pat@example.org.", "pat@example.org"),
        ("pat@example.org; pat@example.org", "pat@example.org"),
    ],
)
def test_addresses_are_found_in_what_stands_around_them(said: str, address: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is not None
    assert (cleaned.value.address, cleaned.value.others) == (address, ())
    assert cleaned.findings


@pytest.mark.parametrize(
    "said",
    ["robin pat.lee@example.org", "pat . lee@example.org", "pat2gmail.com", "pat@", "@example.org",
     "www.gmail.com", "http://example.org", "pat@exam\nple.org", '"pat"lee@example.org'],
)  # fmt: skip
def test_nothing_is_guessed_where_a_wrong_guess_writes_to_a_stranger(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is None
    assert cleaned.blocked
