"""The account export for the ordering page: CSV, and SCIM 2.0 (RFC 7643, RFC 7644).

SCIM's core schema says who a user is. What it has no place for (the hash of a first password,
that it must be changed, when it runs out, the drop site) stands in an extension schema of our own, as
RFC 7643, section 3.3, provides.

The file is a bulk request (RFC 7644, section 3.7): what a page takes to make many accounts. A list
response (section 3.4.2) would be the answer of a page that has them already, and ask for an `id`
that only that page can give (RFC 7643, section 3.1).

What changed since the page was last told is a bulk request too: POST for accounts that are new to
it, PATCH (RFC 7644, section 3.5.2) for those that changed, DELETE (section 3.6) for members who were
deleted on their request. PATCH and DELETE name the page's own `id`, so the page must have said it.
"""

from __future__ import annotations

import csv
import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TextIO
from urllib.parse import quote

from onboard.guard import guard
from onboard.model import Deed, Member
from onboard.reports.cells import writable
from onboard.settings import Settings

USER = "urn:ietf:params:scim:schemas:core:2.0:User"  # RFC 7643, section 4.1
BULK = "urn:ietf:params:scim:api:messages:2.0:BulkRequest"  # RFC 7644, section 3.7
OURS = "urn:example:params:scim:schemas:extension:onboard:1.0:FirstSignIn"  # RFC 7643, 3.3
HASH = f"{OURS}:passwordHash"  # in a path: RFC 7644, section 3.10

PATCH = "urn:ietf:params:scim:api:messages:2.0:PatchOp"  # RFC 7644, section 3.5.2

HEADINGS = (
    "handle", "given name", "family name", "email", "phone", "drop site", "ordering group",
    "language", "password hash", "must change", "password expires", "member",
)  # fmt: skip

# Told after every export: what the page at the other end cannot hold.
CANNOT_HOLD = {
    "csv": (
        "The hash is argon2id in the PHC string form. The page must be able to check such hashes. If "
        "it can't, let members set their password on the page: set_by_member, under [first_password] in "
        "the settings.",
        "Two columns are our own: that the member must change the temporary password, and when it "
        "expires. Make sure that the page acts on them.",
        "A cell that a spreadsheet program could take for a formula has an apostrophe in front. The "
        "page must take it off.",
    ),
    "scim": (
        "SCIM has no place for a password hash (RFC 7643, section 4.1.1: 'password' is clear text, "
        "written and never returned). The hash is in our own extension, which the page must know.",
        "SCIM can't say that a password must be changed or when it expires. The same extension does.",
        "The core of SCIM has no drop site or ordering group. The extension has them. If the page keeps "
        "groups as resources of their own (section 4.2), make them there.",
        "A page may take fewer accounts at once than there are (RFC 7643, section 5, 'maxOperations'). "
        "Then give it the operations in parts.",
        "How the sign-in name was made, earlier spellings and notes about a member stay with us.",
    ),
}

# Told after an export of what changed.
CANNOT_HOLD_NEWS = {
    "csv": (
        "“closed” must stop the sign-in. A person should look at orders and money on that account.",
        "“deleted” is a member who asked to be deleted. What the page keeps about them is up to the page, "
        "and to the law where you are.",
        "There is a password hash only where we made a new temporary password. An empty cell changes "
        "nothing.",
        *CANNOT_HOLD["csv"],
    ),
    "scim": (
        "A page may keep what it must of a user after DELETE (RFC 7644, section 3.6). A person should look "
        "at orders and money on a closed or deleted account.",
        "Give us the page's answer: onboard export --answer response.json --record. It says what "
        "failed, and what the page calls the new accounts. Without that, they can't be changed later.",
        *CANNOT_HOLD["scim"],
    ),
}


@dataclass(frozen=True, slots=True)
class PageAccount:
    """What the ordering page needs to let a member in."""

    member: Member
    password_hash: str = field(repr=False)  # "" where the page has a password and we do not
    must_change: bool
    expires: date | None


@dataclass(frozen=True, slots=True)
class News:
    """What the page does not know yet of an account."""

    number: int  # the member's
    handle: str
    what: str  # "new", "changed", "closed", "opened", "deleted"
    account: PageAccount | None  # None: deleted
    paths: Mapping[str, Any] = field(default_factory=dict)  # attribute to value; None: removed
    page_id: str = ""  # what the page calls the account
    part_of: str = ""  # handle of the account with which it was merged


def write_csv(accounts: Iterable[PageAccount], settings: Settings, out: TextIO) -> int:
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
                account.expires.isoformat() if account.expires else "", member.id,
            )
        )  # fmt: skip
        count += 1
    return count


NEWS_HEADINGS = ("what", *HEADINGS, "signs in with", "changed")


