"""All that is at hand for whoever helps one member on the phone, once it is clear whom it is about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import Connection

from onboard import windows
from onboard.clean import secret
from onboard.model import Outgoing
from onboard.model.form import ASIDE, EXTRA
from onboard.office import Office
from onboard.roster import emails, history
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
    remarks: tuple[
        tuple[str, str], ...
    ] = ()  # heading and what their forms say there, in their own words


def open_card(
    office: Office, meant: str, tried: Tried | None = None, *, reader: str = ""
) -> AtHand:
    """The card of the member, or of the form on hold, that `meant` means (see `explain_sign_in`), for a `reader` of
    this language (see `words_to_say`).

    That contact info was shown is in the change log before this returns. Of somebody who may have died
    there is nothing to say. Raises `SettingsTrouble` where the settings let others look members up,
    `FileTrouble` if nobody is meant, and `StoreTrouble`.
    """
    tried, settings = tried or Tried(), office.settings
    explained = explain_sign_in(
        office, tried.typed or None, meant, page=tried.page, said=tried.said
    )
    shown = card(office, explained.owner, whole=True)
    scripts = {
        str(form): {
            language: words_to_say(office, explained, form, language, reader=reader)
            for language in LANGUAGES
        }
        for form in Form
        if not (shown and shown.died)
    }
    with office.reading() as connection:
        number = explained.owner.member_id
        messages = history.messages(connection, number) if number else []
        calls = history.calls_about(connection, explained.owner)
        remarks = tuple(_remarks(connection, number)) if number else ()
    site = settings.site(explained.site)
    group = settings.group(site.group) if site else None
    ordering = windows.standing_at(group, office.now(), settings.zone(site)) if group else None
    return AtHand(explained, shown, scripts, site, ordering, tuple(messages), tuple(calls), remarks)


def _remarks(connection: Connection, number: int) -> Iterator[tuple[str, str]]:
    """What the forms of a member say in their own words, each thing once, without what seems to be a
    password."""
    said = {
        (EXTRA if field == "notes" else field, " ".join(text.split())): None
        for raw in emails.forms(connection, [number]).get(number, ())
        for field, text in raw.fields.items()
        if text.strip() and (field == "notes" or field.startswith((EXTRA, ASIDE)))
    }
    for field, text in said:
        asked = field.removeprefix(EXTRA).removeprefix(ASIDE)
        yield asked, secret.hidden(text, asked=asked)
