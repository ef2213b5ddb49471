"""Which drop sites are near, held against published coordinates; where the members of a site could go."""

from __future__ import annotations

import csv
from dataclasses import replace
from itertools import combinations
from math import acos, cos, radians, sin
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st

from onboard import nearby
from onboard.clean import place
from onboard.nearby import Home
from onboard.settings import Site

WITH_SOURCE = (Path(__file__).parent / "facts" / "zip_middles.csv").read_text().splitlines()
PUBLISHED = {
    row["zip"]: (float(row["latitude"]), float(row["longitude"]))
    for row in csv.DictReader(WITH_SOURCE[1:])
}


def site(name: str, zip5: str, **other: object) -> Site:
    return replace(Site(name, "1 Elm St", zip5, "Lake", "Robin Vale"), **other)  # type: ignore[arg-type]


LIMA, WAPAKONETA, CRIDERSVILLE = (
    site("Lima Grange", "45801"), site("Wapakoneta Depot", "45895"), site("Cridersville Shed", "45806"),
)  # fmt: skip
OHIO = (LIMA, WAPAKONETA, CRIDERSVILLE)


def published_miles(one: str, other: str) -> float:
    """By another formula than ours (the spherical law of cosines), on the mean radius 3,958.8 miles."""
    (a, b), (c, d) = PUBLISHED[one], PUBLISHED[other]
    a, c, turn = radians(a), radians(c), radians(b - d)
    return 3958.8 * acos(min(1.0, sin(a) * sin(c) + cos(a) * cos(c) * cos(turn)))


@pytest.mark.parametrize(("one", "other"), list(combinations(PUBLISHED, 2)))
def test_miles_are_those_between_published_middles_of_zip_codes(one: str, other: str) -> None:
    here, there = place.find(one), place.find(other)
    assert here
    assert there
    # The middle of an area is a matter of choice: a wide one (54601) has its middles 4 miles apart.
    assert place.miles(here, there) == pytest.approx(published_miles(one, other), abs=8)


def test_the_nearest_comes_first_with_its_miles() -> None:
    found = nearby.near("45801", OHIO)
    assert [one.site.name for one in found] == [
        "Lima Grange", "Cridersville Shed", "Wapakoneta Depot"
    ]  # fmt: skip
    assert found[0].miles == 0
    assert [one.is_close for one in found] == [True, False, False]


def test_sites_whose_distance_hardly_differs_are_both_close() -> None:
    twin = site("Lima Mill", "45804")
    assert [one.is_close for one in nearby.near("45805", (LIMA, twin, WAPAKONETA))] == [
        True, True, False
    ]  # fmt: skip


def test_of_two_at_one_place_the_order_is_that_of_their_names() -> None:
    names = [
        one.site.name for one in nearby.near("45895", (site("B", "45801"), site("A", "45801")))
    ]
    assert names == ["A", "B"]


def test_far_sites_are_never_called_close() -> None:
    assert not any(one.is_close for one in nearby.near("99501", OHIO))


def test_a_zip_code_that_nobody_knows_has_nothing_near() -> None:
    assert nearby.near("45800", OHIO) == ()
    assert nearby.near("09001", OHIO) == ()  # military mail has no place on the map


def test_closed_sites_and_sites_off_the_map_are_not_near() -> None:
    some = (replace(LIMA, closed=True), site("Nowhere Barn", "45800"), WAPAKONETA)
    assert [one.site.name for one in nearby.near("45801", some)] == ["Wapakoneta Depot"]
    assert [one.name for one in nearby.unplaced(some)] == ["Nowhere Barn"]


@pytest.mark.parametrize(
    ("far", "said"),
    [(0, "less than 1 mile"), (0.99, "less than 1 mile"), (1, "about 1 mile"), (1.6, "about 2 miles"), (1084.4, "about 1,084 miles")],
)  # fmt: skip
def test_distances_are_said_as_a_person_would(far: float, said: str) -> None:
    assert nearby.say_miles(far) == said


# ---------------------------------------------------------------- where members could go


def homes(*zips: str, at: str = "Old Mill") -> list[Home]:
    return [Home(number, zip5, at) for number, zip5 in enumerate(zips, 1)]


def test_each_goes_to_the_nearest_site_while_there_is_room() -> None:
    small = replace(CRIDERSVILLE, capacity=2)
    where = nearby.places_for(
        homes("45806", "45806", "45806"), (LIMA, small, WAPAKONETA), {small.name: 1}
    )
    names = [one.site.name for one in where if one.site]
    assert names == ["Cridersville Shed", "Lima Grange", "Lima Grange"]
    assert where[1].why.startswith("Cridersville Shed is closer, and full")


