"""Places: ZIP code, city and state held against each other and against the package zipcodes."""

from __future__ import annotations

import random

import pytest
import zipcodes
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import place
from onboard.model import Place
from onboard.tables import zip_codes


def codes(said: str = "", **parts: str) -> list[str]:
    return [finding.code for finding in place.clean(said, **parts).findings]


# last line, what it becomes, findings
CASES = [
    ("Lima, OH 45801", "LIMA OH 45801", []),
    ("lima ohio 45801-1234", "LIMA OH 45801", []),
    ("St. Louis, MO 63101", "SAINT LOUIS MO 63101", []),
    ("Ft Lauderdale FL 33301", "FORT LAUDERDALE FL 33301", []),
    ("Hollywood, CA 90028", "LOS ANGELES CA 90028", ["place.other_name"]),
    ("Manhattan NY 10001", "NEW YORK NY 10001", ["place.other_name"]),
    ("Limma OH 45801", "LIMA OH 45801", ["place.spelling"]),
    ("Cincinatti, OH 45202", "CINCINNATI OH 45202", ["place.spelling"]),
    ("OH 45801", "LIMA OH 45801", ["place.city_filled"]),
    ("Lima 45801", "LIMA OH 45801", ["place.state_filled"]),
    ("45801", "LIMA OH 45801", ["place.city_filled", "place.state_filled"]),
    ("Lima, OH", "LIMA OH", ["place.zip_missing"]),
    ("Lima, OH 48501", "FLINT MI 48501", ["place.at_odds"]),
    ("Lima, OH 45800", "LIMA OH 45800", ["place.unknown_zip"]),
    ("Lima, IN 45801", "LIMA OH 45801", ["place.state_at_odds"]),
    ("Elmtown Township, OH 45801", "LIMA OH 45801", ["place.unknown_city"]),
    ("Springfield, MA 1103", "SPRINGFIELD MA 01103", ["place.lost_zero"]),
    ("Lima, OH 458801", "LIMA OH 458801", ["place.unknown_zip"]),
    ("APO AE 09112", "APO AE 09112", []),
    ("San Juan, Puerto Rico 00907", "SAN JUAN PR 00907", []),
]


@pytest.mark.parametrize(("said", "shown", "found"), CASES)
def test_a_last_line_names_a_place_and_what_disagrees_is_said(
    said: str, shown: str, found: list[str]
) -> None:
    cleaned = place.clean(said)
    assert cleaned.value is not None
    assert place.show(cleaned.value) == shown
    assert [finding.code for finding in cleaned.findings] == found


@pytest.mark.parametrize("said", ["", "  ", ",", "..."])
def test_nothing_given_is_doubtful_and_never_blocking(said: str) -> None:
    cleaned = place.clean(said)
    assert cleaned.value is None
    assert codes(said) == ["place.missing"]
    assert not cleaned.blocked


@pytest.mark.parametrize("kind", place.KINDS, ids=lambda kind: kind.code)
def test_every_kind_of_finding_is_found_in_its_wrong_example_only(kind) -> None:  # type: ignore[no-untyped-def]
    assert kind.code in codes(kind.wrong)
    assert kind.code not in codes(kind.right)


def test_the_parts_may_be_given_apart() -> None:
    assert place.clean(city="lima", state="Ohio", zip5="45801").value == place.find("45801")
    assert codes(city="lima", state="OH", zip5="45801") == []
    assert codes(city="Lima", state="OH", zip5="48501") == ["place.at_odds"]


def test_a_slip_in_the_zip_code_is_named_with_the_one_code_that_is_meant() -> None:
    note = place.clean("Lima, OH 48501").findings[0].note
    assert note == (
        "ZIP code 48501 is FLINT MI, but the form says LIMA OH. "
        "Ask if they mean 45801: that is one typo away, and in LIMA OH."
    )


@pytest.mark.parametrize(
    ("typed", "city", "state", "meant"),
    [
        ("48501", "Lima", "OH", "45801"),  # two digits swapped
        ("4526", "Goshen", "IN", "46526"),  # a digit lost
        ("466526", "Goshen", "IN", "46526"),  # a digit too many
        ("99999", "Lima", "OH", ""),
        ("48501", "", "OH", ""),
        ("48501", "Nowhere", "OH", ""),
        ("48501", "Lima", "Nowhere", ""),
    ],
)
def test_only_a_single_slip_is_put_right(typed: str, city: str, state: str, meant: str) -> None:
    found = place.suggestion(typed, city, state)
    assert found == meant


