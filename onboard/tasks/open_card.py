"""All that is at hand for whoever helps one member on the phone, once it is clear whom it is about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from onboard import windows
from onboard.model import Outgoing
from onboard.office import Office
from onboard.roster import history
from onboard.roster.calls import Noted
from onboard.settings import LANGUAGES, Site
from onboard.signin import Form
from onboard.tasks.card import Card, card
from onboard.tasks.explain_sign_in import Explained, explain_sign_in, words_to_say
from onboard.windows import Standing


@dataclass(frozen=True, slots=True)
class Tried:
    """What the member says of their try to sign in."""

    typed: str = ""  # what was in the sign-in name box
    page: str = ""  # which page they were on
    said: str = ""  # what the page answered


@dataclass(frozen=True, slots=True)
class AtHand:
    """A member's card, why a sign-in failed, what to say, and what was told to them."""

    explained: Explained
    card: Card | None  # None: a form on hold
    scripts: Mapping[str, Mapping[str, str]]  # by form of telling, then by language
    site: Site | None
    ordering: Standing | None  # of the group of their drop site
    messages: tuple[Outgoing, ...]  # the newest first
    calls: tuple[Noted, ...]  # the newest first


def open_card(office: Office, meant: str, tried: Tried | None = None) -> AtHand:
    """The card of the member, or of the form on hold, that `meant` means (see `explain_sign_in`).

    That contact info was shown is in the change log before this returns. Of somebody who may have died
    there is nothing to say. Raises `SettingsTrouble` where the settings let others look members up,
    `FileTrouble` if nobody is meant, and `StoreTrouble`.
    """
    tried, settings = tried or Tried(), office.settings
    explained = explain_sign_in(
        office, tried.typed or None, meant, page=tried.page, said=tried.said
    )
    shown = card(office, explained.owner)
    scripts = {
        str(form): {
            language: words_to_say(office, explained, form, language) for language in LANGUAGES
        }
        for form in Form
        if not (shown and shown.died)
    }
    with office.reading() as connection:
        number = explained.owner.member_id
        messages = history.messages(connection, number) if number else []
        calls = history.calls_about(connection, explained.owner)
    site = settings.site(explained.site)
    group = settings.group(site.group) if site else None
    ordering = windows.standing_at(group, office.now(), settings.zone(site)) if group else None
    return AtHand(explained, shown, scripts, site, ordering, tuple(messages), tuple(calls))