def test_whoever_has_the_shortest_way_has_the_first_choice() -> None:
    one_place = replace(CRIDERSVILLE, capacity=1)
    where = nearby.places_for(homes("45895", "45806"), (one_place, LIMA), {})
    assert [one.site and one.site.name for one in where] == ["Lima Grange", "Cridersville Shed"]


def test_where_every_site_is_full_nobody_is_sent_anywhere() -> None:
    full = replace(LIMA, capacity=5)
    (where,) = nearby.places_for(homes("45801"), (full,), {full.name: 9})
    assert (where.site, where.why) == (None, "every open site is full")
    assert [one.site.name for one in where.near] == ["Lima Grange"]


@pytest.mark.parametrize(
    ("zip5", "why"),
    [("", "no ZIP code is on file: ask where they live"), ("45800", "we don't know ZIP code 45800: ask where they live")],
)  # fmt: skip
def test_whom_nobody_can_place_is_asked(zip5: str, why: str) -> None:
    (where,) = nearby.places_for(homes(zip5), OHIO, {})
    assert (where.site, where.why) == (None, why)


def test_nobody_is_sent_far_without_being_asked() -> None:
    (where,) = nearby.places_for(homes("43215"), OHIO, {})
    assert where.why == "far: ask them first"


@given(
    st.lists(st.sampled_from(["45801", "45804", "45806", "45895", "45800", ""]), max_size=12),
    st.tuples(*[st.integers(0, 4)] * 3),
    st.tuples(*[st.integers(0, 5)] * 3),
)
@effort(max_examples=150, deadline=None)
def test_no_site_is_given_more_than_it_has_room_for_and_nobody_is_left_while_there_is_room(
    zips: list[str], capacities: tuple[int, ...], had: tuple[int, ...]
) -> None:
    sites = [replace(one, capacity=most) for one, most in zip(OHIO, capacities, strict=True)]
    counts = {one.name: members for one, members in zip(sites, had, strict=True)}
    where = nearby.places_for(homes(*zips), sites, counts)
    assert [one.home.zip5 for one in where] == zips
    for one in sites:
        given_there = sum(found.site == one for found in where)
        if one.capacity:
            assert given_there <= max(0, one.capacity - counts[one.name])
    rooms = [
        nearby.room(one, counts[one.name] + sum(f.site == one for f in where)) for one in sites
    ]
    if any(room is None or room > 0 for room in rooms):
        assert all(found.site for found in where if found.near)


# ---------------------------------------------------------------- a new site


NEW = site("Wapakoneta Hall", "45895")


def nearer(*who: Home, least: float = 5) -> list[int]:
    return [one.home.member_id for one in nearby.nearer(who, (*OHIO, NEW), NEW, least)]


def test_those_who_live_nearer_to_a_new_site_by_so_many_miles() -> None:
    near_it, near_own = Home(1, "45895", "Lima Grange"), Home(2, "45801", "Lima Grange")
    assert nearer(near_it, near_own) == [1]
    (found,) = nearby.nearer([near_it], (*OHIO, NEW), NEW, 5)
    assert found.miles == 0
    assert found.own == pytest.approx(14, abs=1)
    assert nearer(near_it, least=15) == []


def test_who_is_at_the_new_site_or_off_the_map_is_not_asked() -> None:
    assert (
        nearer(Home(1, "45895", NEW.name), Home(2, "45800", "Lima Grange"), Home(3, "", "")) == []
    )


def test_who_has_no_site_is_asked_where_the_new_one_is_the_nearest() -> None:
    there = site("Anna Barn", "45302")
    one, other = Home(1, "45302", ""), Home(2, "45801", "")
    found = nearby.nearer([one, other], (*OHIO, there), there, 5)
    assert [(who.home.member_id, who.own) for who in found] == [(1, None)]


def test_who_has_a_closed_site_is_asked_as_whoever_has_none() -> None:
    there = site("Anna Barn", "45302")
    shut = replace(site("Anna Grange", "45302"), closed=True)
    near_it, far = Home(1, "45302", shut.name), Home(2, "45801", shut.name)
    found = nearby.nearer([near_it, far], (*OHIO, shut, there), there, 5)
    assert [(who.home.member_id, who.own) for who in found] == [(1, None)]
