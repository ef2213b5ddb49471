"""The sheet for the host of a drop site: its members as they allow, the ordering days, and whom to call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from onboard.clean import consent, phone
from onboard.model import Member
from onboard.settings import Settings, Site
from onboard.welcome.packet import full_name, in_one_line, pickup, plain
from onboard.windows import say_day, say_end, say_start, upcoming

MARK = "onboard host sheet"  # in the file, among its keywords
MOST_WINDOWS = 6
# By language: what stands on the sheet. "{}" is filled in.
SAYS: Mapping[str, Mapping[str, str]] = {
    "en": {
        "title": "For the host", "days": "Ordering days", "opens": "First day", "closes": "Last day", "none": "No days are set yet.",
        "members": "Members: {}", "nobody": "No members yet.", "name": "Name", "phone": "Phone", "got": "Picked up",
        "where": "{}. Host: {}.", "pickup": " Pickup: {}.", "contact": "The co-op: {}, {}. Ordering page: {}",
        "keep": "This sheet is for the host only. Don't copy it or take a photo of it. When a new one comes, shred it.",
        "made": "Printed {}",
    },
    "es": {
        "title": "Para la persona encargada", "days": "Días de pedido", "opens": "Primer día", "closes": "Último día",
        "none": "Todavía no hay fechas.", "members": "Miembros: {}", "nobody": "Todavía no hay miembros.", "name": "Nombre",
        "phone": "Teléfono", "got": "Ya recogió", "where": "{}. Persona encargada: {}.", "pickup": " Entrega: {}.",
        "contact": "La cooperativa: {}, {}. Página de pedidos: {}",
        "keep": "Esta hoja es solo para la persona encargada. No la copie ni le tome fotos. Cuando llegue otra, destrúyala.",
        "made": "Impreso el {}",
    },
}  # fmt: skip


def data(
    site: Site, members: Sequence[Member], settings: Settings, today: date
) -> dict[str, object]:
    """What `letters.for_host` prints, in the first language of the settings."""
    language = settings.languages[0]
    said = SAYS.get(language, SAYS["en"])
    days = pickup(site, language).rstrip(".")  # “11 a.m.” and “Jr.” bring the period along
    where = said["where"].format(in_one_line(site.address), plain(site.host).rstrip("."))
    return {
        "lang": language if language in SAYS else "en",
        "title": f"{plain(site.name)}: {said['title']}",
        "coop": plain(settings.coop),
        "mark": MARK,
        "site": plain(site.name),
        "where": where + (said["pickup"].format(days) if days else ""),
        "contact": said["contact"].format(settings.reply_phone, settings.sender, settings.ordering_page),
        "keep": said["keep"],
        "said": {**{key: said[key] for key in ("days", "opens", "closes", "none", "nobody", "name", "phone", "got")},
                 "members": said["members"].format(f"{len(members):,}")},
        "windows": windows(site, settings, today),
        "members": [
            {"name": name, "phone": number} for name, number in listed(members, settings)
        ],
        "made": said["made"].format(say_day(today, language, settings.region)),
    }  # fmt: skip


def windows(site: Site, settings: Settings, today: date) -> list[list[str]]:
    """The next ordering windows of the site in words: the first day and the last."""
    group, language = settings.group(site.group), settings.languages[0]
    return [
        [say_start(one, language, settings.region), say_end(one, language, settings.region)]
        for one in (upcoming(group, today)[:MOST_WINDOWS] if group else ())
    ]


def listed(members: Sequence[Member], settings: Settings) -> list[tuple[str, str]]:
    """The members as they allow, by name: the name as the settings say, and the phone of whoever said yes to that."""
    whole = settings.host_sheet.names == "full"
    found = [
        (full_name(one.name) if whole else short(one), _phone(one, settings)) for one in members
    ]
    return sorted(found, key=lambda pair: (pair[0].casefold(), pair[1]))


def short(member: Member) -> str:
    """The first name and the first letter of the last one, such as “Pat L.”."""
    first, last = plain(member.name.called or member.name.given), plain(member.name.family)
    if not first:
        return f"{last[0]}." if last else "?"
    return f"{first} {last[0]}." if last else first


def _phone(member: Member, settings: Settings) -> str:
    """The phone of a member who said that the host may have it; else nothing."""
    question = settings.host_sheet.phone_question
    answers = {asked.strip().casefold(): said for asked, said in member.extras.items()}
    said = answers.get(question.strip().casefold(), "") if question else ""
    allowed = consent.clean(said).value is True  # an empty box is no yes
    return phone.stored_aloud(member.phone) if allowed and member.phone else ""
