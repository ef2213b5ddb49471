"""A join form understood: every field rule applied to its field of a raw row."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from onboard.clean import address, email, name, phone, place
from onboard.clean import sites as drop_sites
from onboard.model import (
    Address,
    Applicant,
    Cleaned,
    Kind,
    Place,
    RawRow,
    Weight,
)
from onboard.settings import Site

LANGUAGES = {
    "english": "en", "inglés": "en", "ingles": "en", "eng": "en", "en": "en",
    "spanish": "es", "español": "es", "espanol": "es", "castellano": "es", "spa": "es", "es": "es",
}  # fmt: skip
YES = frozenset(("y", "yes", "yes please", "true", "1", "x", "ok", "sí", "si", "agree", "on"))
NO = frozenset(("n", "no", "no thanks", "no thank you", "false", "0", "off", "never", "no gracias"))

LANGUAGE_UNKNOWN = Kind(
    "language.unknown",
    Weight.MENDED,
    "We have no words in the language on the form. The co-op's first language is used.",
    wrong="Klingon",
    right="Español",
)
CONSENT_UNCLEAR = Kind(
    "consent.unclear",
    Weight.DOUBTFUL,
    "The answer to “May we email you?” is not a yes or a no. It counts as no until you ask.",
    wrong="maybe later",
    right="yes",
)
KINDS = (LANGUAGE_UNKNOWN, CONSENT_UNCLEAR)


def clean(raw: RawRow, *, region: str = "US", sites: Sequence[Site] | None = None) -> Applicant:
    """The applicant a raw row stands for; what could not be understood is a finding.

    `region` (ISO 3166, two letters) is where a phone without a country code is; `sites` are the
    drop sites that the form may name. Without them (None) its site stays as it was said.
    """
    fields = raw.fields
    where = address.clean(_address_text(fields))
    spot = _place(fields, where.value)
    number = phone.clean(
        fields.get("phone", ""),
        region=region,
        area_codes=spot.value.area_codes if spot.value else (),
    )
    return Applicant(
        raw=raw,
        name=name.clean(
            fields.get("full_name", ""),
            given=fields.get("given", ""),
            middle=fields.get("middle", ""),
            family=fields.get("family", ""),
            suffix=fields.get("suffix", ""),
        ),
        email=email.clean(fields.get("email", "")),
        phone=number,
        address=where,
        place=spot,
        site=_site(fields.get("site", ""), sites, spot.value),
        language=language(fields.get("language", "")),
        consent=consent(fields.get("consent", "")),
        extras={
            field.removeprefix("extra:"): text
            for field, text in fields.items()
            if field.startswith("extra:")
        },
    )


def corrected(raw: RawRow, corrections: Mapping[str, str]) -> RawRow:
    """The row with a coordinator's corrections in place of what the form said.

    A corrected whole name takes the place of the name's parts, and the other way round; so for
    an address.
    """
    if not corrections:
        return raw
    fields = dict(raw.fields)
    for whole, parts in (
        ("full_name", ("given", "middle", "family", "suffix")),
        ("address", ("number", "street", "unit", "last_line", "city", "state", "zip")),
    ):
        if whole in corrections:
            for part in parts:
                fields.pop(part, None)
        elif any(part in corrections for part in parts):
            fields.pop(whole, None)
    # What was odd about a value that has been put right no longer matters.
    findings = tuple(f for f in raw.findings if f.field not in corrections)
    return replace(raw, fields=fields | dict(corrections), findings=findings)


def language(said: str) -> Cleaned[str]:
    """The ISO 639 code of the language a form asks for; None where it says nothing.

    >>> language("Español").value
    'es'
    """
    asked = said.strip().casefold()
    if not asked:
        return Cleaned(said, None)
    code = LANGUAGES.get(asked.split()[0].strip(",;/.")) or LANGUAGES.get(asked)
    if code:
        return Cleaned(said, code)
    note = f"We have no words in {_short(said)}. The co-op's first language is used."
    return Cleaned(said, None, (LANGUAGE_UNKNOWN.found(said, note),))


def consent(said: str) -> Cleaned[bool]:
    """Whether we may write by email; None where the form says nothing.

    >>> consent("No thanks").value
    False
    """
    answer = said.strip().strip(".!").casefold()
    if not answer:
        return Cleaned(said, None)
    if answer in YES or answer.startswith(("yes,", "yes ", "sí,", "si,")):
        return Cleaned(said, True)
    if answer in NO or answer.startswith(("no,", "no ")):
        return Cleaned(said, False)
    note = f"{_short(said)!r} is not a yes or a no. We send no email until you ask the member."
    return Cleaned(said, False, (CONSENT_UNCLEAR.found(said, note),))


def _short(said: str) -> str:
    text = " ".join(said.split())
    return text if len(text) <= 40 else text[:39] + "…"


def _site(said: str, sites: Sequence[Site] | None, home: Place | None) -> Cleaned[str]:
    return Cleaned(said, None) if sites is None else drop_sites.clean(said, sites, home)


def _address_text(fields: Mapping[str, str]) -> str:
    """The lines of an address out of whatever columns the form had."""
    street = " ".join(fields.get(part, "").strip() for part in ("number", "street")).strip()
    whole = fields.get("address", "").strip()
    lines = (whole or street, fields.get("unit", ""), _last_line(fields))
    return "\n".join(line for line in lines if line.strip())


def _last_line(fields: Mapping[str, str]) -> str:
    if whole := fields.get("last_line", "").strip():
        return whole
    city, state, code = (fields.get(part, "").strip() for part in ("city", "state", "zip"))
    return " ".join(part for part in (f"{city}," if city and state else city, state, code) if part)


def _place(fields: Mapping[str, str], where: Address | None) -> Cleaned:  # type: ignore[type-arg]
    if where is not None:
        return place.clean(city=where.city, state=where.state, zip5=where.zip5)
    return place.clean(_last_line(fields))
