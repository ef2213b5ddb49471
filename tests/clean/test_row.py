"""A whole row: every field by its rule, and each by what the row says beside it."""

from __future__ import annotations

from onboard.clean import row, sites
from onboard.model import RawRow

FIELDS = {"site": "athens barn", "city": "Lima", "state": "OH", "zip": "45801"}
RAW = RawRow("forms.csv", 2, tuple(FIELDS.items()), FIELDS)


def test_the_site_is_understood_with_the_sites_and_from_where_the_member_lives() -> None:
    site = row.clean(RAW, sites=sites.EXAMPLES).site
    assert site.value == "Athens Feed Barn"
    assert [f.code for f in site.findings] == ["site.misspelt", "site.far"]


def test_without_sites_the_site_stays_as_it_was_said() -> None:
    site = row.clean(RAW).site
    assert (site.said, site.value, site.findings) == ("athens barn", None, ())


def test_a_co_op_with_no_site_has_none_that_a_form_could_mean() -> None:
    assert [f.code for f in row.clean(RAW, sites=()).site.findings] == ["site.unknown"]
