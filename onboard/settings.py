"""The co-op's own facts, read from one TOML file; every mistake in it is told at once.

docs/settings.md is the reference of the keys; `starter()` is a commented file to fill in.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import available_timezones

import phonenumbers
from email_validator import EmailNotValidError, validate_email
from rapidfuzz import process

from onboard.errors import SettingsTrouble

NAME = "onboard.toml"
LANGUAGES = ("en", "es")


@dataclass(frozen=True, slots=True)
class Window:
    """An ordering window: both days belong to it."""

    opens: date
    closes: date


@dataclass(frozen=True, slots=True)
class Group:
    """An ordering group: sites that order in the same windows."""

    name: str
    windows: tuple[Window, ...]  # by opening day


@dataclass(frozen=True, slots=True)
class Site:
    """A drop site."""

    name: str
    address: str
    zip5: str
    group: str  # Group.name
    host: str
    host_phone: str = ""
    closed: bool = False


@dataclass(frozen=True, slots=True)
class HandleRule:
    """How a handle is made of a name."""

    longest: int = 30
    reserved: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PasswordRule:
    """How first passwords are made, and how long they work."""

    words: int = 5
    valid_days: int = 14


@dataclass(frozen=True, slots=True)
class MailServer:
    """Where packets are sent through. The secret stays in the environment, never in the file."""

    host: str = ""
    port: int = 587
    user: str = ""
    secret_from: str = "ONBOARD_MAIL_SECRET"  # name of the environment variable
    security: str = "starttls"  # or "tls"


CHECKS = ("call-back", "mail")


@dataclass(frozen=True, slots=True)
class DeskRule:
    """What the help desk may do, and how it makes sure who calls.

    Names are those of the journal: the login, or what `--by` says. No `may_look_up` is everybody
    who can open the roster; no `may_reissue` is nobody.
    """

    checks: tuple[str, ...] = CHECKS
    may_look_up: tuple[str, ...] = ()
    may_reissue: tuple[str, ...] = ()
    tries_per_hour: int = 3  # to get a new first password for one member
    second_check_days: int = 14  # in which a changed contact proves nothing by itself

    def lets_look_up(self, who: str) -> bool:
        """Whether somebody may look members up."""
        return not self.may_look_up or _is_among(who, self.may_look_up)

    def lets_reissue(self, who: str) -> bool:
        """Whether somebody may have a new first password made for a caller."""
        return self.lets_look_up(who) and _is_among(who, self.may_reissue)


def _is_among(who: str, names: tuple[str, ...]) -> bool:
    return who.strip().casefold() in (name.strip().casefold() for name in names)


@dataclass(frozen=True, slots=True)
class AuditRule:
    """From when on an audit speaks of something."""

    unused_windows: int = 2  # ordering windows that passed without a first sign-in
    idle_windows: int = 6  # … without a sign-in or an order
    keep_closed_days: int = 730  # how long a closed account is kept
    site_least: int = 5  # members; a site of fewer is told
    site_most: int = 200  # … of more
    helper_from: int = 4  # people of several homes with one email or phone: a helper's


@dataclass(frozen=True, slots=True)
class Settings:
    """Everything a co-op tells us about itself."""

    file: Path
    coop: str
    ordering_page: str
    shop_page: str
    sender: str  # the address our mail comes from
    reply_phone: str
    postal_address: str
    timezone: str  # IANA name
    region: str  # ISO 3166 two letters; where a phone without a country code is
    languages: tuple[str, ...]
    security_question: bool
    handle: HandleRule
    password: PasswordRule
    mail: MailServer
    groups: tuple[Group, ...]
    sites: tuple[Site, ...]
    extra_questions: tuple[str, ...] = ()
    audit: AuditRule = AuditRule()
    desk: DeskRule = DeskRule()
    store: str = ""  # SQLAlchemy URL; "" means roster.db beside the settings file
    outbox: Path = Path("outbox")
    templates: Path | None = None  # folder of templates that replace ours

    def site(self, name: str) -> Site | None:
        """The site of that name, or None."""
        return next((s for s in self.sites if s.name == name), None)

    def group(self, name: str) -> Group | None:
        """The group of that name, or None."""
        return next((g for g in self.groups if g.name == name), None)


def starter() -> str:
    """The commented settings file that `onboard start` writes; it reads cleanly as it is."""
    return (files("onboard.tables") / "settings_starter.toml").read_text("utf-8")


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
    try:
        text = file.read_bytes().decode("utf-8-sig")
        said = tomllib.loads(text)
    except OSError as error:
        raise SettingsTrouble(
            f"The settings {file} cannot be read ({error.strerror}): make them with `onboard start`."
        ) from error
    except UnicodeDecodeError as error:
        raise SettingsTrouble(
            f"The settings {file} are not in UTF-8: save the file as UTF-8."
        ) from error
    except tomllib.TOMLDecodeError as error:
        raise SettingsTrouble(
            f"The settings {file} are not sound TOML: {error}. "
            "Text stands in double quotes, days are written 2026-12-01."
        ) from error
    form = _Form(said, _Lines(text))
    settings = _settings(form, file)
    if form.mistakes:
        told = "\n".join(f"line {line}: {words}" for line, words in sorted(form.mistakes))
        raise SettingsTrouble(f"The settings {file} need putting right:\n{told}")
    return settings


# ---------------------------------------------------------------- what each table may say


@dataclass(frozen=True, slots=True)
class _Key:
    """A key: what kind of value it has, in words and as types, and what stands for it if absent."""

    kind: type | tuple[type, ...]
    words: str
    default: Any = None  # None: required

    def fits(self, value: Any) -> bool:
        if self.kind is int:
            return isinstance(value, int) and not isinstance(value, bool)
        if self.kind is date:
            return isinstance(value, date) and not isinstance(value, datetime)
        if self.kind is list:
            return isinstance(value, list) and all(isinstance(item, str) for item in value)
        return isinstance(value, self.kind)


_TEXT = "text in double quotes"
_TEXTS = 'a list of texts, ["like", "this"]'
KEYS: Mapping[str, Mapping[str, _Key]] = {
    "coop": {
        "name": _Key(str, _TEXT),
        "ordering_page": _Key(str, _TEXT),
        "shop_page": _Key(str, _TEXT),
        "sender": _Key(str, _TEXT),
        "reply_phone": _Key(str, _TEXT),
        "postal_address": _Key(str, _TEXT),
        "time_zone": _Key(str, _TEXT),
        "region": _Key(str, _TEXT, "US"),
        "languages": _Key(list, _TEXTS, ["en"]),
        "security_question": _Key(bool, "true or false", False),
        "extra_questions": _Key(list, _TEXTS, []),
    },
    "handle": {
        "longest": _Key(int, "a whole number", 30),
        "reserved": _Key(list, _TEXTS, []),
    },
    "first_password": {
        "words": _Key(int, "a whole number", 5),
        "valid_days": _Key(int, "a whole number", 14),
    },
    "mail": {
        "host": _Key(str, _TEXT, ""),
        "port": _Key(int, "a whole number", 587),
        "user": _Key(str, _TEXT, ""),
        "secret_from": _Key(str, _TEXT, "ONBOARD_MAIL_SECRET"),
        "security": _Key(str, _TEXT, "starttls"),
    },
    "desk": {
        "checks": _Key(list, _TEXTS, list(CHECKS)),
        "may_look_up": _Key(list, _TEXTS, []),
        "may_reissue": _Key(list, _TEXTS, []),
        "tries_per_hour": _Key(int, "a whole number", 3),
        "second_check_days": _Key(int, "a whole number", 14),
    },
    "audit": {
        "unused_windows": _Key(int, "a whole number", 2),
        "idle_windows": _Key(int, "a whole number", 6),
        "keep_closed_days": _Key(int, "a whole number", 730),
        "site_least": _Key(int, "a whole number", 5),
        "site_most": _Key(int, "a whole number", 200),
        "helper_from": _Key(int, "a whole number", 4),
    },
    "files": {
        "roster": _Key(str, _TEXT, ""),
        "outbox": _Key(str, _TEXT, "outbox"),
        "templates": _Key(str, _TEXT, ""),
    },
    "group": {
        "name": _Key(str, _TEXT),
        "windows": _Key((list,), "a list of { opens = 2026-12-01, closes = 2026-12-06 }", []),
    },
    "window": {
        "opens": _Key(date, "a day, written 2026-12-01"),
        "closes": _Key(date, "a day, written 2026-12-06"),
    },
    "site": {
        "name": _Key(str, _TEXT),
        "address": _Key(str, _TEXT),
        "zip": _Key(str, 'five digits in double quotes, "45801"'),
        "group": _Key(str, _TEXT),
        "host": _Key(str, _TEXT),
        "host_phone": _Key(str, _TEXT, ""),
        "closed": _Key(bool, "true or false", False),
    },
}
_SEVERAL_LINES = ("postal_address", "address")
_ONCE = ("coop", "handle", "first_password", "mail", "files", "audit", "desk")
_MANY = ("group", "site")


class _Lines:
    """The line on which each table and key of a TOML text stands."""

    _HEAD = re.compile(r"""\s*(\[\[?)\s*(?:"([^"]*)"|'([^']*)'|([\w.\-]+))\s*\]""")
    _KEY = re.compile(r"""\s*(?:"([^"]*)"|'([^']*)'|([\w\-]+))\s*[=.]""")

    def __init__(self, text: str) -> None:
        self._at: dict[tuple[str, int, str], int] = {}
        self._windows: dict[int, list[int]] = {}  # by group, the lines that open a window
        counts: dict[str, int] = {}
        table, number, depth = "", 0, 0
        for line, words in _blanked(text):
            if not depth and (head := self._HEAD.match(words)):
                table = head[2] or head[3] or head[4]
                number = counts.get(table, -1) + 1 if head[1] == "[[" else 0
                counts[table] = number
                self._at.setdefault((table, number, ""), line)
                if table == "group.windows":
                    self._windows.setdefault(counts.get("group", 0), []).append(line)
                continue
            if not depth and (key := self._KEY.match(words)):
                self._at.setdefault((table, number, key[1] or key[2] or key[3]), line)
            if table == "group":
                self._windows.setdefault(number, []).extend([line] * _bare(words).count("{"))
            depth = max(0, depth + _bare(words).count("[") - _bare(words).count("]"))

    def of(self, table: str, number: int = 0, key: str = "") -> int:
        """The line of a key, else of its table, else the first."""
        places = ((table, number, key), (table, number, ""), ("", 0, table))
        return next((self._at[place] for place in places if place in self._at), 1)

    def of_window(self, group: int, number: int) -> int:
        """The line of a group's window, counted from 0."""
        lines = self._windows.get(group, [])
        return lines[number] if number < len(lines) else self.of("group", group, "windows")


