"""The co-op's settings changed: in the text of their file, which stays the truth and keeps its notes."""

from __future__ import annotations

import hashlib
import os
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import ndiff
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout
from sqlalchemy import Connection

from onboard import unfinished
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.model import Owner
from onboard.office import Act, Office
from onboard.reports.counts import counted
from onboard.roster import at_sites, journal
from onboard.settings.editing import Added, Change, Edit, Removed, edited
from onboard.settings.mistakes import Wrong
from onboard.settings.reading import text_of, wrong_with

KEPT = "onboard-before.toml"  # the file as it was before the last change
WAIT = 5  # seconds for somebody else who is saving
MEANWHILE = "Somebody else has changed the settings file in the meantime, so nothing was saved."
HAS_SITES = "“{name}” still has drop sites: {sites}. First give each of them another group."
HAS_TURNS = "“{name}” still takes turns with other groups. First take it out of the turns."
HAS_MEMBERS = (
    "“{name}” is the drop site of {members}, closed accounts among them if there are any. First move them to another site, or "
    "say on its page that the site has closed for good: then the program still knows it."
)
NOT_HERE = (
    ("files", ""),
    ("mail", "secret_from"),
    ("mail", "secret_file"),
    ("mail", "dkim_key"),
    ("mailbox", "secret_from"),
    ("mailbox", "secret_file"),
    ("porch", "keys"),
)


@dataclass(frozen=True, slots=True)
class WrittenSettings:
    """The settings as their file writes them."""

    said: dict[str, Any]  # what is left out in the file is not in it
    version: str  # another one as soon as anything in the file is otherwise


@dataclass(frozen=True, slots=True)
class SettingsChange:
    """What a change of the settings comes to."""

    wrong: tuple[Wrong, ...]  # with any, nothing is saved
    gone: tuple[str, ...] = ()  # lines of the file
    come: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.gone or self.come)


def may_change_settings(office: Office) -> bool:
    """Whether whoever is at work may change the settings. They say who may look members up, so nobody else may."""
    return office.may(Act.SETTINGS) and office.may(Act.LOOK_UP)


def written_settings(office: Office) -> WrittenSettings:
    """The settings as their file writes them. Raises `SettingsTrouble`."""
    _see_that_one_may(office)
    text = text_of(office.settings.file)
    return WrittenSettings(tomllib.loads(text), _version(text))


def change_settings(
    office: Office, edits: Sequence[Change], version: str, *, keep: bool
) -> SettingsChange:
    """What comes of these edits; with `keep`, and if nothing is wrong then, they are saved, all or none.

    `version` is that of the file from which whoever changes it started. The file as it was is kept next to
    it. Raises `ChangedMeanwhile` where the file is another by now, `NotAllowed` where whoever is at work may
    not change settings, or a key may be changed in the file only, `FileTrouble`, `StoreTrouble` and
    `SettingsTrouble`.
    """
    _see_that_one_may(office)
    if not keep:
        with office.reading() as connection:
            return _outcome(office, connection, edits, version)[1]
    lock = FileLock(
        office.settings.file.parent / ".onboard-settings.lock", timeout=WAIT, mode=0o600
    )
    try:
        with lock:
            with office.transaction() as connection:
                text, done = _outcome(office, connection, edits, version)
                if done and not done.wrong:
                    entries = _entries(edits, text_of(office.settings.file))
                    journal.write(connection, entries, office.signature())
                    _save(office.settings.file, text)
    except Timeout:
        raise FileTrouble("Somebody else is saving the settings. Try again in a moment.") from None
    return done


def _see_that_one_may(office: Office) -> None:
    office.see_that_one_may(Act.SETTINGS)
    office.see_that_one_may(Act.LOOK_UP)


def _outcome(
    office: Office, connection: Connection, edits: Sequence[Change], version: str
) -> tuple[str, SettingsChange]:
    file = office.settings.file
    before = text_of(file)
    if _version(before) != version:
        raise ChangedMeanwhile(MEANWHILE)
    for edit in edits:
        key = edit.key if isinstance(edit, Edit) else ""
        if (edit.table, key) in NOT_HERE or (edit.table, "") in NOT_HERE:
            raise FileTrouble(f"[{edit.table}] {key} can be changed in the settings file only.")
    after = edited(before, edits)
    gone, come = _differences(before.splitlines(), after.splitlines())
    left = _left_behind(connection, edits, tomllib.loads(before))
    return after, SettingsChange(left or wrong_with(after, file), gone, come)


