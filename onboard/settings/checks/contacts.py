"""What must hold of the co-op's pages, email, phones, country and time zone.

Libraries that know mail, phones and zones are loaded only for values that are not plain.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo, available_timezones

from onboard.settings.words import nearest, shown

if TYPE_CHECKING:
    from onboard.settings.checks import Info


# What people call their time zone, and its name in the IANA list.
_SPOKEN = {
    "eastern": "America/New_York", "et": "America/New_York", "edt": "America/New_York",
    "central": "America/Chicago", "ct": "America/Chicago", "cdt": "America/Chicago", "cst": "America/Chicago",
    "mountain": "America/Denver", "mt": "America/Denver", "mdt": "America/Denver", "arizona": "America/Phoenix",
    "pacific": "America/Los_Angeles", "pt": "America/Los_Angeles", "pdt": "America/Los_Angeles",
    "pst": "America/Los_Angeles", "alaska": "America/Anchorage", "hawaii": "Pacific/Honolulu",
    "atlantic": "America/Puerto_Rico", "puerto rico": "America/Puerto_Rico",
}  # fmt: skip
_ABOUT_ZONES = re.compile(
    r"\b(?:us|u\.s\.|america|time|zone|standard|daylight|saving|savings)\b|[^a-z ]+"
)


def page(value: str, info: Info) -> str:
    """The whole address of a page, read over https."""
    if not _is_page(value):
        raise ValueError(
            f'is "{shown(value)}": give the whole address of the page, beginning with https://.'
        )
    return value


def page_or_none(value: str, info: Info) -> str:
    """The whole address of a page, without a slash at its end; or none."""
    return page(value, info).rstrip("/") if value else value


def page_as_it_is_or_none(value: str, info: Info) -> str:
    """The whole address of a page, just as it is written; or none."""
    return page(value, info) if value else value


def page_mistaken_for_it(value: str, info: Info) -> str:
    """A page that is not the ordering page; nothing where members mistake none for it."""
    if not value:
        return value
    if _same_page(page(value, info), info.data.get("ordering_page", "")):
        raise ValueError("is the ordering page: give the page that members mistake for it.")
    return value


def _is_page(said: str) -> bool:
    try:
        page = urlsplit(said)
    except ValueError:
        return False
    return page.scheme == "https" and bool(page.hostname) and not re.search(r"[\s<>\"]", said)


def _same_page(one: str, other: str) -> bool:
    """Whether two addresses are one page, by host and path, whatever their capitals."""
    pages = [urlsplit(text.casefold()) for text in (one, other)]
    hosts = {(page.hostname or "").removeprefix("www.") for page in pages}
    return len(hosts) == len({page.path.rstrip("/") for page in pages}) == 1


# Addresses and phones that need no library to be taken: a test holds both to what the libraries say.
PLAIN_EMAIL = re.compile(
    r"[a-z0-9]{1,30}([._-][a-z0-9]{1,30})?@([a-z0-9]{1,30}(-[a-z0-9]{1,30})?\.){1,3}(com|coop|net|org|us)"
)
PLAIN_PHONE = re.compile(r"(\+1[ -]?)?(\([2-9]\d\d\) ?|[2-9]\d\d[ .-]?)\d{3}[ .-]?\d{4}", re.ASCII)


def any_email(value: str, _: Info) -> str:
    """A bare address that mail can go to, or none."""
    if not value or PLAIN_EMAIL.fullmatch(value):
        return value
    raise ValueError(f'is "{shown(value)}": give just an email address, like hello@example.org.')


def bare_email(value: str, _: Info) -> str:
    """A bare address that mail can come from. Deliverability is not asked about."""
    if PLAIN_EMAIL.fullmatch(value):
        return value
    from email_validator import EmailNotValidError, validate_email

    try:
        validate_email(value, check_deliverability=False)
    except EmailNotValidError as error:
        raise ValueError(
            f'is "{shown(value)}": give just the email address that your emails come from, '
            "like hello@example.org."
        ) from error
    return value


def phone(value: str, info: Info) -> str:
    """A phone of the co-op, with its area code."""
    if not _is_phone(value, info.context.region):
        raise ValueError(f'is "{shown(value)}": give a phone number with its area code.')
    return value


def phone_of_host(value: str, info: Info) -> str:
    """A host's phone, with its area code; or none."""
    if value and not _is_phone(value, info.context.region):
        raise ValueError(f'is "{shown(value)}": give it with its area code.')
    return value


def _is_phone(said: str, region: str) -> bool:
    if not region or (region == "US" and PLAIN_PHONE.fullmatch(said)):
        return True
    import phonenumbers

    try:
        number = phonenumbers.parse(said, region)
        # "555-0100" is possible too, to those who live there
        return (
            phonenumbers.is_possible_number_with_reason(number)
            == phonenumbers.ValidationResult.IS_POSSIBLE
        )
    except phonenumbers.NumberParseException:
        return False


def known_region(value: str, info: Info) -> str:
    """A country whose phones are known."""
    info.context.region = ""
    if value != "US":
        from phonenumbers import SUPPORTED_REGIONS

        if value not in SUPPORTED_REGIONS:
            raise ValueError(
                f'is "{shown(value)}": give the two capital letters of your country, such as "US".'
            )
    info.context.region = value
    return value


def known_zone_or_none(value: str, info: Info) -> str:
    """A zone of the IANA list, or none."""
    return known_zone(value, info) if value else value


def known_zone(value: str, _: Info) -> str:
    """A zone of the IANA list; some machines have other files beside its zones, in small letters."""
    try:
        if value[:1].isupper() and ZoneInfo(value):
            return value
    except (KeyError, ValueError, OSError):  # no such file; no such path; a folder
        pass
    if zone := _SPOKEN.get(" ".join(_ABOUT_ZONES.sub(" ", value.casefold()).split())):
        raise ValueError(f'"{shown(value)}" is not known: did you mean {zone}?')
    near = nearest(value, sorted(available_timezones()))
    remedy = near if "mean" in near else ': give a name such as "America/Chicago".'
    raise ValueError(f'"{shown(value)}" is not known{remedy}')
