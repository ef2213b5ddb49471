"""The examples of the audit's kinds, "handle: PatLee; given: Pat| handle: …", as accounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from onboard import audit, settings
from onboard.audit import access, place, reach, twice
from onboard.audit.briefs import Briefs
from onboard.audit.record import Record, Rules
from onboard.clean import sites
from onboard.match import many
from onboard.model import Member, State
from onboard.roster import members
from onboard.settings import AuditRule, Group, Settings, Window

TODAY = date(2026, 11, 25)
# Neither is the hash of anything: their letters were typed by hand.
HASHES = {
    "good": "$argon2id$v=19$m=19456,t=2,p=1$c29tZXNhbHRzb21lc2FsdA$bm90aGluZ2hhc2hlZG5vdGhpbmdoYXNoZWQ",
    "stale": "$argon2id$v=19$m=4096,t=1,p=1$c29tZXNhbHRzb21lc2FsdA$bm90aGluZ2hhc2hlZG5vdGhpbmdoYXNoZWQ",
}
PEOPLE = (
    ("Pat", "Lee", "12 N MAIN ST", "4192345678"), ("Kim", "Rivers", "9 ASH ST", "4193867215"),
    ("Lou", "Darby", "77 ELM ST", "4198860944"), ("Sam", "Oster", "3 RAIL ST", "4192293381"),
)  # fmt: skip


def coop(file: Path = Path("onboard.toml")) -> Settings:
    """An invented co-op with one open site of the examples, and a window a month."""
    windows = tuple(
        Window(date(year, month, 1), date(year, month, 6))
        for year in range(2023, 2028)
        for month in range(1, 13)
    )
    file.write_text(settings.starter(), "utf-8")
    return replace(
        settings.read(file),
        groups=(Group("Lake", windows), Group("Hill", windows)),
        sites=tuple(s for s in sites.EXAMPLES if s.closed or s.name == "Lima Grange Hall"),
        audit=AuditRule(site_least=2, site_most=3),
    )


def member(number: int, said: dict[str, str]) -> Member:
    """A member of whom nothing is amiss, but for what is said."""
    given, family, street, phone = PEOPLE[(number - 1) % len(PEOPLE)]
    given, family = said.get("given", given), said.get("family", family)
    address = [said.get("street", street), f"LIMA OH {said.get('zip', '45801')}"]
    line: dict[str, Any] = {
        "id": number,
        "handle": said.get("handle", f"{given}{family}".lower()),
        "name": {"given": given, "middle": "", "family": family, "suffix": said.get("suffix", ""), "title": "",
                 "called": "", "former": "", "joint": []},
        "email": said.get("email", f"{given}.{family}@example.org".lower()),
        "phone": said.get("phone", f"tel:+1{phone}"),
        "address": [said["address"]] if said.get("address") else [] if "address" in said else address,
        "site": said.get("site", "Lima Grange Hall"),
        "language": "en",
        "consent": {"no": False, "": None}.get(said.get("consent", "yes"), True),
        "joined": said.get("joined", "2026-01-15"),
        "standing": said.get("standing", "open"),
        "closed": said.get("closed"),
        "password_hash": HASHES[said.get("hash", "good")],
        "password_expires": said.get("expires", "2026-02-01"),
        "must_change": "expires" in said,
        "page_seen": said.get("page_seen", "2026-11-20"),
        "last_sign_in": said.get("last_sign_in", None if {"page_seen", "expires"} & said.keys() else "2026-11-03"),
        "last_order": said.get("last_order"),
        "bounced": said.get("bounced"),
        "handle_steps": [], "extras": {}, "born": said.get("born"), "notes": "", "confirmed": None, "merged_into": None,
    }  # fmt: skip
    line["joined"] += "T00:00:00Z"
    return members.of_line(SimpleNamespace(**line), State(said.get("packet", "sent")))


def accounts(text: str, coop: Settings) -> list[Record]:
    """The accounts that an example is about."""
    made = []
    for number, one in enumerate(text.split("|"), start=1):
        said = dict(part.strip().split(":", 1) for part in one.split(";"))
        said = {key.strip(): value.strip() for key, value in said.items()}
        made.append(audit.of_member(member(number, said), coop))
    return made


def found(all_: Sequence[Record], coop: Settings) -> list[audit.Observation]:
    """Everything found about these accounts and no others."""
    rules = Rules.of(coop, TODAY)
    told = [one for account in all_ for one in audit.look(account, rules)]
    people = [account.applicant.people(account.owner)[0] for account in all_]
    ways = [" ".join(reach.ways(account)) for account in all_]
    briefs = Briefs.of(one.brief(*known) for one, *known in zip(all_, people, ways, strict=True))
    folded = many.folded(people)
    whose = np.arange(len(all_), dtype=np.int32)
    pairs = twice.pairs(many.together([folded]), whose, reach.helpers(briefs, rules)).pairs
    told += twice.among(pairs, briefs)
    told += reach.among(briefs, rules, twice.one_person(pairs, briefs))
    told += access.among(briefs)
    told += place.among(briefs, rules)
    return told
