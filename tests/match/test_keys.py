"""Who could be alike: whatever one field does to a form, it shares a key with the form before."""

from __future__ import annotations

from dataclasses import replace

import pytest

from onboard.match import many
from onboard.match.keys import of
from onboard.model import Person

WHOLE = Person(
    "row:1", given="Ana", middle="Q", family="Quillfeather", suffix="", email="ana7@example.org",
    phone="+12025550143", street="12 N MAIN ST", unit="APT 4", city="LIMA", state="OH",
    zip5="45801", born="1971-02-03",
)  # fmt: skip
FIELDS = ("given", "family", "email", "phone", "street", "zip5", "born")


@pytest.mark.parametrize("field", FIELDS)
def test_any_one_field_may_be_missing_or_another(field: str) -> None:
    for said in ("", "9 Zzyzx"):
        assert of(WHOLE) & of(replace(WHOLE, **{field: said}))


@pytest.mark.parametrize("first", FIELDS)
@pytest.mark.parametrize("second", FIELDS)
def test_any_two_fields_may_be_missing(first: str, second: str) -> None:
    assert of(WHOLE) & of(replace(WHOLE, **{first: "", second: ""}))


@pytest.mark.parametrize(
    ("said", "again"),
    [
        ({"given": "Quillfeather", "family": "Ana"}, "names in each other's place"),
        ({"family": "Quillfeather-Okonjo"}, "a family name with a part more"),
        ({"given": "ANA", "family": "quillfeather"}, "capitals"),
        ({"given": "Ána"}, "an accent"),
        ({"given": "Anna"}, "a slip"),
    ],
)
def test_names_alone_are_enough_however_they_are_written(said: dict[str, str], again: str) -> None:
    bare = Person("row:1", given="Ana", family="Quillfeather", zip5="45801")
    assert of(bare) & of(replace(bare, **said)), again


def test_every_key_says_what_is_shared() -> None:
    kinds = {key.partition(":")[0] for key in of(WHOLE)}
    assert kinds == set("epnzahfgslbdokuxyq")
    # As numbers, "o" is two kinds: with the ZIP, and ("c") with the city. "m" is for long mailboxes.
    assert {kind for kind, (numbers, _) in many.folded([WHOLE]).keys.items() if len(numbers)} == (
        kinds | {"c"}
    )
    assert of(Person("row:1")) == frozenset()


def test_keys_are_not_longer_than_the_store_holds() -> None:
    junk = Person("row:1", **dict.fromkeys(FIELDS, "x1 " * 5000))
    assert max(map(len, of(junk)), default=0) <= 400
