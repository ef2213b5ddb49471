"""Every page of the guide, in every language."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise
from typing import Any, NamedTuple

from onboard import handles
from onboard.clean import phone
from onboard.guide import handout, layout, names, places
from onboard.guide.days import Days, days
from onboard.guide.places import Spot
from onboard.model import PersonName
from onboard.reports import maps
from onboard.reports.maps import Map, Mark
from onboard.settings import Settings
from onboard.welcome import letters
from onboard.welcome.card import card
from onboard.windows import say_day, say_weekday

CARD, HANDOUT = "contact.vcf", "handout.pdf"
FULL = 59_500  # bytes; a page is quick on a slow line, and can be mailed
ROOM = 4_000  # bytes of the page of drop sites that are for the ZIP codes and towns around them, at least
# How much is told of many drop sites, until all of it has room: how fine the map is (in units, of which it is 400 wide),
# and whether the list has the days, which another page has too, and the map the names, which the list has.
LADDER = ((2, True), (3, False), (4, False), (6, False), (9, False))
WORDS: Mapping[str, Mapping[str, str]] = {
    "en": {
        "skip": "Skip to the page", "nav": "Pages", "help": "Need help? We are glad to help.", "call": "Call", "write": "Or email",
        "made": "We made this page on", "this": "Scan this with a phone to open this page there.",
        "order": "Scan this with a phone to open the page where you order.", "name": "English",
        "next": "Next ordering days: {}.", "none": "No ordering days are set yet.", "through": "{opens} through {closes}", "to": "{opens} until {closes}",
        "miles": "miles",
    },
    "es": {
        "skip": "Ir al contenido", "nav": "Páginas", "help": "¿Necesita ayuda? Con gusto le ayudamos.", "call": "Llame al", "write": "O escriba a",
        "made": "Hicimos esta página el", "this": "Escanee este código con un teléfono para abrir allí esta página.",
        "order": "Escanee este código con un teléfono para abrir la página donde se pide.", "name": "Español",
        "next": "Próximos días de pedido: {}.", "none": "Todavía no hay días de pedido.", "through": "del {opens} al {closes}", "to": "desde el {opens} hasta el {closes}",
        "miles": "millas",
    },
}  # fmt: skip
SHORT = {
    "en": {"where": "Where", "when": "When", "sign-in": "Sign in", "email": "Email"},
    "es": {"where": "Dónde", "when": "Cuándo", "sign-in": "Entrar", "email": "Correo"},
}
TITLES = {
    "en": {"index": "Help", "where": "Where do I pick up?", "when": "When can I order?", "sign-in": "How do I sign in?",
           "email": "Why did no email come?"},
    "es": {"index": "Ayuda", "where": "¿Dónde recojo mi pedido?", "when": "¿Cuándo puedo pedir?",
           "sign-in": "¿Cómo entro a mi cuenta?", "email": "¿Por qué no llegó el correo?"},
}  # fmt: skip
SCRIPTS = {
    "where": ("moments.js", "where.js"),
    "when": ("moments.js", "when.js"),
    "sign-in": ("sign-in.js",),
}


class Calendars(NamedTuple):
    """The files in the folder calendar/ that pages in one language link to."""

    groups: Mapping[str, str]  # by group; one without windows has none
    sheet: str


@dataclass(frozen=True, slots=True)
class _Of:
    """What the pages of a language are made of."""

    settings: Settings
    lang: str
    now: datetime
    days: tuple[Days, ...]
    spots: tuple[Spot, ...]
    calendars: Calendars


def made(
    settings: Settings, now: datetime, calendars: Mapping[str, Calendars]
) -> Iterator[tuple[str, bytes]]:
    """The pages by their names in the folder of the guide ("en/when.html"), the hand-outs and the contact card.

    `now` is the moment at which they are made, `calendars` the calendar files of each language.
    """
    spots = places.spots(settings)
    each = [
        _Of(settings, lang, now, tuple(days(settings, now, lang)), spots, calendars[lang])
        for lang in layout.LANGUAGES
    ]
    yield CARD, card(settings)
    yield "index.html", layout.page("index.html.j2", _frame(settings, now, "en", "", whole=True))
    for of in each:
        for page in ("index", *layout.PAGES):
            yield f"{of.lang}/{page}.html", _page(of, page)
    for of in each:
        on_paper = handout.data(settings, of.days, now, of.lang)
        yield f"{of.lang}/{HANDOUT}", letters.handout(on_paper, settings)


def _page(of: _Of, page: str) -> bytes:
    template, scripts = f"{of.lang}/{page}.html.j2", SCRIPTS.get(page, ())
    values: dict[str, Any] = _frame(of.settings, of.now, of.lang, page)
    if page == "where":
        return _page_of_sites(of, values)
    parts = {"when": _when, "sign-in": _sign_in}
    if page in parts:
        values |= parts[page](of)
    return layout.page(template, values, scripts)


def _frame(
    settings: Settings, now: datetime, lang: str, page: str, *, whole: bool = False
) -> dict[str, object]:
    """What stands around every page; `whole` is the one before the languages."""
    other = next(other for other in layout.LANGUAGES if other != lang)
    path = f"{lang}/{page}.html" if page else "index.html"
    opens = f"{settings.guide.page}/{path}" if settings.guide.page else settings.ordering_page
    day = now.astimezone(settings.zone()).date()
    return {
        "lang": lang, "page": page, "file": f"{page}.html", "pages": layout.PAGES, "lang_pages": not whole,
        "t": WORDS[lang], "titles": TITLES[lang], "short": SHORT[lang],
        "other": None if whole else {"lang": other, "name": WORDS[other]["name"]},
        "coop": settings.coop, "phone": settings.reply_phone, "tel": f"tel:{re.sub(r'[^0-9+]', '', settings.reply_phone)}",
        "sender": settings.sender, "ordering_page": settings.ordering_page, "shop_page": settings.shop_page,
        "made": say_day(day, lang, settings.region), "code": layout.code(opens), "code_opens": opens,
        "code_says": WORDS[lang]["this" if settings.guide.page else "order"],
    }  # fmt: skip


# ---------------------------------------------------------------- when


def _when(of: _Of) -> dict[str, object]:
    shown = [
        {
            "slug": _slug(n), "title": one.title, "sites": ", ".join(site.name for site in one.sites),
            "stands": one.stands, "rows": one.told, "zone": one.zone_name,
            "calendar": of.calendars.groups.get(one.group.name, ""),
            "subscribe": _subscribe(of, one.group.name),
        }
        for n, one in enumerate(of.days)
    ]  # fmt: skip
    return {"days": shown, "sheet": of.calendars.sheet, "data": {"clocks": _clocks(of)}}


def _slug(number: int) -> str:
    return f"group-{number + 1}"


def _clocks(of: _Of) -> list[dict[str, object]]:
    return [{"zone": one.zone.key, "spans": one.spans} for one in of.days]


def _subscribe(of: _Of, group: str) -> str:
    """The address under which a calendar program reads a file again and again (webcal)."""
    file, page = of.calendars.groups.get(group), of.settings.guide.page
    return f"webcal{page.removeprefix('https')}/calendar/{file}" if file and page else ""


# ---------------------------------------------------------------- where


def _page_of_sites(of: _Of, values: dict[str, Any]) -> bytes:
    template, scripts = f"{of.lang}/where.html.j2", SCRIPTS["where"]
    drawn = _map(of)
    for grid, is_whole in LADDER:
        values |= _where(of, drawn, grid, is_whole=is_whole)
        content = layout.page(template, values, scripts)
        if len(content) <= FULL - ROOM:
            break
    # What room is left is for the places around.
    values["data"]["places"]["near"] = places.near(of.spots, FULL - len(content))
    return layout.page(template, values, scripts)


def _where(of: _Of, drawn: Map | None, grid: int, *, is_whole: bool) -> dict[str, object]:
    at = {site.name: n for n, one in enumerate(of.days) for site in one.sites}
    data = {
        "clocks": _clocks(of),
        "places": places.known(),
        "sites": [
            [spot.number, *(spot.degrees or (None, None)), spot.place.state if spot.place else ""]
            for spot in of.spots
        ],
    }
    shown = [_site(of, spot, at[spot.site.name]) for spot in of.spots]
    if not is_whole:
        shown = [site | {"next": ""} for site in shown]
    example = of.spots[0].site.zip5 if of.spots else "45801"
    fit = _fit(drawn, grid, is_whole=is_whole)
    return {"sites": shown, "map": fit, "data": data, "example": example}


def _site(of: _Of, spot: Spot, clock: int) -> dict[str, object]:
    site, shows, place = spot.site, of.settings.guide.shows, spot.place
    town = f"{place.city.title()}, {place.state} {place.zip5}" if place else site.zip5
    address = ", ".join(site.address.splitlines()) if "address" in shows else ""
    if address and place and not places.says_town(address, place.zip5):
        address = f"{address}, {town}"
    host = [site.host] if "host" in shows else []
    if "phone" in shows and site.host_phone:
        host.append(phone.said_aloud(site.host_phone, region=of.settings.region))
    day = say_weekday(site.pickup_day, of.lang)
    return {
        "number": spot.number, "name": site.name, "address": address, "town": town, "clock": clock,
        "pickup": ", ".join(filter(None, (day, site.pickup_hours))), "host": ", ".join(host),
        "group": site.group, "slug": _slug(clock), "next": _next(of, of.days[clock]),
    }  # fmt: skip


def _next(of: _Of, one: Days) -> str:
    """The next days of a group, dated, so that they are right whenever the page is read."""
    said = WORDS[of.lang]
    if not one.windows:
        return said["none"]
    how = "to" if one.windows[0].opens_at or one.windows[0].closes_at else "through"
    return said["next"].format(said[how].format(**one.told[0])).replace("..", ".")


def _map(of: _Of) -> Map | None:
    marks = [Mark(*spot.degrees, str(spot.number), spot.site.name) for spot in of.spots if spot.degrees]  # fmt: skip
    told = "; ".join(f"{spot.number}: {spot.site.name}" for spot in of.spots if spot.degrees)
    return maps.lay([], marks, told)


def _fit(drawn: Map | None, grid: int, *, is_whole: bool) -> Map | None:
    """The map with land as fine as the grid, and without names if it is not whole."""
    if drawn is None:
        return None
    frames = [
        replace(
            frame, land=[_lighter(frame.land, grid)] if frame.land else [],
            marks=frame.marks if is_whole else [(x, y, mark._replace(told="")) for x, y, mark in frame.marks],
        )
        for frame in drawn.frames
    ]  # fmt: skip
    return replace(drawn, told=drawn.told if is_whole else "", frames=tuple(frames))


def _lighter(paths: Sequence[str], grid: int) -> str:
    """The paths as one of far fewer signs: every point on a grid, so that neighbors keep one border, and none on the line
    between two others."""
    rings = []
    for ring in "".join(paths).removeprefix("M").removesuffix("Z").split("ZM"):
        points = [
            tuple(grid * round(float(part) / grid) for part in point.split(" "))
            for point in ring.split("L")
        ]
        steps: list[tuple[int, int]] = []
        for (x0, y0), (x, y) in pairwise(points):
            step = (x - x0, y - y0)
            if steps and step[0] * steps[-1][1] == step[1] * steps[-1][0]:  # on one line
                step = (step[0] + steps[-1][0], step[1] + steps.pop()[1])
            if step != (0, 0):
                steps.append(step)
        if len(steps) > 1:
            line = " ".join(f"{x} {y}" for x, y in steps).replace(" -", "-")
            rings.append(f"M{points[0][0]} {points[0][1]}l{line}z")
    return "".join(rings)


# ---------------------------------------------------------------- sign in


def _sign_in(of: _Of) -> dict[str, object]:
    rule = of.settings.handle
    return {
        "examples": [
            (f"{name.given} {name.family}", made.text)
            for name in (
                PersonName("Pat", family="Lee"),
                PersonName("Mary Ann", family="O’Brien-Smith"),
                PersonName("José", family="Núñez Ortiz"),
            )
            if (
                made := handles.clean(
                    name._replace(family=name.family.replace("’", "'")), rule
                ).value
            )
        ],
        "last_names": rule.last_names,
        "set_by_member": of.settings.password.set_by_member,
        "set_link": of.settings.password.set_link,
        "valid_days": of.settings.password.valid_days,
        "question": of.settings.security_question,
        "right": _short_page(of.settings.ordering_page),
        "wrong": _short_page(of.settings.shop_page),
        "data": names.known(rule, of.lang),
    }


def _short_page(url: str) -> str:
    """An address as the bar of a browser shows it."""
    shown = url.removeprefix("https://").rstrip("/")
    return shown if len(shown) <= 44 else f"{shown[:43]}…"
