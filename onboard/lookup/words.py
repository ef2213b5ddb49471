"""The evidence and the questions in words, for the help desk.

What is on file is not repeated where the caller got it wrong: the help desk sees how near it was,
not the right phone or mailbox, which could slip out. Names and sites they see anyway.
"""

from __future__ import annotations

from collections.abc import Mapping

from onboard.lookup.clue import Clue
from onboard.lookup.facts import Facts
from onboard.match.given_names import shipped

_LONGEST = 40  # characters of what was said that are repeated

# (kind, how): a sentence; "*" stands for every other kind or way. {said} and {known} are folded.
_WORDS: Mapping[tuple[str, str], str] = {
    ("name", "same"): "is called {known}",
    ("name", "slip"): "{said} is one typo away from {known}",
    ("name", "slips"): "{said} is a few typos away from {known}",
    ("name", "sound"): "{said} sounds like {known}",
    ("name", "short form"): "{said} and {known} can be the same first name, short or in full",
    ("name", "short form of it"): "{said} can be short for {known}",
    ("name", "short form of what was said"): "{known} can be short for {said}",
    ("name", "cut"): "{known} starts with {said}",
    ("name", "initial"): "{said} is the first letter of {known}",
    ("name", "as one"): "the name, written as one word",
    ("name", "other of two"): "{said} may be the other person on a joint form",
    ("name", "other"): "nothing on file looks like {said}",
    ("handle", "same"): "that is their sign-in name",
    ("handle", "signs"): "that is their sign-in name, except for dots or other marks",
    ("handle", "slip"): "one typo away from their sign-in name",
    ("handle", "slips"): "a few typos away from their sign-in name",
    ("former handle", "same"): "that used to be their sign-in name",
    ("former handle", "signs"): "that used to be their sign-in name, except for dots or other marks",
    ("former handle", "slip"): "one typo away from a sign-in name they used to have",
    ("former handle", "slips"): "a few typos away from a sign-in name they used to have",
    ("handle", "other"): "none of their sign-in names looks like {said}",
    ("email", "same"): "that is one of their email addresses",
    ("email", "signs"): "one of their email addresses, except for dots or dashes",
    ("email", "slip"): "one typo away from one of their email addresses",
    ("email", "slips"): "a few typos away from one of their email addresses",
    ("email", "local"): "the part before the @ in one of their email addresses",
    ("email", "domain"): "one of their email addresses, with a typo after the @",
    ("email", "provider"): "one of their email addresses, except for the part after the @",
    ("email", "name in it"): "not one of their email addresses, but it has their name in it",
    ("email", "other"): "not one of their email addresses",
    ("email", "unknown"): "no email address is on file",
    ("phone", "same"): "that is one of their phone numbers",
    ("phone", "slip"): "one digit off from one of their phone numbers",
    ("phone", "slips"): "a few digits off from one of their phone numbers",
    ("phone", "other"): "not one of their phone numbers",
    ("phone", "unknown"): "no phone number is on file",
    ("phone end", "same"): "one of their phone numbers ends in {said}",
    ("phone end", "slip"): "one of their phone numbers ends one digit off from {said}",
    ("phone end", "other"): "none of their phone numbers ends in {said}",
    ("phone end", "unknown"): "no phone number is on file",
    ("site", "same"): "picks up from {known}",
    ("site", "other"): "picks up from {known}, not from {said}",
    ("site", "unknown"): "no drop site is on file",
    ("town", "same"): "lives in {known}",
    ("town", "slip"): "{said} sounds like {known}, where they live",
    ("household", "same"): "shares a home, phone or email address with {known}, who seems to be calling",
    ("generation", "same"): "is {known}",
    ("generation", "unknown"): "{said} is not on file",
    ("generation", "other"): "is {known}, not {said}",
    ("unit", "same"): "lives in unit {said}",
    ("area code", "same"): "one of their phone numbers starts with {said}",
    ("joined", "same"): "joined in {said}",
    ("site", "slip"): "{said} sounds like {known}, where they pick up",
    ("zip", "same"): "lives in ZIP {said}",
    ("zip", "slip"): "lives in a ZIP one digit off from {said}",
    ("zip", "other"): "does not live in ZIP {said}",
    ("zip", "unknown"): "no ZIP code is on file",
    ("street", "same"): "lives at {said}",
    ("street", "slip"): "lives at an address close to {said}",
    ("street", "other"): "does not live at {said}",
    ("street", "unknown"): "no street address is on file",
}  # fmt: skip


def evidence(clue: Clue) -> str:
    """The clue as a few words.

    >>> from onboard.lookup.clue import Clue
    >>> evidence(Clue("former name", "yung", "young", 7.0, "slip"))
    'Yung is one typo away from Young (a former name)'
    >>> evidence(Clue("name", "robert", "bob", 3.0, "short form"))
    'Bob can be short for Robert'
    """
    kind = clue.kind.rpartition(" ")[2] if clue.kind.endswith(" name") else clue.kind
    how = clue.how
    if how == "short form":
        full = shipped().full
        if clue.known in full.get(clue.said, ()):
            how = "short form of it"
        elif clue.said in full.get(clue.known, ()):
            how = "short form of what was said"
    words = _WORDS[kind, how]
    shown = {"said": _short(clue.said), "known": _short(clue.known)}
    if kind in ("name", "site", "town", "generation", "street", "household"):
        shown = {name: text.title() for name, text in shown.items()}
    aside = {"former name": " (a former name)", "further name": " (another name)"}
    return words.format_map(shown) + aside.get(clue.kind, "")


# The question where one account has two names, and the one whose it is not was said.
WHOSE = "whose account"

# What to say to the caller, by the stable word of the question.
QUESTIONS: Mapping[str, str] = {
    "site": "Which drop site do you pick up from?",
    "phone end": "What are the last four digits of the phone number you gave us?",
    "first name": "What is your first name?",
    "family name": "What is your last name?",
    "zip": "What is your ZIP code?",
    "street": "What street do you live on?",
    "email": "Which email address did you give us?",
    "spelling": "How do you spell your first and last name?",
    WHOSE: "Whose name is the account in?",
}


def beside(question: str, facts: Facts) -> str:
    """What the answer to a question is compared with: as little of it as tells people apart.

    >>> beside("phone end", Facts(phones=("4195550143",))), beside("site", Facts())
    ('…0143', '')
    """
    if question == "phone end" and facts.phones:
        return f"…{facts.phones[0][-4:]}"
    if question == "zip" and facts.homes:
        return facts.homes[0].zip5
    if question == "street" and facts.homes:
        return " ".join(facts.homes[0].street).title()
    if question == "email" and facts.emails:
        local, _, domain = facts.emails[0].partition("@")
        return f"{local[:1]}…{local[-1:]}@{domain}" if len(local) > 3 else f"…@{domain}"
    return ""


def _short(text: str) -> str:
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"