_TEXT_OR_NOTE = re.compile(
    r'''"""(?:\\.|[^\\])*?"""|\'\'\'.*?\'\'\'|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*''', re.DOTALL
)


def _blanked(text: str) -> Iterable[tuple[int, str]]:
    """The lines of a sound TOML text with their numbers; texts of several lines and notes are
    blank, so that nothing in them looks like a key."""

    def blank(found: re.Match[str]) -> str:
        if found[0].startswith("#"):
            return ""
        return "\n" * found[0].count("\n") or found[0]

    return enumerate(_TEXT_OR_NOTE.sub(blank, text).split("\n"), start=1)


def _bare(words: str) -> str:
    """The line without its texts, whose brackets mean nothing."""
    return _TEXT_OR_NOTE.sub("", words)


@dataclass
class _Form:
    """The file as read, and the mistakes found in it so far."""

    said: Mapping[str, Any]
    lines: _Lines
    mistakes: list[tuple[int, str]] = field(default_factory=list)

    def wrong(self, line: int, words: str) -> None:
        self.mistakes.append((line, words))

    def table(self, name: str) -> dict[str, Any]:
        """A table that stands once, its keys checked and its gaps filled."""
        said = self.said.get(name, {})
        if not isinstance(said, dict):
            self.wrong(
                self.lines.of("", 0, name),
                f"{name} is a table: write [{name}] on a line of its own.",
            )
            said = {}
        return self.keys(said, name, lambda key: self.lines.of(name, 0, key), f"[{name}]")

    def tables(self, name: str) -> list[dict[str, Any]]:
        """Tables that stand as often as there are groups or sites."""
        said = self.said.get(name, [])
        if not isinstance(said, list) or not all(isinstance(item, dict) for item in said):
            self.wrong(
                self.lines.of(name), f"write [[{name}]], in double brackets, above each {name}."
            )
            return []
        return [
            self.keys(item, name, lambda key, n=n: self.lines.of(name, n, key), f"[[{name}]]")
            for n, item in enumerate(said)
        ]

    def keys(self, said: Mapping[str, Any], table: str, line: Any, shown: str) -> dict[str, Any]:
        known, found = KEYS[table], {}
        for key, value in said.items():
            if key not in known:
                self.wrong(line(key), f"{shown} has no {key}{_nearest(key, known)}")
            elif not known[key].fits(value):
                self.wrong(line(key), f"{shown} {key} must be {known[key].words}.")
            elif isinstance(value, str) and not value.strip() and known[key].default is None:
                self.wrong(line(key), f"{shown} {key} is empty: fill it in.")
            elif isinstance(value, str) and key not in _SEVERAL_LINES and not value.isprintable():
                self.wrong(line(key), f"{shown} {key} must be one line of plain text.")
            else:
                found[key] = value
        for key, rule in known.items():
            if rule.default is None and key not in said:
                self.wrong(line(""), f"{shown} lacks {key}: add it ({rule.words}).")
            found.setdefault(key, _blank(rule) if rule.default is None else rule.default)
        return found


