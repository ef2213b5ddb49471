"""Phones: the laws every rule keeps, the short cut held against phonenumbers, words of findings."""

from __future__ import annotations

import random
import time
from random import Random

import phonenumbers
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from phonenumbers import PhoneNumberFormat

from onboard.clean import phone
from onboard.clean.phone import nanp
from onboard.model import Kind, Weight

REPAIRS = {"phone.words", "phone.remark", "phone.letters", "phone.prefix", "phone.order", "phone.spreadsheet",
           "phone.lookalike", "phone.country_code"}  # fmt: skip

PIECES = st.sampled_from(
    ["419", "234", "5678", "555", "0143", "+", "1", "44", "20", "7946", "0018", " ", "-", "(",
     ")", ".", "x", "ext", "12", "cell", "h:", "Pat", ",", ";", "\n", "/", "#", "*", "O", "tel:",
     ";ext=", "800", "CALL",
     "+52 1 55 1234 5678", "+49171", "1234567", "E+09", ".0", "\ud800", "\x00", "３",
     "00", "0", "011", "@", "none", "911", "*" * 3, "2345678901"]
)  # fmt: skip
CELLS = st.one_of(st.text(max_size=40), st.lists(PIECES, max_size=10).map("".join))
REGIONS = st.sampled_from(["US", "CA", "PR", "MX", "GB", "DE", "IT", "AR", "us", "ZZ", "", "001"])


@settings(max_examples=1500, deadline=None)
@given(CELLS, REGIONS)
def test_no_text_raises_and_cleaning_twice_changes_and_mends_nothing(
    said: str, region: str
) -> None:
    cleaned = phone.clean(said, region=region)
    assert cleaned.said == said
    assert not cleaned.blocked
    assert cleaned.findings or cleaned.value is not None
    if cleaned.value is None:
        return
    assert cleaned.value.e164[0] == "+"
    assert 5 <= len(cleaned.value.e164) <= 16  # ITU-T E.164, 6.2.1
    assert phone.read_aloud(cleaned.value)
    again = phone.clean(phone.show(cleaned.value), region=region)
    assert again.value == cleaned.value
    assert {f.code for f in again.findings} & REPAIRS == set()


NUMBERS = st.sampled_from(["312-234-5678", "(773) 234-9999", "+44 20 7946 0018", "212.234.8888"])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(NUMBERS, min_size=2, max_size=4),
    st.sampled_from([", ", " / ", "; ", "\n"]),
    st.randoms(),
)
def test_the_order_of_numbers_in_a_cell_loses_none(
    said: list[str], between: str, random: Random
) -> None:
    def all_of(numbers: list[str]) -> set[str]:
        value = phone.clean(between.join(numbers)).value
        assert value is not None
        return {value.e164, *value.others}

    mixed = random.sample(said, len(said))
    assert all_of(mixed) == all_of(said)
    assert len(all_of(said)) == len(set(said))


@settings(max_examples=300, deadline=None)
@given(st.from_regex(r"\A[2-9][0-9]{9}\Z"), st.sampled_from(["", "12", "0012"]))
def test_what_is_read_aloud_is_understood_again(national: str, extension: str) -> None:
    said = national + (f"x{extension}" if extension else "")
    value = phone.clean(said).value
    if value is not None:
        assert phone.clean(phone.read_aloud(value)).value == value


@pytest.mark.parametrize(
    "junk",
    ["4" * 10_000_000, "419-234-5678 " * 800_000, "(" * 10_000_000, " " * 10_000_000,
     "+" * 10_000_000, "4 " * 5_000_000, "a1" * 5_000_000, "x" * 10_000_000, "*" * 10_000_000],
    ids=lambda junk: repr(junk[:8]),
)  # fmt: skip
def test_ten_megabytes_of_junk_take_less_than_a_second(junk: str) -> None:
    before = time.process_time()
    for region in ("US", "DE"):
        cleaned = phone.clean(junk, region=region)
        assert "phone.long" in {f.code for f in cleaned.findings}
        assert all(len(f.said) < 300 and len(f.note) < 900 for f in cleaned.findings)
    assert time.process_time() - before < 2


@pytest.mark.parametrize("kind", phone.KINDS, ids=lambda kind: kind.code)
def test_each_kind_is_found_in_its_wrong_example_and_not_in_its_right(kind: Kind) -> None:
    assert kind.weight is not Weight.BLOCKING
    assert kind.code in {f.code for f in phone.clean(kind.wrong).findings}
    assert not phone.clean(kind.right).findings


def reference(said: str) -> str:
    """The number as phonenumbers reads it in the United States, or "" if it is none."""
    try:
        parsed = phonenumbers.parse(said, "US")
    except phonenumbers.NumberParseException:
        return ""
    valid = phonenumbers.is_valid_number(parsed)
    return phonenumbers.format_number(parsed, PhoneNumberFormat.E164) if valid else ""