def test_nearly_all_slips_that_can_be_noticed_have_one_suggestion() -> None:
    """One wrong digit, city and state known; tests/benchmarks/places.py measures more of them."""
    chance = random.Random(7)
    streets = [c for c, line in zip_codes.lines().items() if line.split("\t")[3] == "S"]
    noticed = right = 0
    for code in chance.sample(streets, 1500):
        spot = place.find(code)
        assert spot is not None
        at = chance.randrange(5)
        digit = chance.choice([d for d in "0123456789" if d != code[at]])
        typed = code[:at] + digit + code[at + 1 :]
        if codes(city=spot.city, state=spot.state, zip5=typed):
            noticed += 1
            right += place.suggestion(typed, spot.city, spot.state) == code
    assert noticed > 1300
    assert right / noticed > 0.95


def test_the_table_is_that_of_the_package_zipcodes() -> None:
    theirs = {row["zip_code"]: row for row in zipcodes.list_all()}
    assert zip_codes.lines().keys() == theirs.keys()
    for code, row in theirs.items():
        spot = place.find(code)
        assert spot is not None
        assert spot.state == row["state"]
        assert spot.area_codes == tuple(row["area_codes"])
        known = float(row["lat"]) != 0
        assert (spot.latitude is not None) == known
        if known:
            assert spot.latitude == pytest.approx(float(row["lat"]), abs=1e-4)
            assert spot.longitude == pytest.approx(float(row["long"]), abs=1e-4)


def test_a_zip_code_without_coordinates_is_infinitely_far_away() -> None:
    military, lima = place.find("09112"), place.find("45801")
    assert military is not None
    assert lima is not None
    assert military.latitude is None
    assert place.miles(military, lima) == float("inf")


@pytest.mark.parametrize(
    ("here", "there", "miles"),
    # great circle of two points, by the haversine on a sphere of radius 6371.0088 km (IUGG); a degree
    # of a meridian is 69.09 miles, and half the equator 20,015.1 km
    [((0.0, 0.0), (1.0, 0.0), 69.09), ((0.0, 0.0), (0.0, 180.0), 12436.8), ((40.0, -80.0), (40.0, -80.0), 0),
     ((90.0, 0.0), (-90.0, 77.0), 12436.8), ((0.0, 179.5), (0.0, -179.5), 69.09)],
)  # fmt: skip
def test_distance_is_that_of_the_great_circle(
    here: tuple[float, float], there: tuple[float, float], miles: float
) -> None:
    a, b = Place("", "", "", *here), Place("", "", "", *there)
    assert place.miles(a, b) == pytest.approx(miles, abs=0.1)


CODES = st.sampled_from(sorted(c for c, line in zip_codes.lines().items() if line.split("\t")[4]))


@given(CODES, CODES)
@settings(max_examples=100, deadline=None)
def test_it_is_as_far_there_as_back(a: str, b: str) -> None:
    here, there = place.find(a), place.find(b)
    assert here is not None
    assert there is not None
    assert place.miles(here, there) == pytest.approx(place.miles(there, here))
    assert place.miles(here, there) < 12_437


@given(st.text(max_size=60), st.text(max_size=10), st.text(max_size=10), st.text(max_size=10))
@settings(max_examples=300, deadline=None)
def test_no_text_makes_the_rule_raise(said: str, city: str, state: str, zip5: str) -> None:
    for cleaned in (place.clean(said), place.clean(city=city, state=state, zip5=zip5)):
        assert cleaned.value is not None or cleaned.findings


@given(CODES)
@settings(max_examples=200, deadline=None)
def test_cleaning_a_shown_place_changes_nothing_and_finds_nothing(code: str) -> None:
    spot = place.find(code)
    assert spot is not None
    again = place.clean(place.show(spot))
    assert again.value == spot
    assert again.findings == ()


@pytest.mark.parametrize("junk", ["9" * 100_000, "A " * 50_000, "\udcff\x00", "1-" * 10_000])
def test_junk_is_answered_with_a_word(junk: str) -> None:
    assert codes(junk)
