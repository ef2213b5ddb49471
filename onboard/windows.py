"""Ordering windows: which come next, and whether one is open. Both days belong to a window."""

from __future__ import annotations

from datetime import date

from babel.dates import format_date

from onboard.settings import Group, Window


def upcoming(group: Group, today: date) -> tuple[Window, ...]:
    """The group's windows that are open or still to come, the next one first.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> upcoming(lake, date(2026, 12, 6)) == lake.windows, upcoming(lake, date(2026, 12, 7))
    (True, ())
    """
    return tuple(
        sorted((w for w in group.windows if w.closes >= today), key=lambda window: window.opens)
    )


def open_now(group: Group, today: date) -> Window | None:
    """The window that is open today, or None."""
    return next((w for w in upcoming(group, today) if w.opens <= today), None)


def tell(group: Group, today: date, language: str = "en") -> str:
    """A sentence on when the group may order, in English or Spanish.

    >>> lake = Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),))
    >>> tell(lake, date(2026, 11, 25))
    'Ordering for Lake opens on Tuesday, December 1, 2026 and closes on Sunday, December 6, 2026.'
    >>> tell(lake, date(2026, 12, 7), "es")
    'No hay fechas de pedido fijadas para Lake.'
    """
    spanish = language == "es"
    if window := open_now(group, today):
        day = say_day(window.closes, language)
        if spanish:
            return f"El pedido de {group.name} está abierto hasta el {day}, inclusive."
        return f"Ordering for {group.name} is open through {day}."
    if coming := upcoming(group, today):
        opens, closes = (say_day(d, language) for d in (coming[0].opens, coming[0].closes))
        if spanish:
            return f"El pedido de {group.name} abre el {opens} y cierra el {closes}."
        return f"Ordering for {group.name} opens on {opens} and closes on {closes}."
    if spanish:
        return f"No hay fechas de pedido fijadas para {group.name}."
    return f"No ordering dates are set for {group.name}."


def say_day(day: date, language: str = "en") -> str:
    """The day with its weekday, as people say it.

    >>> say_day(date(2026, 12, 1)), say_day(date(2026, 12, 1), "es")
    ('Tuesday, December 1, 2026', 'martes, 1 de diciembre de 2026')
    """
    return str(format_date(day, format="full", locale=language))