def test_the_short_cut_agrees_with_phonenumbers_on_ten_thousand_random_numbers() -> None:
    chance = random.Random(20261125)
    forms = (
        "{}{}{}",
        "{}-{}-{}",
        "({}) {}-{}",
        "{}.{}.{}",
        "1-{}-{}-{}",
        "+1{}{}{}",
        "1 ({}) {}-{}",
    )
    taken = 0
    for _ in range(10_000):
        digits = f"{chance.randrange(10**10):010}"
        if chance.random() < 0.7:  # as nearly all of those are no numbers at all
            digits = (
                chance.choice("23456789") + digits[1:3] + chance.choice("23456789") + digits[4:]
            )
        said = chance.choice(forms).format(digits[:3], digits[3:6], digits[6:])
        national = nanp.plain(said)
        valid = reference(said)
        if national:
            taken += 1
            assert valid == "+1" + national
            assert not nanp.impossible(national)
        cleaned = phone.clean(said)
        codes = {f.code for f in cleaned.findings}
        if not valid:
            # services of the plan that the metadata leaves out, and new area codes, are kept
            assert cleaned.value is None or codes & {"phone.unassigned", "phone.special"}
        elif cleaned.value is None:
            # rules of the plan that the metadata leaves out
            assert codes <= {"phone.impossible", "phone.placeholder"}
        else:
            assert cleaned.value.e164 == valid
    assert taken > 2_000


def test_service_codes_are_those_the_metadata_knows_for_personal_numbers() -> None:
    """ "Personal numbers" (5XX) in the metadata of phonenumbers, against our list."""
    for area in range(500, 600):
        number = phonenumbers.parse(f"+1{area}2345678")
        if phonenumbers.number_type(number) == phonenumbers.PhoneNumberType.PERSONAL_NUMBER:
            codes = {f.code for f in phone.clean(f"{area}-234-5678").findings}
            assert codes == {"phone.special"}, area


def test_an_area_code_is_suggested_and_never_made_up() -> None:
    cleaned = phone.clean("234-5678", area_codes=("419", "567"))
    assert cleaned.value is None
    (finding,) = cleaned.findings
    assert finding.note == (
        "The area code is missing. Ask if it is (419) 234-5678 or (567) 234-5678."
    )
    assert phone.clean("234-5678").findings[0].note == "234-5678 has no area code. Ask for it."


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ("312-234-5678, 773-234-9999", "tel:+13122345678\ntel:+17732349999"),
        ("312-234-5678, 12", "tel:+13122345678;ext=12"),
        ("H:312.234.5678C:773.234.9999", "tel:+13122345678\ntel:+17732349999"),
        ("(312) 234-TAXI", "tel:+13122348294"),
        ("1-800-FLOWERS-NOW", "tel:+18003569377"),
        ("312-CALL-NOW", "tel:+13122255669"),
        ("312-234-5678 call", "tel:+13122345678"),
        ("3.122345678E+09", "tel:+13122345678"),
        ("011 44 20 7946 0018", "tel:+442079460018"),
        ("+44 20 7946 0018 ext 3, 312-234-5678", "tel:+442079460018;ext=3\ntel:+13122345678"),
        ("234-5678 (312)", "tel:+13122345678"),
        ("011 1 312 234 5678", "tel:+13122345678"),
        # ten digits of another country's number are no number of ours
        ("+63 917 223 4567", "tel:+639172234567"),
        ("+57 310 234 5678", "tel:+573102345678"),
        ("+234 803 234 5678", "tel:+2348032345678"),
        ("57 310 234 5678", "tel:+573102345678"),
        ("+63 917 223 4567 or 312-234-5678", "tel:+639172234567\ntel:+13122345678"),
        ("312-234-5678 / +57 310 234 5678", "tel:+13122345678\ntel:+573102345678"),
        ("٣١٢٢٣٤٥٦٧٨", "tel:+13122345678"),
    ],
)
def test_numbers_are_found_however_they_are_written(said: str, shown: str) -> None:
    value = phone.clean(said).value
    assert value is not None
    assert phone.show(value) == shown


@pytest.mark.parametrize(
    ("said", "codes"),
    [
        ("419-234-5678 cell", ["phone.words"]),
        ("do not call 419-234-5678", ["phone.remark"]),
        ("419-234-5678 (no texts)", ["phone.remark"]),
        ("3.12E+09", ["phone.rounded"]),
        ("312-234 cell", ["phone.too_short"]),
        ("234-5678 cell", ["phone.no_area_code"]),
        ("312-234-56xx", ["phone.masked"]),
        ("call Pat", ["phone.unreadable"]),
        ("pat@example.org", ["phone.wrong_field"]),
        ("222-234-5678", ["phone.unassigned"]),
        ("419-555-0143", ["phone.fictional"]),
        ("800-555-0143", ["phone.not_in_service"]),
        ("+99 917 223 4567", ["phone.impossible"]),  # no such country
        ("57 310 234 5678", ["phone.country_code"]),
    ],
)
def test_what_is_odd_is_told(said: str, codes: list[str]) -> None:
    assert [f.code for f in phone.clean(said).findings] == codes
