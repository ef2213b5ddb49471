"""Whether domains take mail, asked of a real name server of our own on 127.0.0.1."""

from __future__ import annotations

import socket
import sys
import threading
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

import dns.flags
import dns.message
import dns.rcode
import dns.resolver
import dns.rrset
import pytest

from onboard.errors import SettingsTrouble
from onboard.intake.mail_domains import NO_MAIL, MailDomains
from onboard.model import Email

GLOBAL = "198.41.0.4"  # an address outside every private range; a name server of the root zone

# What the zone says: (name, type) to records. RFC 7505, 3 for the null MX.
ZONE = {
    ("mail.example.org", "MX"): ["10 mx.example.org."],
    ("null-mx.example.org", "MX"): ["0 ."],
    ("address-only.example.org", "A"): [GLOBAL],
    ("six-only.example.org", "AAAA"): ["2001:503:ba3e::2:30"],
    ("private.example.org", "A"): ["192.168.0.7"],
    ("text-only.example.org", "TXT"): ['"nothing here"'],
    ("xn--bcher-kva.example", "MX"): ["10 mx.example.org."],
}
BROKEN, SILENT = "broken.example.org", "silent.example.org"


@dataclass
class NameServer:
    """A name server that answers from `ZONE` and counts what it is asked."""

    port: int = 0
    asked: Counter[str] = field(default_factory=Counter)

    def answer(self, wire: bytes) -> bytes | None:
        query = dns.message.from_wire(wire)
        question = query.question[0]
        name = question.name.to_text(omit_final_dot=True).lower()
        kind = dns.rdatatype.to_text(question.rdtype)
        self.asked[name] += 1
        if name == SILENT:
            return None
        response = dns.message.make_response(query)
        response.flags |= dns.flags.RA
        if name == BROKEN:
            response.set_rcode(dns.rcode.SERVFAIL)
        elif records := ZONE.get((name, kind)):
            response.answer.append(dns.rrset.from_text(question.name, 300, "IN", kind, *records))
        elif all(known != name for known, _ in ZONE):
            response.set_rcode(dns.rcode.NXDOMAIN)
        return response.to_wire()


@pytest.fixture
def server() -> Iterator[NameServer]:
    server = NameServer()
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(0.05)
        server.port = sock.getsockname()[1]
        stop = threading.Event()

        def serve() -> None:
            while not stop.is_set():
                try:
                    wire, client = sock.recvfrom(4096)
                except TimeoutError:
                    continue
                if reply := server.answer(wire):
                    sock.sendto(reply, client)

        thread = threading.Thread(target=serve)
        thread.start()
        yield server
        stop.set()
        thread.join()


@pytest.fixture
def domains(server: NameServer) -> MailDomains:
    resolver = dns.resolver.Resolver(configure=False)
    resolver.nameservers = ["127.0.0.1"]
    resolver.port = server.port
    return MailDomains(resolver, timeout=1)


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
