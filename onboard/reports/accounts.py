"""The account export for the ordering page: CSV, and SCIM 2.0 (RFC 7643, RFC 7644).

SCIM's core schema says who a user is. What it has no place for (the hash of a first password,
that it must be changed, when it runs out, the drop site) stands in an extension schema of our own, as
RFC 7643, section 3.3, provides.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TextIO

from onboard.guard import guard
from onboard.model import Member
from onboard.settings import Settings

USER = "urn:ietf:params:scim:schemas:core:2.0:User"  # RFC 7643, section 4.1
LIST = "urn:ietf:params:scim:api:messages:2.0:ListResponse"  # RFC 7644, section 3.4.2
OURS = "urn:example:params:scim:schemas:extension:onboard:1.0:FirstSignIn"  # RFC 7643, 3.3

HEADINGS = (
    "handle", "given name", "family name", "email", "phone", "drop site", "ordering group",
    "language", "password hash", "must change", "password expires", "member",
)  # fmt: skip

# Told after every export: what the page at the other end cannot hold.
CANNOT_HOLD = {
    "csv": (
        "The hash is argon2id in the PHC string form: the page must be able to check such hashes. If "
        "it cannot, its own reset by mail must take the place of our first password.",
        "That the first password must be changed, and when it runs out, are columns of ours: make "
        "sure that the page acts on them.",
    ),
    "scim": (
        "SCIM has no place for a password hash (RFC 7643, section 4.1.1: 'password' is clear text, "
        "written and never returned), so the hash stands in an extension of ours that the page must know.",
        "SCIM has no 'must change' and no expiry of a password: they stand in the same extension.",
        "SCIM has no drop site or ordering group of a user in its core: they stand in the extension; a "
        "page that keeps groups as resources of their own (section 4.2) needs them made there.",
        "The handle steps, the earlier spellings and the notes of a member stay with us.",
    ),
}


@dataclass(frozen=True, slots=True)
class Account:
    """What the ordering page needs to let a member in."""

    member: Member
    password_hash: str = field(repr=False)
    must_change: bool
    expires: date


def write_csv(accounts: Iterable[Account], settings: Settings, out: TextIO) -> int:
    """Write the accounts as CSV, a line each; how many there were. No cell is a live formula."""
    writer = csv.writer(out)
    writer.writerow(HEADINGS)
    count = 0
    for account in accounts:
        member = account.member
        writer.writerow(
            guard(str(cell))
            for cell in (
                member.handle.text, member.name.given, member.name.family, member.email,
                member.phone, member.site, _group(member, settings), _language(member, settings),
                account.password_hash, "yes" if account.must_change else "no",
                account.expires.isoformat(), member.id,
            )
        )  # fmt: skip
        count += 1
    return count


def write_scim(accounts: Iterable[Account], settings: Settings, out: TextIO) -> int:
    """Write the accounts as one SCIM ListResponse; how many there were."""
    buffer = io.StringIO()
    count = 0
    for account in accounts:
        if count:
            buffer.write(",\n    ")
        json.dump(user(account, settings), buffer, ensure_ascii=False)
        count += 1
    out.write('{\n  "schemas": ["' + LIST + '"],\n')
    out.write(f'  "totalResults": {count},\n  "startIndex": 1,\n  "itemsPerPage": {count},\n')
    out.write('  "Resources": [\n    ' + buffer.getvalue() + "\n  ]\n}\n")
    return count


def user(account: Account, settings: Settings) -> dict[str, Any]:
    """The account as a SCIM User resource. Attributes without a value are left out (section 2.5)."""
    member = account.member
    name = member.name
    said = {
        "schemas": [USER, OURS],
        "externalId": str(member.id),
        "userName": member.handle.text,
        "name": dict(
            _filled(
                (
                    "formatted",
                    " ".join(
                        filter(
                            None, (name.title, name.given, name.middle, name.family, name.suffix)
                        )
                    ),
                ),
                ("givenName", name.given),
                ("middleName", name.middle),
                ("familyName", name.family),
                ("honorificPrefix", name.title),
                ("honorificSuffix", name.suffix),
            )
        ),
        "displayName": f"{name.given} {name.family}".strip(),
        "preferredLanguage": _language(member, settings),
        "active": member.standing == "open",
        "emails": [{"value": member.email, "primary": True}] if member.email else [],
        # RFC 7643, section 4.1.2: phone numbers should be RFC 3966 "tel" addresses.
        "phoneNumbers": [{"value": member.phone}] if member.phone else [],
        "addresses": [{"formatted": "\n".join(member.address)}] if member.address else [],
        OURS: dict(
            _filled(
                ("passwordHash", account.password_hash),
                ("mustChange", account.must_change),
                ("expires", account.expires.isoformat()),
                ("dropSite", member.site),
                ("orderingGroup", _group(member, settings)),
            )
        ),
    }
    return {key: value for key, value in said.items() if value not in ("", [], {})}


def _filled(*pairs: tuple[str, Any]) -> Iterator[tuple[str, Any]]:
    return ((key, value) for key, value in pairs if value != "")


def _group(member: Member, settings: Settings) -> str:
    site = settings.site(member.site)
    return site.group if site else ""


def _language(member: Member, settings: Settings) -> str:
    return member.language or settings.languages[0]
