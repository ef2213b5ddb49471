"""How the columns of a list write days: month first or day first, as the column as a whole shows."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from onboard.clean import day
from onboard.clean.day import Order
from onboard.clean.listed import DAYS
from onboard.intake.sheet import Sheet
from onboard.model import Cleaned

_OF_USE = ("last_sign_in", "last_order")
_FEW = 0.05  # of the days that tell: no more than these are slips in a column of the other order
_SEVERAL = 3
_TIME = re.compile(r"[ T,]+\d{1,2}:\d{2}.*", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Days:
    """What the columns of a list show of its days. `today` is the last day that can be meant."""

    today: date = date.max
    region: str = "US"
    orders: Mapping[str, Order] = field(default_factory=dict)  # by field
    as_of: date | None = None  # the newest sign-in or order: the list is no older than that

    def read(self, fields: Mapping[str, str]) -> dict[str, Cleaned[date]]:
        """The days that a row says, by column of the member; what says nothing is left out."""
        read, unknown = {}, Order.UNKNOWN
        for name, column in DAYS.items():
            if said := fields.get(name):
                order = self.orders.get(name, unknown)
                read[column] = day.clean(
                    said, field=column, order=order, latest=self.today, region=self.region
                )
        return read


def days_of(sheet: Sheet | Sequence[Sheet], today: date, region: str = "US") -> Days:
    """What the columns of a list show of its days, or of several that are one; reads once those that have such columns.

    Raises `FileTrouble` when one cannot be read to its end.
    """
    told: dict[str, Counter[Order]] = defaultdict(Counter)
    used: dict[str, set[str]] = defaultdict(set)  # different texts: as many as there are days
    for one in (sheet,) if isinstance(sheet, Sheet) else sheet:
        _hear(one, told, used)
    if not told:
        return Days(today, region)
    all_told = sum(told.values(), Counter[Order]())
    orders = {name: _order_of(own, all_told, region) for name, own in told.items()}
    days = Days(today, region, orders)
    return Days(today, region, orders, _newest(days, used))


def _hear(sheet: Sheet, told: dict[str, Counter[Order]], used: dict[str, set[str]]) -> None:
    """Add what the days of a list tell of their order, by field, and when its accounts were of use."""
    places = [(c.place, c.field) for c in sheet.columns.columns if c.field in DAYS]
    if not places:
        return
    for _, name in places:
        told.setdefault(name, Counter())  # which may tell nothing
    for line in sheet.table.lines():
        if line.number < sheet.first_line:
            continue
        for place, name in places:
            if place < len(line.cells) and (said := line.cells[place]):
                order = day.tells(said)
                if order is not Order.UNKNOWN:
                    told[name][order] += 1
                if name in _OF_USE:
                    used[name].add(_TIME.sub("", said.strip()))


def _order_of(own: Counter[Order], all_told: Counter[Order], region: str) -> Order:
    """The order of a column: its own; of one that tells little, that of all the columns."""
    order = _order(own, region)
    return (
        _order(all_told, region) if not own or (order is Order.MIXED and len(own) == 1) else order
    )


def _order(counts: Counter[Order], region: str) -> Order:
    """The order that the days of a column show; an order unlike the region's takes several days."""
    if not counts:
        return Order.UNKNOWN
    month, day_ = counts[Order.MONTH_FIRST], counts[Order.DAY_FIRST]
    if min(month, day_) > _FEW * (month + day_):
        return Order.MIXED
    found = Order.MONTH_FIRST if month > day_ else Order.DAY_FIRST
    usual = Order.MONTH_FIRST if region in day.MONTH_FIRST_IN else Order.DAY_FIRST
    return found if found is usual or counts[found] >= _SEVERAL else Order.MIXED


def _newest(days: Days, used: Mapping[str, Iterable[str]]) -> date | None:
    found = (
        cleaned.value
        for name, texts in used.items()
        for text in texts
        for cleaned in days.read({name: text}).values()
    )
    return max(filter(None, found), default=None)
