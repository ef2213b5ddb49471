"""Which column is which field, kept in a file from one batch to the next."""

from __future__ import annotations

import tomllib
from pathlib import Path

import tomlkit

from onboard.errors import FileTrouble
from onboard.intake import boxes
from onboard.intake.columns import Columns
from onboard.intake.fields import EXTRA, FIELDS, known
from onboard.intake.headings import IGNORED, Why

_OPENING = """\
Which column of a join form is which field, as you answered or as it was recognised before.
Edit by hand as you like: "Heading" = "field", or "-" for a column not to use.
Fields: {fields}, {extra}QUESTION.
A box to check may say what it means if nobody checked it: "consent:no", "consent:yes", "consent:ask".
"""


def remember(path: Path, columns: Columns) -> None:
    """Keeps the field of every recognised column in the TOML file at `path`.

    What the file already says of other headings, and its comments, stay. Raises
    `FileTrouble` when it cannot be read or written.
    """
    recall(path)  # says what is wrong with a file that was edited badly
    if path.exists():
        page = tomlkit.parse(path.read_text("utf-8"))
    else:
        page = tomlkit.document()
        opening = _OPENING.format(fields=", ".join(FIELDS), extra=EXTRA)
        for line in opening.splitlines():
            page.add(tomlkit.comment(line))
    if "columns" not in page:
        page.add("columns", tomlkit.table())
    table = page["columns"]
    for column in columns.columns:
        if column.field or column.why is Why.TOLD:
            table[column.heading] = boxes.joined(column.field, column.empty) or IGNORED
    part = path.with_name(f"{path.name}.part")  # so that the file is the old or the new one, whole
    try:
        part.write_text(tomlkit.dumps(page), "utf-8")
        part.replace(path)
    except OSError as error:
        raise FileTrouble(f"Can't write {path}: {error.strerror}.") from error


def recall(path: Path) -> dict[str, str]:
    """What `remember` kept: heading to field; empty when there is no such file.

    Raises `FileTrouble` when the file is not TOML or names a field that there is not.
    """
    try:
        page = tomllib.loads(path.read_text("utf-8"))
    except FileNotFoundError:
        return {}
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileTrouble(
            f"Can't read {path}: {error}. Fix it, or delete it to start over."
        ) from error
    table = page.get("columns", {})
    if not isinstance(table, dict):
        raise FileTrouble(f'{path}: "columns" must be a table, [columns].')
    for heading, field in table.items():
        if not isinstance(field, str) or not (field == IGNORED or known(field)):
            raise FileTrouble(
                f'{path}: "{heading}" = "{field}": there is no such field. '
                f"The fields are {', '.join(FIELDS)}, {EXTRA}QUESTION, and -."
            )
    return dict(table)
