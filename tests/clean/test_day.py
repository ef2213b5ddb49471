"""Days as people and spreadsheets write them: a table of cases, and that no text makes the rule raise."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onboard.clean import day
from onboard.clean.day import Order

TODAY = date(2026, 11, 25)
U, M, D, X = Order.UNKNOWN, Order.MONTH_FIRST, Order.DAY_FIRST, Order.MIXED

CASES = [  # said, field, order, value, codes
    ("2019-03-09", "joined", U, "2019-03-09", ""),
    ("2019-3-9", "joined", U, "2019-03-09", ""),
    ("2019-03-09T23:59:00Z", "joined", U, "2019-03-09", ""),
    ("2019-03-09 14:05:33.120", "joined", U, "2019-03-09", ""),
    ("20190309", "joined", U, "2019-03-09", ""),
    ("3/14/2019", "joined", U, "2019-03-14", ""),
    ("03-14-2019", "joined", U, "2019-03-14", ""),
    ("3/14/2019 2:05 PM", "joined", U, "2019-03-14", ""),
    ("3/4/2019", "joined", U, "2019-03-04", "month_first"),  # nothing shows which
    ("3/4/2019", "joined", M, "2019-03-04", ""),
    ("3/4/2019", "joined", D, "2019-04-03", "day_first"),
    ("3/4/2019", "joined", X, None, "ambiguous"),
    ("5/5/2019", "joined", X, "2019-05-05", ""),  # either way
    ("14/3/2019", "joined", M, "2019-03-14", "day_first"),
    ("3/14/2019", "joined", D, "2019-03-14", ""),
    ("14.3.2019", "joined", U, "2019-03-14", "day_first"),
    ("13/13/2019", "joined", U, None, "impossible"),
    ("2/30/2019", "born", U, None, "impossible"),
    ("1950-02-29", "born", U, None, "impossible"),
    ("Mar 9, 2019", "joined", U, "2019-03-09", ""),
    ("Saturday, March 9th 2019", "joined", U, "2019-03-09", ""),
    ("9-Mar-2019", "joined", U, "2019-03-09", ""),
    ("9 de marzo de 2019", "joined", U, "2019-03-09", ""),
    ("March 2019", "joined", U, None, "part"),
    ("1960", "born", U, None, "part"),
    ("3/2019", "joined", U, None, "part"),
    ("spring of 2019", "joined", U, None, "unreadable"),
    ("ask her", "born", U, None, "unreadable"),
    ("43538", "joined", U, "2019-03-14", "number"),
    ("43538.75", "joined", U, "2019-03-14", "number"),
    ("3/14/19", "joined", U, "2019-03-14", "century"),
    ("3/14/60", "born", U, "1960-03-14", "century"),
    ("3/14/20", "born", U, None, "short_year"),  # six, or a hundred and six
    ("3/14/99", "joined", U, "1999-03-14", "century"),
    ("2026-11-26", "joined", U, None, "out_of_range"),
    ("1019-03-14", "joined", U, None, "out_of_range"),
    ("1970-01-01", "last_sign_in", U, None, "filler"),
    ("1970-01-01", "born", U, "1970-01-01", ""),
    ("1/1/1900", "born", M, None, "filler"),
    ("never", "last_sign_in", U, None, "none"),
    ("0000-00-00", "last_order", U, None, "none"),
    ("—", "last_order", U, None, "none"),
    ("", "born", U, None, ""),
]


@pytest.mark.parametrize(("said", "field", "order", "value", "codes"), CASES)
def test_a_day(said: str, field: str, order: Order, value: str | None, codes: str) -> None:
    cleaned = day.clean(f" {said} ", field=field, order=order, latest=TODAY)
    assert (cleaned.value and day.show(cleaned.value)) == value
    assert [f.code for f in cleaned.findings] == [f"day.{code}" for code in codes.split()]
    assert cleaned.said == f" {said} "
    assert {f.field for f in cleaned.findings} <= {field}


@pytest.mark.parametrize(
    ("region", "value", "codes"),
    [
        ("US", "2019-03-04", ["day.month_first"]),
        ("PR", "2019-03-04", ["day.month_first"]),
        ("GB", "2019-04-03", ["day.day_first"]),
    ],
)
def test_where_nothing_shows_the_order_it_is_that_of_the_region(
    region: str, value: str, codes: list[str]
) -> None:
    cleaned = day.clean("3/4/2019", region=region)
    assert (cleaned.value and day.show(cleaned.value)) == value
    assert [f.code for f in cleaned.findings] == codes


@given(
    st.text(alphabet="0123456789/-. :,TZabehmry٣½\n\x00", max_size=80) | st.text(max_size=80),
    st.sampled_from(list(day.CALLED)),
    st.sampled_from(list(Order)),
)
def test_no_text_makes_the_rule_raise_and_what_was_cleaned_stays(
    said: str, field: str, order: Order
) -> None:
    cleaned = day.clean(said, field=field, order=order, latest=TODAY)
    day.tells(said)
    if cleaned.value:
        assert cleaned.value <= TODAY
        again = day.clean(day.show(cleaned.value), field=field, order=order, latest=TODAY)
        assert (again.value, again.findings) == (cleaned.value, ())
    elif said.strip():
        assert cleaned.findings, "nothing that was said goes without a word"
