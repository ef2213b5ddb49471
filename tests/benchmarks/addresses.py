"""How addresses do on real strings: `python tests/benchmarks/addresses.py [FOLDER]`.

FOLDER is a checkout of github.com/datamade/usaddress (MIT; its us50 sets NCSA, its OpenStreetMap
sets ODbL), whose labelled rows are measured where they lie; without it, the copy of its MIT test
rows in tests/facts/usaddress_labeled.xml is.

real_world: the share of labelled words that stand in the right part of the address, and of
addresses in which all do; usaddress itself on the same rows (it was trained on the rows of
training/), and words of the input that are nowhere in the result.
How fast they are, tests/benchmarks/rules.py says.
"""

from __future__ import annotations

import random
import re
import sys
import unicodedata
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from xml.etree import ElementTree

import usaddress

from onboard.clean import address
from onboard.clean.address.lookups import (
    DIRECTION_WORDS,
    DIRECTIONS,
    STATES,
    SUFFIX_WORDS,
    SUFFIXES,
    UNITS,
)
from onboard.model import Address

FACTS = Path(__file__).parents[1] / "facts"
SETS = (
    "measure_performance/test_data/labeled.xml",
    "measure_performance/test_data/us50_test_tagged.xml",
    "measure_performance/test_data/synthetic_osm_data.xml",
    "training/labeled.xml",
    "training/us50_messiest_manual_label.xml",
)
# usaddress's label -> the part of an Address that holds the word
PARTS = {
    "AddressNumber": "number", "AddressNumberPrefix": "number", "AddressNumberSuffix": "number",
    "StreetNamePreDirectional": "street", "StreetNamePreModifier": "street", "StreetNamePreType": "street",
    "StreetName": "street", "StreetNamePostType": "street", "StreetNamePostModifier": "street",
    "StreetNamePostDirectional": "street", "OccupancyType": "unit", "OccupancyIdentifier": "unit",
    "SubaddressType": "unit", "SubaddressIdentifier": "unit", "PlaceName": "city", "StateName": "state",
    "ZipCode": "zip", "USPSBoxID": "line", "USPSBoxGroupID": "line", "Recipient": "aside", "BuildingName": "aside", "LandmarkName": "aside",
}  # fmt: skip

# words that Publication 28 replaces by others: right if the address is of such a kind
KINDS = {
    "USPSBoxType": {"po box", "rural route", "highway contract", "military"},
    "USPSBoxGroupType": {"rural route", "highway contract", "military"},
}
RENAMED = {
    *KINDS,
    "StreetNamePreType",
    "StateName",
    "CountryName",
    "OccupancyType",
    "SubaddressType",
    "NotAddress",
}

Row = list[tuple[str, str]]


def read(text: str) -> list[Row]:
    """The rows of a labelled file: (word, label) in order."""
    rows = []
    for row in ElementTree.fromstring(text):
        words = [(part.text or "", part.tag) for part in row]
        rows.append([(w, tag) for w, tag in words if w.strip()])
    return rows


def said(row: Row) -> str:
    return " ".join(word for word, _ in row)


# cities and floors are spelled out (223), floors numbered (appendix C2)
RESPELLED = {
    "ST": "SAINT",
    "FT": "FORT",
    "MT": "MOUNT",
    "TWP": "TOWNSHIP",
    "SECOND": "2",
    "FOURTH": "4",
    "PK": "PARK",
}


def fold(word: str) -> frozenset[str]:
    """The forms in which a word may come out."""
    word = unicodedata.normalize("NFKC", word.upper()).replace("\N{FRACTION SLASH}", "/")
    plain = re.sub(r"[^A-Z0-9#&/-]", "", word).strip("-/") or word
    plain = RESPELLED.get(plain, plain)
    forms = {plain, plain.replace("-", ""), plain.lstrip("0")}
    forms |= {short for short, long in RESPELLED.items() if long == plain}
    for table in (SUFFIXES, SUFFIX_WORDS, UNITS, DIRECTIONS, DIRECTION_WORDS, STATES):
        forms.add(table.get(plain, plain))
    if match := re.fullmatch(r"(?:#|[A-Z]{2,})?(\d\w*)", plain):
        forms.add(match[1])
    if match := re.fullmatch(r"(\d+)(?:ST|ND|RD|TH)", plain):
        forms.add(match[1])
    return frozenset(forms | {part for form in tuple(forms) for part in re.split("[-/]", form)})


