"""What must hold of the co-op's look: its color can be read, its picture can be shown."""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import TYPE_CHECKING

from onboard.settings.checks.values import path
from onboard.settings.words import shown

if TYPE_CHECKING:
    from onboard.settings.checks import Info

LEAST_CONTRAST = 4.5  # WCAG 2.2, 1.4.3 (AA)


def easy_to_read(value: str, _: Info) -> str:
    """A color that can be read on white, or none."""
    if not value:
        return value
    if not re.fullmatch("#[0-9a-fA-F]{6}", value):
        raise ValueError(f'is "{shown(value)}": write it with six digits, like "#1b5e20".')
    found = contrast_with_white(value)
    if found < LEAST_CONTRAST:
        raise ValueError(
            f"is {value}: its contrast with white is {found:.2f} to 1, too little to read. Choose a darker "
            "color, with at least 4.5 to 1."
        )
    return value


def contrast_with_white(color: str) -> float:
    """The contrast of a color with white (WCAG 2.2, contrast ratio and relative luminance).

    >>> contrast_with_white("#000000"), round(contrast_with_white("#777777"), 2)
    (21.0, 4.48)
    """
    parts = (int(color[place : place + 2], 16) / 255 for place in (1, 3, 5))
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 1.05 / (0.2126 * red + 0.7152 * green + 0.0722 * blue + 0.05)


def picture(value: str, info: Info) -> str:
    """A file whose name says that it is PNG or SVG, or none."""
    if value and PurePath(value).suffix.casefold() not in (".png", ".svg"):
        raise ValueError(f'is "{shown(value)}": give a PNG or an SVG file.')
    return path(value, info)
