"""The account export for the ordering page: CSV, and SCIM 2.0 (RFC 7643, RFC 7644).

SCIM's core schema says who a user is. What it has no place for (the hash of a first password,
that it must be changed, when it runs out, the drop site) stands in an extension schema of our own, as
RFC 7643, section 3.3, provides.

The file is a bulk request (RFC 7644, section 3.7): what a page takes to make many accounts. A list
response (section 3.4.2) would be the answer of a page that has them already, and ask for an `id`
that only that page can give (RFC 7643, section 3.1).
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TextIO

from onboard.guard import guard
from onboard.model import Member
from onboard.reports.cells import writable
from onboard.settings import Settings

USER = "urn:ietf:params:scim:schemas:core:2.0:User"  # RFC 7643, section 4.1
BULK = "urn:ietf:params:scim:api:messages:2.0:BulkRequest"  # RFC 7644, section 3.7
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
        "A cell that a spreadsheet program could take for a formula has an apostrophe in front: let the "
        "page take it off.",
    ),
    "scim": (
        "SCIM has no place for a password hash (RFC 7643, section 4.1.1: 'password' is clear text, "
        "written and never returned), so the hash stands in an extension of ours that the page must know.",
        "SCIM has no 'must change' and no expiry of a password: they stand in the same extension.",
        "SCIM has no drop site or ordering group of a user in its core: they stand in the extension; a "
        "page that keeps groups as resources of their own (section 4.2) needs them made there.",
        "A page may take fewer accounts at once than there are (RFC 7643, section 5, 'maxOperations'): "
        "then give it the operations in parts.",
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
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    writer.writerow(HEADINGS)
    count = 0
    for account in accounts:
        member = account.member
        writer.writerow(
            guard(writable(str(cell)))
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
    """Write the accounts as one SCIM bulk request; how many there were.

    It is ASCII, with other letters escaped (RFC 8259, section 7), so no reader can garble a name.
    """
    count = 0
    out.write('{"schemas": ["' + BULK + '"],\n "Operations": [')
    for account in accounts:
        operation = {
            "method": "POST",
            "path": "/Users",
            "bulkId": str(account.member.id),  # required with POST
            "data": user(account, settings),
        }
        out.write(("," if count else "") + "\n  " + json.dumps(operation))
        count += 1
    out.write("\n ]}\n")
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
