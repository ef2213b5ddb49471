"""First passwords: chance, form, hashing, and the points of NIST SP 800-63B-4 that concern them."""

from __future__ import annotations

import csv
import pickle
import re
from collections import Counter
from datetime import date
from functools import cache
from importlib.resources import files
from math import log2
from pathlib import Path
from threading import Thread
from time import sleep

import pytest
from argon2 import PasswordHasher, Type, extract_parameters
from hypothesis import given, settings
from hypothesis import strategies as st
from tables import password_words

from onboard import passwords
from onboard.model import FirstPassword
from onboard.settings import PasswordRule

TODAY = date(2026, 11, 25)
RULE = PasswordRule()


@cache
def rows() -> list[dict[str, str]]:
    """tests/facts/passwords.csv; each row names its source."""
    with (Path(__file__).parent / "facts" / "passwords.csv").open(encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def fact(item: str) -> str:
    (value,) = (row["value"] for row in rows() if row["item"] == item)
    return value


@cache
def drawn() -> list[str]:
    return [passwords.make(RULE, TODAY).phrase for _ in range(2_000)]


@cache
def stored() -> str:
    return passwords.hash_all([FirstPassword("plank-river-tulip-wagon-zebra", TODAY)])[0]


# ---------------------------------------------------------------- phrases


def test_the_shortest_possible_phrase_is_as_long_as_nist_asks() -> None:
    least = int(fact("minimum length, single factor").split()[0])
    shortest = min(map(len, passwords.words()))
    assert RULE.words * shortest + RULE.words - 1 >= least
    assert min(map(len, drawn())) >= least


def test_phrases_hold_fifty_bits_counted_of_the_words_that_are_drawn() -> None:
    for language in LANGUAGES:
        assert passwords.bits(RULE, language) == RULE.words * log2(len(passwords.words(language)))
        assert passwords.bits(RULE, language) >= 50
        assert passwords.bits(PasswordRule(words=4), language) < 50


def test_a_rule_of_too_little_chance_is_refused() -> None:
    with pytest.raises(ValueError, match="too easy to guess"):
        passwords.make(PasswordRule(words=4), TODAY)


LANGUAGES = ("en", "es")
MADE = {"en": password_words.english, "es": password_words.spanish}


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_words_are_those_that_the_script_makes(language: str) -> None:
    assert list(passwords.words(language)) == MADE[language]()
    assert passwords.words(f"{language}-US") == passwords.words(language)


def test_words_are_for_phoning_without_capitals_and_for_any_keyboard() -> None:
    assert fact("phrase for phoning") == "words from eff_short: 3-5 letters"
    assert fact("capitals").startswith("none")
    assert all(re.fullmatch("[a-z]{3,5}", word) for word in passwords.words())
    assert all(re.fullmatch("[a-z]{3,8}", word) for word in passwords.words("es"))


def test_words_left_out_and_added_are_of_the_lists() -> None:
    """A word left out of nothing is a slip."""
    short = set(
        (files("passlib") / "_data" / "wordsets" / "eff_short.txt").read_text("ascii").split()
    )
    named = set(" ".join(password_words.LEFT_OUT.values()).split())
    added = password_words.ADDED.split()
    assert named <= short
    assert set(added) <= set(password_words.bip39("english")) - short
    assert len(set(added)) == len(added)
    assert set(" ".join(password_words.LEFT_OUT_ES.values()).split()) <= set(
        password_words.bip39("spanish")
    )


UNWANTED = frozenset((
    "slimy", "crook", "bribe", "scam", "theft", "arson", "debt", "poker", "army", "tank",
    "raid", "riot", "bomb", "blood", "liver", "thigh", "gut", "cough", "fever", "virus",
    "ashes", "mummy", "grave", "womb", "thong", "rut", "drank", "keg", "angel", "saint", "pork",
    "lazy", "crazy", "fool", "moody", "petty", "sham", "snub", "taunt", "stash", "dose", "body",
    "lung", "bash", "slash", "nag", "tart", "alien", "muerte", "matar", "guerra", "arma",
    "bomba", "sangre", "fiebre", "tos", "tumba", "diablo", "santo", "iglesia", "sexo", "beso",
    "desnudo", "vino", "ron", "licor", "borracho", "gordo", "tonto", "feo", "loco", "droga",
    "crimen", "preso", "deuda", "cerdo", "bicho", "coger", "concha", "culo", "puta", "gusano",
    "mojar", "detener", "ilegal",
))  # fmt: skip


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_reader_gets_no_word_that_nobody_wants_in_a_letter(language: str) -> None:
    assert sorted(UNWANTED & set(passwords.words(language))) == []


def test_no_two_spanish_words_are_taken_for_each_other() -> None:
    """A slip that makes another word cannot be seen; c, s and z, b and v, ll and y sound alike."""

    def sound(word: str) -> str:
        for said, like in (("qu", "k"), ("ch", "x"), ("ll", "y"), ("ce", "se"), ("ci", "si"), ("z", "s"),
                           ("c", "k"), ("v", "b"), ("h", ""), ("ge", "je"), ("gi", "ji")):  # fmt: skip
            word = word.replace(said, like)
        return word

    words = passwords.words("es")
    assert len({sound(word) for word in words}) == len(words)
    edits = {word: {word[:i] + word[i + 1 :] for i in range(len(word))} for word in words}
    near = [
        (one, other)
        for one in words
        for other in words
        if one < other and (one in edits[other] or other in edits[one] or edits[one] & edits[other])
        and abs(len(one) - len(other)) < 2 and password_words._is_a_slip_apart(one, other)
    ]  # fmt: skip
    assert near == []


def test_a_password_is_in_the_reader_s_words() -> None:
    spanish = {
        w for _ in range(50) for w in passwords.make(RULE, TODAY, language="es").phrase.split("-")
    }
    assert spanish <= set(passwords.words("es"))
    assert len(spanish - set(passwords.words())) > 100
    french = passwords.make(RULE, TODAY, language="fr").phrase.split("-")
    assert set(french) <= set(passwords.words())


@pytest.mark.parametrize(
    ("through", "expires"),
    [
        (None, date(2026, 12, 9)),
        (date(2026, 12, 1), date(2026, 12, 9)),
        (date(2026, 12, 28), date(2026, 12, 28)),
        (date(2027, 1, 9), date(2027, 1, 9)),
        (date(2027, 2, 9), date(2027, 1, 9)),
    ],
)
def test_a_password_lasts_through_the_day_that_is_waited_for_as_far_as_the_rule_allows(
    through: date | None, expires: date
) -> None:
    rule = PasswordRule(valid_days=14, longest_days=45)
    assert passwords.make(rule, TODAY, through=through).expires == expires


def test_there_are_no_rules_of_composition_no_two_phrases_need_mixtures() -> None:
    assert fact("composition rules (mixtures of kinds)") == "none"
    assert all(re.fullmatch("[a-z]{3,5}(-[a-z]{3,5}){4}", phrase) for phrase in drawn())


def test_nothing_is_drawn_twice_and_every_place_is_drawn_evenly() -> None:
    assert fact("assigned passwords") == "random, by the provider"
    assert len(set(drawn())) == len(drawn())
    counts = Counter(word for phrase in drawn() for word in phrase.split("-"))
    count = len(passwords.words())
    mean = 5 * len(drawn()) / count
    # Pearson's chi-squared against even chances: its deviation is sqrt(2 * (count - 1)); eight
    # deviations are never met by chance, but any word drawn far too often shows.
    chi = sum((counts[word] - mean) ** 2 / mean for word in passwords.words())
    assert abs(chi - (count - 1)) < 8 * (2 * (count - 1)) ** 0.5


# "computed" rows: the bits of phrases from the lists that passlib ships.
@pytest.mark.parametrize(
    ("name", "count"),
    [
        ("eff_long", 6), ("eff_short", 3), ("eff_short", 5), ("eff_short", 6),
        ("eff_prefixed", 3), ("eff_prefixed", 5), ("eff_prefixed", 6),
        ("bip39", 3), ("bip39", 5), ("bip39", 6),
    ],
)  # fmt: skip
def test_bits_of_the_whole_lists_are_those_of_the_table(name: str, count: int) -> None:
    text = (files("passlib") / "_data" / "wordsets" / f"{name}.txt").read_text("ascii")
    assert f"{count * log2(len(text.split())):.1f} bits" == fact(f"{name} {count} words")


def test_the_last_day_is_so_many_days_from_today() -> None:
    assert passwords.make(PasswordRule(valid_days=14), TODAY).expires == date(2026, 12, 9)


def test_the_default_lifetime_stays_within_the_longest_that_nist_gives_on_paper() -> None:
    most = int(fact("recovery code by post, contiguous US").split()[0])
    assert RULE.valid_days <= most


def test_a_phrase_never_shows_but_where_it_is_asked_for() -> None:
    first = FirstPassword("plank-river-tulip-wagon-zebra", TODAY)
    for shown in (repr(first), str(first), f"{first}", f"{[first]}", f"{first!r}"):
        assert "plank" not in shown
    with pytest.raises(AttributeError) as caught:
        passwords.hash_all([first, None])  # type: ignore[list-item]
    assert "plank" not in str(caught.value)
    assert pickle.loads(pickle.dumps(first)) == first  # so it may go to a worker process


# ---------------------------------------------------------------- hashes


def test_hashes_are_as_strong_as_owasp_asks() -> None:
    asked = "m=19456 KiB t=2 p=1"
    assert asked in [row["value"] for row in rows() if row["item"] == "argon2id OWASP option"]
    memory, passes, lanes = map(int, re.findall(r"=(\d+)", asked))
    found = extract_parameters(stored())
    assert found.type is Type.ID
    assert (found.memory_cost, found.time_cost, found.parallelism) == (memory, passes, lanes)
    assert found.salt_len >= 16  # RFC 9106, section 3.1: 16 bytes are recommended for passwords
    assert found.hash_len >= 16  # RFC 9106, section 4: 128 bits suffice; 256 are recommended


def test_hashes_are_read_by_the_reference_library_as_well() -> None:
    assert PasswordHasher().verify(stored(), "plank-river-tulip-wagon-zebra")
    theirs = PasswordHasher(memory_cost=19_456, time_cost=2, parallelism=1).hash("plank-river")
    assert passwords.verify("plank-river", theirs)


def test_hash_all_keeps_the_order_and_salts_each_anew() -> None:
    firsts = [FirstPassword(f"plank-{word}", TODAY) for word in ("oak", "elm", "oak")]
    hashes = passwords.hash_all(firsts)
    assert [passwords.verify(f.phrase, h) for f, h in zip(firsts, hashes, strict=True)] == [
        True
    ] * 3
    assert not passwords.verify("plank-oak", hashes[1])
    assert len(set(hashes)) == 3
    assert passwords.hash_all([]) == []


@pytest.mark.parametrize(
    ("typed", "right"),
    [
        ("plank-river-tulip-wagon-zebra", True),
        ("  plank-river-tulip-wagon-zebra\n", True),
        ("ｐlank-river-tulip-wagon-zebra", True),  # full width, as some keyboards write
        ("Plank-river-tulip-wagon-zebra", False),
        ("plank river tulip wagon zebra", False),
        ("plank-river-tulip-wagon-zebr", False),
        ("plank-river-tulip-wagon-zebra-and-more", False),
        ("", False),
        ("plank\x00", False),
        ("\ud800", False),
        ("x" * 100_000, False),
    ],
)
def test_what_is_typed_is_right_or_wrong_and_never_trouble(typed: str, right: bool) -> None:
    assert passwords.verify(typed, stored()) is right


# NIST SP 800-63B-4 section 3.1.1.2 (2)-(5), (9): long ones, spaces, ASCII and Unicode are taken, whole.
@pytest.mark.parametrize("item", ["Unicode accepted", "printing ASCII and space accepted"])
def test_phrases_of_all_kinds_are_taken_whole(item: str) -> None:
    assert fact(item) == "yes"
    assert fact("verify whole password, no truncation") == "yes"
    ascii_all = "".join(map(chr, range(33, 127))) + " and spaces"
    for phrase in ("pässwörter sind länger", "mi gato duerme mucho", ascii_all, "long" * 64):
        (hashed,) = passwords.hash_all([FirstPassword(phrase, TODAY)])
        assert passwords.verify(phrase, hashed)
        assert not passwords.verify(phrase[:-1], hashed), "the last character counts"


@pytest.mark.parametrize(
    ("memory", "passes", "kind", "stale"),
    [
        (19_456, 2, Type.ID, False),
        (9_216, 4, Type.ID, False),  # OWASP's other option
        (65_536, 3, Type.ID, False),  # RFC 9106's second choice: stronger than ours
        (19_456, 1, Type.ID, True),
        (8_192, 2, Type.ID, True),
        (19_456, 2, Type.I, True),
        (19_456, 2, Type.D, True),
    ],
)
def test_a_hash_is_stale_when_it_is_weaker_than_the_rule(
    memory: int, passes: int, kind: Type, stale: bool
) -> None:
    made = PasswordHasher(time_cost=passes, memory_cost=memory, parallelism=1, type=kind)
    assert passwords.stale(made.hash("plank-river")) is stale


@pytest.mark.parametrize(
    "stored", ["", "plank", "$2b$12$" + "a" * 53, "$argon2id$", "$argon2id$v=19$m=1$x", "\ud800"]
)
def test_what_is_no_sound_hash_is_stale_and_lets_nobody_in(stored: str) -> None:
    assert passwords.stale(stored)
    assert not passwords.verify("plank-river", stored)
    assert not passwords.verify("", stored)


@given(st.text(max_size=40))
@settings(max_examples=15, deadline=None)
def test_no_text_makes_verify_raise(typed: str) -> None:
    assert passwords.verify(typed, stored()) is False


def test_hashing_lets_other_threads_run() -> None:
    """While the lock is held through a hash nobody else gets a turn; then the longest wait of
    this loop is a whole hash, and its rounds a handful."""
    firsts = [passwords.make(RULE, TODAY) for _ in range(3)]
    hashing = Thread(target=passwords.hash_all, args=(firsts,))
    rounds = 0
    hashing.start()
    while hashing.is_alive():
        rounds += 1
        sleep(0)  # gives up the lock each time
    assert rounds > 50