def _blank(rule: _Key) -> Any:
    """Something of the right kind for what is missing, so that the checks can go on."""
    return date.min if rule.kind is date else ""


def _nearest(key: str, known: Iterable[str]) -> str:
    close = process.extractOne(key, list(known), score_cutoff=70)
    return f": did you mean {close[0]}?" if close else f": it may have {', '.join(known)}."


def _settings(form: _Form, file: Path) -> Settings:
    for name in form.said:
        if name not in (*_ONCE, *_MANY):
            line = form.lines.of(name) if form.lines.of(name) > 1 else form.lines.of("", 0, name)
            form.wrong(line, f"there is no [{name}]{_nearest(name, (*_ONCE, *_MANY))}")
    coop, handle, first, mail, paths, audit, desk = (form.table(name) for name in _ONCE)
    _check_coop(form, coop)
    _check_rules(form, handle, first, mail)
    groups = _groups(form)
    sites = _sites(form, {group.name for group in groups}, coop["region"])
    here = file.resolve().parent
    return Settings(
        file=file.resolve(),
        coop=coop["name"],
        ordering_page=coop["ordering_page"],
        shop_page=coop["shop_page"],
        sender=coop["sender"],
        reply_phone=coop["reply_phone"],
        postal_address=coop["postal_address"].strip(),
        timezone=coop["time_zone"],
        region=coop["region"],
        languages=tuple(coop["languages"]),
        security_question=coop["security_question"],
        handle=HandleRule(handle["longest"], tuple(handle["reserved"])),
        password=PasswordRule(first["words"], first["valid_days"]),
        mail=MailServer(**mail),
        groups=groups,
        sites=sites,
        extra_questions=tuple(coop["extra_questions"]),
        audit=_audit(form, audit),
        desk=_desk(form, desk),
        store=_store(paths["roster"], here),
        outbox=here / paths["outbox"],
        templates=here / paths["templates"] if paths["templates"] else None,
    )


