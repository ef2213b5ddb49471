"""A spreadsheet opened as this co-op reads it: with the columns that it remembers, and its own questions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from onboard import intake
from onboard.errors import FileTrouble
from onboard.intake import Sheet
from onboard.intake.site_column import with_site
from onboard.office import Act, Office


def files_meant(given: Sequence[Path]) -> list[Path]:
    """The files that are named, and those that a pattern such as parts/*.csv stands for, by name.

    Raises `FileTrouble` where a pattern stands for none, and where a file is there twice.
    """
    meant: list[Path] = []
    for one in given:
        if one.exists() or not set("*?[") & set(str(one)):
            meant.append(one)
            continue
        found = sorted(Path(one.anchor).glob(str(one.relative_to(one.anchor))))
        if not found:
            raise FileTrouble(f"{one}: no file has such a name. Check the pattern.")
        meant += found
    places = [one.resolve() for one in meant]
    for at, place in enumerate(places):
        if place in places[:at]:
            raise FileTrouble(f"{meant[at]} is given twice. Give every file once.")
    return meant


def open_forms(
    office: Office,
    file: Path,
    *,
    told: Mapping[str, str] | None = None,
    needed: tuple[str, ...] = ("name", "email"),
    sheet: str = "",
) -> Sheet:
    """The file with its columns recognised; ask `columns.questions` before its rows.

    `told` says what columns hold, by heading. Raises `FileTrouble`.
    """
    opened = intake.open_rows(
        file, told=told, remembered=intake.recall(columns_file(office)),
        extra_questions=office.settings.extra_questions, needed=needed, sheet=sheet,
    )  # fmt: skip
    return with_site(opened, office.settings.sites)


def see_columns_are_clear(sheet: Sheet) -> None:
    """Raises `FileTrouble` while there is a question about the columns of a file."""
    if sheet.columns.questions:
        asked = "\n".join(f"- {question.ask}" for question in sheet.columns.questions)
        raise FileTrouble(f"The columns of {sheet.file} are not all clear:\n{asked}")


def remember_columns(office: Office, sheet: Sheet) -> Path:
    """Keep what the columns of the file hold, for files like it; the file in which that is kept.

    Raises `FileTrouble`.
    """
    office.see_that_one_may(Act.INTAKE)
    intake.remember(columns_file(office), sheet.columns)
    return columns_file(office)


def columns_file(office: Office) -> Path:
    """Where the columns are remembered: columns.toml beside the settings."""
    return office.settings.file.parent / "columns.toml"
