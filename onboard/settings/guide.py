"""The pages with which members help themselves, as [guide] states them."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.contacts import page_or_none
from onboard.settings.checks.values import among
from onboard.settings.key import Key

SHOWN = ("address", "host", "phone")


@dataclass(frozen=True, slots=True)
class GuideRule:
    """Where the guide is, and what it shows of a drop site: everybody can read it."""

    page: Annotated[
        str,
        Key(
            "where the guide is on the web",
            'write "https://our-coop.example.org/guide"; if it is set, packets and reminders point to it, and the codes in the guide open its pages',
            page_or_none, blank=True,
        ),
    ] = ""  # fmt: skip
    shows: Annotated[
        tuple[str, ...],
        Key(
            "what the guide shows of each drop site, in addition to its name, town and pickup hours",
            '"address", "host" and "phone"; everybody on the web can read it, so ask the hosts first',
            among(SHOWN, "it knows"),
            choices=SHOWN,
        ),
    ] = ("address",)  # fmt: skip
