"""Days, months, times and rules for days as people write them on a page, in both languages, and as the settings file has
them. What nobody understands stays as it is: the settings judge it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import date, time
from functools import cache

from babel.dates import format_date, get_month_names

from onboard.clean import day
from onboard.desk.words import short_day
from onboard.settings import day_rules
from onboard.settings.day_rules import DayRule, clock, closing_rule
from onboard.windows import say_time, say_weekday

# Which keys hold what, by table and key. Of a list, each of its texts.
KINDS: Mapping[tuple[str, str], str] = {
    ("windows", "starts"): "month", ("windows", "left_out"): "month", ("windows", "rest"): "rest",
    ("windows", "opens"): "rule", ("windows", "closes"): "rule", ("windows", "opens_at"): "time",
    ("windows", "closes_at"): "time", ("window", "opens"): "day", ("window", "closes"): "day",
    ("moved", "month"): "month", ("moved", "opens"): "day", ("moved", "closes"): "day",
}  # fmt: skip
_NTH = {"primer": "first", "segundo": "second", "tercer": "third", "cuarto": "fourth", "quinto": "fifth", "ultimo": "last"}  # fmt: skip
_SHOWN_NTH = {1: "primer", 2: "segundo", 3: "tercer", 4: "cuarto", -1: "último"}
_DAYS = re.compile(r"(?<![\w./-])(?:19|20)\d\d-\d\d-\d\d(?![\w/-]|\.\w)")
_MONTHS = re.compile(r"(?<![\w./-])20\d\d-(?:0[1-9]|1[0-2])(?![\w/-]|\.\w)")
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def show(kept: str, kind: str, language: str) -> str:
    """What the file has, as people write it.

    >>> show("2026-12-18", "day", "en"), show("2026-12-18", "day", "es"), show("2026-12", "month", "es")
    ('Dec 18, 2026', '18 dic 2026', 'diciembre de 2026')
    >>> show("the 5th, or the next working day", "rule", "es"), show("6 days later", "rule", "es")
    ('el día 5, o el siguiente día hábil', '6 días después')
    """
    try:
        return _SHOW[kind](kept, language)
    except ValueError:
        return kept


def read(said: str, kind: str, language: str) -> str:
    """What somebody wrote, as the file has it.

    >>> read("12/18/2026", "day", "en"), read("18 de diciembre de 2026", "day", "es"), read("dic. 2026", "month", "es")
    ('2026-12-18', '2026-12-18', '2026-12')
    >>> read("el primer lunes", "rule", "es"), read("julio", "rest", "es"), read("8 de la noche", "time", "es")
    ('first Monday', 'July', '8:00 PM')
    """
    return _READ[kind](said, language) if said else said


def examples(text: str, kind: str, language: str) -> str:
    """A note about a key, with what it puts in quotes as people write it.

    >>> examples('write "first Monday" or "the 5th"', "rule", "es")
    'write "primer lunes" or "el día 5"'
    """
    if not kind:
        return text
    return re.sub(r'"([^"]*)"', lambda found: f'"{show(found[1], kind, language)}"', text)


def is_same(one: str, other: str, kind: str) -> bool:
    """Whether two texts of the file mean the same."""
    return one == other or _meant(one, kind) == _meant(other, kind)


def dated(text: str, language: str) -> str:
    """A sentence with its days and months as people write them; the name of a file stays.

    >>> dated('written "2026-12"; or 2026-12-01', "en")
    'written "December 2026"; or Dec 1, 2026'
    >>> dated("audit-2026-12-01.xlsx", "en")
    'audit-2026-12-01.xlsx'
    """
    for pattern, kind in ((_DAYS, "day"), (_MONTHS, "month")):
        text = pattern.sub(lambda found, kind=kind: show(found[0], kind, language), text)  # type: ignore[misc]
    return text


# ---------------------------------------------------------------- shown


def _show_day(kept: str, language: str) -> str:
    return short_day(date.fromisoformat(kept), language)


def _show_month(kept: str, language: str) -> str:
    form = "MMMM 'de' y" if language == "es" else "MMMM y"
    return str(format_date(day_rules.month(kept), form, locale=language))


def _show_rest(kept: str, language: str) -> str:
    if number := day_rules.month_of_year(kept):
        return str(get_month_names("wide", locale=language)[number])
    return _show_month(kept, language)


def _show_time(kept: str, language: str) -> str:
    return say_time(clock(kept), "es") if language == "es" else kept


def _show_rule(kept: str, language: str) -> str:
    return _spanish_rule(closing_rule(kept)) if language == "es" else kept


def _spanish_rule(rule: DayRule) -> str:
    if rule.later:
        return f"{rule.later} día{'s' if rule.later > 1 else ''} después"
    if rule.weekday is not None:
        weekday = say_weekday(_WEEKDAYS[rule.weekday], "es")
        told = f"{_SHOWN_NTH[rule.nth]} {weekday}" if rule.nth else f"el {weekday} siguiente"
    else:
        told = "último día" if rule.day == -1 else f"el día {rule.day}"
    if rule.next_month:
        told += " del mes siguiente"
    if not rule.otherwise:
        return told
    other = "el siguiente día hábil" if rule.otherwise > 0 else "el día hábil anterior"
    return f"{told}, o {other}"


# ---------------------------------------------------------------- read


def _read_day(said: str, language: str) -> str:
    # "3/4/2027" could be two days to whoever reads Spanish: they are asked.
    order = day.Order.MIXED if language == "es" else day.Order.MONTH_FIRST
    found = day.clean(said, order=order).value
    return found.isoformat() if found else said


def _read_month(said: str, language: str) -> str:
    words = _plain(said)
    if found := re.fullmatch(r"([a-z]+)\.?,?(?: de| del)? (\d{4})", words):
        number = _month_named(found[1])
        return f"{found[2]}-{number:02}" if number else said
    if found := re.fullmatch(r"(\d{1,2})[/-](\d{4})", words):
        return f"{found[2]}-{int(found[1]):02}"
    return said


def _read_rest(said: str, language: str) -> str:
    number = _month_named(_plain(said).rstrip("."))
    return day_rules.MONTHS[number - 1] if number else _read_month(said, language)


def _read_time(said: str, language: str) -> str:
    words = _plain(said)
    if words in ("mediodia", "12 del mediodia"):
        return "noon"
    words = re.sub(r" ?([ap])\.? ?m\.?$", r" \1m", words)
    found = re.fullmatch(
        r"(?:a )?(?:las? )?(\d{1,2})(?::(\d\d))? (?:de|por) la (manana|tarde|noche)", words
    )
    if not found:
        bare = re.sub(r"^(?:a )?las? ", "", words)
        return bare.upper() if bare[:1].isdigit() else said
    half = "AM" if found[3] == "manana" else "PM"
    return f"{found[1]}:{found[2] or '00'} {half}"


def _read_rule(said: str, language: str) -> str:
    """A rule in Spanish as the same one in English; anything else as it is."""
    words = re.sub(r",? (?:y|e)? ?si no$", "", _plain(said))
    main, _, otherwise = words.partition(" o ")
    told = _english_day(main.rstrip(","))
    if not told:
        return said
    if not otherwise:
        return told
    if re.fullmatch(
        r"(?:en )?el (?:siguiente|proximo) dia (?:habil|laborable)|(?:en )?el dia (?:habil|laborable) (?:siguiente|proximo)",
        otherwise,
    ):
        return f"{told}, or the next working day"
    if re.fullmatch(
        r"(?:en )?el dia (?:habil|laborable) (?:anterior|previo)|(?:en )?el anterior dia (?:habil|laborable)",
        otherwise,
    ):
        return f"{told}, or the working day before"
    return said


def _english_day(words: str) -> str:
    """A day of a rule in English; "" for what is none."""
    if found := re.fullmatch(
        r"(\d{1,2}|una?|dos|tres|cuatro) (dia|semana)s? (?:despues|mas tarde)", words
    ):
        many = {"un": "1", "una": "1", "dos": "2", "tres": "3", "cuatro": "4"}.get(
            found[1], found[1]
        )
        unit = {"dia": "day", "semana": "week"}[found[2]] + ("" if many == "1" else "s")
        return f"{many} {unit} later"
    words, following = re.subn(
        r" del (?:mes siguiente|siguiente mes|proximo mes|mes proximo)$", "", words
    )
    words = re.sub(r" (?:del|de cada) mes$", "", words)
    after = " of the next month" if following else ""
    weekdays = {_plain(say_weekday(name, "es")): name for name in _WEEKDAYS}
    named = "|".join(weekdays)
    if found := re.fullmatch(
        rf"(?:el )?(?:(?:siguiente|proximo) ({named})|({named}) (?:siguiente|proximo|despues))",
        words,
    ):
        return f"the next {weekdays[found[1] or found[2]]}"
    if found := re.fullmatch(
        rf"(?:el )?(primero?|segundo|tercero?|cuarto|quinto|ultimo) ({named})", words
    ):
        nth = _NTH[found[1].removesuffix("o") if found[1] in ("primero", "tercero") else found[1]]
        return f"{nth} {weekdays[found[2]]}{after}"
    if re.fullmatch(r"(?:el )?ultimo dia", words):
        return f"last day{after}"
    if found := re.fullmatch(r"(?:el )?(?:dia )?(\d{1,2})", words):
        number = int(found[1])
        ending = {1: "st", 2: "nd", 3: "rd"}.get(
            number % 10 if number not in (11, 12, 13) else 0, "th"
        )
        return f"the {number}{ending}{after}"
    return ""


def _month_named(word: str) -> int:
    """The number of a month that is named in either language, 0 of what is none."""
    return day_rules.month_of_year(word) or _spanish_months().get(word, 0)


@cache
def _spanish_months() -> Mapping[str, int]:
    names = get_month_names("wide", locale="es")
    known = {_plain(name): number for number, name in names.items()}
    return (
        known | {name[:3]: number for name, number in known.items()} | {"setiembre": 9, "sept": 9}
    )


def _plain(said: str) -> str:
    """Small letters without accents, and single blanks."""
    letters = unicodedata.normalize("NFKD", said.casefold())
    return " ".join("".join(c for c in letters if not unicodedata.combining(c)).split())


def _meant(kept: str, kind: str) -> object:
    try:
        return _MEANT[kind](kept)
    except ValueError:
        return kept


_SHOW: Mapping[str, Callable[[str, str], str]] = {
    "day": _show_day, "month": _show_month, "rest": _show_rest, "rule": _show_rule, "time": _show_time,
}  # fmt: skip
_READ: Mapping[str, Callable[[str, str], str]] = {
    "day": _read_day, "month": _read_month, "rest": _read_rest, "rule": _read_rule, "time": _read_time,
}  # fmt: skip
_MEANT: Mapping[str, Callable[[str], date | time | DayRule | int]] = {
    "day": date.fromisoformat, "month": day_rules.month, "rule": closing_rule, "time": clock,
    "rest": lambda kept: day_rules.month_of_year(kept) or day_rules.month(kept),
}  # fmt: skip
