"""When members are reminded of their ordering windows, as [reminders] states it."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.contacts import page_as_it_is_or_none
from onboard.settings.checks.values import own_question
from onboard.settings.key import Key


@dataclass(frozen=True, slots=True)
class ReminderRule:
    """Which reminders go out, how long before, and how."""

    opens_soon: Annotated[
        int,
        Key("how many days before a window opens its members hear of it", "0: this reminder is not sent", bounds=(0, 28)),
    ] = 3  # fmt: skip
    open_now: Annotated[bool, Key("whether they hear that it has opened")] = True
    closes_soon: Annotated[
        int,
        Key("how many days before a window closes they hear of it", "0: this reminder is not sent", bounds=(0, 14)),
    ] = 2  # fmt: skip
    no_order: Annotated[
        int,
        Key(
            "how many days after a window has closed those hear of it who did not order",
            "only where the list of the ordering page says so (onboard activity); 0: this reminder is not sent",
            bounds=(0, 14),
        ),
    ] = 1  # fmt: skip
    postcards: Annotated[
        bool, Key("whether members who have no email address get a postcard")
    ] = True  # fmt: skip
    way_question: Annotated[
        str,
        Key(
            "the question on your join form that asks how to remind them", 'one of extra_questions; the answers are "email", "text", "postcard" or "none", and nobody gets a text who did not choose it',
            own_question, blank=True,
        ),
    ] = ""  # fmt: skip
    unsubscribe_page: Annotated[
        str,
        Key(
            "a page of yours that takes people off email with one click (RFC 8058)",
            "begins with https://; {key} in it becomes the key of the email; if empty, people reply or write to you instead",
            page_as_it_is_or_none, blank=True,
        ),
    ] = ""  # fmt: skip

    @property
    def sends(self) -> bool:
        """Whether any reminder is sent at all."""
        return bool(self.opens_soon or self.open_now or self.closes_soon or self.no_order)
