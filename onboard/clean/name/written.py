"""A name as it is written out."""

from __future__ import annotations

import re

from onboard.model import PersonName

_BORN = {"en": "born", "es": "antes"}
_AS_I = re.compile(r"(?i)(?:i|hi(?!e)|y[^aeiouáéíóú])")  # before it, "y" is "e" in Spanish


def show(name: PersonName, language: str = "en") -> str:
    """The name as it is written out, in English or Spanish ("es"); the people of a joint sign-up with "and".

    >>> show(PersonName("Pat", "Q", "Lee", "Jr", title="Dr"))
    'Dr Pat Q Lee Jr'
    >>> ana = PersonName("Ana", family="Ruiz", called="Ani", former="Soto", joint=(PersonName("Inés", family="Gil"),))
    >>> show(ana), show(ana, "es")
    ('Ana "Ani" Ruiz (born Soto) and Inés Gil', 'Ana "Ani" Ruiz (antes Soto) e Inés Gil')
    """
    parts = (
        name.title,
        name.given,
        f'"{name.called}"' if name.called else "",
        name.middle,
        name.family,
        name.suffix,
        f"({_BORN.get(language, _BORN['en'])} {name.former})" if name.former else "",
    )
    one = " ".join(filter(None, parts))
    for other in name.joint:
        said = show(other, language)
        one += f" {_and(said, language)} {said}"
    return one


def shown_in(text: str, language: str) -> str:
    """A name that `show` wrote in English, in another language.

    >>> shown_in("Rob Marsh and Ida Marsh (born Soto)", "es")
    'Rob Marsh e Ida Marsh (antes Soto)'
    """
    if language == "en":
        return text
    text = re.sub(rf"\({_BORN['en']} (?=[^()]+\))", f"({_BORN[language]} ", text)
    first, *others = text.split(" and ")
    return first + "".join(f" {_and(one, language)} {one}" for one in others)


def _and(following: str, language: str) -> str:
    if language != "es":
        return "and"
    return "e" if _AS_I.match(following) else "y"
