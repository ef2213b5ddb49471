"""Holidays, by the `holidays` library, with the days on which they are observed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache


def day_off(whose: str, day: date) -> str:
    """The name of the holiday that a day is, "" if it is none.

    `whose` is a country, "US", or a state too, "US-OH" (ISO 3166); "" has no holidays. In the United States a
    holiday on a Saturday is observed on the Friday before, and one on a Sunday on the Monday after (5 U.S.C.
    6103(b); Executive Order 11582).

    >>> day_off("US", date(2026, 7, 3)), day_off("US", date(2026, 7, 2))
    ('Independence Day (observed)', '')
    """
    return _of_year(whose, day.year).get(day, "") if whose else ""


@lru_cache(maxsize=64)
def _of_year(whose: str, year: int) -> Mapping[date, str]:
    import holidays  # only a rule that asks for working days needs it

    country, _, part = whose.partition("-")
    # An unknown language falls back in silence, and `expand` would add years to a list that is asked of others.
    found = holidays.country_holidays(
        country, subdiv=part or None, years=year, expand=False, language="en_US"
    )
    return dict(found)
