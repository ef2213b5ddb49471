"""A name server of our own on 127.0.0.1, for tests."""

from __future__ import annotations

import socket
import threading
from collections import Counter
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import dns.flags
import dns.message
import dns.rcode
import dns.resolver
import dns.rrset

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
    """A name server that answers from its zone and counts what it is asked."""

    port: int = 0
    zone: Mapping[tuple[str, str], list[str]] = field(default_factory=lambda: ZONE)
    is_silent: bool = False
    asked: Counter[str] = field(default_factory=Counter)

    def resolver(self) -> dns.resolver.Resolver:
        """One that asks this server only."""
        resolver = dns.resolver.Resolver(configure=False)
        resolver.nameservers = ["127.0.0.1"]
        resolver.port = self.port
        return resolver

    def answer(self, wire: bytes) -> bytes | None:
        query = dns.message.from_wire(wire)
        question = query.question[0]
        name = question.name.to_text(omit_final_dot=True).lower()
        kind = dns.rdatatype.to_text(question.rdtype)
        self.asked[name] += 1
        if name == SILENT or self.is_silent:
            return None
        response = dns.message.make_response(query)
        response.flags |= dns.flags.RA
        if name == BROKEN:
            response.set_rcode(dns.rcode.SERVFAIL)
        elif records := self.zone.get((name, kind)):
            response.answer.append(dns.rrset.from_text(question.name, 300, "IN", kind, *records))
        elif all(known != name for known, _ in self.zone):
            response.set_rcode(dns.rcode.NXDOMAIN)
        return response.to_wire()


@contextmanager
def running() -> Iterator[NameServer]:
    """One that answers on 127.0.0.1."""
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
        try:
            yield server
        finally:
            stop.set()
            thread.join()
