"""How a member wants to be reminded, as they answer the co-op's own question. A text goes only to who chose one."""

from __future__ import annotations

import re
import unicodedata

from onboard.model import Way

# By the word that says it; a postcard goes by the same way as a letter.
_WORDS = {
    Way.EMAIL: r"e ?mails?|correos? electronicos?|correos?",
    Way.TEXT: r"texts?|sms|text messages?|texting|mensajes?(?: de texto)?|textos?|celular|cell(?: phone)?",
    Way.LETTER: r"post ?cards?|letters?|paper|(?:regular |postal |us |u s |snail )?mail|cartas?|tarjetas?(?: postal(?:es)?)?"
    r"|postal(?:es)?|correo (?:postal|regular|normal)",
}
_NEVER = re.compile(
    r"(?:no|none|never|nothing|nope|n a|no thanks?|no thank you|no reminders?|don t(?: remind me)?|do not(?: remind me)?"
    r"|ninguno|ninguna|nada|nunca|no gracias|no quiero|sin recordatorios?)"
)
_NOT = re.compile(
    r"\b(?:no|not|never|don t|do not|except|but|instead|nunca|excepto|pero|menos|sin)\b"
)


def clean(said: str) -> Way | bool | None:
    """The way that a member chose; False where they want no reminder, None where they chose none that is clear.

    >>> clean("Text me"), clean("por correo postal"), clean("none"), clean("whatever")
    (<Way.TEXT: 'text'>, <Way.LETTER: 'letter'>, False, None)
    """
    plain = "".join(
        sign
        for sign in unicodedata.normalize("NFD", said.casefold())
        if not unicodedata.combining(sign)
    )
    answer = " ".join(re.findall(r"[a-z0-9]+", plain))
    if _NEVER.fullmatch(answer):
        return False
    if _NOT.search(answer):
        return None  # "email, but no texts": only a person can read it
    rest, found = answer, []
    for way in (Way.LETTER, Way.TEXT, Way.EMAIL):  # "correo postal" is no email
        pattern = re.compile(rf"\b(?:{_WORDS[way]})\b")
        if way is Way.LETTER:
            rest = re.sub(r"\be mail", "email", rest)
        if pattern.search(rest):
            found.append(way)
            rest = pattern.sub(" ", rest)
    # Whoever names two leaves it to us: the quickest that costs nothing.
    return next((way for way in (Way.EMAIL, Way.TEXT, Way.LETTER) if way in found), None)
