"""The columns of the sheet of questions, for those who write it and those who read it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import NamedTuple

CORRECTION = "Correct: "  # heading of a column of corrections, before the field


class Column(NamedTuple):
    """One column of the sheet of questions."""

    name: str
    heading: str
    also: tuple[str, ...]  # what else the heading may be, in a sheet made by hand or earlier
    width: float  # characters
    help: str


@cache
def columns() -> Mapping[str, Column]:
    """The columns by name, from answer_sheet.tsv."""
    return columns_of("answer_sheet.tsv")


def columns_of(table: str) -> Mapping[str, Column]:
    """The columns by name, from a table of columns of a sheet."""
    text = files("onboard.tables").joinpath(table).read_text("utf-8")
    lines = [line.split("\t") for line in text.splitlines() if line and not line.startswith("#")]
    return {
        name: Column(name, heading, tuple(also.split("|")), float(width), help_)
        for name, heading, also, width, help_ in lines[1:]
    }


def correction(field: str) -> str:
    """The heading of the column in which `field` is corrected.

    >>> correction("full_name")
    'Correct: full name'
    """
    return CORRECTION + field.replace("_", " ")
