"""Makes state_outlines.tsv again from the outlines of the states in the npm package us-atlas.

    npm pack us-atlas@3.0.1 && tar xzf us-atlas-3.0.1.tgz
    python tests/tables/state_outlines.py package/states-10m.json

The file is TopoJSON (a border that two states share stands once, as an arc), so that arcs are made
plainer one by one and no gap opens between two states. Islands too small to be seen are left out.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np

NEAR = 0.004  # degrees that a point may be off the line, about 400 m
LEAST = 0.004  # square degrees of an island that is kept, unless it is its state's largest
POSTAL = {
    "01": "AL", "02": "AK", "04": "AZ", "05": "AR", "06": "CA", "08": "CO", "09": "CT", "10": "DE", "11": "DC",
    "12": "FL", "13": "GA", "15": "HI", "16": "ID", "17": "IL", "18": "IN", "19": "IA", "20": "KS", "21": "KY",
    "22": "LA", "23": "ME", "24": "MD", "25": "MA", "26": "MI", "27": "MN", "28": "MS", "29": "MO", "30": "MT",
    "31": "NE", "32": "NV", "33": "NH", "34": "NJ", "35": "NM", "36": "NY", "37": "NC", "38": "ND", "39": "OH",
    "40": "OK", "41": "OR", "42": "PA", "44": "RI", "45": "SC", "46": "SD", "47": "TN", "48": "TX", "49": "UT",
    "50": "VT", "51": "VA", "53": "WA", "54": "WV", "55": "WI", "56": "WY", "60": "AS", "66": "GU", "69": "MP",
    "72": "PR", "78": "VI",
}  # fmt: skip
HEAD = """\
# Outlines of the states and territories: a line each, its rings apart by ";", a ring as longitude and latitude in
# thousandths of a degree, the first point as it is and each further one as the difference to the one before.
# Source: US Census Bureau, cartographic boundary files, states, 2017 edition, as TopoJSON in us-atlas 3.0.1 (npm),
# made plainer by tests/tables/state_outlines.py. Version: us-atlas 3.0.1. Licence: public domain; us-atlas ISC.
#state	name	rings
"""

Points = list[tuple[float, float]]


def arcs_of(said: dict[str, object]) -> list[Points]:
    """The arcs in degrees: numbers in the file are differences on a grid."""
    (kx, ky), (dx, dy) = said["transform"]["scale"], said["transform"]["translate"]  # type: ignore[index]
    arcs = []
    for arc in said["arcs"]:  # type: ignore[attr-defined]
        steps = np.cumsum(np.array(arc), axis=0)
        arcs.append([(x * kx + dx, y * ky + dy) for x, y in steps.tolist()])
    return arcs


def plainer(points: Points) -> Points:
    """The line with fewer points, none of those left out further from it than `NEAR`.

    Douglas and Peucker, The Canadian Cartographer 10 (1973) 112-122.
    """
    if len(points) < 3:
        return points
    if points[0] == points[-1]:  # a ring: halved at the point furthest from its start
        x, y = np.array(points).T
        far = int(np.argmax((x - x[0]) ** 2 + (y - y[0]) ** 2))
        return plainer(points[: far + 1])[:-1] + plainer(points[far:])
    (x, y), (x0, y0), (x1, y1) = np.array(points).T, points[0], points[-1]
    off = np.abs((x1 - x0) * (y0 - y) - (x0 - x) * (y1 - y0)) / np.hypot(x1 - x0, y1 - y0)
    far = int(np.argmax(off))
    if off[far] <= NEAR:
        return [points[0], points[-1]]
    return plainer(points[: far + 1])[:-1] + plainer(points[far:])


def rings_of(arcs: Sequence[Points], shape: dict[str, object]) -> list[Points]:
    """The rings of a state, the largest first."""
    of: list[list[int]] = (
        [ring for polygon in shape["arcs"] for ring in polygon]  # type: ignore[attr-defined]
        if shape["type"] == "MultiPolygon"
        else shape["arcs"]  # type: ignore[assignment]
    )
    rings = []
    for ring in of:
        points: Points = []
        for at in ring:
            arc = arcs[at] if at >= 0 else arcs[~at][::-1]
            points += arc[1:] if points else arc
        rings.append(points)
    rings.sort(key=area, reverse=True)
    return [ring for n, ring in enumerate(rings) if n == 0 or area(ring) >= LEAST]


def area(ring: Points) -> float:
    return abs(sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairwise(ring))) / 2


def line(code: str, name: str, rings: Sequence[Points]) -> str:
    return "\t".join((code, name, ";".join(map(text, rings))))


def text(ring: Points) -> str:
    grid = [(round(x * 1000), round(y * 1000)) for x, y in ring]
    steps = [grid[0]] + [(x - a, y - b) for (a, b), (x, y) in pairwise(grid) if (x, y) != (a, b)]
    return " ".join(f"{x},{y}" for x, y in steps)


if __name__ == "__main__":
    said = json.loads(Path(sys.argv[1]).read_text("utf-8"))
    arcs = [plainer(arc) for arc in arcs_of(said)]
    lines = [
        line(POSTAL[shape["id"]], shape["properties"]["name"], rings_of(arcs, shape))
        for shape in said["objects"]["states"]["geometries"]
    ]
    table = Path(__file__).parents[2] / "onboard" / "tables" / "state_outlines.tsv"
    table.write_text(HEAD + "\n".join(sorted(lines)) + "\n", "utf-8")
