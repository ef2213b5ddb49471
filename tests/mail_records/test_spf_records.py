"""SPF against the examples of RFC 7208, and records as domains have them."""

from __future__ import annotations

import random
from collections.abc import Mapping
from ipaddress import ip_address

import pytest

from onboard.mail_records import Answer, Grade, Sending, points, spf
from onboard.mail_records.kinds import Ask
from onboard.mail_records.macros import Sender, expand
from onboard.mail_records.spf import Result, judged
from onboard.mail_records.spf_record import Broken, parse

Zone = Mapping[tuple[str, str], list[str]]

# RFC 7208, appendix A.
APPENDIX: Zone = {
    ("example.com", "MX"): ["10 mail-a.example.com", "20 mail-b.example.com"],
    ("example.com", "A"): ["192.0.2.10", "192.0.2.11"],
    ("amy.example.com", "A"): ["192.0.2.65"],
    ("bob.example.com", "A"): ["192.0.2.66"],
    ("mail-a.example.com", "A"): ["192.0.2.129"],
    ("mail-b.example.com", "A"): ["192.0.2.130"],
    ("example.org", "MX"): ["10 mail-c.example.org"],
    ("mail-c.example.org", "A"): ["192.0.2.140"],
    ("10.2.0.192.in-addr.arpa", "PTR"): ["example.com"],
    ("11.2.0.192.in-addr.arpa", "PTR"): ["example.com"],
    ("65.2.0.192.in-addr.arpa", "PTR"): ["amy.example.com"],
    ("66.2.0.192.in-addr.arpa", "PTR"): ["bob.example.com"],
    ("129.2.0.192.in-addr.arpa", "PTR"): ["mail-a.example.com"],
    ("130.2.0.192.in-addr.arpa", "PTR"): ["mail-b.example.com"],
    ("140.2.0.192.in-addr.arpa", "PTR"): ["mail-c.example.org"],
    ("4.0.0.10.in-addr.arpa", "PTR"): ["bob.example.com"],
    # A.4
    ("ip4._spf.example.com", "TXT"): ["v=spf1 -ip4:192.0.2.0/24 +all"],
    ("ptr._spf.example.com", "TXT"): ["v=spf1 -ptr:example.com +all"],
    # A.2
    ("la.example.org", "TXT"): ["v=spf1 redirect=example.org"],
    ("example.org", "TXT"): ["v=spf1 include:example.com include:example.net -all"],
    ("example.com", "TXT"): ["v=spf1 mx -all"],
    ("example.net", "TXT"): ["v=spf1 ip4:203.0.113.0/24 -all"],
}
ALL_OF_THEM = ("192.0.2.10", "192.0.2.11", "192.0.2.65", "192.0.2.66", "192.0.2.129", "192.0.2.130", "192.0.2.140", "10.0.0.4")  # fmt: skip


def zone(known: Zone, silent: tuple[str, ...] = ()) -> Ask:
    def ask(name: str, kind: str) -> Answer:
        return Answer(tuple(known.get((name, kind), ())), known=name not in silent)

    return ask


@pytest.mark.parametrize(
    ("text", "passing"),
    [
        ("v=spf1 +all", ALL_OF_THEM),
        ("v=spf1 a -all", ("192.0.2.10", "192.0.2.11")),
        ("v=spf1 a:example.org -all", ()),
        ("v=spf1 mx -all", ("192.0.2.129", "192.0.2.130")),
        ("v=spf1 mx:example.org -all", ("192.0.2.140",)),
        ("v=spf1 mx mx:example.org -all", ("192.0.2.129", "192.0.2.130", "192.0.2.140")),
        ("v=spf1 mx/30 mx:example.org/30 -all", ("192.0.2.129", "192.0.2.130", "192.0.2.140")),
        ("v=spf1 ptr -all", ("192.0.2.10", "192.0.2.11", "192.0.2.65", "192.0.2.66", "192.0.2.129", "192.0.2.130")),
        ("v=spf1 ip4:192.0.2.128/28 -all", ("192.0.2.129", "192.0.2.130", "192.0.2.140")),
        ("v=spf1 -include:ip4._spf.%{d} -include:ptr._spf.%{d} +all",
         ("192.0.2.10", "192.0.2.11", "192.0.2.65", "192.0.2.66", "192.0.2.129", "192.0.2.130")),
    ],
)  # fmt: skip
def test_the_records_of_appendix_a_pass_whom_they_say(text: str, passing: tuple[str, ...]) -> None:
    """RFC 7208, A.1 and A.4."""
    found = tuple(
        ip
        for ip in ALL_OF_THEM
        if judged("example.com", sender(ip), zone(APPENDIX), text)[0] is Result.PASS
    )
    assert found == passing


def sender(ip: str, address: str = "strong-bad@email.example.com") -> Sender:
    return Sender(ip_address(ip), address)