def write_news_csv(news: Iterable[News], settings: Settings, out: TextIO) -> int:
    """Write what changed as CSV, a line an account; how many there were.

    The hash of a first password stands only where it is another than the page has.
    """
    writer = csv.writer(out, quoting=csv.QUOTE_ALL)
    writer.writerow(NEWS_HEADINGS)
    count = 0
    for one in news:
        account = one.account
        cells: list[Any] = [one.what, one.handle, *[""] * 10, one.number, one.part_of, ""]
        if account:
            member = account.member
            fresh = HASH in one.paths and account.password_hash
            cells[1:12] = [
                member.handle.text, member.name.given, member.name.family, member.email,
                member.phone, member.site, _group(member, settings), _language(member, settings),
                *((account.password_hash, "yes" if account.must_change else "no",
                   account.expires.isoformat() if account.expires else "") if fresh else ("", "", "")),
            ]  # fmt: skip
            cells[-1] = ", ".join(_heading(path) for path in one.paths) if one.what != "new" else ""
        writer.writerow(guard(writable(str(cell))) for cell in cells)
        count += 1
    return count


def _heading(path: str) -> str:
    return path.rpartition(":")[2]


def write_news_scim(news: Iterable[News], settings: Settings, out: TextIO) -> int:
    """Write what changed as one SCIM bulk request; how many operations there were."""
    count = 0
    out.write('{"schemas": ["' + BULK + '"],\n "Operations": [')
    for one in news:
        operation: dict[str, Any] = {"method": "POST", "path": "/Users"}
        if one.what == "new" and one.account:
            operation |= {"bulkId": str(one.number), "data": user(one.account, settings)}
        elif one.what == "deleted":
            operation = {"method": "DELETE", "path": f"/Users/{_in_path(one.page_id)}"}
        else:
            operation = {
                "method": "PATCH",
                "path": f"/Users/{_in_path(one.page_id)}",
                "data": {"schemas": [PATCH], "Operations": [_patch(*p) for p in one.paths.items()]},
            }
            if one.account and HASH in one.paths:  # what was compared is only a digest
                for part in operation["data"]["Operations"]:
                    if part["path"] == HASH and part["op"] == "replace":
                        part["value"] = one.account.password_hash
        out.write(("," if count else "") + "\n  " + json.dumps(operation))
        count += 1
    out.write("\n ]}\n")
    return count


def _in_path(page_id: str) -> str:
    return quote(page_id, safe="")  # RFC 3986, section 3.3


def _patch(path: str, value: Any) -> dict[str, Any]:
    """One operation. All values of a list are replaced by the new list (section 3.5.2.3)."""
    if value is None:
        return {"op": "remove", "path": path}
    return {"op": "replace", "path": path, "value": value}


def told(account: PageAccount, settings: Settings) -> dict[str, Any]:
    """What the page is told of an account, by the path of each attribute (RFC 7644, section 3.10).

    In place of a password's hash stands a digest of it, which is kept to see when it changes.
    """
    found: dict[str, Any] = {}
    for name, value in user(account, settings).items():
        if name == "name" or name == OURS:
            # Parts are told one by one: those of which PATCH says nothing stay (section 3.5.2.3).
            between = "." if name == "name" else ":"
            found |= {f"{name}{between}{part}": text for part, text in value.items()}
        elif name not in ("schemas", "externalId"):
            found[name] = value
    if HASH in found:
        found[HASH] = hashlib.sha256(found[HASH].encode()).hexdigest()
    return found


def news_of(before: Mapping[str, Any], after: Mapping[str, Any]) -> dict[str, Any]:
    """The attributes that differ, with their values after; None for those that are gone.

    >>> news_of({"userName": "a", "active": True}, {"userName": "b"})
    {'userName': 'b', 'active': None}
    """
    found = {path: value for path, value in after.items() if before.get(path) != value}
    return found | {path: None for path in before if path not in after}


def write_scim(accounts: Iterable[PageAccount], settings: Settings, out: TextIO) -> int:
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


def user(account: PageAccount, settings: Settings) -> dict[str, Any]:
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
        "active": not member.standing.forbids(Deed.SIGN_IN),
        "emails": [{"value": member.email, "primary": True}] if member.email else [],
        # RFC 7643, section 4.1.2: phone numbers should be RFC 3966 "tel" addresses.
        "phoneNumbers": [{"value": member.phone}] if member.phone else [],
        "addresses": [{"formatted": "\n".join(member.address)}] if member.address else [],
        OURS: dict(
            _filled(
                ("passwordHash", account.password_hash),
                ("mustChange", account.must_change if account.password_hash else ""),
                ("expires", account.expires.isoformat() if account.expires else ""),
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
