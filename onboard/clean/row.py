"""A join form understood: every field rule applied to its field of a raw row."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from functools import lru_cache
from typing import TypeVar

from onboard.clean import (
    address,
    anothers,
    day,
    deceased,
    email,
    filler,
    left,
    listed,
    name,
    on_behalf,
    phone,
    place,
    remarks,
)
from onboard.clean import consent as consents
from onboard.clean import language as languages
from onboard.clean import sites as drop_sites
from onboard.model import (
    Address,
    Applicant,
    Cleaned,
    Email,
    Finding,
    PersonName,
    Place,
    RawRow,
)
from onboard.settings import Site

KINDS = (*languages.KINDS, *consents.KINDS)
language = languages.clean
consent = consents.clean


def clean(
    raw: RawRow,
    *,
    region: str = "US",
    sites: Sequence[Site] | None = None,
    days: Mapping[str, Cleaned[date]] | None = None,
) -> Applicant:
    """The applicant a raw row stands for; what could not be understood is a finding.

    `region` (ISO 3166, two letters) is where a phone without a country code is; `sites` are the
    drop sites that the form may name. Without them (None) its site stays as it was said. `days` are
    days that were read already; without them the birth date is read.
    """
    fields = raw.fields
    where = address.clean(_address_text(fields))
    spot = _place(fields, where.value)
    number = phone.clean(
        fields.get("phone", ""),
        region=region,
        area_codes=spot.value.area_codes if spot.value else (),
    )
    written = email.clean(fields.get("email", ""))
    called = _name(raw, _hints(raw, written.value, spot.value), spot.value)
    days = _days(raw, region) if days is None else days
    consent = may_email(raw)
    if "handle" not in fields:  # a line of a list is nobody's own words
        helper = on_behalf.by_helper(raw, called.value, written, has_phone=bool(number.value))
        if written.value and consent.value is not False:  # whoever wants no email is not asked
            helper += where_email_goes(raw)
        if number.value:
            helper += anothers.of_phone(raw)
        written, number = _with(written, helper, "email"), _with(number, helper, "phone")
        of_nobody = filler.found(called, written, number)
        called = _with(called, (*of_nobody, *_of_child(raw, days, region)), "row")
        called = _of_whom(called, raw)
    return Applicant(
        raw=raw,
        name=called,
        email=written,
        phone=number,
        address=where,
        place=spot,
        site=_site(fields.get("site", ""), sites, _home(spot, where.value)),
        language=language(fields.get("language", "")),
        consent=consent,
        extras={
            field.removeprefix("extra:"): text
            for field, text in fields.items()
            if field.startswith("extra:")
        },
        days=days,
    )


T = TypeVar("T")


def _with(cleaned: Cleaned[T], findings: Sequence[Finding], field: str) -> Cleaned[T]:
    """What was understood, with what the rest of the form says of the field put first."""
    more = tuple(one for one in findings if one.field == field)
    return cleaned._replace(findings=more + cleaned.findings) if more else cleaned


# What is asked of a name beside which another person's is; whose form it is, is asked instead.
_BESIDE = frozenset(("name.aside", "name.care_of", "name.organisation"))


def _of_whom(called: Cleaned[PersonName], raw: RawRow) -> Cleaned[PersonName]:
    """The name, with the question whose it is where a helper's is in its boxes."""
    if not (asked := on_behalf.in_name(raw)):
        return called
    return called._replace(
        findings=asked + tuple(f for f in called.findings if f.code not in _BESIDE)
    )


def _of_child(raw: RawRow, days: Mapping[str, Cleaned[date]], region: str) -> tuple[Finding, ...]:
    born, came = days.get("born"), raw.fields.get("submitted", "")
    is_dated = born is not None and born.value is not None and came
    then = day.clean(came, field="joined", region=region).value if is_dated else None
    return on_behalf.of_child(raw, born.value if born else None, then)


# What heads the day on which somebody joined, and not that on which a form came in.
_JOINED = re.compile(r"join|since|member|enrol|socio|miembro|ingreso", re.IGNORECASE)


