"""What a person says that a column is: "Heading=field", on the command line or in columns.toml."""

from __future__ import annotations

import shlex
from collections.abc import Mapping, Sequence

from onboard.errors import FileTrouble
from onboard.intake import boxes
from onboard.intake.fields import BOXES, EMPTY, EXTRA, FIELDS, known
from onboard.intake.headings import IGNORED, Meaning, Why, fold


def option(heading: str, field: str) -> str:
    """The words to type that say so, as a shell takes them.

    >>> print(option("Cell phone", "phone"), option('The "real" name', "full_name"))
    --column 'Cell phone=phone' --column 'The "real" name=full_name'
    """
    name = " ".join(heading.split())
    return f"--column {shlex.quote(f'{name}={field}')}"


def settled(
    labels: Sequence[str], told: Mapping[str, str], remembered: Mapping[str, str]
) -> tuple[dict[int, Meaning], dict[int, str]]:
    """By place, the meanings that a person has said, now or before; and what an empty box means.

    Raises `FileTrouble` when `told` names a column or field that is not there.
    """
    recalled = {fold(h): f for h, f in remembered.items() if f == IGNORED or known(f)}
    before = {i: recalled[fold(name)] for i, name in enumerate(labels) if fold(name) in recalled}
    now = _told(told, labels)
    empty = {i: boxes.split(f)[1] for i, f in (before | now).items()}
    meanings = {
        i: Meaning((boxes.split(f)[0],), Why.REMEMBERED, "remembered") for i, f in before.items()
    }
    meanings |= {i: Meaning((boxes.split(f)[0],), Why.TOLD, "you said so") for i, f in now.items()}
    return meanings, empty


def _told(told: Mapping[str, str], labels: Sequence[str]) -> dict[int, str]:
    """Place of each told column and its field."""
    places: dict[int, str] = {}
    for heading, field in told.items():
        field = field.strip()
        if field.casefold() in ("", IGNORED, "ignore", "ignored", "none"):
            field = IGNORED
        elif not known(field):
            raise FileTrouble(
                f'{option(heading, field)}: there is no field "{field}". '
                f"The fields are {', '.join(FIELDS)}, {EXTRA}QUESTION, and - for a column "
                f"not to use. After {' or '.join(BOXES)} you can add what an empty box means: "
                f"{', '.join(':' + what for what in EMPTY)}."
            )
        places.update(dict.fromkeys(_meant(heading, field, labels), field))
    return places


def _meant(heading: str, field: str, labels: Sequence[str]) -> list[int]:
    """The places of the columns with this heading, or of the one whose heading begins so."""
    same = [i for i, name in enumerate(labels) if name.strip() == heading.strip()]
    same = same or [i for i, name in enumerate(labels) if fold(name) == fold(heading)]
    if same:
        return same
    start = fold(heading)
    begin = [i for i, name in enumerate(labels) if start and fold(name).startswith(start)]
    if len(begin) > 1:
        raise FileTrouble(
            f'{option(heading, field)}: {len(begin)} headings begin with "{heading}". Type more of '
            f"the one that you mean: {', '.join(labels[i] for i in begin)}."
        )
    if not begin:
        raise FileTrouble(
            f'{option(heading, field)}: the file has no column "{heading}". '
            f"Its columns are: {', '.join(labels)}."
        )
    return begin