def _store(said: str, here: Path) -> str:
    return said if "://" in said else f"sqlite:///{here / (said or 'roster.db')}"


def _check_coop(form: _Form, coop: Mapping[str, Any]) -> None:
    def wrong(key: str, words: str) -> None:
        form.wrong(form.lines.of("coop", 0, key), f"[coop] {key} {words}")

    for key in ("ordering_page", "shop_page"):
        if coop[key] and not _is_page(coop[key]):
            wrong(
                key,
                f'is "{coop[key]}": give the whole address of the page, beginning with https://.',
            )
    if coop["ordering_page"] and _same_page(coop["ordering_page"], coop["shop_page"]):
        wrong("shop_page", "is the ordering page: give the page that members mistake for it.")
    if coop["sender"] and (why := _no_email(coop["sender"])):
        wrong("sender", f'is "{coop["sender"]}": {why}')
    if coop["reply_phone"] and not _is_phone(coop["reply_phone"], coop["region"]):
        wrong("reply_phone", f'is "{coop["reply_phone"]}": give a phone number with its area code.')
    if coop["time_zone"] and coop["time_zone"] not in available_timezones():
        near = _nearest(coop["time_zone"], sorted(available_timezones())).removesuffix(".")
        near = near if "mean" in near else ': give a name such as "America/Chicago".'
        wrong("time_zone", f'"{coop["time_zone"]}" is not known{near}')
    if coop["region"] not in phonenumbers.SUPPORTED_REGIONS:
        wrong(
            "region", f'is "{coop["region"]}": give the two capitals of your country, such as "US".'
        )
    for language in coop["languages"]:
        if language not in LANGUAGES:
            wrong(
                "languages",
                f'has "{language}": there are words for {" and ".join(LANGUAGES)} only.',
            )
    if not coop["languages"]:
        wrong("languages", f"is empty: give at least one of {' and '.join(LANGUAGES)}.")


