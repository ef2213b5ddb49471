"""Emails: the laws every rule keeps, the slips that fingers make, and the words of findings."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from random import Random
from string import ascii_lowercase

import pytest
from email_validator import validate_email
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import email
from onboard.clean.email import Relation
from onboard.clean.email.providers import honest as honest_names
from onboard.clean.email.providers import providers
from onboard.clean.email.slips import suggestion, targets
from onboard.model import Kind, Weight
from onboard.tables import rows

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


def test_a_name_and_an_ending_mistyped_together_are_told() -> None:
    for typed in ("yaho.co", "gmial.co", "hotmial.co", "gmail.co.com", "gmail.com.com"):
        name = suggestion(typed).partition(".")[0]
        assert name in ("yahoo", "gmail", "hotmail"), typed
    for honest in ("mail.co", "cloud.co", "parish.co", "hotel.co", "outline.co"):
        assert suggestion(honest) == ""


def test_endings_mistyped_are_told_whatever_the_name() -> None:
    pairs = {"con": "com", "cmo": "com", "vom": "com", "ogr": "org", "orh": "org", "nrt": "net"}
    for typed, meant in pairs.items():
        for name in ("parish", "gmail" if meant == "com" else "greenfields"):
            assert suggestion(f"{name}.{typed}") == f"{name}.{meant}"
    for honest in ("parish.tld", "parish.farm", "parish.coop", "parish.co", "parish.store"):
        assert suggestion(honest) == ""


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("yahoo.com.mxx", "yahoo.com.mx"), ("hotmail.om.mx", "hotmail.com.mx"), ("prodigi.net.mx", "prodigy.net.mx"),
     ("gmail.com.mx", "gmail.com"), ("hitmail.com", "hotmail.com"), ("qmail.com", "gmail.com"), ("ymial.com", "ymail.com"),
     ("outlok.es", "outlook.es")],
)  # fmt: skip
def test_slips_of_what_members_from_mexico_use_and_of_the_key_beside_are_told(
    typed: str, meant: str
) -> None:
    assert suggestion(typed) == meant


@pytest.mark.parametrize("domain", ["taos.nm", "seedfarm.bzz", "empresa.com.mxx"])
def test_an_ending_that_no_domain_has_is_asked_about(domain: str) -> None:
    (finding,) = email.clean(f"pat@{domain}").findings
    assert (finding.code, finding.weight) == ("email.no_ending", Weight.DOUBTFUL)
    ending = domain[domain.rindex(".") :]
    assert finding.note == (
        f"No domain ends in {ending}. Email never arrives there. Ask for the email address again."
    )


@pytest.mark.parametrize(
    "domain",
    ["valley.coop", "example.example", "taos.nm.us", "udg.mx", "xn--mgbaam7a8h.xn--mgbaam7a8h"],
)
def test_an_ending_that_there_is_is_not(domain: str) -> None:
    assert email.clean(f"pat@{domain}").findings == ()


@pytest.mark.parametrize(
    "said", ["pat@example.org*", "*pat@example.org", "pat@example.org✓", "• pat@example.org", "(pat@example.org) *"]
)  # fmt: skip
def test_a_mark_at_either_end_is_no_part_of_an_address(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value
    assert cleaned.value.address == "pat@example.org"
    assert {f.code for f in cleaned.findings} == {"email.wrapping"}


def test_a_name_typed_letter_by_letter_is_put_together_and_asked_about() -> None:
    cleaned = email.clean("P A T @ example.org")
    assert cleaned.value
    assert cleaned.value.address == "PAT@example.org"
    assert {f.code for f in cleaned.findings} == {"email.spelling"}


def test_a_mail_servers_own_name_makes_no_address_look_made_up() -> None:
    assert email.clean("first-last@mail.example.org").findings == ()
    (finding,) = email.clean("first-last@first-last.org").findings
    assert finding.code == "email.filler"


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


# ---------------------------------------------------------------- stray signs

STRAYS = (
    # a sign in the domain: the whole is read across it, with a question
    ("pat@comcast.ne,t", "pat@comcast.net"),
    ("pat@gm,ail.com", "pat@gmail.com"),
    ("robin.lee@ver/izon.net", "robin.lee@verizon.net"),
    ('kim@bell"south.net', "kim@bellsouth.net"),
    ("ana@ho'tmail.com", "ana@hotmail.com"),
    ("ana@out;look.com", "ana@outlook.com"),
    ("pat@me , com", "pat@me.com"),
    ("pat@yahoo.co, m", "pat@yahoo.com"),
    ("pat@.gmail.com", "pat@gmail.com"),
    ("pat@,aol.com", "pat@aol.com"),
    ("pat@icloud,.com", "pat@icloud.com"),
    ("pat@cox#.net", "pat@cox.net"),
    ("pat@gm ail.com", "pat@gmail.com"),
    ("Pat Lee <pat@at|t.net>", "pat@att.net"),
    ("my email is pat@com,cast.net", "pat@comcast.net"),
    ("pat@gm;il.com", "pat@gmail.com"),  # it stands for a letter
    ("pat@yahoo.co,uk", "pat@yahoo.co.uk"),
    ("pat@st.marys,org", "pat@st.marys.org"),
    ("pat%40example.org", "pat@example.org"),
)


@pytest.mark.parametrize(("said", "meant"), STRAYS)
def test_a_stray_sign_in_the_domain_is_read_across_and_asked_about(said: str, meant: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is not None
    assert cleaned.value.address == meant
    assert "email.spelling" in {f.code for f in cleaned.findings}


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("pat,lee@gmail.com", ("pat.lee@gmail.com", "patlee@gmail.com")),
        ("robin;kim@parish.org", ("robin.kim@parish.org", "robinkim@parish.org")),
        ("mj>ones@aol.com", ("mjones@aol.com",)),
        ("coo(p@hotmail.com", ("coop@hotmail.com",)),
        ("pat@par,ish.org", ("pat@parish.org", "pat@par.ish.org")),
        ("pat@corner.co,m", ("pat@corner.com",)),
        ("pat@greenfields.ne,t", ("pat@greenfields.net",)),
        ("pat@aol.com,mx", ("pat@aol.com.mx", "pat@aol.com")),
        ("pat lee @gmail.com", ("pat.lee@gmail.com", "patlee@gmail.com")),
        ("pat lee at yahoo dot com", ("pat.lee@yahoo.com", "patlee@yahoo.com")),
    ],
)
def test_where_a_stray_sign_leaves_two_readings_neither_is_taken(
    said: str, asked: tuple[str, ...]
) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is None
    (finding,) = cleaned.findings
    assert finding.code == "email.unclear"
    assert all(address in finding.note for address in asked)


@pytest.mark.parametrize(
    ("said", "address"),
    [
        ("pat@gmail.com,Lima OH", "pat@gmail.com"),
        ("pat@example.org/work", "pat@example.org"),
        ("pat@gmail.com;555-0143", "pat@gmail.com"),
        ("Lee,Pat,pat.lee@example.org", "pat.lee@example.org"),
        ("(419) 555-0143,pat@example.org", "pat@example.org"),
        ("Email:pat@example.org", "pat@example.org"),
        ("1)pat@example.org", "pat@example.org"),
        ("Robin(pat@example.org)", "pat@example.org"),
        ("pat@gm,ail.com; lee@yahoo.com", "lee@yahoo.com"),
    ],
)
def test_a_whole_address_beside_other_words_is_taken(said: str, address: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is not None
    assert (cleaned.value.address, cleaned.value.others) == (address, ())


@pytest.mark.parametrize(
    "said", ["pat@gm", "pat@io", "pat@co Lee", "pat@st.mary s.org", "p@ne, t", "kim@corner.st ore"]
)
def test_nobody_is_written_to_directly_under_a_country(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is None
    assert cleaned.blocked


def mutated(address: str, chance: random.Random) -> str:
    """The address with one key struck too many, in place of another, or not at all."""
    keys = ",;:'\"/\\ |<>()[]{}!?*&%$#=+~`^-_." + "abcdefghijklmnopqrstuvwxyz0123456789"
    at, key = chance.randrange(len(address)), chance.choice(keys)
    return chance.choice(
        (
            address[:at] + key + address[at:],
            address[:at] + key + address[at + 1 :],
            address[:at] + address[at + 1 :],
            address[:at] + address[at + 1 : at + 2] + address[at] + address[at + 2 :],
        )
    )


MUTATED = st.builds(
    lambda address, seed: mutated(address, random.Random(seed)),
    st.sampled_from(
        ["pat.lee7@gmail.com", "robin_kim@comcast.net", "ana@hotmail.com", "mj.ones@att.net",
         "lee-ann@st.marys.org", "office@corner.store", "kim+coop@yahoo.co.uk"]
    ),
    st.integers(),
)  # fmt: skip


@settings(max_examples=3000, deadline=None)
@given(st.one_of(MUTATED, CELLS))
def test_what_is_taken_email_validator_accepts(said: str) -> None:
    """But what is reserved (RFC 6761) or quoted without need: both are told, and asked about."""
    cleaned = email.clean(said)
    told = {f.code for f in cleaned.findings}
    if cleaned.value is None or told & {"email.special_use", "email.unusual"}:
        return
    for address in (cleaned.value.address, *cleaned.value.others):
        if not address.endswith((".test", ".invalid")):
            validate_email(address, check_deliverability=False, strict=True)


def test_letters_struck_at_random_in_a_great_provider_are_told() -> None:
    """Nine in ten of each whose name is not as short, or as plain a word, as many honest ones."""
    chance = random.Random(20261129)
    for domain in ("gmail.com", "yahoo.com", "hotmail.com", "outlook.com", "icloud.com",
                   "comcast.net", "verizon.net", "sbcglobal.net", "bellsouth.net",
                   "earthlink.net"):  # fmt: skip
        name, _, ending = domain.partition(".")
        tried = {
            f"{typed}.{ending}"
            for _ in range(300)
            if (typed := mutated(name, chance)).isalpha() and f"{typed}.{ending}" not in providers()
        }
        missed = {typed for typed in tried if suggestion(typed) != domain}
        assert len(missed) <= 0.1 * len(tried), missed


def test_names_that_are_near_a_great_one_and_honest_are_listed_once() -> None:
    listed = [name for name, _ in rows("mail_honest")]
    assert listed == sorted(set(listed))
    names = {provider.name for provider in targets().values()}
    assert {near for _, near in rows("mail_honest")} <= names
    for name, _ in rows("mail_honest"):
        assert [suggestion(f"{name}.{ending}") for ending in ("com", "net", "org")] == [""] * 3


@pytest.mark.parametrize(
    "said",
    ["none@none.com", "na@na.com", "asdf@asdf.com", "no@email.com", "sincorreo@example.org"],
)
def test_an_address_made_up_to_fill_the_field_is_not_written_to(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is None
    assert [f.code for f in cleaned.findings] == ["email.placeholder"]


@pytest.mark.parametrize(
    "said",
    ["x@x.com", "test@test.com", "bb@bb.com", "123@123.com", "user@test.org", "test@gmail.com",
     "na@yahoo.com", "Somebody@aol.com"],
)  # fmt: skip
def test_a_word_that_fills_the_field_may_be_a_strangers_mailbox(said: str) -> None:
    assert [(f.code, f.weight) for f in email.clean(said).findings] == [
        ("email.filler", Weight.DOUBTFUL)
    ]


@pytest.mark.parametrize("said", ["nancy@gmail.com", "testa.lee@aol.com", "pat@mail.com"])
def test_names_that_only_begin_like_filler_are_taken(said: str) -> None:
    assert not email.clean(said).findings


@pytest.mark.parametrize(
    "said",
    ["pat@gmail.con, pat@gmail.com", "kim@parish.org / pat@yaho.com", "a@gm,ail.com b@me.com"],
)
def test_of_two_addresses_the_one_without_a_doubt_is_used(said: str) -> None:
    cleaned = email.clean(said)
    assert cleaned.value is not None
    assert suggestion(cleaned.value.address.partition("@")[2]) == ""
    assert "email.slip" not in {f.code for f in cleaned.findings}
    assert {f.code for f in cleaned.findings} & {"email.several", "email.words"}


def _slips(domain: str, draw: Random) -> Iterator[str]:
    """One letter dropped, doubled, swapped or replaced, or an ending as fingers write it."""
    name, _, ending = domain.partition(".")
    for _ in range(60):
        at = draw.randrange(len(name))
        yield f"{name[:at]}{name[at + 1 :]}.{ending}"
        yield f"{name[:at]}{name[at]}{name[at:]}.{ending}"
        yield f"{name[:at]}{name[at + 1 : at + 2]}{name[at]}{name[at + 2 :]}.{ending}"
        yield f"{name[:at]}{draw.choice(ascii_lowercase)}{name[at + 1 :]}.{ending}"
        if ending == "com":
            yield f"{name}.{draw.choice(('con', 'cmo', 'ocm', 'cm', 'vom', 'comm'))}"


@pytest.mark.parametrize("domain", ["aol.com", "att.net", "cox.net", "charter.net"])
def test_a_slip_of_a_short_great_name_is_asked_about_unless_it_is_somebodys(domain: str) -> None:
    slips = [s for s in _slips(domain, Random(11)) if s != domain and s not in providers()]
    told = [slip for slip in slips if suggestion(slip) == domain]
    somebodys = {slip for slip in slips if slip.partition(".")[0] in honest_names()}
    assert set(slips) - set(told) <= somebodys
    assert len(told) >= 0.85 * len(slips), "most are nobody's"


@pytest.mark.parametrize(
    "domain", ["bol.com", "uol.com", "adl.com", "box.net", "csx.net", "ntt.net", "gtt.net", "fox.com", "ibm.com", "ge.com", "apl.com"]
)  # fmt: skip
def test_the_domain_of_somebody_else_is_no_slip_of_a_short_name(domain: str) -> None:
    assert suggestion(domain) == ""
