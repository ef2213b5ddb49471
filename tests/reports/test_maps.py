"""Maps: every place is drawn where it is, and no label hides another."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import place
from onboard.model import Place
from onboard.reports import maps
from onboard.reports.map_labels import is_free, overlap
from onboard.reports.maps import Circle, Frame, Map, Mark
from onboard.tables.state_outlines import outlines

LIMA, SAN_JUAN, HONOLULU, JUNEAU = (40.76, -84.1), (18.43, -66.06), (21.3, -157.8), (58.36, -134.6)


def marks(*places: tuple[float, float]) -> list[Mark]:
    return [Mark(*spot, str(n), f"Site {n}") for n, spot in enumerate(places, start=1)]


def laid(circles: list[Circle], at: list[Mark]) -> Map:
    found = maps.lay(circles, at)
    assert found is not None
    return found


def lies_on_another(frame: Frame) -> list[tuple[object, object]]:
    """Labels that lie on another, or on a mark."""
    labels = [label.box for label in frame.labels]
    points = [(x - 4, y - 4, x + 4, y + 4) for x, y, _ in frame.marks]
    pairs = [*combinations(labels, 2), *((label, spot) for label in labels for spot in points)]
    return [(one, other) for one, other in pairs if overlap(one, other)]


def told(found: Map) -> list[str]:
    """The labels, one by one."""
    lines = [" ".join(label.lines) for frame in found.frames for label in frame.labels]
    return sorted((word for line in lines for word in line.split(", ")), key=int)


IN_OHIO = st.tuples(st.floats(39, 41.5), st.floats(-84.5, -81))


@settings(max_examples=25, deadline=None)
@given(st.lists(IN_OHIO, min_size=1, max_size=60))
def test_no_number_hides_another_and_each_is_told_once(places: list[tuple[float, float]]) -> None:
    found = laid([], marks(*places))
    assert told(found) == [str(n) for n in range(1, len(places) + 1)]
    for frame in found.frames:
        assert lies_on_another(frame) == []


@pytest.mark.parametrize(
    "places",
    [
        [LIMA] * 60,  # all in one ZIP code
        [(40 + n / 500, -84 + n / 500) for n in range(60)],  # in a row
        [(40 + n % 8 / 60, -84 + n // 8 / 60) for n in range(60)],  # in one town
        [(30 + n % 6 * 3, -120 + n // 6 * 5) for n in range(60)],  # all over the country
    ],
)
def test_sixty_sites_are_told_apart_however_close_they_are(
    places: list[tuple[float, float]],
) -> None:
    found = laid([], marks(*places))
    assert told(found) == [str(n) for n in range(1, 61)]
    (frame,) = found.frames
    assert lies_on_another(frame) == []
    box = (frame.left, frame.top, frame.left + frame.wide, frame.top + frame.high)
    for label in frame.labels:
        assert is_free(label.box, box, [])


def test_what_is_far_off_has_a_frame_of_its_own() -> None:
    found = laid([Circle(*JUNEAU, 3)], marks(LIMA, SAN_JUAN, HONOLULU))
    assert [frame.name for frame in found.frames] == ["", "Puerto Rico", "Hawaii", "Alaska"]
    assert found.frames[0].bar[1]  # of the mainland alone a distance is told
    for frame in found.frames[1:]:
        assert frame.land  # its outline
        assert frame.top >= found.frames[0].high
        for x, y in [*((x, y) for x, y, _ in frame.marks), *((c.x, c.y) for c in frame.circles)]:
            assert frame.left < x < frame.left + frame.wide
            assert frame.top < y < frame.top + frame.high


@pytest.mark.parametrize(
    "only", [SAN_JUAN, HONOLULU, JUNEAU, LIMA, (13.48, 144.75), (-14.28, -170.7)]
)
def test_a_coop_of_one_place_fills_the_map(only: tuple[float, float]) -> None:
    (frame,) = laid([Circle(*only, 5, 2)], marks(only)).frames
    assert frame.wide == maps.WIDE
    assert frame.name == ""
    assert frame.land
    assert frame.circles[0].part < frame.circles[0].radius


@pytest.mark.parametrize(
    ("zip5", "state"),
    [("53703", "WI"), ("45801", "OH"), ("00901", "PR"), ("99801", "AK"), ("96813", "HI"), ("05301", "VT"),
     ("10001", "NY"), ("33139", "FL"), ("98101", "WA")],
)  # fmt: skip
def test_a_place_lies_in_its_state(zip5: str, state: str) -> None:
    """The table of outlines and that of ZIP codes are of one globe."""
    spot = where(zip5)
    assert spot.state == state
    latitude, longitude = degrees(spot)
    assert [
        s for s, rings in outlines().items() for r in rings if inside(longitude, latitude, r)
    ] == [state]


def inside(x: float, y: float, ring: tuple[tuple[float, float], ...]) -> bool:
    """Whether a line to the right crosses the ring an odd number of times."""
    crossed = False
    for (x0, y0), (x1, y1) in pairwise(ring):
        if (y0 > y) != (y1 > y) and x < (x1 - x0) * (y - y0) / (y1 - y0) + x0:
            crossed = not crossed
    return crossed


def test_miles_are_miles() -> None:
    """The bar of a map and the distance between two ZIP codes agree."""
    one, other = where("45801"), where("44101")
    (frame,) = laid([], marks(degrees(one), degrees(other))).frames
    (x0, y0, _), (x1, y1, _) = frame.marks
    long, miles = frame.bar
    drawn = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 / long * miles
    assert drawn == pytest.approx(place.miles(one, other), rel=0.01)


def where(zip5: str) -> Place:
    spot = place.find(zip5)
    assert spot is not None
    return spot


def degrees(spot: Place) -> tuple[float, float]:
    assert spot.latitude is not None
    assert spot.longitude is not None
    return spot.latitude, spot.longitude


def test_nothing_is_drawn_of_nothing() -> None:
    assert maps.lay([], []) is None