def _is_page(said: str) -> bool:
    try:
        page = urlsplit(said)
    except ValueError:
        return False
    return page.scheme == "https" and bool(page.hostname) and not re.search(r"[\s<>\"]", said)


def _same_page(one: str, other: str) -> bool:
    """Whether two addresses are one page, by host and path, whatever their capitals."""
    if not (_is_page(one) and _is_page(other)):
        return one == other
    pages = [urlsplit(text.casefold()) for text in (one, other)]
    hosts = {(page.hostname or "").removeprefix("www.") for page in pages}
    return len(hosts) == len({page.path.rstrip("/") for page in pages}) == 1


def _no_email(said: str) -> str:
    """Why mail cannot come from there, or "". Deliverability is not asked about."""
    try:
        validate_email(said, check_deliverability=False)
    except EmailNotValidError:
        return "give the bare email address that your mail comes from, like hello@example.org."
    return ""


def _is_phone(said: str, region: str) -> bool:
    if region not in phonenumbers.SUPPORTED_REGIONS:
        return True  # told already; a phone cannot be judged without it
    try:
        return phonenumbers.is_possible_number(phonenumbers.parse(said, region))
    except phonenumbers.NumberParseException:
        return False


def _check_rules(
    form: _Form, handle: Mapping[str, Any], first: Mapping[str, Any], mail: Mapping[str, Any]
) -> None:
    if not 8 <= handle["longest"] <= 64:
        form.wrong(
            form.lines.of("handle", 0, "longest"), "[handle] longest must be from 8 to 64 letters."
        )
    if not 5 <= first["words"] <= 10:
        form.wrong(
            form.lines.of("first_password", 0, "words"),
            "[first_password] words must be from 5 to 10: fewer than 5 hold less than 50 bits of "
            "chance, which is too easy to guess.",
        )
    # NIST SP 800-63B-4, section 4.2.1.2, gives codes sent on paper 21 days; it has no rule for
    # first passwords, and theirs is the nearest.
    if not 1 <= first["valid_days"] <= 21:
        form.wrong(
            form.lines.of("first_password", 0, "valid_days"),
            "[first_password] valid_days must be from 1 to 21: what lies about for longer is read by "
            "others.",
        )
    if mail["security"] not in ("starttls", "tls"):
        form.wrong(
            form.lines.of("mail", 0, "security"),
            f'[mail] security is "{mail["security"]}": write "starttls" (port 587) or "tls" (port 465); '
            "mail with a first password never goes out in the open.",
        )
    if not 1 <= mail["port"] <= 65535:
        form.wrong(form.lines.of("mail", 0, "port"), "[mail] port must be from 1 to 65535.")


def _audit(form: _Form, said: Mapping[str, Any]) -> AuditRule:
    for key, least in {**dict.fromkeys(said, 1), "helper_from": 2, "keep_closed_days": 0}.items():
        if said[key] < least:
            form.wrong(form.lines.of("audit", 0, key), f"[audit] {key} must be {least} or more.")
    if said["site_most"] <= said["site_least"]:
        form.wrong(
            form.lines.of("audit", 0, "site_most"),
            "[audit] site_most must be more than site_least.",
        )
    return AuditRule(**said)


