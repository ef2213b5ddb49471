"""DMARC and MX records as domains have them."""

from __future__ import annotations

import random
from collections.abc import Mapping

import pytest

from onboard.mail_records import Answer, Grade, Sending, dmarc, mx
from onboard.mail_records.dmarc import names_up, organization
from onboard.mail_records.kinds import Ask

RUA = "rua=mailto:dmarc-feedback@example.com"


def texts(known: Mapping[str, str | list[str]], silent: tuple[str, ...] = ()) -> Ask:
    def ask(name: str, kind: str) -> Answer:
        found = known.get(name.removeprefix("_dmarc."), [])
        return Answer(tuple([found] if isinstance(found, str) else found), known=name not in silent)

    return ask


def codes(sending: Sending, ask: Ask) -> dict[str, Grade]:
    return {point.code: point.grade for point in dmarc.points(sending, ask)}


@pytest.mark.parametrize(
    ("record", "found"),
    [
        (f"v=DMARC1; p=none; {RUA}", {"dmarc.only_watched": Grade.WEAK}),  # RFC 7489, B.2.1
        # RFC 7489, B.2.4
        (f"v=DMARC1; p=quarantine; {RUA},mailto:tld-test@thirdparty.example.net!10m; pct=25", {"dmarc.partly": Grade.WEAK}),
        (f"v=DMARC1; p=reject; {RUA}; ruf=mailto:auth-reports@example.com", {"dmarc.good": Grade.GOOD}),
        (f"v=DMARC1;p=quarantine;{RUA};pct=100;adkim=s", {"dmarc.good": Grade.GOOD}),
        (f"v=DMARC1; p=quarantine; t=y; {RUA}", {"dmarc.partly": Grade.WEAK}),  # RFC 9989, 4.7
        ("v=DMARC1; p=reject", {"dmarc.no_reports": Grade.WEAK}),
        ("v=DMARC1; p=reject; rua=reports@example.com", {"dmarc.reports_lost": Grade.WEAK}),
        (f"v=DMARC1; {RUA}", {"dmarc.no_policy": Grade.WRONG}),
        (f"v=DMARC1; p=monitor; {RUA}", {"dmarc.no_policy": Grade.WRONG}),
        (f"v=DMARC1; p=reject; nonsense; {RUA}", {"dmarc.broken": Grade.WRONG}),
        ([f"v=DMARC1; p=reject; {RUA}", f"v=DMARC1; p=none; {RUA}"], {"dmarc.two": Grade.WRONG}),
        ([], {"dmarc.missing": Grade.WRONG}),
        (f"p=reject; v=DMARC1; {RUA}", {"dmarc.missing": Grade.WRONG}),  # v= comes first
        (f"V=dmarc1; p=reject; {RUA}", {"dmarc.missing": Grade.WRONG}),
        (["some other text", f"v=DMARC1; p=reject; {RUA}"], {"dmarc.good": Grade.GOOD}),
    ],
)  # fmt: skip
def test_what_is_said_of_a_record(record: str | list[str], found: dict[str, Grade]) -> None:
    assert codes(Sending("example.com"), texts({"example.com": record})) == found


def test_a_record_above_speaks_for_a_domain_below() -> None:
    """RFC 9989, 4.10.1; `sp` is for what is below."""
    below = Sending("mail.example.com")
    strict = {"example.com": f"v=DMARC1; p=none; sp=reject; {RUA}"}
    assert codes(below, texts(strict)) == {"dmarc.good": Grade.GOOD}
    open_ = {"example.com": f"v=DMARC1; p=reject; sp=none; {RUA}"}
    assert codes(below, texts(open_)) == {"dmarc.only_watched": Grade.WEAK}
    own = open_ | {"mail.example.com": f"v=DMARC1; p=reject; {RUA}"}
    assert codes(below, texts(own)) == {"dmarc.good": Grade.GOOD}


def test_what_nobody_answers_is_not_missing() -> None:
    for silent in ("_dmarc.mail.example.com", "_dmarc.example.com"):
        found = codes(Sending("mail.example.com"), texts({}, silent=(silent,)))
        assert found == {"dmarc.unanswered": Grade.UNKNOWN}


