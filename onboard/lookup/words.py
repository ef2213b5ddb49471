"""The evidence and the questions in words, for the help desk.

What is on file is not repeated where the caller got it wrong: the help desk sees how near it was,
not the right phone or mailbox, which could slip out. Names and sites they see anyway.
"""

from __future__ import annotations

from collections.abc import Mapping

from onboard.lookup.facts import Facts
from onboard.lookup.weigh import Clue
from onboard.match.given_names import shipped

_LONGEST = 40  # characters of what was said that are repeated

# (kind, how): a sentence; "*" stands for every other kind or way. {said} and {known} are folded.
_WORDS: Mapping[tuple[str, str], str] = {
    ("name", "same"): "is called {known}",
    ("name", "slip"): "{said} is one slip from {known}",
    ("name", "slips"): "{said} is a few slips from {known}",
    ("name", "sound"): "{said} sounds like {known}",
    ("name", "short form"): "{said} and {known} can be one first name, short or in full",
    ("name", "short form of it"): "{said} can be short for {known}",
    ("name", "short form of what was said"): "{known} can be short for {said}",
    ("name", "cut"): "{said} is the beginning of {known}",
    ("name", "initial"): "{said} is the first letter of {known}",
    ("name", "as one"): "the name, written as one word",
    ("name", "other of two"): "{said} may be the other of the two",
    ("name", "other"): "nothing known here is like {said}",
    ("handle", "same"): "that is their sign-in name",
    ("handle", "signs"): "that is their sign-in name but for signs",
    ("handle", "slip"): "one slip from their sign-in name",
    ("handle", "slips"): "a few slips from their sign-in name",
    ("former handle", "same"): "that was their sign-in name",
    ("former handle", "signs"): "that was their sign-in name but for signs",
    ("former handle", "slip"): "one slip from a sign-in name they had",
    ("former handle", "slips"): "a few slips from a sign-in name they had",
    ("handle", "other"): "nothing of theirs is written like {said}",
    ("email", "same"): "that is an email address of theirs",
    ("email", "signs"): "an email address of theirs but for points or lines in it",
    ("email", "slip"): "one slip from an email address of theirs",
    ("email", "slips"): "a few slips from an email address of theirs",
    ("email", "local"): "what stands before the @ in an email address of theirs",
    ("email", "domain"): "an email address of theirs, with a slip behind the @",
    ("email", "provider"): "an email address of theirs but for the provider",
    ("email", "name in it"): "no email address of theirs, but it holds their name",
    ("email", "other"): "no email address of theirs",
    ("email", "unknown"): "no email address is on file",
    ("phone", "same"): "that is a phone of theirs",
    ("phone", "slip"): "one digit from a phone of theirs",
    ("phone", "slips"): "a few digits from a phone of theirs",
    ("phone", "other"): "no phone of theirs",
    ("phone", "unknown"): "no phone is on file",
    ("phone end", "same"): "a phone of theirs ends in {said}",
    ("phone end", "slip"): "a phone of theirs ends one digit from {said}",
    ("phone end", "other"): "no phone of theirs ends in {said}",
    ("phone end", "unknown"): "no phone is on file",
    ("site", "same"): "collects at {known}",
    ("site", "other"): "collects at {known}, not at {said}",
    ("site", "unknown"): "no drop site is on file",
    ("zip", "same"): "lives in {said}",
    ("zip", "slip"): "lives one digit from {said}",
    ("zip", "other"): "lives elsewhere than {said}",
    ("zip", "unknown"): "no ZIP code is on file",
    ("street", "same"): "lives at {said}",
    ("street", "slip"): "lives at an address like {said}",
    ("street", "other"): "lives elsewhere than {said}",
    ("street", "unknown"): "no street is on file",
}  # fmt: skip


def evidence(clue: Clue) -> str:
    """The clue as a few words.

    >>> from onboard.lookup.weigh import Clue
    >>> evidence(Clue("former name", "yung", "young", 7.0, "slip"))
    'Yung is one slip from Young (a former name)'
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
    if kind in ("name", "site"):
        shown = {name: text.title() for name, text in shown.items()}
    aside = {"former name": " (a former name)", "further name": " (a further name)"}
    return words.format_map(shown) + aside.get(clue.kind, "")


# What to say to the caller, by the stable word of the question.
QUESTIONS: Mapping[str, str] = {
    "site": "Which drop site do you collect at?",
    "phone end": "What are the last four digits of the phone we have of you?",
    "first name": "What is your first name, as it stands on your sign-up?",
    "family name": "What is your last name, as it stands on your sign-up?",
    "zip": "What is your ZIP code?",
    "street": "Which street do you live in?",
    "email": "Which email address did you sign up with?",
    "spelling": "How do you spell your first and your last name?",
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
