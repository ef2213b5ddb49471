"""Month first or day first: what a column shows as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

import pytest

from onboard import intake
from onboard.clean.day import Order
from onboard.intake.days import days_of

TODAY = date(2026, 11, 25)


def listed(
    file: Path, rows: Sequence[str], heads: str = "Name,Username,Joined,DOB"
) -> intake.Sheet:
    file.write_text("\n".join(["The co-op, May 2026", "", heads, *rows]) + "\n", "utf-8")
    return intake.open_rows(file, needed=("name", "handle"))


@pytest.mark.parametrize(
    ("joined", "region", "order"),
    [
        (["3/14/2019", "3/4/2019"], "US", Order.MONTH_FIRST),
        (["14/3/2019", "3/4/2019"], "US", Order.MIXED),  # one day may be a slip
        (["14/3/2019", "20/3/2019", "21/4/2018"], "US", Order.DAY_FIRST),
        (["14/3/2019", "3/14/2019"], "US", Order.MIXED),
        (["14/3/2019", "3/4/2019"], "GB", Order.DAY_FIRST),
        (["3/14/2019"] * 30 + ["14/3/2019"], "US", Order.MONTH_FIRST),
        (["2019-03-14", "3/4/2019"], "US", Order.UNKNOWN),
    ],
)
def test_a_column_shows_how_it_writes_days(
    tmp_path: Path, joined: list[str], region: str, order: Order
) -> None:
    sheet = listed(
        tmp_path / "old.csv", [f"Pat {n} Lee,p{n},{day}," for n, day in enumerate(joined)]
    )
    days = days_of(sheet, TODAY, region)
    assert days.orders["submitted"] is order
    assert days.orders["born"] is order  # a column that tells nothing is as the others are
    if order is Order.MIXED:
        (cleaned,) = days.read({"submitted": "3/4/2019"}).values()
        assert (cleaned.value, [f.code for f in cleaned.findings]) == (None, ["day.ambiguous"])


def test_a_column_that_tells_little_is_written_as_the_others_are(tmp_path: Path) -> None:
    rows = ["Pat,p,14/3/2019,4/5/1960", "Kim,k,25/12/2018,31/12/1949", "Lou,l,1/2/2020,30/6/1951"]
    days = days_of(listed(tmp_path / "old.csv", rows), TODAY)
    assert {days.orders["submitted"], days.orders["born"]} == {Order.DAY_FIRST}


def test_the_list_is_as_of_its_newest_sign_in_or_order(tmp_path: Path) -> None:
    rows = [
        "Pat Lee,plee,10/14/2026 3:05 PM,9/1/2026",
        "Kim Wu,kwu,never,10/20/2026",
        "Lou,lou,5/31/2027,",
    ]
    sheet = listed(tmp_path / "old.csv", rows, "Name,Username,Last login,Last order")
    assert days_of(sheet, TODAY).as_of == date(2026, 10, 20)
