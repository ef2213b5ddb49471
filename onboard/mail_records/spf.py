"""Which hosts may send mail for a domain (SPF, RFC 7208): judged for a host, and for its own sake."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import StrEnum
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network

from onboard.mail_records import macros
from onboard.mail_records.kinds import Answer, Ask, Grade, Point, Sending
from onboard.mail_records.macros import Sender
from onboard.mail_records.spf_record import ASKS, Broken, Mechanism, Record, parse, records

MOST_ASKED, MOST_VOID, MOST_NAMES = 10, 2, 10  # 4.6.4
DEEPEST = 20  # records that name each other in a ring end here


class Result(StrEnum):
    """What a record says of a host (2.6)."""

    NONE = "none"
    NEUTRAL = "neutral"
    PASS = "pass"
    FAIL = "fail"
    SOFTFAIL = "softfail"
    TEMPERROR = "temperror"
    PERMERROR = "permerror"


_OF_SIGN = {"+": Result.PASS, "-": Result.FAIL, "~": Result.SOFTFAIL, "?": Result.NEUTRAL}


class _Unanswered(Exception):
    """A name server did not answer."""


@dataclass(slots=True)
class _Judge:
    """Asks on behalf of one host, and counts what it asks."""

    ask: Ask
    sender: Sender
    asked: int = 0
    void: int = 0

    def host(self, domain: str, text: str | None = None) -> Result:
        """What the record of a domain, or this text of one, says of the host (4)."""
        if text is None:
            found = records(self._told(domain, "TXT"))
            if not found:
                return Result.NONE
            if len(found) > 1:
                raise Broken("stands there twice")
            (text,) = found
        record = parse(text)
        for one in record.mechanisms:
            if one.name in ASKS:
                self._count()
            if self._matches(one, domain):
                return _OF_SIGN[one.qualifier]
        if record.redirect:
            self._count()
            result = self.host(macros.expand(record.redirect, domain, self.sender))
            if result is Result.NONE:
                raise Broken("sends to a domain that has none")
            return result
        return Result.NEUTRAL

    def _count(self) -> None:
        self.asked += 1
        if self.asked > MOST_ASKED:
            raise Broken(f"takes more than {MOST_ASKED} look-ups")

    def _told(self, name: str, kind: str) -> Answer:
        answer = self.ask(name, kind)
        if not answer.known:
            raise _Unanswered
        return answer

    def _listed(self, name: str, kind: str) -> tuple[str, ...]:
        """The records of a name that the record of a domain asks for; it may find none twice."""
        found = self._told(name, kind).records
        if not found:
            self.void += 1
            if self.void > MOST_VOID:
                raise Broken("asks about too many names that there are not")
        return found

    def _matches(self, one: Mechanism, domain: str) -> bool:
        if one.name == "all":
            return True
        if one.net is not None:
            return self.sender.ip in one.net
        name = macros.expand(one.spec, domain, self.sender) if one.spec else domain
        match one.name:
            case "include":
                result = self.host(name)
                if result is Result.NONE:
                    raise Broken(f"includes {name}, which has none")
                return result is Result.PASS
            case "a":
                return self._is_at(self._listed(name, self._kind), one)
            case "mx":
                hosts = [text.split()[-1] for text in self._listed(name, "MX")]
                if len(hosts) > MOST_NAMES:
                    raise Broken(f"has “mx” for {name}, which has more than {MOST_NAMES} servers")
                return any(self._is_at(self._told(host, self._kind).records, one) for host in hosts if host != ".")  # fmt: skip
            case "exists":
                return bool(self._listed(name, "A"))
        return self._is_named(name)

    @property
    def _kind(self) -> str:
        return "A" if self.sender.ip.version == 4 else "AAAA"

    def _is_at(self, addresses: tuple[str, ...], one: Mechanism) -> bool:
        bits = one.four if self.sender.ip.version == 4 else one.six
        return any(
            self.sender.ip in ip_network(f"{text}/{bits}", strict=False) for text in addresses
        )

    def _is_named(self, name: str) -> bool:
        """Whether the host's own name, which leads back to it, is of the domain (5.5)."""
        ip = self.sender.ip
        for host in self._listed(ip.reverse_pointer, "PTR")[:MOST_NAMES]:
            answer = self.ask(host, self._kind)  # 5.5: an error here only passes over the name
            if (host == name or host.endswith(f".{name}")) and str(ip) in answer.records:
                return True
        return False


def judged(domain: str, sender: Sender, ask: Ask, text: str | None = None) -> tuple[Result, str]:
    """What the domain's record, or this text of one, says of a host, and what is wrong with it."""
    try:
        return _Judge(ask, sender).host(domain, text), ""
    except _Unanswered:
        return Result.TEMPERROR, ""
    except Broken as wrong:
        return Result.PERMERROR, str(wrong)


@dataclass(slots=True)
class Walk:
    """All that a record refers to, whoever sends."""

    ask: Ask
    asked: int = 0
    unanswered: list[str] = field(default_factory=list)
    broken: list[str] = field(default_factory=list)

    def through(self, domain: str, record: Record, depth: int = 0) -> None:
        """Count the look-ups of the record, and of those that it includes."""
        for kind, name in _referred(record, domain):
            self.asked += 1
            if kind not in ("include", "redirect") or "%" in name or depth >= DEEPEST:
                continue
            answer = self.ask(name, "TXT")
            found = records(answer)
            if not answer.known:
                self.unanswered.append(name)
            elif len(found) != 1:
                has = "has none" if not found else "has two"
                self.broken.append(f"refers to {name}, which {has}")
            else:
                try:
                    self.through(name, parse(found[0]), depth + 1)
                except Broken as wrong:
                    self.broken.append(f"refers to {name}, whose own {wrong}")


