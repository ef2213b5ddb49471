"""Upkeep: accounts that nobody uses, that are kept too long, that nobody was asked about."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.audit.observation import Observation, about
from onboard.audit.record import Record, Rules
from onboard.model import Kind, Weight

IDLE = Kind(
    "upkeep.idle", Weight.DOUBTFUL,
    "No order and no sign-in for many windows.",
    "joined: 2024-01-15; page_seen: 2026-11-20; last_sign_in: 2025-02-01",
    "joined: 2024-01-15; page_seen: 2026-11-20; last_sign_in: 2026-11-01",
)  # fmt: skip
CLOSED_LONG = Kind(
    "upkeep.closed_long", Weight.DOUBTFUL,
    "A closed account is kept longer than the co-op's own rule says.",
    "standing: closed; closed: 2023-05-01", "standing: closed; closed: 2026-05-01",
)  # fmt: skip
NO_CONSENT = Kind(
    "upkeep.no_consent", Weight.DOUBTFUL,
    "Nothing is on record of whether the member wants mail.",
    "consent: ", "consent: yes",
)  # fmt: skip
KINDS = (IDLE, CLOSED_LONG, NO_CONSENT)


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """What of this account wants looking after."""
    rule = rules.settings.audit
    if not account.is_open:
        closed = account.closed if account.standing == "closed" else None
        if closed and (rules.today - closed).days > rule.keep_closed_days:
            note = (
                f"Closed on {closed}, more than {rule.keep_closed_days} days ago. See what the "
                "law of your place says of how long such records may be kept, or must be; then forget "
                "the member, or write down why not."
            )
            yield about(account, CLOSED_LONG, str(closed), note)
        return
    if account.could_say("consent") and account.consent is None:
        note = (
            "The member was never asked whether mail is welcome. Ask when you next can, and until then "
            "write only what the account itself needs."
        )
        yield about(account, NO_CONSENT, "", note)
    used = account.last_use
    if used:
        passed = rules.windows_since(account, used)
        if passed >= rule.idle_windows:
            note = (
                f"Last seen on {used}, and {passed} windows have passed since. Call and ask whether the "
                "member wants to stay; then close the account or note the answer."
            )
            yield about(account, IDLE, str(used), note)
