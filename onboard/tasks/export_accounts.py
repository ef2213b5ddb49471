"""Accounts for the ordering page: who may sign in, with the hash of their first password."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from sqlalchemy import Engine

from onboard.reports.accounts import Account
from onboard.roster import search, store

AT_ONCE = 1000


def export_accounts(engine: Engine) -> Iterator[Account]:
    """Every open account that we made and whose packet was written, by member number.

    Members who had an account before they were adopted are left out: the page has them, and we
    have no hash of theirs. An account whose packet is still due is left out too: nobody could
    sign in with it. Raises `StoreTrouble`.
    """
    with store.transaction(engine, keep=False) as connection:
        after = 0
        while lines := search.member_lines(connection, after=after, most=AT_ONCE):
            after = lines[-1].id
            for line in lines:
                made = line.password_hash and line.packet in ("written", "sent")
                if made and line.standing == "open":
                    yield Account(
                        member=search.member_of(line),
                        password_hash=line.password_hash,
                        must_change=line.must_change,
                        expires=date.fromisoformat(line.password_expires),
                    )
