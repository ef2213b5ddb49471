"""Days, months, times and rules as people write them: what is shown is read back as the same, in both languages."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.desk.day_words import KINDS, dated, is_same, read, show
from onboard.settings.day_rules import closing_rule

RULES = (
    "first Monday", "second tuesday", "last Friday", "the 5th", "1st", "the 28th of the next month", "last day",
    "last day of the month, or the working day before", "the 5th, or the next working day", "6 days later", "one week later",
    "the next Sunday", "third Wednesday or the business day after",
)  # fmt: skip


@settings(max_examples=60, derandomize=True, deadline=None)
@given(st.dates(date(2000, 1, 1), date(2099, 12, 31)), st.sampled_from(("en", "es")))
def test_a_day_and_its_month_come_back_as_they_were_shown(day: date, language: str) -> None:
    for kept, kind in (
        (day.isoformat(), "day"),
        (f"{day:%Y-%m}", "month"),
        (f"{day:%Y-%m}", "rest"),
        (f"{day:%B}", "rest"),
    ):
        assert read(show(kept, kind, language), kind, language) == kept


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_means_the_same_when_it_comes_back(rule: str) -> None:
    shown = show(rule, "rule", "es")
    assert shown != rule
    back = read(shown, "rule", "es")
    assert closing_rule(back) == closing_rule(rule)
    assert is_same(back, rule, "rule")
    assert read(rule, "rule", "es") == rule  # English is taken on a Spanish page, too


@pytest.mark.parametrize("minutes", range(0, 24 * 60, 95))
def test_a_time_means_the_same_when_it_comes_back(minutes: int) -> None:
    at = date(2026, 1, 1)
    from datetime import datetime, time

    kept = f"{datetime.combine(at, time()) + timedelta(minutes=minutes):%I:%M %p}"
    assert is_same(read(show(kept, "time", "es"), "time", "es"), kept, "time")


@pytest.mark.parametrize(
    ("said", "kind", "kept"),
    [
        ("el viernes 18 de diciembre", "day", "el viernes 18 de diciembre"), ("3/4/2027", "day", "3/4/2027"),
        ("18/12/2026", "day", "2026-12-18"), ("setiembre 2027", "month", "2027-09"), ("9/2027", "month", "2027-09"),
        ("13/2027", "month", "2027-13"), ("el último jueves de cada mes", "rule", "last Thursday"),
        ("dos semanas después", "rule", "2 weeks later"), ("cuando se pueda", "rule", "cuando se pueda"),
        ("a las 8:30 p. m.", "time", "8:30 PM"), ("mediodía", "time", "noon"), ("tarde", "time", "tarde"), ("", "day", ""),
    ],
)  # fmt: skip
def test_what_is_clear_is_read_and_the_rest_stays_as_it_is(said: str, kind: str, kept: str) -> None:
    assert read(said, kind, "es") == kept


@settings(max_examples=200, derandomize=True, deadline=None)
@given(
    st.text(max_size=40),
    st.sampled_from(sorted(set(KINDS.values()))),
    st.sampled_from(("en", "es")),
)
def test_no_text_breaks_it(text: str, kind: str, language: str) -> None:
    kept = read(text, kind, language)
    show(kept, kind, language)
    is_same(text, kept, kind)
    dated(text, language)


def test_a_sentence_has_no_day_of_the_file() -> None:
    assert (
        dated("It closes (2026-12-06), 2026-13-01 is none; 2026-12.", "es")
        == "It closes (6 dic 2026), 2026-13-01 is none; diciembre de 2026."
    )