def parts(value: Address) -> dict[str, frozenset[str]]:
    """The words in each part of an address, in every form they may have been written in."""
    texts = {
        "number": value.number,
        "street": " ".join(
            (value.predirectional, value.street, value.suffix, value.postdirectional)
        ),
        "unit": value.unit,
        "city": value.city,
        "state": value.state,
        "zip": f"{value.zip5} {value.zip4} {value.zip5}-{value.zip4}",
        "aside": " ".join(value.aside),
        "line": " ".join(value.lines),
    }
    return {
        part: frozenset(f for w in text.split() for f in fold(w)) for part, text in texts.items()
    }


def measure(
    rows: Iterable[Row],
) -> tuple[Counter[str], list[tuple[str, Address | None]], list[str]]:
    """Counts of right words and rows, the rows that are not wholly right, and the words lost."""
    counts: Counter[str] = Counter()
    wrong, lost = [], []
    for row in rows:
        value = address.clean(said(row)).value
        there = parts(value) if value else {}
        everywhere = frozenset().union(*there.values())
        text = " ".join((address.show(value), *value.aside)) if value else ""
        squeezed = re.sub(r"[^A-Z0-9/]", "", text)
        state = re.sub(r"[.,]", "", " ".join(w.strip() for w, tag in row if tag == "StateName"))
        good = True
        for word, label in row:
            part = PARTS.get(label)
            forms = fold(word)
            if not any(map(str.isalnum, word)):
                continue
            joined = any(form in squeezed for form in forms if form)
            if not forms & everywhere and not joined and label not in RENAMED:
                counts["lost"] += 1
                lost.append(f"{word!r} of {said(row)!r}")
            if label in KINDS:
                right = value is not None and value.kind in KINDS[label]
            elif part == "state":  # of several words, all are in the two letters
                right = value is not None and value.state == STATES.get(state.upper())
            elif part is not None:
                right = bool(forms & there.get(part, frozenset()))
            else:
                continue
            counts["words"] += 1
            counts["right"] += right
            good &= right
        counts["rows"] += 1
        counts["rows right"] += good
        if not good:
            wrong.append((said(row), value))
    return counts, wrong, lost


def library(rows: Iterable[Row]) -> tuple[int, int]:
    """Of the same words, how many bare usaddress puts in the same part."""
    right = words = 0
    for row in rows:
        theirs = [label for _, label in usaddress.parse(said(row))]
        if len(theirs) != len(row):
            words += len(row)
            continue
        for (word, label), other in zip(row, theirs, strict=True):
            if label in PARTS and any(map(str.isalnum, word)):
                words += 1
                right += PARTS.get(other) == PARTS[label]
    return right, words


def main(folder: str | None, show: bool) -> None:
    files = [Path(folder) / name for name in SETS] if folder else [FACTS / "usaddress_labeled.xml"]
    for file in files:
        rows = read(file.read_text("utf-8"))
        counts, wrong, lost = measure(rows)
        right, words = library(rows)
        print(
            f"real_world {file.parent.name}/{file.name}: {counts['rows']} rows, words "
            f"{counts['right'] / counts['words']:.2%} in the right part (usaddress {right / words:.2%}), "
            f"rows wholly right {counts['rows right'] / counts['rows']:.2%}, words lost {counts['lost']}"
        )
        if show:
            print("\n".join(f"LOST {word}" for word in lost))
            for text, value in wrong:
                print(
                    "   ",
                    text,
                    "->",
                    address.show(value).replace("\n", " | ") if value else None,
                    value.aside if value else "",
                )


def ordinary() -> list[str]:
    """Addresses as join forms have them, all different, street and last line apart."""
    chance = random.Random(1)
    streets = [
        "N Main St",
        "Elm Street",
        "county road 12",
        "Oak Ave",
        "S. 3rd st.",
        "Mill Rd",
        "Ridge Dr",
    ]
    units = ["", "", "", "", " Apt {}", " #{}", ", Unit {}"]
    towns = ["Lima, OH 45801", "Athens, ohio 45701", "Goshen IN 46526", "Galena, IL 61036-1234"]
    return [
        f"{chance.randrange(1, 9999)} {chance.choice(streets)}"
        f"{chance.choice(units).format(chance.randrange(1, 40))}\n{chance.choice(towns)}"
        for _ in range(2000)
    ]


if __name__ == "__main__":
    arguments = [a for a in sys.argv[1:] if a != "--show"]
    main(arguments[0] if arguments else None, "--show" in sys.argv)
