"""The words of the join page, in English and Spanish, and its pages drawn of them: all that is put in is escaped."""

from __future__ import annotations

from functools import cache, partial
from importlib import resources
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

LANGUAGES = ("en", "es")


def say(key: str, language: str, **values: object) -> str:
    """The words in the language, with values in place of {names}.

    >>> say("step", "es", n=2)
    'Paso 2 de 3'
    """
    text = table()[key][language == "es"]
    return text.format(**values) if values else text


@cache
def table() -> dict[str, tuple[str, str]]:
    """By key: English, Spanish."""
    text = resources.files(__package__).joinpath("words.tsv").read_text("utf-8")
    lines = (line.split("\t") for line in text.splitlines() if line and not line.startswith("#"))
    return {key: (english, spanish) for key, english, spanish in lines}


def draw(page: str, language: str, **values: Any) -> str:
    """A page as HTML; `t` in it says words."""
    return (
        _environment()
        .get_template(f"{page}.html.j2")
        .render(values, page=page, lang=language, t=partial(_say, language))
    )


def _say(language: str, key: str, **values: object) -> str:
    return say(key, language, **values)


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("onboard.porch"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
