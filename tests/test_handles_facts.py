"""Handles against tests/facts/handles.csv.

The table is a copy of a published-facts table kept outside the project; each row names its own
source: RFC 8264, 8265, 5892, 5893 and 2142, UAX 9 and 15, UTS 39, ICAO Doc 9303-3 table 6, or
common practice. `also_acceptable` counts as right.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import pytest
from precis_i18n import get_profile

from onboard import handles
from onboard.clean import name
from onboard.model import Cleaned, PersonName, Weight

ROWS = list(
    csv.DictReader((Path(__file__).parent / "facts" / "handles.csv").open(encoding="utf-8"))
)
OF_NAMES = [row for row in ROWS if row["section"] not in ("precis", "confusable_pairs")]
IN_COLUMNS = [row for row in OF_NAMES if row["first"] or row["last"]]

# What the table's flags are called here: codes of findings, or words of a handle's steps. Any one
# of the set will do. A flag of the table that has a colon says more after it.
FLAGS = {
    "suffix": {"suffix"},
    "suffix_or_surname": {"name.suffix"},
    "credential": {"name.credential"},
    "title": {"title"},
    "title+credential": {"name.credential"},
    "title_or_suffix": {"name.title"},
    "order": {"name.order"},
    "middle": {"middle-name"},
    "two_word_first?": {"name.two_first_names"},
    "two_surnames": {"name.two_last_names"},
    "initial_only": {"name.initial"},
    "initial_last": {"name.initial"},
    "mononym": {"name.one_word"},
    "no_first": {"name.one_word"},
    "surname_first?": {"name.order_unsure"},
    "joint": {"name.joint", "name.care_of"},
    "household_name": {"name.household"},
    "ask_for_latin_spelling": {"name.script"},
    "strip": {"name.hidden", "name.letters", "name.symbols", "name.encoding"},
    "review": {"name.mixed_scripts", "name.no_letters", "name.lost_letters"},
    "reserved": {"handle.reserved"},
    "collision": set(),  # seen in the numbers of the handles themselves
    "not_joint": set(),
    "ok": set(),
}


@dataclass
class Outcome:
    handles: list[str]
    notices: set[str]


def outcome(cleaned_names: list[Cleaned[PersonName]]) -> Outcome:
    """The handles for these names one after the other; those of a joint sign-up each once."""
    got: list[str] = []
    notices: set[str] = set()
    for cleaned in cleaned_names:
        notices |= {finding.code for finding in cleaned.findings}
        held = {
            finding.code for finding in cleaned.findings if finding.weight is Weight.BLOCKING
        } - {"name.joint"}
        if cleaned.value is None or held:
            continue
        people = [cleaned.value._replace(joint=()), *cleaned.value.joint]
        made: list[str] = []
        for person in people:
            result = handles.clean(person)
            notices |= {finding.code for finding in result.findings}
            if result.value and result.value.text not in made:
                made.append(result.value.text)
                handle = handles.free(result.value, got)
                notices |= {step.what for step in handle.steps}
                got.append(handle.text)
    return Outcome(got, notices)


def acceptable(row: dict[str, str]) -> set[str]:
    return {row["expect_handle"], *filter(None, [row["also_acceptable"]])}


@pytest.mark.parametrize("row", OF_NAMES, ids=lambda row: row["id"])
def test_a_whole_name_gives_the_handle_and_the_flags_of_the_table(row: dict[str, str]) -> None:
    texts = row["full_name"].split(" ; ") if row["section"] == "collision" else [row["full_name"]]
    result = outcome([name.clean(text) for text in texts])
    assert "|".join(result.handles) in acceptable(row)
    for flag in filter(None, row["expect_flag"].split(";")):
        wanted = FLAGS[flag.partition(":")[0]]
        assert not wanted or wanted & result.notices, (flag, result.notices)
    if row["expect_flag"] in ("not_joint", "ok"):
        assert not {"name.joint", "handle.reserved"} & result.notices


@pytest.mark.parametrize("row", IN_COLUMNS, ids=lambda row: row["id"])
def test_a_name_in_columns_gives_the_handle_of_the_table(row: dict[str, str]) -> None:
    result = outcome([name.clean(given=row["first"], family=row["last"])])
    assert "|".join(result.handles) in acceptable(row)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["section"] == "precis"], ids=lambda row: row["id"]
)
def test_precis_agrees_with_the_table_and_every_handle_passes_it(row: dict[str, str]) -> None:
    """RFC 8265 section 3.5, by the library that we hold our handles against."""
    profile = get_profile("UsernameCaseMapped:ToLower")
    if row["expect_flag"].startswith("refused"):
        with pytest.raises(UnicodeEncodeError):
            profile.enforce(row["full_name"])
    else:
        profile.enforce(row["full_name"])
    made = handles.clean(row["full_name"]).value
    if made is not None:
        assert profile.enforce(made.text) == made.text


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row["section"] == "confusable_pairs"], ids=lambda row: row["id"]
)
def test_pairs_that_look_alike_have_one_skeleton(row: dict[str, str]) -> None:
    one, other = row["full_name"].split(" ~ ")
    assert handles.skeleton(one) == handles.skeleton(other)
