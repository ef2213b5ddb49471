"""Whether domains take mail, asked of a real name server of our own on 127.0.0.1."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from time import monotonic

import name_server
import pytest
from coop_forms import PAT, ROBIN, form, office_of
from name_server import BROKEN, SILENT, NameServer
from sqlalchemy import Engine

from onboard import intake
from onboard.errors import SettingsTrouble
from onboard.intake.mail_domains import NO_MAIL, MailDomains
from onboard.model import Email, RawRow
from onboard.office import Office
from onboard.reports.decisions import Seen
from onboard.roster import store
from onboard.settings import MailServer, Settings
from onboard.tasks import email_doubts
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.audit_roster import audit_roster
from onboard.tasks.audit_sheets import audit_sheet
from onboard.tasks.enroll_batch import enroll_batch


@pytest.fixture
def server() -> Iterator[NameServer]:
    with name_server.running() as server:
        yield server


@pytest.fixture
def domains(server: NameServer) -> MailDomains:
    return MailDomains(server.resolver(), timeout=1)


def at(domain: str) -> Email:
    return Email(f"pat@{domain}", f"pat@{domain}")


@pytest.mark.parametrize(
    "domain",
    [
        "mail.example.org",  # RFC 5321, 5.1: an MX record
        "address-only.example.org",  # the same: none, so an address record serves
        "six-only.example.org",
        "bücher.example",
        BROKEN,  # a broken server says nothing against a member
        SILENT,
        "pat.test",  # not asked at all: reserved names (RFC 6761)
    ],
)
def test_domains_that_take_mail_or_do_not_say_are_left_in_peace(
    domains: MailDomains, domain: str
) -> None:
    assert domains.findings(at(domain)) == ()


@pytest.mark.parametrize(
    ("domain", "why"),
    [
        ("null-mx.example.org", "does not accept email"),  # RFC 7505, 3
        ("private.example.org", "does not accept email"),
        ("text-only.example.org", "does not accept email"),
        ("nowhere.example.org", "does not exist"),
    ],
)
def test_domains_that_take_no_mail_are_told(domains: MailDomains, domain: str, why: str) -> None:
    (finding,) = domains.findings(at(domain))
    assert (finding.code, finding.weight) == (NO_MAIL.code, NO_MAIL.weight)
    assert finding.said == f"pat@{domain}"
    assert finding.note == (
        f"The domain name {domain} {why}."
        " Ask for another email address. A packet sent there comes back or gets lost."
    )


def test_each_domain_is_asked_about_once(domains: MailDomains, server: NameServer) -> None:
    batch = [at("mail.example.org"), at("nowhere.example.org"), at("null-mx.example.org")] * 50
    domains.ask(batch)
    domains.ask(batch)
    found = [domains.findings(email) for email in batch]
    assert [len(one) for one in found] == [0, 1, 1] * 50
    assert server.asked == {
        "mail.example.org": 1,
        "nowhere.example.org": 1,
        "null-mx.example.org": 1,
    }


def test_reserved_names_never_reach_the_network(domains: MailDomains, server: NameServer) -> None:
    domains.ask([at("pat.test"), at("pat.invalid"), at("printer.local")])
    assert not server.asked


def test_without_dnspython_the_trouble_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delitem(sys.modules, "email_validator.deliverability", raising=False)
    monkeypatch.setitem(sys.modules, "dns.resolver", None)
    with pytest.raises(SettingsTrouble, match=r"Install onboard\[mx\]"):
        MailDomains()


def test_where_nobody_answers_the_wait_is_short(server: NameServer) -> None:
    server.is_silent = True
    domains = MailDomains(server.resolver(), timeout=1)
    before = monotonic()
    domains.ask([at(f"d{n}.example.org") for n in range(200)])
    assert monotonic() - before < 5
    assert domains.unanswered == 200
    assert domains.findings(at("d7.example.org")) == ()


# ---------------------------------------------------------------- where the settings want it

DOMAINS = ("mail.example.org", "null-mx.example.org", "nowhere.example.org", "mail.example.org")


def forms() -> list[RawRow]:
    names = ("Robin Vale", "Ana Ruiz", "Kim Moor", "Sam Poe")
    return [
        form(line, **PAT | {"full_name": name, "email": f"{name[:3].lower()}@{domain}",
                            "phone": f"419-555-01{line:02}", "street": f"{line} Elm St"})
        for line, (name, domain) in enumerate(zip(names, DOMAINS, strict=True), start=2)
    ]  # fmt: skip


@pytest.fixture
def engine() -> Engine:
    return store.open_store("sqlite://")


def office(coop: Settings, engine: Engine, server: NameServer, *, asks: bool) -> Office:
    wanted = replace(coop, mail=MailServer(ask_name_servers=asks))
    return replace(office_of(wanted, engine, ROBIN), resolver=server.resolver())


def test_a_batch_asks_the_name_servers_where_the_settings_want_it(
    coop: Settings, engine: Engine, server: NameServer, tmp_path: Path
) -> None:
    here = office(coop, engine, server, asks=True)
    done = enroll_batch(here, forms(), Seen(tmp_path / "forms.csv"), keep=True)
    assert done.sums.codes["email.no_mail"] == 2
    assert done.sums.notes == []
    # no password goes where no email arrives
    asked = {one.member.email: one.doubt.notes for one in email_doubts.questions(here)}
    assert list(asked) == ["ana@null-mx.example.org", "kim@nowhere.example.org"]
    assert "does not accept email" in asked["ana@null-mx.example.org"][0]


def test_nobody_is_asked_where_the_settings_do_not_want_it(
    coop: Settings, engine: Engine, server: NameServer, tmp_path: Path
) -> None:
    here = office(coop, engine, server, asks=False)
    done = enroll_batch(here, forms(), Seen(tmp_path / "forms.csv"), keep=True)
    audit_roster(here)
    assert "email.no_mail" not in done.sums.codes
    assert not server.asked
    assert MailServer().ask_name_servers is False


def test_a_silent_name_server_is_told_once_and_stops_nobody(
    coop: Settings, engine: Engine, server: NameServer, tmp_path: Path
) -> None:
    server.is_silent = True
    here = office(coop, engine, server, asks=True)
    done = enroll_batch(here, forms(), Seen(tmp_path / "forms.csv"), keep=True)
    assert done.sums.enrolled == 4
    assert done.sums.notes == [
        "The name servers did not answer about 3 email domains, so the program can't tell whether email"
        " arrives there. Try again later."
    ]


def test_those_brought_in_and_an_audit_are_asked_about_too(
    coop: Settings, engine: Engine, server: NameServer
) -> None:
    here = office(coop, engine, server, asks=True)
    old = [
        replace(
            raw, fields={**raw.fields, "handle": f"old{raw.line}"}, cells=(("x", str(raw.line)),)
        )
        for raw in forms()
    ]
    assert adopt_members(here, old, file="old.csv", keep=True).notes == []
    found = [one for one in audit_roster(here).found if one.code == "email.no_mail"]
    assert [one.owner for one in found] == ["member:2", "member:3"]
    assert "Ask for another email address" in found[0].finding.note


def test_an_audit_of_a_roster_finds_domains_that_died_since(
    coop: Settings, engine: Engine, server: NameServer, tmp_path: Path
) -> None:
    """They were brought in while nobody was asked."""
    before = office(coop, engine, server, asks=False)
    enroll_batch(before, forms(), Seen(tmp_path / "forms.csv"), keep=True)
    found = audit_roster(office(coop, engine, server, asks=True)).found
    assert [one.owner for one in found if one.code == "email.no_mail"] == ["member:2", "member:3"]


def test_an_audit_of_a_spreadsheet_asks_as_well(
    coop: Settings, engine: Engine, server: NameServer, tmp_path: Path
) -> None:
    file = tmp_path / "members.csv"
    file.write_text("Name,Email\nAna Ruiz,ana@null-mx.example.org\nSam Poe,sam@mail.example.org\n")
    done = audit_sheet(office(coop, engine, server, asks=True), intake.open_rows(file))
    assert [one.owner for one in done.found if one.code == "email.no_mail"] == ["line:2"]
    assert not any("name servers" in note for note in done.notes)
