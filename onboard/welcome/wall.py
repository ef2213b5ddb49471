"""The ordering days as sheets for the wall: one page with all groups, and one for each group."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, time, timedelta
from itertools import groupby

from babel.dates import format_date

from onboard.settings import Settings
from onboard.windows import Known, horizon, say_day, say_time

MARK = "onboard ordering windows"  # in the file, among its keywords: so it is known for ours
A_YEAR = timedelta(365)  # on the page with all groups, so that it can be read from a step away
# By language: what stands on a sheet. "{}" is filled in.
SAYS: Mapping[str, Mapping[str, str]] = {
    "en": {
        "title": "Ordering days", "month": "Month", "group": "Group", "opens": "First day", "closes": "Last day",
        "sites": "Drop sites: {}", "page": "Order at {}", "help": "Questions? Call {}", "made": "Printed {}",
        "whole": "You can order on the first day, the last day, and any day in between.",
        "opens_at": "Ordering opens at {} on the first day.", "closes_at": "Ordering closes at {} on the last day.",
        "after": "After it closes, you can't add or change anything.",
        "none": "No days are set yet.", "canceled": "canceled", "date": "EEE, MMM d",
    },
    "es": {
        "title": "Días de pedido", "month": "Mes", "group": "Grupo", "opens": "Primer día", "closes": "Último día",
        "sites": "Puntos de entrega: {}", "page": "Haga su pedido en {}", "help": "¿Preguntas? Llame al {}",
        "made": "Impreso el {}",
        "whole": "Puede pedir el primer día, el último y cualquier día entre los dos.",
        "opens_at": "El primer día abre a las {}.", "closes_at": "El último día cierra a las {}.",
        "after": "Después del cierre no se puede agregar ni cambiar nada.",
        "none": "Todavía no hay fechas.", "canceled": "cancelado", "date": "EEE d 'de' MMM",
    },
}  # fmt: skip


def data(
    known: Sequence[Known], settings: Settings, language: str, today: date
) -> dict[str, object]:
    """What `letters.sheet` prints: the windows of the next 18 months, and of all groups
    together those of a year, in the language if there are words in it."""
    said = SAYS.get(language, SAYS["en"])
    last = horizon(today)
    coming = [one for one in known if not one.is_over(today) and one.window.opens <= last]
    near = [one for one in coming if one.window.opens < today + A_YEAR]
    pages = [_page(said["title"], "", near, settings, language)]
    for group in settings.groups:
        sites = [
            site.name for site in settings.sites if site.group == group.name and not site.closed
        ]
        of_group = [one for one in coming if one.group == group.name]
        pages.append(_page(group.name, ", ".join(sites), of_group, settings, language))
    return {
        "lang": language if language in SAYS else "en",
        "title": f"{settings.coop}: {said['title']}",
        "coop": settings.coop,
        "mark": MARK,
        "said": {key: said[key] for key in ("month", "group", "opens", "closes", "none")},
        "page": said["page"].format(settings.ordering_page),
        "help": said["help"].format(settings.reply_phone),
        "made": said["made"].format(say_day(today, language, settings.region)),
        "pages": pages,
    }


def _page(
    title: str, sites: str, coming: Sequence[Known], settings: Settings, language: str
) -> dict[str, object]:
    said = SAYS.get(language, SAYS["en"])
    months = [
        {
            "month": _dated(first, "LLLL y", language, settings),
            "rows": [
                {
                    "group": one.group,
                    "opens": _dated(one.window.opens, said["date"], language, settings),
                    "closes": _dated(one.window.closes, said["date"], language, settings),
                    "note": said["canceled"] if one.canceled else "",
                }
                for one in of_month
            ],
        }
        for first, of_month in groupby(coming, lambda one: one.window.opens.replace(day=1))
    ]
    return {
        "title": title,
        "sites": said["sites"].format(sites) if sites else "",
        "rules": _rules(settings, language),
        "months": months,
    }


def _rules(settings: Settings, language: str) -> str:
    """In words, when on the first and the last day one can order."""
    said = SAYS.get(language, SAYS["en"])
    times = (
        ("opens_at", settings.windows.opening_time),
        ("closes_at", settings.windows.closing_time),
    )
    told = [_timed(said[key], at, language, settings) for key, at in times if at]
    return " ".join([*(told or [said["whole"]]), said["after"]])


def _timed(words: str, at: time, language: str, settings: Settings) -> str:
    text = words.format(say_time(at, language, settings.region))
    if at.hour in (1, 13):
        text = text.replace(" a las ", " a la ")
    return text.replace("..", ".")  # after "p.m."


def _dated(day: date, form: str, language: str, settings: Settings) -> str:
    words = str(format_date(day, form, locale="es_US" if language == "es" else "en_US"))
    return words[:1].upper() + words[1:]
