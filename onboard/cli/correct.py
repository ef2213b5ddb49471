"""`onboard correct`: what is on file about a member, corrected."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

import typer

from onboard.cli.common import (
    DONE,
    NEEDS_A_PERSON,
    Machine,
    Record,
    answer,
)
from onboard.errors import FileTrouble
from onboard.office import Office
from onboard.reports import corrected
from onboard.tasks.correct_member import ALL_RIGHT, correct_member

Email = Annotated[str | None, typer.Option("--email", help="The right email; empty to remove it.")]
Phone = Annotated[
    str | None, typer.Option("--phone", help="The right phone number; empty to remove it.")
]
Name = Annotated[
    str | None,
    typer.Option(
        "--name",
        help='The right name, in full. To say where the last name begins: "Soto Feliciano, Ana".',
    ),
]
Address = Annotated[
    str | None,
    typer.Option("--address", help="The right mailing address, in full, on one line or several."),
]
SiteName = Annotated[str | None, typer.Option("--site", help="The right drop site.")]
Born = Annotated[
    str | None,
    typer.Option("--born", help="The right date of birth, as 1976-07-04; empty to remove it."),
]
Consent = Annotated[
    str | None,
    typer.Option("--consent", help="Whether you may email them, as the member says: yes or no."),
]
AllRight = Annotated[
    bool,
    typer.Option(
        "--all-right", help="The member says that the rest is right. Nothing is asked any more."
    ),
]
NewHandle = Annotated[
    bool,
    typer.Option(
        "--new-handle",
        help="Make a sign-in name from the name as it is now. If left out, it stays.",
    ),
]


@dataclass(frozen=True, slots=True)
class Right:
    """What is right, as the member says."""

    email: Email = None
    phone: Phone = None
    name: Name = None
    address: Address = None
    site: SiteName = None
    born: Born = None
    consent: Consent = None
    all_right: AllRight = False
    new_handle: NewHandle = False


def correct(
    office: Office,
    member: Annotated[str, typer.Argument(help="Whose: a sign-in name, or a member's number.")],
    *,
    right: Right,
    why: Annotated[
        str, typer.Option("--why", help="A word on the reason, for the change log.")
    ] = "",
    record: Record = False,
    machine: Machine = False,
) -> None:
    """Correct a member's name, email, phone, address, drop site, date of birth, or whether you may email them.

    Never change contact info because a caller says so. Call back the number on file first. What was
    on file before stays known. If contact info changes, a notice to the old contact goes into the
    outbox. What the audit asks about is settled by a correction, or with `--all-right` once the member
    has said that all is right. Without `--record` you only get a preview.

    Example: `onboard correct patlee --email pat.lee@example.org --record`

    Example: `onboard correct 17 --name "Pat Moor" --new-handle --why "married" --record`

    Example: `onboard correct anafeliciano --name "Soto Feliciano, Ana" --new-handle --record`

    Example: `onboard correct patlee --address "12 N Main St Apt 4, Lima OH 45801" --site "Lima Grange"`
    """
    fields = ("name", "email", "phone", "address", "site", "born", "consent")
    said = {field: getattr(right, field) for field in fields}
    said[ALL_RIGHT] = "yes" if right.all_right else None
    corrections = {field: text for field, text in said.items() if text is not None}
    if not corrections and not right.new_handle:
        raise FileTrouble(
            "Say what to correct: --name, --email, --phone, --address, --site, --born, --consent, --new-handle or --all-right."
        )
    done = correct_member(
        office, member, corrections, why=why, new_handle=right.new_handle, keep=record
    )
    told = corrected.pieces(done, kept=record, has_mail=bool(office.settings.mail.host))
    answer(told, [corrected.as_json(done, kept=record)], machine)
    raise typer.Exit(NEEDS_A_PERSON if done.refused or done.to_do else DONE)