@pytest.mark.parametrize(
    ("domain", "ip", "result"),
    [
        ("example.org", "192.0.2.129", Result.PASS),  # by example.com
        ("example.org", "203.0.113.7", Result.PASS),  # by example.net
        ("la.example.org", "203.0.113.7", Result.PASS),
        ("la.example.org", "198.51.100.1", Result.FAIL),
        ("example.edu", "192.0.2.1", Result.NONE),
    ],
)
def test_records_that_name_others(domain: str, ip: str, result: Result) -> None:
    """RFC 7208, A.2."""
    assert judged(domain, sender(ip), zone(APPENDIX)) == (result, "")


@pytest.mark.parametrize(
    ("spec", "name"),
    [
        ("%{s}", "strong-bad@email.example.com"),
        ("%{o}", "email.example.com"),
        ("%{d}", "email.example.com"),
        ("%{d4}", "email.example.com"),
        ("%{d3}", "email.example.com"),
        ("%{d2}", "example.com"),
        ("%{d1}", "com"),
        ("%{dr}", "com.example.email"),
        ("%{d2r}", "example.email"),
        ("%{l}", "strong-bad"),
        ("%{l-}", "strong.bad"),
        ("%{lr}", "strong-bad"),
        ("%{lr-}", "bad.strong"),
        ("%{l1r-}", "strong"),
        ("%{ir}.%{v}._spf.%{d2}", "3.2.0.192.in-addr._spf.example.com"),
        ("%{lr-}.lp._spf.%{d2}", "bad.strong.lp._spf.example.com"),
        ("%{lr-}.lp.%{ir}.%{v}._spf.%{d2}", "bad.strong.lp.3.2.0.192.in-addr._spf.example.com"),
        ("%{ir}.%{v}.%{l1r-}.lp._spf.%{d2}", "3.2.0.192.in-addr.strong.lp._spf.example.com"),
        ("%{d2}.trusted-domains.example.net", "example.com.trusted-domains.example.net"),
    ],
)
def test_macros_of_the_standard(spec: str, name: str) -> None:
    """RFC 7208, 7.4."""
    assert expand(spec, "email.example.com", sender("192.0.2.3")) == name


def test_a_macro_of_an_address_of_ipv6() -> None:
    """RFC 7208, 7.4."""
    assert expand("%{ir}.%{v}._spf.%{d2}", "email.example.com", sender("2001:db8::cb01")) == (
        "1.0.b.c.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.0.8.b.d.0.1.0.0.2.ip6._spf.example.com"
    )


@pytest.mark.parametrize(
    "text",
    [
        "v=spf1 ip4:192.0.2.300 -all", "v=spf1 ip6:192.0.2.3 -all", "v=spf1 include -all", "v=spf1 include: -all",
        "v=spf1 mx:example.org/33 -all", "v=spf1 -all:example.org", "v=spf1 ipv4:192.0.2.3 -all",
        "v=spf1 redirect=a.example redirect=b.example", "v=spf1 a:%(d) -all", "v=spf1 mx; -all",
        "v=spf1 a:192.0.2.3 -all", "v=spf1 exists:%{z}.example.org",
    ],
)  # fmt: skip
def test_records_that_are_broken(text: str) -> None:
    """RFC 7208, 4.6 and 12: one wrong term, and the whole record counts for nothing."""
    with pytest.raises(Broken):
        parse(text)


@pytest.mark.parametrize(
    "text",
    ["v=spf1", "v=spf1 ", "V=SPF1  A  MX/24//64 -ALL", "v=spf1 a:example.org. ?all", "v=spf1 x-new=%{d} ~all",
     "v=spf1 exp=explain._spf.%{d} -all", "v=spf1 ip6:2001:db8::/32 -all", "v=spf1 exists:%{ir}.%{l1r+-}._spf.%{d} -all"],
)  # fmt: skip
def test_records_that_are_sound(text: str) -> None:
    parse(text)


def codes(known: Zone, silent: tuple[str, ...] = (), **more: str) -> dict[str, Grade]:
    sending = Sending("coop.example", **more)
    return {point.code: point.grade for point in spf.points(sending, zone(known, silent))}


def of(*texts: str, **others: str) -> Zone:
    named = {(f"{name.replace('_', '-')}.example", "TXT"): [text] for name, text in others.items()}
    return {("coop.example", "TXT"): list(texts), **named}


CHAIN = {
    f"p{n}": f"v=spf1 include:p{n + 1}.example include:q{n}.example -all" for n in range(6)
} | {f"q{n}": "v=spf1 ip4:192.0.2.1 -all" for n in range(7)}