def _desk(form: _Form, said: Mapping[str, Any]) -> DeskRule:
    def wrong(key: str, words: str) -> None:
        form.wrong(form.lines.of("desk", 0, key), f"[desk] {key} {words}")

    for check in said["checks"]:
        if check not in CHECKS:
            wrong(
                "checks",
                f'has "{check}": there are {" and ".join(CHECKS)} only. What a caller knows proves '
                "nothing.",
            )
    if strangers := [
        name for name in said["may_reissue"]
        if said["may_look_up"] and not _is_among(name, tuple(said["may_look_up"]))
    ]:  # fmt: skip
        wrong(
            "may_reissue",
            f'has "{strangers[0]}", who may not look members up: add the name to may_look_up too.',
        )
    if not 1 <= said["tries_per_hour"] <= 20:
        wrong("tries_per_hour", "must be from 1 to 20: more would let people guess.")
    if not 0 <= said["second_check_days"] <= 90:
        wrong("second_check_days", "must be from 0 to 90; 0 asks for no second check.")
    return DeskRule(
        tuple(said["checks"]), tuple(said["may_look_up"]), tuple(said["may_reissue"]),
        said["tries_per_hour"], said["second_check_days"],
    )  # fmt: skip


def _groups(form: _Form) -> tuple[Group, ...]:
    found: list[Group] = []
    tables = form.tables("group")
    if not tables:
        form.wrong(1, "there is no ordering group: add a [[group]] with its windows.")
    for number, said in enumerate(tables):
        if said["name"] and said["name"].casefold() in [group.name.casefold() for group in found]:
            form.wrong(
                form.lines.of("group", number, "name"),
                f'there are two groups named "{said["name"]}": give each its own name, or put all '
                "windows under one.",
            )
        found.append(Group(said["name"], _windows(form, number, said)))
    return tuple(found)


def _windows(form: _Form, group: int, said: Mapping[str, Any]) -> tuple[Window, ...]:
    found: list[tuple[Window, int]] = []
    for number, item in enumerate(said["windows"]):
        line = form.lines.of_window(group, number)
        if not isinstance(item, dict):
            form.wrong(line, "a window is written { opens = 2026-12-01, closes = 2026-12-06 }.")
            continue
        before = len(form.mistakes)
        days = form.keys(item, "window", lambda key, line=line: line, "a window")
        if len(form.mistakes) > before:
            continue
        window = Window(days["opens"], days["closes"])
        if window.closes < window.opens:
            form.wrong(
                line, f"the window closes ({window.closes}) before it opens ({window.opens})."
            )
        else:
            found.append((window, line))
    found.sort(key=lambda pair: pair[0].opens)
    for (one, _), (other, line) in pairwise(found):
        if other.opens <= one.closes:
            form.wrong(
                line,
                f"the window from {other.opens} overlaps the one from {one.opens} to {one.closes}.",
            )
    return tuple(window for window, _ in found)


def _sites(form: _Form, groups: set[str], region: str) -> tuple[Site, ...]:
    found: list[Site] = []
    tables = form.tables("site")
    if not tables:
        form.wrong(1, "there is no drop site: add a [[site]].")
    for number, said in enumerate(tables):

        def wrong(key: str, words: str, number: int = number) -> None:
            form.wrong(form.lines.of("site", number, key), words)

        if said["name"] and said["name"].casefold() in [site.name.casefold() for site in found]:
            wrong("name", f'there are two sites named "{said["name"]}": give each its own name.')
        if said["zip"] and not re.fullmatch("[0-9]{5}", said["zip"]):
            wrong("zip", f'[[site]] zip is "{said["zip"]}": give five digits, such as "45801".')
        if said["host_phone"] and not _is_phone(said["host_phone"], region):
            phone = said["host_phone"]
            wrong("host_phone", f'[[site]] host_phone is "{phone}": give it with its area code.')
        if said["group"] and said["group"] not in groups:
            near = _nearest(said["group"], sorted(groups)) if groups else "."
            wrong("group", f'there is no group "{said["group"]}"{near}')
        found.append(
            Site(
                said["name"], said["address"], said["zip"], said["group"], said["host"],
                said["host_phone"], said["closed"],
            )
        )  # fmt: skip
    return tuple(found)