def _differences(
    before: Sequence[str], after: Sequence[str]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The lines that go, and those that come. What goes or comes in one piece is that piece, from its first line
    on: which of two lines that are the same went, nobody can tell from the text."""
    first = 0
    while first < min(len(before), len(after)) and before[first] == after[first]:
        first += 1
    last = 0
    while last < min(len(before), len(after)) - first and before[-1 - last] == after[-1 - last]:
        last += 1
    old, new = before[first : len(before) - last], after[first : len(after) - last]
    if not (old and new):
        return tuple(_from_its_head(before, first, len(old))), tuple(
            _from_its_head(after, first, len(new))
        )
    lines = list(ndiff(old, new))
    gone, come = (tuple(line[2:] for line in lines if line[0] == sign) for sign in "-+")
    return gone, come


def _from_its_head(lines: Sequence[str], first: int, many: int) -> Sequence[str]:
    """So many lines from there; or those further up that leave the same behind, if they begin with the head of a table."""
    start = first
    while (
        many
        and start
        and not lines[start].startswith("[")
        and lines[start - 1] == lines[start + many - 1]
    ):
        start -= 1
    at = start if many and lines[start].startswith("[") else first
    return lines[at : at + many]


def _left_behind(
    connection: Connection, edits: Sequence[Change], said: Mapping[str, Any]
) -> tuple[Wrong, ...]:
    """Who would be left without what is taken out: the sites and turns of a group, the members of a site."""
    found = []
    for edit in edits:
        if not isinstance(edit, Removed):
            continue
        name = str(said[edit.table][edit.number].get("name", ""))
        if edit.table == "group":
            sites = [
                str(one.get("name")) for one in said.get("site", []) if one.get("group") == name
            ]
            if sites:
                found.append(HAS_SITES.format(name=name, sites=", ".join(sites)))
            if name in said.get("windows", {}).get("rotation", []):
                found.append(HAS_TURNS.format(name=name))
        elif many := at_sites.ever(connection, name):
            found.append(HAS_MEMBERS.format(name=name, members=counted(many, "member")))
    return tuple(Wrong(words) for words in found)


def _save(file: Path, text: str) -> None:
    """The file is the old or the new one, whole, whatever happens; a mark of its encoding stays."""
    try:
        before = file.read_bytes()
        mark = b"\xef\xbb\xbf" if before.startswith(b"\xef\xbb\xbf") else b""
        mode = file.stat().st_mode & 0o777
        _put(file.parent / KEPT, before, mode)
        _put(file, mark + text.encode(), mode)
    except OSError as error:
        raise FileTrouble(f"Can't write {file}: {error.strerror}. Nothing was changed.") from error


def _put(file: Path, content: bytes, mode: int) -> None:
    part = file.with_name(f"{unfinished.prefix()}settings{unfinished.SUFFIX}")
    handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            out.flush()
            os.fsync(out.fileno())
        part.chmod(mode)
        part.replace(file)
    except OSError:
        part.unlink(missing_ok=True)
        raise


def _entries(edits: Sequence[Change], before: str) -> list[journal.Entry]:
    """A word in the change log: which settings, and of which group or site, not what they say."""
    said = tomllib.loads(before)
    keys: dict[str, set[str]] = {}  # by group or site, "" for tables of which there is one
    named = []
    for edit in edits:
        if isinstance(edit, Added):
            named.append(f"[[{edit.table}]] “{edit.values.get('name', '')}” added")
            continue
        there = said.get(edit.table)
        many = there if isinstance(there, list) else []
        name = str(many[edit.number].get("name", "")) if edit.number < len(many) else ""
        if isinstance(edit, Removed):
            named.append(f"[[{edit.table}]] “{name}” taken out")
        else:
            keys.setdefault(name, set()).add(f"[{edit.table}] {edit.key}")
    named += [
        ", ".join(sorted(those)) + (f" of “{name}”" if name else "") for name, those in keys.items()
    ]
    return [journal.Entry("settings changed", Owner.roster(), why=why) for why in named]


def _version(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:32]
