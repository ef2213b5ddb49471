"""What tasks, rules and reports say, in the language of the page.

They speak English, also in what they keep: a roster keeps the note of a finding as a sentence. A page tells it by
`sentences_spanish.tsv`, in which each sentence stands as the code makes it, with names in braces for what goes into it:

- `{words}` is told in turn: a sentence, a word, or several with "and" between them;
- `{day}` is a date, written as the readers of the page write it;
- `{number}` is a number, as it is;
- anything else is what somebody said, or is called: it stays.

A name may have a number behind it: `{day2}`. What the table does not have stays English, and the page says so.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from functools import cache, cached_property

from markupsafe import Markup, escape

from onboard.desk import words
from onboard.desk.day_words import dated
from onboard.windows import say_day, say_short, say_time

_NAME = re.compile(r"\{([a-z]+)\d*\}")
_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
# As the tables write a day, and as people in the US do: with its weekday and a time of day, if they say so.
_DAY = (
    r"\d{4}-\d\d-\d\d|(?:(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)[a-z]*, )?"
    rf"(?:{'|'.join(_MONTHS)})[a-z]* \d{{1,2}}, \d{{4}}(?:,(?: at)? \d{{1,2}}:\d\d [AP]M)?(?: [A-Z]{{3,4}})?"
)
_KINDS = {"day": _DAY, "number": r"[\d,.]*\d", "words": ".+?"}
_BETWEEN = re.compile(r"(, and |, or |, | and | or |; )")
_BETWEEN_SPANISH = {", and ": " y ", " and ": " y ", ", or ": " o ", " or ": " o "}
_PARTS = re.compile(
    r"(?:([A-Z][a-z]+), )?([A-Z][a-z]{2})[a-z]* (\d+), (\d+)(?:,(?: at)? (\d+:\d+) ([AP]M))?( [A-Z]+)?"
)
_ENDS = re.compile(r"(?<=[.?!]);? +")
_STOPS = (".", "?", "!")
_MARK = re.compile(r" *(?:- )?")  # of a line in a list
_WHOSE = re.compile(r"([a-z]+\d*: )(.+)")  # what is said of one account, behind its sign-in name
# What is typed into a terminal, or done in a spreadsheet, and what a page offers for it.
_ON_PAGE = {
    "nswer drop": "nswer “do not enroll”",
    "delete this one": "do not bring this one in",
}
_ISO = re.compile(r"\b\d{4}-\d\d-\d\d\b")


@dataclass(frozen=True)
class Sentence:
    """A sentence of the table, in both languages."""

    english: str
    spanish: str
    is_told: bool = True  # by a task

    @property
    def has_names(self) -> bool:
        """Whether something goes into it. Of what the screens say, only sentences and numbers: “To {who}” could be
        anything that somebody typed."""
        kinds = {name[1] for name in _NAME.finditer(self.english)}
        is_clear = kinds == {"number"} or re.search(r"[.?!](?: |$)", self.english) is not None
        return bool(kinds) and (self.is_told or is_clear)

    @cached_property
    def fixed(self) -> str:
        """The longest part that is the same in each such sentence."""
        return max(re.split(r"\{\w+\}", self.english), key=len)

    @cached_property
    def weight(self) -> int:
        """How much of it is the same each time: of two sentences that fit, the one that says more is meant."""
        return len(_NAME.sub("", self.english))

    @cached_property
    def _pattern(self) -> re.Pattern[str]:
        made, end = "", 0
        for name in _NAME.finditer(self.english):
            made += re.escape(self.english[end : name.start()])
            made += f"(?P<{name[0][1:-1]}>{_KINDS.get(name[1], '.*?')})"
            end = name.end()
        return re.compile(made + re.escape(self.english[end:]), re.DOTALL)

    def values(self, text: str) -> dict[str, str] | None:
        """What stands in the place of each name, if the text is this sentence. A part of a sentence is none."""
        if self.fixed not in text or (self._is_part and text.endswith(_STOPS)):
            return None
        found = self._pattern.fullmatch(text)
        return None if found is None else found.groupdict()

    @cached_property
    def _is_part(self) -> bool:
        return not self.english.endswith(_STOPS) and not re.search(r"\{words\d*\}$", self.english)


@cache
def table() -> dict[str, Sentence]:
    """The sentences by their English, with the words of the screens and of the settings, which tasks say too."""
    capital = {
        english[:1].upper() + english[1:]: spanish[:1].upper() + spanish[1:]
        for english, spanish in words.settings_spanish().items()
    }
    of_screens = words.spanish()
    small = {
        english[:1].lower() + english[1:]: spanish[:1].lower() + spanish[1:]
        for english, spanish in of_screens.items()
        if "{" not in english
    }
    of_tasks = words.table("sentences_spanish.tsv")
    known = small | capital | of_screens | of_tasks
    return {e: Sentence(e, spanish, e in of_tasks) for e, spanish in known.items()}


@cache
def _with_names() -> tuple[Sentence, ...]:
    """Those into which something goes, the fullest first."""
    return tuple(
        sorted((one for one in table().values() if one.has_names), key=lambda one: -one.weight)
    )


def told(text: str, language: str) -> Markup:
    """What a task says, in the language, for a page: what can't be told in it is marked as English."""
    return Markup("").join(
        Markup('<span lang="en">{}</span>').format(said) if is_english else escape(said)
        for said, is_english in parts(text, language)
    )


