"""Addresses against outside facts: USPS Publication 28 (October 2023), and labelled real strings.

tests/facts/pub28.csv holds single example lines, table rows and stated rules of the publication,
each with its section; pub28_doubtful.csv holds examples that its text leaves open;
usaddress_labeled.xml is described in its head.
"""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import pytest

from onboard.clean import address

FACTS = Path(__file__).parents[1] / "facts"


def read(name: str) -> list[dict[str, str]]:
    with (FACTS / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", read("pub28.csv"), ids=lambda row: row["id"])
def test_publication_28_writes_it_so(row: dict[str, str]) -> None:
    value = address.clean(row["raw"]).value
    assert value is not None
    assert " | ".join(address.show(value).splitlines()) == row["expected"], row["source"]


@pytest.mark.parametrize("row", read("pub28.csv")[::3], ids=lambda row: row["id"])
def test_what_publication_28_writes_stays_as_it_is(row: dict[str, str]) -> None:
    value = address.clean(row["expected"]).value
    assert value is not None
    assert " | ".join(address.show(value).splitlines()) == row["expected"]


with (FACTS / "address_lines.csv").open(encoding="utf-8", newline="") as _file:
    LINES = list(csv.DictReader(line for line in _file if not line.startswith("#")))


@pytest.mark.parametrize("row", LINES, ids=lambda row: row["raw"])
def test_lines_in_the_forms_of_the_publication_are_written_by_it_and_stay(
    row: dict[str, str],
) -> None:
    value = address.clean(row["raw"]).value
    assert value is not None
    assert " | ".join(address.show(value).splitlines()) == row["expected"]
    assert address.clean(address.show(value)).value == value


@pytest.mark.parametrize(
    ("said", "written"),
    [
        ("417 tupelo {}", "417 TUPELO {}"),
        ("88 N Tupelo {} Apt 3, Lima, OH 45801", "88 N TUPELO {} APT 3\nLIMA OH 45801"),
        ("88 tupelo {} SE\nLima OH 45801", "88 TUPELO {} SE\nLIMA OH 45801"),
    ],
)
def test_suffixes_as_another_hand_listed_them(said: str, written: str) -> None:
    """suffix_forms.txt was not made from the table that the rule reads."""
    lines = (FACTS / "suffix_forms.txt").read_text("utf-8").splitlines()
    wrong, count = [], 0
    for standard, *variants in (line.split() for line in lines if not line.startswith("#")):
        for form in (standard, *variants):
            value = address.clean(said.format(form.lower())).value
            count += 1
            if value is None or address.show(value) != written.format(standard):
                wrong.append((form, value and address.show(value)))
    assert count > 450
    assert wrong == []


@pytest.mark.parametrize("row", read("pub28_doubtful.csv"), ids=lambda row: row["raw"] or "none")
def test_what_the_publication_leaves_open_gets_a_value_and_word_of_another(
    row: dict[str, str],
) -> None:
    if not row["raw"]:
        pytest.skip("a note without an example")
    for raw in (row["raw"], *row["raw"].split(";")):
        cleaned = address.clean(raw)
        assert cleaned.value is not None
        assert address.show(cleaned.value)
        assert address.show(cleaned.value) not in cleaned.value.readings
        assert cleaned.value.readings
        assert cleaned.value.confidence < 1.0
        notes = " ".join(
            finding.note
            for finding in cleaned.findings
            if finding.code in ("address.other_reading", "address.other_form")
        )
        assert all(reading in notes for reading in cleaned.value.readings)


def test_what_the_publication_settles_is_seldom_said_to_have_another_form() -> None:
    """Two of 491: a unit on a line of its own, which 213 and 213.3 place differently."""
    rows = [row["raw"] for row in read("pub28.csv")]
    told = [
        raw for raw in rows
        if "address.other_form" in {finding.code for finding in address.clean(raw).findings}
    ]  # fmt: skip
    assert len(rows) > 400
    assert len(told) <= 2


OPEN = {
    "MAPLE CT EAST WEST": "MAPLE CT E",
    "NORTH EAST MAIN ST": "N EAST MAIN ST",
    "BAY E DRIVE": "BAY E DR",
    "123 N Avenue": "123 N AVE",
    "5th and High": "HIGH",
    "AVE WILSON CHURCHILL 123": "123 AVE WILSON CHURCHILL",
    "VISTA SUITES III APT 104": "3 VISTA SUITES APT 104",
    "COND GARDEN HILLS PLAZA | TORRE 2 APT 905": "2 COND GARDEN HILLS PLAZA APT 905",
    "10 Main St Ste 11 # 234": "10 MAIN ST STE 11 PMB 234",
    "PSC 1650": "PSC BOX 1650",
    "CMR 1250 Box 9876": "CMR 1250 BOX 9876",
    "PO Box -145": "PO BOX 00145",
    "52 N W Holly Road": "52 N W HOLLY RD",
    "PO BOX S-1190": "PO BOX 1190",
    "1510 CALLE 3 NO": "1510 CALLE 3 NW",
    "Route 2 Box 152": "ROUTE 2 BOX 152",
    "12 First Street": "12 1ST ST",
    "12 Mt Vernon Ave": "12 MOUNT VERNON AVE",
    "12 St Charles Ave": "12 SAINT CHARLES AVE",
}


@pytest.mark.parametrize(("raw", "other"), OPEN.items())
def test_another_reading_is_said_and_not_guessed_silently(raw: str, other: str) -> None:
    cleaned = address.clean(raw)
    assert cleaned.value is not None
    assert other in cleaned.value.readings
    assert "address.other_reading" in {finding.code for finding in cleaned.findings}


def test_real_strings_are_divided_as_people_labelled_them() -> None:
    """At least as many words in the right part as when this was written, and none lost."""
    sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
    import addresses

    rows = addresses.read((FACTS / "usaddress_labeled.xml").read_text("utf-8"))
    counts, _, lost = addresses.measure(rows)
    assert counts["rows"] > 100
    assert lost == []
    assert counts["right"] / counts["words"] > 0.96