@pytest.mark.parametrize(
    ("known", "found"),
    [
        ({}, {"spf.missing": Grade.WRONG}),
        (of("google-site-verification=x", "v=spf10 -all", "spf1"), {"spf.missing": Grade.WRONG}),
        (of("v=spf1 mx -all", "v=spf1 include:p.example ~all"), {"spf.two": Grade.WRONG}),
        (of("v=spf1 mx -all", "other text"), {"spf.good": Grade.GOOD}),
        (of("v=spf1 +all"), {"spf.all_pass": Grade.WRONG}),
        (of("v=spf1 all"), {"spf.all_pass": Grade.WRONG}),
        (of("v=spf1 mx ?all"), {"spf.open_end": Grade.WEAK}),
        (of("v=spf1 mx"), {"spf.open_end": Grade.WEAK}),
        (of("v=spf1 redirect=p.example", p="v=spf1 mx -all"), {"spf.good": Grade.GOOD}),
        (of("v=spf1 ptr -all"), {"spf.ptr": Grade.WEAK}),
        (of("v=spf1 ip4:192.0.2.300 -all"), {"spf.broken": Grade.WRONG}),
        (of("v=spf1 include:p.example -all"), {"spf.broken_include": Grade.WRONG}),
        (of("v=spf1 include:http://p.example -all", p="v=spf1 -all"), {"spf.broken_include": Grade.WRONG}),
        (of("v=spf1 include:p.example -all", p="v=spf1 ipv4:1.2.3.4"), {"spf.broken_include": Grade.WRONG}),
        (of("v=spf1 a mx a:a.example a:b.example a:c.example a:d.example a:e.example mx:f.example exists:g.example include:p.example -all",
            p="v=spf1 ip4:192.0.2.1 -all"), {"spf.good": Grade.GOOD}),  # ten
        (of("v=spf1 a mx a:a.example a:b.example a:c.example a:d.example a:e.example mx:f.example exists:g.example include:p.example -all",
            p="v=spf1 a -all"), {"spf.lookups": Grade.WRONG}),  # eleven
        (of("v=spf1 include:p0.example -all", **CHAIN, p6="v=spf1 -all"), {"spf.lookups": Grade.WRONG}),
        (of("v=spf1 include:p.example -all", p="v=spf1 include:p.example -all"), {"spf.lookups": Grade.WRONG}),  # a ring
        # behind all, nothing is ever asked (5.1)
        (of("v=spf1 mx -all a a a a a a a a a a a"), {"spf.good": Grade.GOOD}),
    ],
)  # fmt: skip
def test_what_is_said_of_a_domain(known: Zone, found: dict[str, Grade]) -> None:
    assert codes(known) == found


def test_what_nobody_answers_is_not_missing() -> None:
    assert codes({}, silent=("coop.example",)) == {"spf.unanswered": Grade.UNKNOWN}
    known = of("v=spf1 include:p.example -all")
    assert codes(known, silent=("p.example",)) == {"spf.include_unanswered": Grade.UNKNOWN}


def test_the_server_of_the_settings_is_looked_for() -> None:
    server = {("smtp.example", "A"): ["192.0.2.7"]}
    named = of("v=spf1 include:p.example -all", p="v=spf1 ip4:192.0.2.0/28 -all")
    assert codes(named | server, server="smtp.example") == {"spf.good": Grade.GOOD}
    elsewhere = of("v=spf1 ip4:198.51.100.1 -all") | server
    assert codes(elsewhere, server="smtp.example") == {"spf.server": Grade.WEAK}
    # What has no address of its own says nothing.
    assert codes(elsewhere, server="other.example") == {"spf.good": Grade.GOOD}


def test_the_path_that_reports_come_back_by_is_what_is_judged() -> None:
    known = {("bounce.example", "TXT"): ["v=spf1 mx -all"]}
    assert codes(known, path="bounce.example") == {"spf.good": Grade.GOOD}


def test_two_look_ups_may_find_nothing_and_no_more() -> None:
    """RFC 7208, 4.6.4."""
    for names, result in (
        (("a.x", "b.x"), Result.FAIL),
        (("a.x", "b.x", "c.x"), Result.PERMERROR),
    ):
        text = f"v=spf1 {' '.join(f'a:{name}' for name in names)} -all"
        assert judged("coop.example", sender("192.0.2.1"), zone({}), text)[0] is result


TERMS = (
    "a", "mx", "ptr", "include:p.example", "exists:%{i}.x.example", "ip4:192.0.2.0/24", "redirect=p.example", "-all", "~all",
    "a:%{d}", "mx/24", "exp=e.example", "bad", "ip6:::1", "%", "a:", "include:%{l}.x.example", "mx:example.org//200",
)  # fmt: skip


def test_no_record_makes_the_rules_raise() -> None:
    draw = random.Random(20261129)
    server = {("smtp.example", "A"): ["192.0.2.7"], ("smtp.example", "AAAA"): ["2001:db8::7"]}
    for _ in range(300):
        mine, theirs = (draw.choices(TERMS, k=draw.randrange(9)) for _ in range(2))
        known = of(" ".join(["v=spf1", *mine]), p=" ".join(["v=spf1", *theirs]))
        assert points(Sending("coop.example", server="smtp.example"), zone(known | server))
