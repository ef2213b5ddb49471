"""The contact card that makes our address a known one, so that our mail is not taken for spam."""

from __future__ import annotations

from functools import lru_cache

import vobject

from onboard.settings import Settings


@lru_cache(maxsize=4)
def card(settings: Settings) -> bytes:
    """The co-op's contact card: vCard 3.0 (RFC 2426), which every address book still reads."""
    contact = vobject.vCard()
    contact.add("fn").value = settings.coop
    contact.add("n").value = vobject.vcard.Name(family=settings.coop)
    contact.add("org").value = [settings.coop]
    email = contact.add("email")
    email.value, email.type_param = settings.sender, ["INTERNET", "PREF"]
    if settings.reply_phone:
        phone = contact.add("tel")
        phone.value, phone.type_param = settings.reply_phone, ["WORK", "VOICE"]
    contact.add("url").value = settings.ordering_page
    if settings.postal_address:
        contact.add("label").value = settings.postal_address
    return str(contact.serialize()).encode()
