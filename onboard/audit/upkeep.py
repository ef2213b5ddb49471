"""Upkeep: accounts that nobody uses, that are kept too long, that nobody was asked about."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.audit.observation import Observation, about
from onboard.audit.record import Record, Rules
from onboard.model import Kind, Standing, Weight

IDLE = Kind(
    "upkeep.idle", Weight.DOUBTFUL,
    "The member has not ordered or signed in for many ordering windows.",
    "joined: 2024-01-15; page_seen: 2026-11-20; last_sign_in: 2025-02-01",
    "joined: 2024-01-15; page_seen: 2026-11-20; last_sign_in: 2026-11-01",
)  # fmt: skip
CLOSED_LONG = Kind(
    "upkeep.closed_long", Weight.DOUBTFUL,
    "A closed account has been kept longer than the co-op's own rule.",
    "standing: closed; closed: 2023-05-01", "standing: closed; closed: 2026-05-01",
)  # fmt: skip
NO_CONSENT = Kind(
    "upkeep.no_consent", Weight.DOUBTFUL,
    "We don't know if the member wants email.",
    "consent: ", "consent: yes",
)  # fmt: skip
KINDS = (IDLE, CLOSED_LONG, NO_CONSENT)


def look(account: Record, rules: Rules) -> Iterator[Observation]:
    """What of this account wants looking after."""
    rule = rules.settings.audit
    if not account.is_open:
        closed = account.closed if account.standing is Standing.CLOSED else None
        if closed and (rules.today - closed).days > rule.keep_closed_days:
            note = (
                f"Closed on {closed}, more than {rule.keep_closed_days} days ago. Check how long the law "
                "in your state lets you keep such records, or makes you keep them. Then delete the member "
                "for good (onboard forget), or write down why not."
            )
            yield about(account, CLOSED_LONG, str(closed), note)
        return
    if account.could_say("consent") and account.consent is None:
        note = (
            "Nobody asked this member if email is OK. Ask when you can. Until then, send only what the "
            "account needs."
        )
        yield about(account, NO_CONSENT, "", note)
    used = account.last_use
    if used:
        passed = rules.windows_since(account, used)
        if passed >= rule.idle_windows:
            note = (
                f"Last active on {used}. {passed} ordering windows have passed since. Call and ask if the "
                f"member wants to stay. If not, {account.close}."
            )
            yield about(account, IDLE, str(used), note)
