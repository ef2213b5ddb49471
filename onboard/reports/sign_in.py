"""Why a sign-in failed, and the words to say. Nothing that was typed is told again: it may be a
password."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.model import State
from onboard.reports import card as cards
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.card import Card
    from onboard.tasks.explain_sign_in import Explained

# How a packet stands, in the words that programs know.
PACKETS: dict[State | None, str] = {None: "none", State.WAITING: "barred"}


def pieces(explained: Explained, script: str, card: Card | None = None) -> tuple[Piece, ...]:
    """Whose sign-in it is, what is at hand of them, the causes, and the words to say."""
    account, owner = explained.account, explained.owner
    who = account.handle.text if account.handle else "no sign-in name yet"
    whose = owner.shown if owner.is_member else f"on hold, {owner[:10]}"
    causes = Table.of(
        ("cause", "sure", "what happened", "ask", "then"),
        [
            (
                cause.code,
                f"{cause.confidence:.0%}",
                cause.seen + (f" ({cause.when:%Y-%m-%d})" if cause.when else ""),
                cause.ask,
                cause.do,
            )
            for cause in explained.causes
        ],
    )
    site = explained.site or "no drop site"
    return (
        Words(f"{names.show(explained.name)}: {who} ({whose}), {site}", is_strong=True),
        *cards.pieces(card),
        causes,
        Words(script),
    )


def as_json(explained: Explained, script: str) -> dict[str, Any]:
    """The answer for a program."""
    account = explained.account
    return {
        "owner": explained.owner,
        "handle": account.handle.text if account.handle else None,
        "site": explained.site,
        "standing": str(account.standing),
        "packet": PACKETS.get(account.packet, account.packet),
        "causes": [
            asdict(cause) | {"when": str(cause.when) if cause.when else None}
            for cause in explained.causes
        ],
        "script": script,
    }