def test_the_walk_up_the_tree() -> None:
    """RFC 9989, 4.10 and its worked examples: eight questions at most."""
    assert names_up("a.mail.example.com") == ["a.mail.example.com", "mail.example.com", "example.com", "com"]  # fmt: skip
    deep = names_up("a.b.c.d.e.f.g.h.i.j.mail.example.com")
    assert deep[:2] == ["a.b.c.d.e.f.g.h.i.j.mail.example.com", "g.h.i.j.mail.example.com"]
    assert len(deep) == 8
    known = {"example.com": "v=DMARC1; p=none", "mail.example.com": "v=DMARC1; p=none"}
    assert organization("a.mail.example.com", texts(known)) == "example.com"
    registry = known | {"com": "v=DMARC1; p=none; psd=y"}
    assert organization("a.mail.example.com", texts(registry)) == "example.com"
    own = known | {"mail.example.com": "v=DMARC1; p=none; psd=n"}
    assert organization("a.mail.example.com", texts(own)) == "mail.example.com"


@pytest.mark.parametrize(
    ("path", "aspf", "aligned"),
    [
        ("example.com", "s", True),
        ("bounces.example.com", "r", True),  # RFC 7489, B.1.1, example 2
        ("bounces.example.com", "s", False),
        ("sample.net", "r", False),  # the same, example 3
    ],
)
def test_reports_must_come_back_to_the_sender_s_own(path: str, aspf: str, aligned: bool) -> None:
    ask = texts({"example.com": f"v=DMARC1; p=reject; aspf={aspf}; {RUA}"})
    found = codes(Sending("example.com", path), ask)
    assert found == ({"dmarc.good": Grade.GOOD} if aligned else {"dmarc.alignment": Grade.WRONG})
    if not aligned:  # a signature of the sender's own makes up for it
        assert codes(Sending("example.com", path, selectors=("s",)), ask) == {"dmarc.alignment": Grade.WEAK}  # fmt: skip


PIECES = ("v=DMARC1", "p=none", "p", "sp=", "rua=,", "pct=x", "psd=y", "aspf=s", "", "t=y")


def test_no_record_makes_the_rule_raise() -> None:
    draw = random.Random(20261129)
    for _ in range(300):
        record = ";".join(draw.choices(PIECES, k=draw.randrange(8)))
        ask = texts({"b.example.com": record, "example.com": record, "com": record})
        list(dmarc.points(Sending("a.b.example.com", "c.example.com"), ask))


# ---------------------------------------------------------------- MX


@pytest.mark.parametrize(
    ("known", "found"),
    [
        ({("coop.example", "MX"): ["10 mx.example"], ("mx.example", "A"): ["192.0.2.1"]}, "mx.good"),
        ({("coop.example", "MX"): ["10 mx.example"], ("mx.example", "AAAA"): ["2001:db8::1"]}, "mx.good"),
        ({("coop.example", "MX"): ["10 mx.example"]}, "mx.nowhere"),
        ({("coop.example", "MX"): ["0 ."]}, "mx.none_wanted"),  # RFC 7505, 3
        ({("coop.example", "A"): ["192.0.2.1"]}, "mx.implicit"),  # RFC 5321, 5.1
        ({}, "mx.missing"),
    ],
)  # fmt: skip
def test_what_is_said_of_where_email_goes(
    known: dict[tuple[str, str], list[str]], found: str
) -> None:
    (point,) = mx.points(Sending("coop.example"), lambda n, k: Answer(tuple(known.get((n, k), ()))))
    assert point.code == found


def test_a_domain_with_nothing_at_all_may_be_a_slip_in_the_settings() -> None:
    (point,) = mx.points(Sending("coop.exmaple"), lambda n, k: Answer())
    assert point.ask.startswith("Check how coop.exmaple is spelled in the settings.")


def test_servers_that_nobody_tells_of_are_not_missing() -> None:
    for silent in ("coop.example", "mx.example"):
        (point,) = mx.points(
            Sending("coop.example"),
            lambda n, k, silent=silent: Answer(("10 mx.example",) if k == "MX" else (), known=n != silent),  # type: ignore[misc]
        )  # fmt: skip
        assert point.grade is Grade.UNKNOWN
