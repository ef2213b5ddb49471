"""The columns of the review file, for those who write it and those who read it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from typing import Any

from onboard.tables.answer_sheet import Column, columns_of


@cache
def columns() -> Mapping[str, Column]:
    """The columns by name, from review_sheet.tsv."""
    return columns_of("review_sheet.tsv")


def exact(field: str, before: Any, after: Any) -> str:
    """The values as they are stored, in one cell that no spreadsheet program takes for a number.

    >>> exact("consent", None, True)
    '{"field": "consent", "before": null, "after": true}'
    """
    return json.dumps({"field": field, "before": before, "after": after})


def read_exact(text: str) -> tuple[str, Any, Any] | None:
    """The field and its values before and after; None if the cell was changed."""
    try:
        said = json.loads(text)
        return str(said["field"]), said["before"], said["after"]
    except (ValueError, KeyError, TypeError, RecursionError):  # thousands of brackets
        return None
