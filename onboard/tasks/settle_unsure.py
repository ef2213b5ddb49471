"""What a person found out about a message of which nobody knew if it arrived."""

from __future__ import annotations

from onboard.errors import FileTrouble
from onboard.model import Event, State, What
from onboard.office import Act, Office
from onboard.roster import outgoing


def settle_unsure(office: Office, number: int, *, arrived: bool) -> None:
    """The message with this number had arrived, and counts as sent; or a reminder had not, and is due again while that helps.

    Raises `FileTrouble` where it is not unsure any more, or is no reminder and did not arrive: a packet is made again with a
    new temporary password. Raises `SettingsTrouble` where the settings let others do this, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    with office.transaction() as connection:
        line = outgoing.line(connection, number) if 0 < number < 2**31 else None
        if line is None or line.state is not State.UNSURE:
            raise FileTrouble("Somebody has answered this by now. Look at the list again.")
        if not arrived and line.what is not What.REMINDER:
            raise FileTrouble("Only a reminder can be sent again from here. Open the member's card for a new packet.")  # fmt: skip
        event = Event.TAKE if arrived else Event.CANCEL
        outgoing.step(connection, [number], event, office.signature())