def _days(raw: RawRow, region: str) -> dict[str, Cleaned[date]]:
    """The days that a form asks for: the birth date, and since when somebody is a member, if it does. Of a list
    of members, all that it has."""
    if listed.is_skipped(raw):
        read = {
            column: day.clean(raw.fields.get(field, ""), field=column, region=region)
            for field, column in listed.DAYS.items()
        }
        return {column: one for column, one in read.items() if one.said or column == "joined"}
    said, days = raw.fields.get("submitted", ""), {}
    if born := raw.fields.get("born", ""):
        days["born"] = day.clean(born, field="born", region=region)
    if said and any(text == said and _JOINED.search(heading) for heading, text in raw.cells):
        days["joined"] = day.clean(said, field="joined", region=region)
    return days


# Where lists write that somebody has died, beside the name and the notes.
_OTHER_CELLS = ("email", "address", "street", "unit", "last_line", "city", "site", "born")


def _name(raw: RawRow, hints: name.Hints, home: Place | None) -> Cleaned[PersonName]:
    """The name; what is said beside it, or in notes, of somebody's death is a finding of its own, and so is a
    note of an old list that they have left."""
    gone = left.in_list(raw, home.state if home else "") if "handle" in raw.fields else ()
    understood = _living(raw, hints)
    return understood._replace(findings=(*understood.findings, *gone)) if gone else understood


def _living(raw: RawRow, hints: name.Hints) -> Cleaned[PersonName]:
    get = raw.fields.get
    whole, given, middle = get("full_name", ""), get("given", ""), get("middle", "")
    family, suffix = _last_names(raw.fields), get("suffix", "")
    parts = {"given": given, "middle": middle, "family": family, "suffix": suffix}
    cells = [get(field, "") for field in _OTHER_CELLS]
    if (
        not (number := get("phone", "")).removeprefix("+").isdigit()
    ):  # nearly all that are on file are
        cells.append(number)
    if not deceased.may_say_so((whole, given, middle, family, suffix, *cells), raw.remarks):
        return name.clean(whole, **parts, hints=hints)
    said = whole if whole.strip() else " ".join(filter(None, parts.values()))
    found = deceased.in_notes(raw.remarks) + deceased.in_cells(cells)
    whole, words = deceased.beside(whole)
    for part, text in parts.items():
        parts[part], more = deceased.beside(text)
        words = words or more
    if not words and not whole:  # "RIP Pat", "Lee": what says so needs the whole name behind it
        rest, words = deceased.beside(f"{given} {family}")
        if words and rest.endswith(family):
            parts["given"] = rest.removesuffix(family).strip()
    if words:
        found = (deceased.by_name(said, words), *found)
    understood = name.clean(whole, **parts, hints=hints)
    return Cleaned(said, understood.value, understood.findings + found)


def _last_names(fields: Mapping[str, str]) -> str:
    """The last name, with the second one where the form asks for it in a column of its own."""
    first = fields.get("family", "")
    if second := fields.get("second_family", "").strip():
        return first if first.lower().endswith(second.lower()) else f"{first} {second}".strip()
    return first


def _hints(raw: RawRow, written: Email | None, home: Place | None) -> name.Hints:
    """What the rest of the form says of a name that could hold two last names."""
    fields = raw.fields
    if fields.get("second_family", "").strip().lower() in name.SPANISH_SUFFIXES:
        return name.Hints(told=True)  # in a column of its own it is a last name, and no suffix
    mailbox = written.address.partition("@")[0] if written else ""
    if fields.get("full_name", "").count(" ") < 2 and not fields.get("middle"):
        return name.Hints(mailbox=mailbox) if mailbox else name.NO_HINTS
    spanish = (
        (home is not None and home.state == "PR")
        or languages.is_spanish_or_portuguese(fields.get("language", ""))
        or any(map(_asks_for_two, raw.cells))
    )
    return name.Hints(spanish, mailbox)


def _asks_for_two(cell: tuple[str, str]) -> bool:
    """Whether a column is headed in Spanish, "Apellidos", with nothing in English beside it."""
    heading = cell[0].lower()
    return "apellido" in heading and "name" not in heading


