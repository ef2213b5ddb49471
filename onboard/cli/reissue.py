"""`onboard reissue`: a new temporary password for a caller who was checked."""

from __future__ import annotations

from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
)
from onboard.office import Office
from onboard.reports import card as cards
from onboard.reports import reissued
from onboard.settings import CHECKS
from onboard.tasks import reissue as task
from onboard.tasks.card import card


def reissue(
    office: Office,
    member: Annotated[str, typer.Argument(help="Whose: a sign-in name, or a member's number.")],
    checked: Annotated[
        list[str] | None,
        typer.Option(
            "--checked",
            help=f"How you checked the caller: {' or '.join(CHECKS)}. You can give both.",
        ),
    ] = None,
    failed: Annotated[
        bool,
        typer.Option("--failed", help="The check failed: count it, and make no password."),
    ] = False,
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Issue a new temporary password to a member who lost theirs. The old one no longer works.

    First make sure who is calling: call back the number on file, or email the address on file and
    wait for the reply. What a caller knows proves nothing. The password goes in a welcome packet to
    the contact info on file, and nowhere else: you never see it. Without `--record` you only get a
    preview. Without `--checked` you see the phone and email on file, to call back on; the change log
    says so.

    Example: `onboard reissue patlee`

    Example: `onboard reissue patlee --checked call-back`

    Example: `onboard reissue 17 --checked call-back --checked mail --record`

    Example: `onboard reissue patlee --failed --record`
    """
    checks = tuple(dict.fromkeys(checked or ()))
    done = task.reissue(office, member, checks, failed=failed, keep=record)
    at_hand = card(office, done.member.owner) if not (checks or failed or record) else None
    has_mail = bool(office.settings.mail.host)
    told = reissued.pieces(done, office.settings.outbox, has_mail=has_mail)
    at_hand_too = cards.pieces(at_hand)
    # That they may have died is why none is issued, and is to be read first.
    pieces = (*told, *at_hand_too) if at_hand and at_hand.died else (*at_hand_too, *told)
    answer(pieces, [reissued.as_json(done, kept=record) | cards.as_json(at_hand)], machine)
    left = done.asked or (done.refused and not failed)
    raise typer.Exit(NEEDS_A_PERSON if left else DONE)
