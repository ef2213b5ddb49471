"""A map, laid out: where each mark, circle, number and piece of land stands. templates/map.svg.j2
draws it.

What is far from the other states (Alaska, Hawaii, the islands) has a frame of its own below, if there
is anything to show there. The land is that of the Census Bureau's outlines; no label lies on another
(`map_labels`). Nothing is told by colour alone, and `told` says the map in words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from math import cos, inf, radians, sin, sqrt
from typing import NamedTuple, TypeAlias

from onboard.reports import map_labels
from onboard.reports.map_labels import LETTER, MARK, Box, Label
from onboard.tables.state_outlines import outlines

WIDE = 400.0  # of every map, in its own units
_HIGH, _LOW = 430.0, 200.0  # of the largest frame, at most and at least
_INSET, _INSET_HIGH, _GAP = 126.0, 96.0, 11.0
_EDGE = 26.0  # between what is shown and the frame
_LEAST = 15.0  # miles that a frame shows at least
_EARTH = 3958.7613  # mean radius in miles (IUGG: 6371.0088 km)
_NEAR = 5.0  # circles nearer than this are drawn as one
_LARGEST, _SMALLEST = 11.0, 1.6  # radius of a circle
_NAMED = 900.0  # from this size on, a state on the map has its letters


Spot: TypeAlias = tuple[float, float]


class Circle(NamedTuple):
    """So many at one place, `part` of them of another kind. Degrees."""

    latitude: float
    longitude: float
    size: int
    part: int = 0


class Mark(NamedTuple):
    """A place with a label, such as a number. Degrees."""

    latitude: float
    longitude: float
    label: str
    told: str  # what it is, in words
    is_hollow: bool = False


class Drawn(NamedTuple):
    """A circle as it is drawn, with that of its part within."""

    x: float
    y: float
    radius: float
    part: float
    size: int


@dataclass(slots=True)
class Frame:
    """One piece of the map, with all that is in it."""

    name: str  # "" for the largest
    left: float
    top: float
    wide: float
    high: float
    land: list[str] = field(default_factory=list)  # paths
    states: list[tuple[str, float, float]] = field(default_factory=list)
    circles: list[Drawn] = field(default_factory=list)
    marks: list[tuple[float, float, Mark]] = field(default_factory=list)
    labels: list[Label] = field(default_factory=list)
    bar: tuple[float, int] = (0.0, 0)  # how long, and how many miles


@dataclass(frozen=True, slots=True)
class Map:
    """The whole map."""

    wide: float
    high: float
    told: str
    frames: tuple[Frame, ...]


class _Region(NamedTuple):
    """What has a frame of its own: the box within which its places are, and what it shows."""

    name: str
    south: float
    north: float
    west: float
    east: float
    shown: Box  # west, south, east, north


_APART = (
    _Region("Alaska", 50, 72, -190, -129, (-170, 54, -130, 71.4)),
    _Region("Hawaii", 18, 29, -179, -154, (-160.3, 18.9, -154.8, 22.3)),
    _Region("Puerto Rico", 17, 19, -68, -65.2, (-67.3, 17.85, -65.25, 18.55)),
    _Region("Virgin Islands", 17, 19, -65.2, -64, (-65.1, 17.67, -64.55, 18.42)),
    _Region("Guam", 12, 14, -217, -213, (-215.4, 13.24, -215.05, 13.65)),
    _Region("Northern Marianas", 14, 21, -217, -213, (-214.9, 14.1, -214.2, 15.3)),
    _Region("American Samoa", -15, -10, -172, -168, (-170.9, -14.4, -170.5, -14.2)),
)  # fmt: skip


def lay(circles: Sequence[Circle], marks: Sequence[Mark], told: str = "") -> Map | None:
    """The map of these places; None if there are none. `told` says in words what it shows.

    >>> lay([], [Mark(40.7, -84.1, "1", "Lima"), Mark(18.4, -66.1, "2", "San Juan")]).frames[1].name
    'Puerto Rico'
    """
    by_region: dict[_Region | None, tuple[list[Circle], list[Mark]]] = {}
    for circle in circles:
        by_region.setdefault(_region(circle), ([], []))[0].append(circle)
    for mark in marks:
        by_region.setdefault(_region(mark), ([], []))[1].append(mark)
    if not by_region:
        return None
    most = max((circle.size for circle in circles), default=1)

    def weight(region: _Region | None) -> tuple[int, int]:
        here, there = by_region[region]
        return len(there), len(here)

    largest, *others = sorted(by_region, key=weight, reverse=True)
    frames = [_frame(largest, *by_region[largest], most)]
    top = frames[0].high + _GAP
    for at, region in enumerate(others):
        left = (at % 3) * (_INSET + _GAP)
        row = top + (at // 3) * (_INSET_HIGH + _GAP + 12)
        frames.append(_frame(region, *by_region[region], most, inset=(left, row)))
    high = max(frame.top + frame.high + (14 if frame.name else 0) for frame in frames)
    return Map(WIDE, high, told, tuple(frames))


def _region(place: Circle | Mark) -> _Region | None:
    longitude = _one_side(place.longitude)
    return next(
        (
            region
            for region in _APART
            if region.south <= place.latitude <= region.north
            and region.west <= longitude <= region.east
        ),
        None,
    )


def _one_side(longitude: float) -> float:
    """West of Greenwich, beyond the date line too."""
    return longitude - 360 if longitude > 0 else longitude


# ---------------------------------------------------------------- from the globe to the paper


class _Projection:
    """Albers' conic, in which every square mile has the same size: Snyder, Map Projections, USGS
    Professional Paper 1395 (1987), equations 14-1 to 14-6, on a sphere."""

    def __init__(self, south: float, north: float, west: float, east: float) -> None:
        sixth = (north - south) / 6
        one, other = radians(south + sixth), radians(north - sixth)
        self.n = (sin(one) + sin(other)) / 2
        if abs(self.n) < 0.01:  # at the equator, where a cone is a cylinder
            self.n = 0.01
        self.c = cos(one) ** 2 + 2 * self.n * sin(one)
        self.middle = radians((west + east) / 2)
        self.from_pole = self._rho(radians((south + north) / 2))

    def _rho(self, latitude: float) -> float:
        return _EARTH * sqrt(max(0.0, self.c - 2 * self.n * sin(latitude))) / self.n

    def miles(self, longitude: float, latitude: float) -> Spot:
        """Miles to the right of the middle, and below it."""
        rho = self._rho(radians(latitude))
        theta = self.n * (radians(longitude) - self.middle)
        return rho * sin(theta), rho * cos(theta) - self.from_pole


def _frame(
    region: _Region | None,
    circles: Sequence[Circle],
    marks: Sequence[Mark],
    most: int,
    inset: Spot | None = None,
) -> Frame:
    places = [(_one_side(c.longitude), c.latitude) for c in circles]
    places += [(_one_side(mark.longitude), mark.latitude) for mark in marks]
    if region and inset:
        west, south, east, north = region.shown
        places += [(west, south), (east, south), (west, north), (east, north)]
    longitudes, latitudes = zip(*places, strict=True)
    globe = _Projection(min(latitudes), max(latitudes), min(longitudes), max(longitudes))
    x, y = zip(*(globe.miles(*place) for place in places), strict=True)
    across, down = max(max(x) - min(x), _LEAST), max(max(y) - min(y), _LEAST)
    edge = 10.0 if inset else _EDGE
    wide = _INSET if inset else WIDE
    scale = (wide - 2 * edge) / across
    if inset:
        high = _INSET_HIGH
        scale = min(scale, (high - 2 * edge) / down)
    else:
        scale = min(scale, (_HIGH - 2 * edge) / down)
        high = max(_LOW, down * scale + 2 * edge)
    left, top = inset or (0.0, 0.0)
    frame = Frame(region.name if region and inset else "", left, top, wide, high)
    x0 = left + wide / 2 - (max(x) + min(x)) / 2 * scale
    y0 = top + high / 2 - (max(y) + min(y)) / 2 * scale

    def place(longitude: float, latitude: float) -> Spot:
        right, below = globe.miles(_one_side(longitude), latitude)
        return x0 + right * scale, y0 + below * scale

    box = (left, top, left + wide, top + high)
    middles = []
    for state, rings in outlines().items():
        path, middle = _land(rings, box, place)
        if path:
            frame.land.append(path)
            middles.append((state, *middle))
    frame.circles = _drawn(
        [(*place(c.longitude, c.latitude), c.size, c.part) for c in circles], most
    )
    frame.marks = [(*place(mark.longitude, mark.latitude), mark) for mark in marks]
    if not inset:
        frame.bar = _bar(scale)
    _label(frame, box, middles)
    return frame


def _bar(scale: float) -> tuple[float, int]:
    """A bar of round miles: how long, and how many."""
    miles = next((m for m in (500, 200, 100, 50, 20, 10, 5, 2) if m * scale < WIDE / 4), 1)
    return miles * scale, miles


# ---------------------------------------------------------------- land


def _land(
    rings: Sequence[Sequence[Spot]], box: Box, place: Callable[[float, float], Spot]
) -> tuple[str, tuple[float, float, float]]:
    """The path of what is within the box, and the middle and size of its largest piece; "" for none."""
    left, top, right, bottom = box
    beyond = (left - 4, top - 4, right + 4, bottom + 4)  # so that no cut is seen
    shapes = [_clipped([place(*point) for point in ring], beyond) for ring in rings]
    shapes = [shape for shape in shapes if len(shape) > 2]
    if not shapes:
        return "", (0.0, 0.0, 0.0)
    path = "".join(
        "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in _thinned(shape)) + "Z" for shape in shapes
    )
    within = (_clipped(shape, box) for shape in shapes)
    return path, max(map(_middle, within), key=lambda middle: middle[2])


def _clipped(points: Sequence[Spot], box: Box) -> list[Spot]:
    """What of the shape is within the box: Sutherland and Hodgman, CACM 17 (1974) 32-42."""
    shape = list(points)
    for axis, limit, sign in ((0, box[0], 1), (0, box[2], -1), (1, box[1], 1), (1, box[3], -1)):
        kept: list[Spot] = []
        for one, other in zip(shape, [*shape[1:], *shape[:1]], strict=True):
            here, there = (one[axis] - limit) * sign, (other[axis] - limit) * sign
            if here >= 0:
                kept.append(one)
            if (here >= 0) != (there >= 0):
                part = here / (here - there)
                kept.append(
                    (one[0] + part * (other[0] - one[0]), one[1] + part * (other[1] - one[1]))
                )
        shape = kept
    return shape


def _thinned(shape: Sequence[Spot]) -> Iterator[Spot]:
    """The shape without points that nobody can see beside the one before."""
    last = (inf, inf)
    for point in shape:
        if abs(point[0] - last[0]) + abs(point[1] - last[1]) > 0.5:
            yield point
            last = point


def _middle(shape: Sequence[Spot]) -> tuple[float, float, float]:
    """The middle of a shape, and its area."""
    twice = x = y = 0.0
    for (x0, y0), (x1, y1) in zip(shape, [*shape[1:], *shape[:1]], strict=True):
        cross = x0 * y1 - x1 * y0
        twice += cross
        x += (x0 + x1) * cross
        y += (y0 + y1) * cross
    return (x / (3 * twice), y / (3 * twice), abs(twice) / 2) if twice else (0.0, 0.0, 0.0)


# ---------------------------------------------------------------- circles


def _drawn(circles: Sequence[tuple[float, float, int, int]], most: int) -> list[Drawn]:
    """The circles, the largest first; those on one spot are one."""
    spots: dict[tuple[int, int], list[float]] = {}
    for x, y, size, part in circles:
        spot = spots.setdefault((round(x / _NEAR), round(y / _NEAR)), [x, y, 0, 0])
        spot[2] += size
        spot[3] += part
    most = max([most, *(int(size) for _, _, size, _ in spots.values())])

    def radius(size: float) -> float:
        return max(_SMALLEST, _LARGEST * sqrt(size / most)) if size else 0.0

    return [
        Drawn(x, y, radius(size), radius(part), int(size))
        for x, y, size, part in sorted(spots.values(), key=lambda spot: -spot[2])
    ]


# ---------------------------------------------------------------- words


def _label(frame: Frame, box: Box, states: Sequence[tuple[str, float, float, float]]) -> None:
    """Give every mark its label, and every state its letters where nothing else is."""
    taken = [(x - MARK, y - MARK, x + MARK, y + MARK) for x, y, _ in frame.marks]
    if frame.bar[1]:
        left, _, _, bottom = box
        taken.append((left, bottom - 20, left + frame.bar[0] + 75, bottom))
    frame.labels = map_labels.place([(x, y, mark.label) for x, y, mark in frame.marks], box, taken)
    taken += [label.box for label in frame.labels]
    for state, x, y, size in sorted(states, key=lambda state: -state[3]):
        letters = Label((state,), x - LETTER, y + 5)
        if size > _NAMED and map_labels.is_free(letters.box, box, taken):
            frame.states.append((state, letters.x, letters.y))
            taken.append(letters.box)
