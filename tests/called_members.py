"""A roster of the members that help-desk queries ask for, made quickly; for tests and benchmarks.

Members are put straight into the tables that the look-up index is made of: a million through the
batch path would take an hour. The index itself is made as ever.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine

from onboard.roster import index, spellings, store, tables
from onboard.roster.bulk import insert
from onboard.roster.search import parts
from onboard.settings import Group, HandleRule, MailServer, PasswordRule, Settings, Site

AT = "2026-11-25T12:00:00Z"


def read(file: Path, delimiter: str = ",") -> Iterator[dict[str, str]]:
    """The lines of a table with headings; lines that begin with "#" are left out."""
    quoting = csv.QUOTE_NONE if delimiter == "\t" else csv.QUOTE_MINIMAL
    with file.open(encoding="utf-8", newline="") as text:
        lines = (line for line in text if not line.lstrip('"').startswith("#"))
        yield from csv.DictReader(lines, delimiter=delimiter, quoting=quoting)


def coop(sites: Iterable[str]) -> Settings:
    """A co-op with these drop sites."""
    return Settings(
        file=Path("onboard.toml"), coop="Test Growers Co-op", ordering_page="https://order.example.org",
        shop_page="https://shop.example.com", sender="hello@growers.example.org",
        reply_phone="+14195550100", postal_address="", timezone="America/New_York", region="US",
        languages=("en",), security_question=True, handle=HandleRule(), password=PasswordRule(),
        mail=MailServer(), groups=(Group("Lake", ()),),
        sites=tuple(Site(name, "", "", "Lake", "") for name in sorted(set(sites))),
    )  # fmt: skip


def load(engine: Engine, members: Iterable[Mapping[str, str]], *, indexed: bool = True) -> None:
    """Put the members on the roster, and index them."""
    with store.transaction(engine) as connection:
        insert(connection, tables.batch, [{"id": 1, "file": "m", "at": AT, "who": "m"}])
        row: dict[str, Any] = {"key": "m", "position": 1, "batch_id": 1, "file": "m", "line": 1, "cells": [], "fields": {},
                                   "repairs": [], "decision": "enrol", "asks_who": False, "member_id": None}  # fmt: skip
        insert(connection, tables.row, [row])
        put(connection, members)
    if indexed:
        with store.transaction(engine) as connection:
            index.rebuild(connection)


def put(connection: Connection, members: Iterable[Mapping[str, str]]) -> None:
    """Put the members into the tables, but not into the index."""
    blank: dict[str, Any] = {
        column.name: "" for column in tables.member.c if not column.nullable
    } | {"handle_steps": [], "address": [], "extras": {}, "joined": AT, "standing": "open", "must_change": False,
             "language": "en"}  # fmt: skip
    nobody = dict.fromkeys(spellings.TEXTS, "") | {"row_key": "m", "joint": []}
    for some in parts(members, 10_000):
        lines: tuple[list[dict[str, Any]], ...] = ([], [], [])
        for said in some:
            number, handle = int(said["id"]), said["handle"]
            name = {"given": said["first"], "middle": said["middle"], "family": said["last"],
                        "former": said["former"]}  # fmt: skip
            lines[0].append(blank | {"id": number, "handle": handle, "name": name, "email": said["email"],
                                         "phone": "tel:" + said["phone"], "site": said["site"]})  # fmt: skip
            base = handle.rstrip("0123456789")
            lines[1].append({"text": handle, "base": base, "member_id": number})
            lines[2].append(nobody | name | {"id": number, "owner": f"member:{number}",
                                                 "email": said["email"], "phone": said["phone"]})  # fmt: skip
        for table, few in zip((tables.member, tables.handle, tables.person), lines, strict=True):
            insert(connection, table, few)