def _referred(record: Record, domain: str) -> Iterator[tuple[str, str]]:
    for one in record.mechanisms:
        if one.name in ASKS:
            yield one.name, one.spec or domain
        if one.name == "all":
            return  # 5.1: what follows is never reached, and redirect= counts for nothing
    if record.redirect:
        yield "redirect", record.redirect


def points(sending: Sending, ask: Ask) -> Iterator[Point]:
    """What to know of the SPF record of the domain that reports come back to."""
    domain = sending.path or sending.domain
    answer = ask(domain, "TXT")
    if not answer.known:
        yield Point("spf.unanswered", Grade.UNKNOWN, f"The name servers did not answer about {domain}, so the program can't tell whether it has an SPF record.", "Run this again later.")  # fmt: skip
        return
    found = records(answer)
    if not found:
        yield Point(
            "spf.missing", Grade.WRONG, f"{domain} has no SPF record: no list of the servers that may send its email.",
            f"Add a TXT record at {domain} that allows your mail server, as its provider tells you. For instance: v=spf1 include:NAME-FROM-YOUR-PROVIDER -all",
        )  # fmt: skip
        return
    if len(found) > 1:
        yield Point(
            "spf.two", Grade.WRONG, f"{domain} has {len(found)} SPF records, and then none of them counts.",
            "Make one record of them: all their terms behind one v=spf1, and one “all” at the end.", " | ".join(found),
        )  # fmt: skip
        return
    yield from _of_record(sending, domain, found[0], ask)


def _of_record(sending: Sending, domain: str, text: str, ask: Ask) -> Iterator[Point]:
    try:
        record = parse(text)
    except Broken as wrong:
        yield Point("spf.broken", Grade.WRONG, f"The SPF record of {domain} {wrong}. So the whole record counts for nothing.", "Fix that term, or take it out.", text)  # fmt: skip
        return
    walk = Walk(ask)
    walk.through(domain, record)
    worst = [*_lookups(domain, text, walk), *_ends(domain, text, record)]
    yield from worst
    mine = list(_our_server(sending, domain, text, ask))
    yield from mine
    if not any(one.grade is not Grade.GOOD for one in [*worst, *mine]):
        yield Point("spf.good", Grade.GOOD, f"{domain} has a sound SPF record.", record=text)


def _lookups(domain: str, text: str, walk: Walk) -> Iterator[Point]:
    if walk.asked > MOST_ASKED:
        yield Point(
            "spf.lookups", Grade.WRONG, f"The SPF record of {domain} takes {walk.asked} look-ups. Mail servers stop at {MOST_ASKED}, and then it counts for nothing.",
            "Take out includes of services that you no longer use, or write addresses (ip4:, ip6:) instead of a and mx.", text,
        )  # fmt: skip
    for wrong in dict.fromkeys(walk.broken):
        yield Point("spf.broken_include", Grade.WRONG, f"The SPF record of {domain} {wrong}.", "Fix the name, or take that term out.", text)  # fmt: skip
    for name in dict.fromkeys(walk.unanswered):
        yield Point("spf.include_unanswered", Grade.UNKNOWN, f"The name servers did not answer about {name}, which the SPF record of {domain} includes.", "Run this again later.", text)  # fmt: skip


def _ends(domain: str, text: str, record: Record) -> Iterator[Point]:
    """What the record says of hosts that it does not name."""
    last = next((one.qualifier for one in record.mechanisms if one.name == "all"), "")
    if last == "+":
        yield Point("spf.all_pass", Grade.WRONG, f"The SPF record of {domain} ends in +all: anybody may send email in your name.", "Change +all to ~all or -all.", text)  # fmt: skip
    elif last == "?" or not (last or record.redirect):
        yield Point("spf.open_end", Grade.WEAK, f"The SPF record of {domain} does not say what to do with email from other servers.", "End it in ~all, or in -all once you know all servers that send for you.", text)  # fmt: skip
    if any(one.name == "ptr" for one in record.mechanisms):
        yield Point("spf.ptr", Grade.WEAK, f"The SPF record of {domain} uses ptr, which is slow. Some mail servers pass over it (RFC 7208, 5.5).", "Write a, mx, or addresses (ip4:, ip6:) instead of ptr.", text)  # fmt: skip


def _our_server(sending: Sending, domain: str, text: str, ask: Ask) -> Iterator[Point]:
    """Whether the record allows the server that the settings name. What sends may be another one behind it."""
    found = [(kind, ask(sending.server, kind)) for kind in ("A", "AAAA")] if sending.server else []
    ips: list[IPv4Address | IPv6Address] = []
    for _, answer in found:
        ips += [ip_address(one) for one in answer.records]
    if not ips:
        return
    verdicts = [judged(domain, Sender(ip, f"postmaster@{domain}", sending.server), ask, text) for ip in ips]  # fmt: skip
    results = [result for result, _ in verdicts]
    if any(result is Result.PASS for result in results):
        return
    if Result.TEMPERROR in results or Result.PERMERROR in results:
        return  # said of the record as a whole
    yield Point(
        "spf.server", Grade.WEAK, f"The SPF record of {domain} does not name {sending.server}, the mail server in your settings. It may name others that it sends through.",
        f"Ask whoever runs {sending.server} what must be in your SPF record, and see that it is there.", text,
    )  # fmt: skip
