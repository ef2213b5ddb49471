"""How good a list of duplicates is, held against truth."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

from onboard import intake
from onboard.match.groups import Group
from onboard.model import Verdict
from onboard.reports.duplicates import Duplicates, Pair
from onboard.tasks.find_duplicates import find_duplicates

# What the columns of files with truth hold, where it is not plain.
TOLD = {
    "febrl": {
        "given_name": "given", "surname": "family", "street_number": "number",
        "address_1": "street", "address_2": "unit", "suburb": "city", "postcode": "zip",
        "date_of_birth": "born",
    },
    "rldata": {
        "first": "given", "first2": "middle", "last": "family", "birth_year": "born",
        "birth_month": "born", "birth_day": "born",
    },
    "pseudo": {
        "first_name": "given", "middle_initial": "middle", "last_name": "family",
        "date_of_birth": "born", "street_number": "number", "street_name": "street",
        "unit_number": "unit", "zipcode": "zip",
    },
    "signups": {},
}  # fmt: skip


def kind_of(file: Path) -> str:
    return next((kind for kind in TOLD if file.name.startswith(kind)), "signups")


def find(file: Path, **options: object) -> Duplicates:
    sheet = intake.open_rows(file, told=TOLD[kind_of(file)], needed=())
    return find_duplicates(sheet, **options)  # type: ignore[arg-type]


@dataclass(frozen=True)
class Truth:
    """Who each row is, and who lives where."""

    person: Mapping[str, str]
    home: Mapping[str, str]

    @classmethod
    def of(cls, file: Path) -> Truth:
        with file.open(encoding="utf-8", newline="") as stream:
            rows = list(csv.DictReader(stream))
        return cls(
            {row["id"]: row["true_id"] for row in rows},
            {row["id"]: row["household_id"] for row in rows if row.get("household_id")},
        )

    @property
    def pairs(self) -> int:
        return _pairs(Counter(self.person.values()).values())

    @property
    def household_pairs(self) -> int:
        """Pairs of two people of one home."""
        homes = Counter(self.home.values())
        both = Counter((home, self.person[row]) for row, home in self.home.items())
        return _pairs(homes.values()) - _pairs(both.values())


def _pairs(sizes: Iterable[int]) -> int:
    return sum(size * (size - 1) // 2 for size in sizes)


@dataclass(frozen=True)
class Score:
    precision: float
    recall: float
    homes_merged: float  # share of the pairs of two people of one home that were put together

    @property
    def f1(self) -> float:
        return 2 * self.precision * self.recall / ((self.precision + self.recall) or 1)


def score(pairs: Iterable[tuple[str, str]], truth: Truth) -> Score:
    found = right = homes = 0
    for one, other in pairs:
        found += 1
        if truth.person[one] == truth.person[other]:
            right += 1
        elif one in truth.home and truth.home[one] == truth.home.get(other):
            homes += 1
    return Score(
        right / (found or 1), right / (truth.pairs or 1), homes / (truth.household_pairs or 1)
    )


def grouped(groups: Iterable[Group]) -> Iterable[tuple[str, str]]:
    return (pair for group in groups for pair in combinations(group.members, 2))


def decided_alone(pairs: Iterable[Pair]) -> Iterable[tuple[str, str]]:
    return ((pair.one, pair.other) for pair in pairs if pair.verdict is Verdict.SAME)


def calibration_error(pairs: Iterable[Pair], truth: Truth, bins: int = 10) -> float:
    """The mean distance, over ten steps of confidence, between what was said and what is true."""
    said, true = [0.0] * bins, [0] * bins
    count = 0
    for pair in pairs:
        step = min(int(pair.confidence * bins), bins - 1)
        said[step] += pair.confidence
        true[step] += truth.person[pair.one] == truth.person[pair.other]
        count += 1
    return sum(abs(s - t) for s, t in zip(said, true, strict=True)) / (count or 1)