def plain(text: str, language: str) -> str:
    """The same as bare text, for an attribute or for a value of another sentence.

    >>> plain("phone", "es"), plain("Kim Vale", "es")
    ('teléfono', 'Kim Vale')
    """
    return "".join(said for said, _ in parts(text, language))


def parts(text: str, language: str) -> Iterator[tuple[str, bool]]:
    """What a task says, part by part: the words, with days and months as people write them, and whether they are
    English on a page that is not."""
    if language == "en":
        for said, on_page in _ON_PAGE.items():
            text = text.replace(said, on_page)
        yield dated(text, language), False
        return
    for place, line in enumerate(text.split("\n")):
        if place:
            yield "\n", False
        yield from _line(line, language)


def _line(line: str, language: str) -> Iterator[tuple[str, bool]]:
    """The line, sentence by sentence."""
    mark = _MARK.match(line)
    if mark and mark.end():
        yield mark[0], False
        line = line[mark.end() :]
    rest = _ENDS.split(line)
    space = ""
    while rest:
        # A name may hold what looks like the end of a sentence ("St. Brigid"): then it goes on.
        many, said = next(
            (
                (many, said)
                for many in range(1, len(rest) + 1)
                if (said := _one(" ".join(rest[:many]), language)) is not None
            ),
            (1, None),
        )
        if space:
            yield space, False
        whose = _WHOSE.fullmatch(rest[0]) if said is None else None
        if whose:
            yield whose[1], False
            rest, space = [whose[2], *rest[1:]], ""
            continue
        if said is None:
            is_english = _is_words(rest[0])
            yield dated(rest[0], "en" if is_english else language), is_english
        else:
            yield said, False
        rest, space = rest[many:], " "


def _is_words(text: str) -> bool:
    """Whether it says something in a language, as an address or the name of a file does not."""
    return any(map(str.isalpha, text)) and (" " in text or not re.search(r"[@./]\w", text))


def _one(text: str, language: str) -> str | None:
    """One sentence in the language; None for what is not in the table."""
    known = table().get(text)
    if known is not None:
        return known.spanish if language == "es" else text
    for one in _with_names():
        values = one.values(text)
        if values is not None:
            shown = {name: _value(name, said, language) for name, said in values.items()}
            return (one.spanish if language == "es" else one.english).format(**shown)
    return None


def _value(name: str, said: str, language: str) -> str:
    """What goes into a sentence, in the language."""
    if name.startswith("day"):
        return _day(said, language)
    return listed(said, language) if name.startswith("words") else said


def listed(said: str, language: str) -> str:
    """A word, a sentence, or several in a row: as much at once as the table has."""
    if language == "en":
        return said
    if said.startswith("“") and said.endswith("”"):
        return f"“{listed(said[1:-1], language)}”"
    pieces = _BETWEEN.split(said)
    told, at = "", 0
    while at < len(pieces):
        end, one = next(
            (
                (end, one)
                for end in range(len(pieces), at, -2)
                if (one := _one("".join(pieces[at:end]), language)) is not None
            ),
            (at + 1, pieces[at]),
        )
        between = pieces[end] if end < len(pieces) else ""
        told += one + _BETWEEN_SPANISH.get(between, between)
        at = end + 1
    return told


def _day(said: str, language: str) -> str:
    """A day as the readers write it, with its weekday and its time where it came with them."""
    if _ISO.fullmatch(said):
        return words.short_day(said, language)
    if language == "en":
        return said
    weekday, month, number, year, clock, half, zone = _PARTS.fullmatch(said).groups("")  # type: ignore[union-attr]
    on = date(int(year), _MONTHS.index(month) + 1, int(number))
    told = (
        say_short(on, language=language) if len(weekday) == 3
        else say_day(on, language) if weekday
        else words.short_day(on, language)
    )  # fmt: skip
    if clock:
        hour, minute = map(int, clock.split(":"))
        told += f", {say_time(time(hour % 12 + 12 * (half == 'PM'), minute), language)}"
    return told + zone
