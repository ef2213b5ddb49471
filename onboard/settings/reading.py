"""The settings file: found, read, understood."""

from __future__ import annotations

import os
import tomllib
from dataclasses import fields, replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from onboard.errors import SettingsTrouble
from onboard.settings.checks import Earlier
from onboard.settings.key import is_many
from onboard.settings.lines import Lines
from onboard.settings.model import KEYS, TABLES, Coop, Settings, Tables
from onboard.settings.places import Group, Window, WrittenGroup
from onboard.settings.window_rule import WindowRule
from onboard.settings.words import shown

if TYPE_CHECKING:
    from pydantic import TypeAdapter

    from onboard.settings.mistakes import Wrong

NAME = "onboard.toml"
LONGEST_WORDS = 300  # letters that a message repeats of a path, or of what the reader of TOML said


def find(beside: Path | None = None) -> Path:
    """The settings file, where none is named: $ONBOARD_SETTINGS, or onboard.toml here, or beside the file worked on.

    Raises `SettingsTrouble` if there is none.
    """
    if named := os.environ.get("ONBOARD_SETTINGS"):
        return Path(named)
    places = [Path.cwd()] + ([beside.parent] if beside else [])
    for folder in places:
        if (folder / NAME).is_file():
            return folder / NAME
    looked = " and ".join(str(folder.resolve()) for folder in dict.fromkeys(places))
    raise SettingsTrouble(
        f"There is no {NAME} in {looked}: make one with `onboard start`, or name it with --settings."
    )


def read(file: Path) -> Settings:
    """The settings in a TOML file.

    Raises `SettingsTrouble` that lists every mistake, a line each, with its line number and
    what to do about it. Relative paths in the file are relative to the file.
    """
    file = Path(file)
    text = text_of(file)
    tables = _understood(_said(text, file), text, file)
    here = file.resolve().parent
    paths, mail, box = tables.files, tables.mail, tables.mailbox
    return Settings(
        **{field.name: getattr(tables.coop, field.name) for field in fields(Coop)},
        file=file.resolve(),
        handle=tables.handle,
        password=tables.first_password,
        mail=replace(
            mail, dkim_key=_beside(here, mail.dkim_key), secret_file=_beside(here, mail.secret_file)
        ),
        mailbox=replace(box, secret_file=_beside(here, box.secret_file)),
        desk=tables.desk,
        look=replace(tables.look, logo=_beside(here, tables.look.logo)),
        audit=tables.audit,
        host_sheet=tables.host_sheet,
        guide=tables.guide,
        porch=tables.porch,
        windows=tables.windows,
        reminders=tables.reminders,
        groups=tuple(_group(group, tables.windows) for group in tables.group),
        sites=tables.site,
        store=_store(paths.roster, here),
        outbox=here / paths.outbox,
        spool=here / paths.spool if paths.spool else None,
        log=here / paths.log if paths.log else None,
        templates=here / paths.templates if paths.templates else None,
    )


def _beside(here: Path, file: str) -> str:
    """A file that the settings name, seen from anywhere; "" for none."""
    return str(here / file) if file else ""


def _group(said: WrittenGroup, rule: WindowRule) -> Group:
    """The group with its windows at their times, and the rule by which it has turns."""
    times = rule.opening_time, rule.closing_time
    windows = tuple(Window(days.opens, days.closes, *times) for days in said.windows)
    return Group(said.name, windows, rule if said.name in rule.rotation else None)


def _store(said: str, here: Path) -> str:
    return said if "://" in said else f"sqlite:///{here / (said or 'roster.db')}"


def text_of(file: Path) -> str:
    """What a settings file says, without a mark of its encoding. Raises `SettingsTrouble`."""
    try:
        content = file.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        why = str(getattr(error, "strerror", None) or error)
        remedy = "check its name, and who may read it"
        if isinstance(error, FileNotFoundError):
            remedy = "make them with `onboard start`"
        if isinstance(error, IsADirectoryError):
            remedy = f"that is a folder, so name the file in it, such as {file / NAME}"
        name = shown(str(file), LONGEST_WORDS)
        raise SettingsTrouble(f"The settings {name} can't be read ({why}): {remedy}.") from error
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = "\0"
    if "\0" in text:  # what other encodings and broken disks leave in a text
        raise SettingsTrouble(f"The settings {file} are not in UTF-8: save the file as UTF-8.")
    return text


def _said(text: str, file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError:
        why = "brackets are nested too deep. Close each bracket that you open"
    except tomllib.TOMLDecodeError as error:
        why = (
            f"{shown(str(error), LONGEST_WORDS)}. "
            "Put text in double quotes, and write days as 2026-12-01"
        )
    except ValueError:  # Python reads no number of more than 4300 digits
        why = "a number in it is too long. Check the numbers"
    raise SettingsTrouble(f"The settings {file} are not valid TOML: {why}.")


def _understood(said: dict[str, Any], text: str, file: Path) -> Tables:
    from pydantic import ValidationError

    try:
        return _validated(said, file)
    except ValidationError as error:
        from onboard.settings.mistakes import told

        mistakes = told(error.errors(include_url=False, include_input=False), Lines(text))
    # Not raised from pydantic's error: that one has the values, and a value may be a secret.
    raise SettingsTrouble("\n".join([f"The settings {file} need fixing:", *mistakes]))


def wrong_with(text: str, file: Path) -> tuple[Wrong, ...]:
    """What would be wrong with the settings in a file if it said this. Raises `SettingsTrouble` for what is no TOML."""
    from pydantic import ValidationError

    said = _said(text, file)
    try:
        _validated(said, file)
    except ValidationError as error:
        from onboard.settings.mistakes import wrong

        return wrong(error.errors(include_url=False, include_input=False))
    return ()


def _validated(said: dict[str, Any], file: Path) -> Tables:
    empty: dict[str, Any] = {name: [] if is_many(key) else {} for name, key in TABLES.items()}
    earlier = Earlier(
        KEYS["coop"]["region"].default, file.resolve().parent, closed=_closed(said.get("site"))
    )
    return _adapter().validate_python(empty | said, context=earlier)


def _closed(sites: object) -> frozenset[str]:
    """The names of the sites that are said to have closed for good."""
    tables = [one for one in sites if isinstance(one, dict)] if isinstance(sites, list) else []
    return frozenset(str(one.get("name")) for one in tables if one.get("closed") is True)


@cache
def _adapter() -> TypeAdapter[Tables]:
    from pydantic import TypeAdapter  # takes long to load: not for who only asks for help

    return TypeAdapter(Tables)
