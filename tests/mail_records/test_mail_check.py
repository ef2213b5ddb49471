"""`onboard mail-check`, with a name server of our own on 127.0.0.1."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path

import name_server
import pytest
from cli.office import SETTINGS, Said, onboard
from name_server import BROKEN, SILENT, NameServer

from onboard.errors import SettingsTrouble
from onboard.intake import name_servers
from onboard.mail_records import Answer

LONG = "v=DKIM1; k=rsa; n=" + "a" * 250
ZONE = {
    ("growers.example.org", "TXT"): ['"some-proof=1"', '"v=spf1 " "mx -all"'],
    ("growers.example.org", "MX"): ["10 mx.growers.example.org."],
    ("mx.growers.example.org", "A"): ["192.0.2.9"],
    ("_dmarc.growers.example.org", "TXT"): ['"v=DMARC1; p=none; rua=mailto:d@growers.example.org"'],
    ("long.example.org", "TXT"): [f'"{LONG[:200]}" "{LONG[200:]}"'],
    ("alias.example.org", "CNAME"): ["long.example.org."],
    ("null-mx.example.org", "MX"): ["0 ."],
}


@pytest.fixture
def server() -> Iterator[NameServer]:
    with name_server.running() as server:
        server.zone = ZONE
        yield server


@pytest.fixture
def check(server: NameServer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> NameServer:
    import dns.resolver

    (tmp_path / "onboard.toml").write_text(SETTINGS)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(dns.resolver, "default_resolver", server.resolver())
    monkeypatch.setattr(name_servers, "TIMEOUT", 0.3)
    return server


def run(*more: str) -> Said:
    return onboard("mail-check", *more)


def test_what_is_missing_is_said_with_what_to_ask_for(check: NameServer) -> None:
    said = run("--selector", "mail2026")
    assert said.code == 1
    assert "There is no DKIM key at mail2026._domainkey.growers.example.org" in said.words
    assert "has p=none: email in your name that proves nothing still arrives" in said.words
    assert "growers.example.org has a sound SPF record." in said.words
    assert "1 thing to fix." in said.words


def test_json_has_a_line_for_each(check: NameServer) -> None:
    found = [json.loads(line) for line in run("--json").out.splitlines()]
    assert [(one["code"], one["grade"]) for one in found] == [
        ("spf.good", "good"),
        ("dkim.no_selector", "could not tell"),
        ("dmarc.only_watched", "weak"),
        ("mx.good", "good"),
    ]
    assert found[0]["record"] == "v=spf1 mx -all"


def test_where_nobody_answers_nothing_is_called_missing(check: NameServer) -> None:
    check.is_silent = True
    found = [json.loads(line) for line in run("--json").out.splitlines()]
    assert {one["grade"] for one in found} == {"could not tell"}


def test_dnspython_that_is_not_there_is_told(
    check: NameServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "dns.resolver", None)
    said = run()
    assert said.code == 2
    assert "pip install onboard[mx]" in said.words


@pytest.mark.parametrize(
    ("name", "kind", "answer"),
    [
        ("long.example.org", "TXT", Answer((LONG,))),
        ("LONG.example.org.", "TXT", Answer((LONG,))),
        ("null-mx.example.org", "MX", Answer(("0 .",))),
        ("growers.example.org", "MX", Answer(("10 mx.growers.example.org",))),
        ("long.example.org", "MX", Answer()),
        ("nowhere.example.org", "TXT", Answer()),
        (BROKEN, "TXT", Answer(known=False)),
        (SILENT, "TXT", Answer(known=False)),
        (f"{'a' * 64}.example.org", "TXT", Answer()),  # no name can be that long (RFC 1035, 2.3.4)
    ],
)
def test_what_the_name_servers_answer(
    server: NameServer, name: str, kind: str, answer: Answer
) -> None:
    ask = name_servers.asking(server.resolver(), timeout=0.3)
    assert ask(name, kind) == answer
    before = server.asked.total()
    ask(name, kind)
    assert server.asked.total() == before


def test_a_machine_without_name_servers_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    import dns.resolver

    def none() -> None:
        raise dns.resolver.NoResolverConfiguration

    monkeypatch.setattr(dns.resolver, "get_default_resolver", none)
    with pytest.raises(SettingsTrouble, match="Is it online"):
        name_servers.asking()
