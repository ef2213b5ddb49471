"""The account export: CSV that is safe to open, and SCIM that keeps to the RFCs."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from onboard.model import Handle, Member, PersonName
from onboard.reports import accounts
from onboard.reports.accounts import PageAccount
from onboard.settings import Settings

HASH = "$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHQ$aGFzaA"
ANA = Member(
    id=17,
    handle=Handle("anaruiz"),
    name=PersonName("Ana", middle="M", family="Ruiz", suffix="Jr", title="Dr"),
    email="ana@example.org",
    phone="tel:+1-419-555-0143",
    address=("12 N MAIN ST", "LIMA OH 45801"),
    site="Lima Grange",
    language="es",
    consent=True,
    joined=datetime(2026, 11, 25, 12, 0, tzinfo=UTC),
)
ACCOUNT = PageAccount(ANA, HASH, must_change=True, expires=date(2026, 12, 9))
BARE = PageAccount(
    replace(ANA, id=18, handle=Handle("suharto"), name=PersonName("Suharto"), email="", phone="",
            address=(), site="", language=""),
    HASH, must_change=False, expires=date(2026, 12, 9),
)  # fmt: skip


def scim(settings: Settings, *given: PageAccount) -> dict[str, Any]:
    out = io.StringIO()
    assert accounts.write_scim(iter(given), settings, out) == len(given)
    said: dict[str, Any] = json.loads(out.getvalue())
    return said


def rows(settings: Settings, *given: PageAccount) -> list[dict[str, str]]:
    out = io.StringIO(newline="")
    assert accounts.write_csv(iter(given), settings, out) == len(given)
    return list(csv.DictReader(io.StringIO(out.getvalue(), newline="")))


def test_the_csv_says_everything_the_page_needs(coop: Settings) -> None:
    assert rows(coop, ACCOUNT) == [
        {
            "handle": "anaruiz", "given name": "Ana", "family name": "Ruiz",
            "email": "ana@example.org", "phone": "tel:+1-419-555-0143",
            "drop site": "Lima Grange", "ordering group": "Lake", "language": "es",
            "password hash": HASH, "must change": "yes", "password expires": "2026-12-09",
            "member": "17",
        }
    ]  # fmt: skip
    (bare,) = rows(coop, BARE)
    assert (bare["ordering group"], bare["language"], bare["must change"]) == ("", "en", "no")


def test_the_scim_is_compared_whole(coop: Settings) -> None:
    assert scim(coop, ACCOUNT) == {
        "schemas": ["urn:ietf:params:scim:api:messages:2.0:BulkRequest"],
        "Operations": [
            {
                "method": "POST",
                "path": "/Users",
                "bulkId": "17",
                "data": {
                    "schemas": ["urn:ietf:params:scim:schemas:core:2.0:User", accounts.OURS],
                    "externalId": "17",
                    "userName": "anaruiz",
                    "name": {
                        "formatted": "Dr Ana M Ruiz Jr",
                        "givenName": "Ana",
                        "middleName": "M",
                        "familyName": "Ruiz",
                        "honorificPrefix": "Dr",
                        "honorificSuffix": "Jr",
                    },
                    "displayName": "Ana Ruiz",
                    "preferredLanguage": "es",
                    "active": True,
                    "emails": [{"value": "ana@example.org", "primary": True}],
                    "phoneNumbers": [{"value": "tel:+1-419-555-0143"}],
                    "addresses": [{"formatted": "12 N MAIN ST\nLIMA OH 45801"}],
                    accounts.OURS: {
                        "passwordHash": HASH,
                        "mustChange": True,
                        "expires": "2026-12-09",
                        "dropSite": "Lima Grange",
                        "orderingGroup": "Lake",
                    },
                },
            }
        ],
    }


# RFC 7643, section 3.1 (common attributes) and 4.1 (User), with their sub-attributes and types;
# from memory of the published text.
PLURAL = {"value": str, "display": str, "type": str, "primary": bool}
CORE: dict[str, Any] = {
    "schemas": list, "externalId": str, "userName": str, "displayName": str, "nickName": str,
    "profileUrl": str, "title": str, "userType": str, "preferredLanguage": str, "locale": str,
    "timezone": str, "active": bool, "password": str,
    "name": {"formatted": str, "familyName": str, "givenName": str, "middleName": str,
             "honorificPrefix": str, "honorificSuffix": str},
    "emails": [PLURAL], "phoneNumbers": [PLURAL], "ims": [PLURAL], "photos": [PLURAL],
    "entitlements": [PLURAL], "roles": [PLURAL], "x509Certificates": [PLURAL],
    "addresses": [{"formatted": str, "streetAddress": str, "locality": str, "region": str,
                   "postalCode": str, "country": str, "type": str, "primary": bool}],
    # "id", "meta" and "groups" are the page's alone to set (section 3.1 and 4.1.2: readOnly).
}  # fmt: skip


def check(said: Any, rule: Any) -> None:
    if isinstance(rule, dict):
        assert isinstance(said, dict)
        assert set(said) <= set(rule)
        assert said, "an attribute without a value is left out (section 2.5)"
        for name, value in said.items():
            check(value, rule[name])
    elif isinstance(rule, list):
        assert isinstance(said, list)
        assert said, "an attribute without a value is left out (section 2.5)"
        assert sum(item.get("primary", False) for item in said) <= 1  # section 2.4
        for item in said:
            check(item, rule[0])
    else:
        assert isinstance(said, rule)


@pytest.mark.parametrize("account", [ACCOUNT, BARE])
def test_every_attribute_is_one_of_the_rfc_or_in_our_extension(
    coop: Settings, account: PageAccount
) -> None:
    user = accounts.user(account, coop)
    ours = user.pop(accounts.OURS)
    check(user, CORE)
    assert user["userName"]  # the one that is required
    assert user["schemas"] == [accounts.USER, accounts.OURS]  # section 3: all that are in use
    assert {type(value) for value in ours.values()} <= {str, bool}


def test_no_clear_password_is_ever_in_it(coop: Settings) -> None:
    text = json.dumps(scim(coop, ACCOUNT, BARE))
    assert '"password"' not in text
    assert "argon2id" not in repr(ACCOUNT)


@pytest.mark.parametrize(
    "name", ['=HYPERLINK("http://x.example")', "+1", "@SUM(1)", "-2", "\tx", "a\ud800b", "x\x00y"]
)
def test_no_cell_that_a_stranger_typed_is_live_or_breaks_the_file(
    coop: Settings, name: str
) -> None:
    typed = PageAccount(
        replace(ANA, name=PersonName(name, family="Li")), HASH, True, date(2026, 12, 9)
    )
    (row,) = rows(coop, typed)
    assert row["given name"][:1] not in "=+-@\t\r"
    row["given name"].encode("utf-8")
    assert scim(coop, typed)["Operations"][0]["data"]["name"]["givenName"] == name


def test_any_number_of_accounts_makes_one_sound_file(coop: Settings) -> None:
    assert scim(coop)["Operations"] == []
    many = [replace(ACCOUNT, member=replace(ANA, id=n)) for n in range(300)]
    operations = scim(coop, *many)["Operations"]
    ids = [operation["bulkId"] for operation in operations]
    assert ids == [str(n) for n in range(300)]  # unique, as RFC 7644 section 3.7 requires
    assert len(rows(coop, *many)) == 300


def test_what_the_page_cannot_hold_is_said() -> None:
    scim_words = " ".join(accounts.CANNOT_HOLD["scim"])
    for point in (
        "password hash (RFC 7643, section 4.1.1",
        "must be changed",
        "drop site",
        "maxOperations",
    ):
        assert point in scim_words
    assert "argon2id" in " ".join(accounts.CANNOT_HOLD["csv"])
