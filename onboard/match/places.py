"""How alike the places are where two people live."""

from __future__ import annotations

import re

import numpy as np

from onboard.match import measures
from onboard.match.columns import Column, Columns, Flags, Index, pairs
from onboard.match.levels import LEVEL, Levels

_NUMBER = re.compile("[0-9]+")


def place(people: Columns, here: Index, there: Index) -> Levels:
    """The level of each pair of places, by five-digit ZIP code and city."""
    names = LEVEL["place"]
    found = pairs(people["zip5"], here, there)
    levels = measures.at_first("place", found)
    if len(found.left):
        judged = np.full(len(found.left), names["differs"], np.int8)
        judged[found.alike([text[:3] for text in people["zip5"].texts])] = names["region"]
        judged[measures.slips(found.left, found.right, 1) <= 1] = names["near"]
        found.spread(judged, levels)
    city = people["city"].codes
    same_city = (city[here] == city[there]) & (city[here] > 0)
    levels[same_city & (levels < names["city"])] = names["city"]
    return levels


def _boxes(streets: Column) -> Flags:
    """Of each person, whether they have a box at a post office or on a route, which is on no street."""
    boxes = [text.endswith(" box") for text in streets.texts]
    return np.array(boxes, np.bool_)[streets.codes]


def _same_numbers(one: str, other: str) -> bool:
    """Whether two streets are one by their numbers: 3rd and 4th Street are two, however alike."""
    return _NUMBER.findall(one) == _NUMBER.findall(other)


def address(people: Columns, here: Index, there: Index) -> Levels:
    """The level of each pair of addresses, by street, house number and unit."""
    names = LEVEL["address"]
    street, number = (pairs(people[field], here, there) for field in ("street", "number"))
    levels = np.full(len(here), names["differs"], np.int8)
    alike = street.same.copy()
    close = np.zeros(len(here), np.bool_)
    if len(street.left):
        likeness = measures.likeness(street.left, street.right)
        slips = measures.slips(street.left, street.right, 2)
        similar = likeness >= 0.82
        at = np.flatnonzero(similar | (slips <= 1))
        one = np.zeros(len(similar), np.bool_)
        one[at] = measures.flags(_same_numbers, street.left[at], street.right[at])
        street.spread(((slips <= 1) | (likeness >= 0.93)) & one, alike)
        street.spread(similar & one, close)
    slip = np.zeros(len(here), np.bool_)
    if len(number.left):
        number.spread(measures.slips(number.left, number.right, 1) <= 1, slip)
    levels[alike & ~_boxes(people["street"])[here]] = names["street"]
    levels[number.same & close] = names["number"]
    levels[alike & slip] = names["slip"]
    unit = people["unit"].codes
    a, b = unit[here], unit[there]
    there_too = alike & number.same
    levels[there_too] = np.select(
        [(a == 0) & (b == 0), a == b, (a == 0) | (b == 0)],
        [names["same"], names["unit"], names["building"]],
        names["units"],
    )[there_too]
    levels[street.unknown] = names["unknown"]
    return levels