def corrected(raw: RawRow, corrections: Mapping[str, str]) -> RawRow:
    """The row with a coordinator's corrections in place of what the form said.

    A corrected whole name takes the place of the name's parts, and the other way round; so for
    an address.
    """
    if not corrections:
        return raw
    fields = dict(raw.fields)
    for whole, parts in (
        ("full_name", ("given", "middle", "family", "second_family", "suffix")),
        ("address", ("number", "street", "unit", "last_line", "city", "state", "zip")),
    ):
        if whole in corrections:
            for part in parts:
                fields.pop(part, None)
        elif any(part in corrections for part in parts):
            fields.pop(whole, None)
    # What was odd about a value that has been put right no longer matters.
    findings = tuple(f for f in raw.findings if f.field not in corrections)
    return raw.but(fields | dict(corrections), findings)


def may_email(raw: RawRow) -> Cleaned[bool]:
    """A form that does not ask says nothing; one that asks is answered by a yes alone. Whoever writes
    “no emails” anywhere on it has said no."""
    fields = raw.fields
    said: Cleaned[bool] = Cleaned("", None)
    if "consent" in fields:
        said = consents.clean(fields["consent"])
    elif "opt_out" in fields:
        said = consents.opted_out(fields["opt_out"])
    found = tuple(f for text in raw.remarks for f in _remarked(text, said.value))
    if found and all(f.code == remarks.WANTS_CALLS.code for f in found):
        return said._replace(findings=said.findings + found)  # a wish for calls is no “no”
    if not any(f.field == "consent" for f in found):
        return said._replace(findings=said.findings + found) if found else said
    return Cleaned(
        said.said, False, found + tuple(f for f in said.findings if f.code != consents.UNSAID.code)
    )


def where_email_goes(raw: RawRow) -> tuple[Finding, ...]:
    """That by a form's remarks no email reaches the member, or the address is somebody else's."""
    not_read = (found for text in raw.remarks if (found := remarks.unread(text).findings))
    return (*next(not_read, ()), *anothers.of_email(raw))


def _remarked(text: str, answer: bool | None) -> tuple[Finding, ...]:
    """What a remark says of email; beside a yes, a wish for calls is asked about."""
    wish = remarks.wants_calls(text) if answer else None
    return wish.findings if wish and wish.value else remarks.clean(text).findings


def _home(spot: Cleaned[Place], where: Address | None) -> Place | None:
    """Where the person lives, to say how far a site is: a ZIP code that was filled in is not theirs to be told of,
    and the town is called as they call it."""
    home = spot.value
    if home and any(f.code == place.ZIP_FILLED.code for f in spot.findings):
        return home._replace(zip5="", city=where.city if where and where.city else home.city)
    return home


def _site(said: str, sites: Sequence[Site] | None, home: Place | None) -> Cleaned[str]:
    return Cleaned(said, None) if sites is None else drop_sites.clean(said, sites, home)


def _address_text(fields: Mapping[str, str]) -> str:
    """The lines of an address out of whatever columns the form had."""
    get = fields.get
    street = f"{get('number', '').strip()} {get('street', '').strip()}".strip()
    lines = (get("address", "").strip() or street, get("unit", ""), _last_line(fields))
    return "\n".join([line for line in lines if line.strip()])


def _last_line(fields: Mapping[str, str]) -> str:
    if whole := fields.get("last_line", "").strip():
        return whole
    city, state, code = [fields.get(part, "").strip() for part in ("city", "state", "zip")]
    return " ".join(filter(None, (f"{city}," if city and state else city, state, code)))


@lru_cache(maxsize=10_000)
def _spot(city: str, state: str, zip5: str) -> Cleaned[Place]:
    """The place of a town: the members of a co-op live in few."""
    return place.clean(city=city, state=state, zip5=zip5)


def _place(fields: Mapping[str, str], where: Address | None) -> Cleaned:  # type: ignore[type-arg]
    if where is not None:
        return _spot(where.city, where.state, where.zip5)
    return place.clean(_last_line(fields))
