"""Pages drawn from their templates: everything that is put in is escaped."""

from __future__ import annotations

from functools import cache, partial
from importlib import resources
from typing import Any

from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined

from onboard import codes
from onboard.clean import name as names
from onboard.clean import phone
from onboard.desk import day_words, sentences, words
from onboard.model.outgoing import ASKED
from onboard.reports import card, marked
from onboard.welcome import spelling


@cache
def environment() -> Environment:
    """The templates, with what all of them may call."""
    made = Environment(
        # Charts and maps are drawn as reports draw them.
        loader=ChoiceLoader([PackageLoader("onboard.desk"), PackageLoader("onboard.reports")]), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.globals["LANGUAGES"] = words.NAMES
    made.globals |= {
        "MESSAGES": words.MESSAGES, "way_of": words.way_of, "STATES": words.STATES, "FORMS": words.FORMS, "WHEN": words.WHEN, "CHOICES": words.CHOICES, "LANGUAGE_CHOICES": words.LANGUAGE_CHOICES, "ZONES": words.ZONES, "DAYS": words.DAYS, "ASKED": ASKED,
        "qr": _qr, "grouped": codes.grouped,
        "spell": spelling.say, "reach": card.reach, "phone": phone.stored_aloud, "said_phone": phone.said_aloud,
        "differences": marked.differences,
    }  # fmt: skip
    made.filters["unfolded"] = words.unfolded
    made.filters["on_screen"] = words.on_screen
    made.filters["in_quotes"] = words.in_quotes
    return made


def make_ready() -> None:
    """Read all templates now: each takes its first reader a moment."""
    for file in resources.files("onboard.desk").joinpath("templates").iterdir():
        if file.name.endswith(".j2"):
            environment().get_template(file.name)


def _qr(text: str) -> str:
    """A picture that a phone reads, as the address of an image."""
    import segno

    made: str = segno.make(text, error="m").svg_data_uri(scale=4, border=3, light="#fff")
    return made


def draw(name: str, language: str, **values: Any) -> str:
    """The page as HTML. `t` in it says words of the screen; `day`, `short_day`, `moment` and `number` write
    as people do."""
    helpers = {
        "t": lambda text, **more: words.say(text, language, **more),
        "day": partial(words.day, language=language),
        "short_day": partial(words.short_day, language=language),
        "moment": partial(words.moment, language=language),
        "number": partial(words.number, language=language),
        "sure": partial(words.sure, language=language),
        "in_words": partial(words.setting, language=language),
        "is_english": partial(words.is_english, language=language),
        "examples": partial(day_words.examples, language=language),
        "name_of": partial(names.show, language=language),
        "named": partial(names.shown_in, language=language),
        "tell": partial(sentences.told, language=language),
        "plain": partial(sentences.plain, language=language),
        "listed": partial(sentences.listed, language=language),
    }
    known = {
        "language": language, "rooms": (), "visit": None, "mistakes": (), "done": "",
        "settings": None, "path": "", "who": "", "csrf": "", "counted": None, "not_shown": False,
    }  # fmt: skip
    known |= {"csrf": values["visit"].csrf} if values.get("visit") else {}
    return environment().get_template(f"{name}.html.j2").render(known | helpers | values)
