"""What must hold of a value beyond its type, and the words that say what to do if it does not."""

from __future__ import annotations

import re
from collections.abc import Collection
from ipaddress import ip_address
from pathlib import PurePath
from typing import TYPE_CHECKING

from onboard.settings.words import quoted, shown

if TYPE_CHECKING:
    from onboard.settings.checks import Check, Info

LONGEST_PART = 255  # bytes; the longest file name that common disks take


def among(known: Collection[str], has: str = "there are", why: str = "") -> Check:
    """Texts that are all among the known."""

    def check(value: tuple[str, ...], _: Info) -> tuple[str, ...]:
        if strange := [text for text in value if text not in known]:
            raise ValueError(f"has {quoted(strange)}: {has} {' and '.join(known)} only.{why}")
        return value

    return check


def one_of(known: Collection[str]) -> Check:
    """A text that is among the known."""

    def check(value: str, _: Info) -> str:
        if value not in known:
            raise ValueError(f'is "{shown(value)}": write {quoted(known)}.')
        return value

    return check


def languages_among(known: Collection[str]) -> Check:
    """At least one of the languages that there are words for."""
    each = among(known, "there are words for")

    def check(value: tuple[str, ...], info: Info) -> tuple[str, ...]:
        if not value:
            raise ValueError(f"is empty: give at least one of {' and '.join(known)}.")
        return tuple(each(value, info))

    return check


def noted_questions(value: tuple[str, ...], info: Info) -> tuple[str, ...]:
    """The co-op's own questions, noted for what names one of them."""
    info.context.questions = value
    return value


def own_question(value: str, info: Info) -> str:
    """One of the co-op's own questions, or none."""
    if value and value not in info.context.questions:
        raise ValueError(
            f'is "{shown(value)}", which is not one of extra_questions under [coop]: write it just like there.'
        )
    return value


def stripped(value: str, _: Info) -> str:
    """Text without the blank lines around it."""
    return value.strip()


def kept_secret(value: str, _: Info) -> str:
    """How the way to the mail server is kept secret."""
    if value not in ("starttls", "tls"):
        raise ValueError(
            f'is "{shown(value)}": write "starttls" (port 587) or "tls" (port 465); '
            "email with a temporary password is never sent unencrypted."
        )
    return value


def server_name(value: str, _: Info) -> str:
    """A name that a server can have, or none."""
    try:
        value.encode("idna")
    except UnicodeError as error:
        raise ValueError(
            f'is "{shown(value)}": give the name of your mail server, such as mail.example.org.'
        ) from error
    return value


def roster_place(value: str, info: Info) -> str:
    """A file, or the address of a database, which may hold a secret: it is never repeated."""
    if "://" in value:
        return value
    if re.match(r"\w[\w+]+:", value):
        raise ValueError(
            "must be a file, or a database as postgresql://user@server/name, with both slashes."
        )
    return path(value, info)


def path(value: str, _: Info) -> str:
    """A file or folder whose name disks can take."""
    if any(len(part.encode()) > LONGEST_PART for part in PurePath(value).parts):
        raise ValueError(f"has a name of more than {LONGEST_PART} bytes in it: use a shorter one.")
    return value


def no_less_than(other: str) -> Check:
    """A number that is as large as another one above it, or larger."""

    def check(value: int, info: Info) -> int:
        if value < info.data.get(other, 0):
            raise ValueError(f"must not be less than {other}.")
        return value

    return check


def more_than_least(value: int, info: Info) -> int:
    """More members than the least of a site."""
    if value <= info.data.get("site_least", 0):
        raise ValueError("must be more than site_least.")
    return value


def who_may_look_up(value: tuple[str, ...], info: Info) -> tuple[str, ...]:
    """Names of people who may look members up as well."""
    lookers = info.data.get("may_look_up", ())
    if strangers := [name for name in value if lookers and not is_among(name, lookers)]:
        raise ValueError(
            f'has "{shown(strangers[0])}", who may not look members up: add the name to may_look_up too.'
        )
    return value


def number_of_a_computer(value: str, _: Info) -> str:
    """An IP address, written as it is usually; or none."""
    if not value:
        return ""
    try:
        return str(ip_address(value))
    except ValueError:
        raise ValueError(
            f'is "{shown(value)}": write the number of the computer, as 192.0.2.7.'
        ) from None


def is_among(who: str, names: Collection[str]) -> bool:
    """Whether somebody is named, however the name is written."""
    return who.strip().casefold() in (name.strip().casefold() for name in names)
