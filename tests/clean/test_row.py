"""A whole row: every field by its rule, and each by what the row says beside it."""

from __future__ import annotations

import pytest

from onboard.clean import row, sites
from onboard.model import RawRow

FIELDS = {"site": "athens barn", "city": "Lima", "state": "OH", "zip": "45801"}
RAW = RawRow("forms.csv", 2, tuple(FIELDS.items()), FIELDS)


def test_the_site_is_understood_with_the_sites_and_from_where_the_member_lives() -> None:
    site = row.clean(RAW, sites=sites.EXAMPLES).site
    assert site.value == "Athens Feed Barn"
    assert [f.code for f in site.findings] == ["site.misspelt", "site.far"]


def test_a_zip_code_that_was_filled_in_is_told_nobody_as_theirs() -> None:
    said = {"site": "athens barn", "city": "Cridersville", "state": "OH"}
    form = row.clean(RawRow("forms.csv", 2, tuple(said.items()), said), sites=sites.EXAMPLES)
    assert form.place.value is not None
    assert form.place.value.zip5 == "45806"
    (far,) = [f.note for f in form.site.findings if f.code == "site.far"]
    assert "miles closer to Cridersville than Athens Feed Barn" in far
    assert "45806" not in far


def test_without_sites_the_site_stays_as_it_was_said() -> None:
    site = row.clean(RAW).site
    assert (site.said, site.value, site.findings) == ("athens barn", None, ())


def test_a_co_op_with_no_site_has_none_that_a_form_could_mean() -> None:
    assert [f.code for f in row.clean(RAW, sites=()).site.findings] == ["site.unknown"]


def named(**fields: str) -> tuple[str, list[str]]:
    """The last name of a form, and what is asked about it."""
    cleaned = row.clean(RawRow("forms.csv", 2, tuple(fields.items()), fields)).name
    assert cleaned.value is not None
    return cleaned.value.family, [finding.code for finding in cleaned.findings]


@pytest.mark.parametrize(
    ("beside", "asked"),
    [
        ({}, True),
        ({"state": "PR", "zip": "00926", "city": "San Juan"}, False),
        ({"language": "Español"}, False),
        ({"language": "português"}, False),
        ({"language": "English"}, True),
        ({"email": "asotofeliciano@example.org"}, False),
        ({"email": "farmgirl@example.org"}, True),
    ],
)
def test_what_a_form_says_beside_the_name_settles_two_last_names(
    beside: dict[str, str], asked: bool
) -> None:
    for parts in (
        {"full_name": "Ana Soto Feliciano"},
        {"given": "Ana", "middle": "Soto", "family": "Feliciano"},
    ):
        family, codes = named(**parts, **beside)
        assert family == "Soto Feliciano"
        assert ("name.two_last_names" in codes) is asked


def test_headings_in_spanish_ask_for_two_last_names() -> None:
    for heading, asked in (("Nombre y apellidos", False), ("Name / Nombre y apellido", True)):
        raw = RawRow(
            "f.csv", 2, ((heading, "Ana Soto Feliciano"),), {"full_name": "Ana Soto Feliciano"}
        )
        codes = [finding.code for finding in row.clean(raw).name.findings]
        assert ("name.two_last_names" in codes) is asked


def test_a_second_last_name_has_a_column_of_its_own() -> None:
    assert named(given="Ana", family="Soto", second_family="Feliciano") == ("Soto Feliciano", [])
    assert named(given="Ana", family="Soto Feliciano", second_family="feliciano")[0] == (
        "Soto Feliciano"
    )
    assert named(given="Ana", family="Soto", second_family=" ")[0] == "Soto"
