"""What the heading of a column says about its field, by the table of headings and close spelling."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cache
from importlib.resources import files

from rapidfuzz import process
from rapidfuzz.distance import OSA

from onboard.intake.fields import EXTRA, FIELDS

IGNORED = "-"  # what a coordinator writes for a column that is no field of ours


class Why(IntEnum):
    """How a column came to its field, weakest first."""

    NOTHING = 0
    VALUES = 1
    WORDS = 2
    SPELLING = 3
    ALIAS = 4
    REMEMBERED = 5
    TOLD = 6


_FILLERS = frozenset(
    ("a", "an", "the", "your", "you", "my", "our", "please", "enter", "write", "type", "give",
     "provide", "tell", "us", "what", "is", "are", "s", "required", "optional", "requerido",
     "requerida", "obligatorio", "opcional", "su", "tu", "el", "la", "los", "las", "favor", "por",
     "cual", "es", "de", "escriba", "which", "choose", "select", "del")
)  # fmt: skip
_QUALIFIERS = frozenset(
    ("preferred", "primary", "main", "best", "current", "personal", "legal", "contact", "home",
     "mailing", "daytime", "nearest", "closest", "residential", "applicant", "participant", "member",
     "customer", "of", "residence", "and", "no", "full", "abbreviation", "principal",
     "preferido", "preferida", "particular", "contacto", "solicitante", "socio", "socia", "numero")
)  # fmt: skip


def fold(heading: str) -> str:
    """`heading` in small letters, without accents and punctuation, one space between words.

    >>> fold("  E-mail *"), fold("Código postal:"), fold("Apt #"), fold("firstName")
    ('e mail', 'codigo postal', 'apt no', 'first name')
    """
    apart = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading[:500].replace("#", " no "))
    plain = unicodedata.normalize("NFKD", apart)
    plain = "".join(c for c in plain if not unicodedata.combining(c)).casefold()
    return " ".join(re.findall(r"[^\W_]+", plain))


def _forms(heading: str) -> tuple[str, ...]:
    """Ways to read a heading, the fullest first: whole, without remarks, without fillers, and
    last without what only says whose or which ("preferred", "of the applicant")."""
    heading = heading[:500]
    bare = re.sub(r"\([^()]*\)|\[[^][]*\]", " ", heading)
    whole, short = fold(heading), fold(bare)
    lean = [word for word in short.split() if word not in _FILLERS]
    bones = " ".join(word for word in lean if word not in _QUALIFIERS)
    return tuple(dict.fromkeys(form for form in (whole, short, " ".join(lean), bones) if form))


@cache
def _aliases() -> tuple[Mapping[str, tuple[str, ...]], tuple[str, ...]]:
    """Alias to the fields it may be; and the aliases of what is none of ours."""
    fields: dict[str, tuple[str, ...]] = {}
    others = []
    table = files("onboard.tables").joinpath("columns.tsv").read_text("utf-8")
    lines = (line for line in table.splitlines() if line and not line.startswith("#"))
    next(lines)  # field, heading
    for line in lines:
        field, alias = line.split("\t")
        if field == IGNORED:
            others.append(alias)
        fields[alias] = (*fields.get(alias, ()), field)
    return fields, tuple(others)


@dataclass(frozen=True, slots=True)
class Meaning:
    """What one column could be, and how sure that is."""

    fields: tuple[str, ...]
    why: Why = Why.NOTHING
    words: str = ""
    alias: str = ""  # what of the table the heading holds, with `Why.WORDS`
    second: str = ""  # the field that it also says, where another column says it better


UNKNOWN = Meaning(())


def _slips(said: str, alias: str) -> int:
    """How many slips of the keyboard lie between two texts; -1 if they are not the same words.

    Word by word: short words lie close to one another ("city", "site"), so that in four letters
    only a swap is a slip ("nmae").
    """
    words, others = said.split(), alias.split()
    if len(words) != len(others):
        return -1
    total = 0
    for here, there in zip(words, others, strict=True):
        slips = OSA.distance(here, there)
        shorter = min(len(here), len(there))
        allowed = 0 if shorter < 4 else 1 if shorter < 11 else 2
        if slips > allowed or (slips and shorter == 4 and sorted(here) != sorted(there)):
            return -1
        total += slips
    return total


def by_heading(heading: str, extra_questions: Sequence[str] = ()) -> Meaning:
    """What the heading alone says; fields empty where it says nothing."""
    aliases, others = _aliases()
    forms = _forms(heading)
    for question in extra_questions:
        if fold(question) == fold(heading):
            return Meaning((EXTRA + question,), Why.ALIAS, "one of your own questions")
    for form in forms:
        if form in aliases:
            fields = aliases[form]
            if fields == (IGNORED,):
                return Meaning((IGNORED,), Why.ALIAS, "about something else")
            return Meaning(fields, Why.ALIAS, "known heading")
    if both := _said_twice(heading):
        return both
    between_words = [f" {form} " for form in forms]
    for text in between_words:
        other = next((o for o in others if f" {o} " in text), None)
        if other:
            return Meaning((IGNORED,), Why.WORDS, f'about something else: it says "{other}"')
    for form in forms:
        nearest = process.extract(
            form, aliases.keys(), scorer=OSA.distance, score_cutoff=3, limit=20
        )
        near = {a: slips for a, _distance, _place in nearest if (slips := _slips(form, a)) > 0}
        if near:
            alias = min(near, key=lambda a: near[a])
            return Meaning(aliases[alias], Why.SPELLING, f'spelled nearly like "{alias}"')
    held = [a for a in aliases for text in between_words if f" {a} " in text]
    if held:
        alias = max(held, key=lambda a: (len(a.split()), len(a)))
        return Meaning(aliases[alias], Why.WORDS, f'holds the words "{alias}"', alias)
    return UNKNOWN


def field_called(said: str) -> str:
    """The one field that a word on the command line means, "" if there is none such.

    >>> field_called("name"), field_called("full_name"), field_called("drop site"), field_called("emial")
    ('full_name', 'full_name', 'site', '')
    """
    if said in FIELDS:
        return said
    meaning = by_heading(said)
    is_sure = meaning.why is Why.ALIAS and len(meaning.fields) == 1
    return meaning.fields[0] if is_sure and meaning.fields[0] in FIELDS else ""


def _said_twice(heading: str) -> Meaning | None:
    """What a heading in two languages or wordings says ("Language / Idioma"), if it is one thing."""
    ways = re.split(r"[/|]", heading[:500])
    if not 2 <= len(ways) <= 4:
        return None
    aliases, _ = _aliases()
    known = [aliases[form] for way in ways for form in _forms(way)[:1] if form in aliases]
    if len(known) == len(ways) and len(set(known)) == 1 and known[0] != (IGNORED,):
        return Meaning(known[0], Why.ALIAS, "known heading, in two languages or wordings")
    return None


_WIDE = 100  # cells of a line that are looked at


def count_known(cells: Sequence[str], hints: Collection[str] = ()) -> int:
    """How many of the first cells of a line are headings that we know, or folded are in `hints`."""
    return sum(
        fold(cell) in hints or by_heading(cell).why >= Why.SPELLING
        for cell in cells[:_WIDE]
        if 0 < len(cell) < 200 and "@" not in cell
    )
