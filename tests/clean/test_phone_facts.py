"""Phones against tables from outside: tests/facts/phones.csv names the source of every row.

In short: ITU-T E.164 (11/2010), RFC 3966, the rules of the North American Numbering Plan
(ATIS-0300051, ATIS-0300115; 47 CFR 52), ITU-T E.161, the example numbers in the metadata of
phonenumbers, and ways of typing that are common practice.
"""

from __future__ import annotations

import csv
from pathlib import Path

import phonenumbers
import pytest
from phonenumbers import PhoneNumberFormat, PhoneNumberType

from onboard.clean import phone
from onboard.model import Cleaned, Phone, Weight

FACTS = Path(__file__).parent.parent / "facts" / "phones.csv"

# Rows that we hold wrong, with the reason.
HELD_WRONG: dict[str, str] = {}

with FACTS.open(newline="", encoding="utf-8") as file:
    ROWS = [row for row in csv.DictReader(file) if row["id"] not in HELD_WRONG]

# What the table expects, and the kind of finding that says so
SAYS = {
    "warn_fictional": "fictional",
    "warn_directory": "directory",
    "warn_premium": "premium",
    "warn_personal": "special",
    "warn_carrier": "special",
    "warn_government": "special",
    "warn_canada_nongeo": "special",
    "seven_digits": "no_area_code",
    "too_short": "too_short",
    "too_short_or_bad_area": "too_short",
    "too_long_or_extra": "too_long",
    "placeholder": "placeholder",
    "no_phone": "missing",
    "masked": "masked",
    "wrong_field": "wrong_field",
    "wrong_field_ssn": "wrong_field",
    "wrong_field_card": "wrong_field",
}


def codes(cleaned: Cleaned[Phone]) -> set[str]:
    return {finding.code.removeprefix("phone.") for finding in cleaned.findings}


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in ROWS])
def test_phones_are_read_as_the_table_says(row: dict[str, str]) -> None:
    cleaned = phone.clean(row["input"], region=row["region"])
    expect, found = row["expect"], codes(cleaned)
    assert all(f.weight is not Weight.BLOCKING for f in cleaned.findings)
    if code := SAYS.get(expect):
        assert code in found
        assert (cleaned.value is not None) == bool(row["expect_e164"])
    if expect in ("refuse", "refuse_or_suggest", "refuse_or_warn", "suggest"):
        assert {f.weight for f in cleaned.findings} == {Weight.DOUBTFUL}
        assert expect != "refuse" or cleaned.value is None
    if expect == "ok":
        mended = {"words", "letters", "prefix", "spreadsheet"}
        assert found <= mended | {"remark", "fictional", "premium", "special"}
    if expect == "ok_vanity":
        assert found == {"letters"}
    if expect in ("ok_toll_free", "ok_dominican_check"):
        assert not found
    first, _, second = row["expect_e164"].partition("|")
    if first:
        assert cleaned.value is not None
        assert cleaned.value.e164 == first
        assert cleaned.value.extension == row["expect_ext"]
    if expect == "two_numbers":
        assert found == {"several"}
        assert cleaned.value is not None
        assert cleaned.value.others == ((second,) if second.startswith("+") else ())


def test_a_secret_number_in_the_wrong_field_is_not_repeated() -> None:
    for said in ("123-45-6789", "4111 1111 1111 1111"):
        (finding,) = phone.clean(said).findings
        assert said not in finding.said + finding.note


TYPES = (
    PhoneNumberType.FIXED_LINE,
    PhoneNumberType.MOBILE,
    PhoneNumberType.TOLL_FREE,
    PhoneNumberType.PREMIUM_RATE,
    PhoneNumberType.SHARED_COST,
    PhoneNumberType.VOIP,
    PhoneNumberType.PERSONAL_NUMBER,
    PhoneNumberType.PAGER,
    PhoneNumberType.UAN,
)
FORMS = (
    PhoneNumberFormat.E164,
    PhoneNumberFormat.INTERNATIONAL,
    PhoneNumberFormat.NATIONAL,
    PhoneNumberFormat.RFC3966,
)


@pytest.mark.parametrize("region", sorted(phonenumbers.SUPPORTED_REGIONS))
def test_every_example_number_of_the_metadata_is_read_in_every_form(region: str) -> None:
    """phonenumbers, the Python port of libphonenumber (Apache-2.0), ships the examples."""
    examples = [phonenumbers.example_number_for_type(region, kind) for kind in TYPES]
    assert any(examples)
    for example in filter(None, examples):
        e164 = phonenumbers.format_number(example, PhoneNumberFormat.E164)
        if example.country_code == 1 and len(e164) != 12:
            continue  # 310-XXXX in Canada: seven digits, and reached from within Canada only
        for form in FORMS:
            said = phonenumbers.format_number(example, form)
            cleaned = phone.clean(said, region=region)
            assert cleaned.value is not None, (said, cleaned)
            assert cleaned.value.e164 == e164, (said, cleaned)
