"""All that a member may believe their handle to be: each way to make it of their name, with its cause.

A belief's weight is how often people come to it, as a part of all who type something wrong. The
figures are a judgement from the trade (no published counts were found); what counts is which is
the larger.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import NamedTuple, TypeAlias

from nicknames import name_triplets

from onboard.clean.name import apart as last_names
from onboard.model import Handle, PersonName
from onboard.signin.marks import letters
from onboard.tables import rows

_NICKNAME, _MIDDLE, _FORMER, _SUFFIX = 0.06, 0.05, 0.05, 0.03
_LAST_FIRST, _INITIAL, _PART, _PARTNER = 0.05, 0.05, 0.05, 0.05
_WHOLE, _NAME, _WRITTEN_OUT = 0.5, 0.5, 0.3
_LEAST = 5e-5  # what is rarer is left out

_SUFFIXES = {
    "jr": ("jr", "junior"), "sr": ("sr", "senior"), "ii": ("ii", "2nd"), "iii": ("iii", "3rd"),
    "iv": ("iv", "4th"),
}  # fmt: skip
_WRITTEN = str.maketrans(
    {"ä": "ae", "ö": "oe", "ü": "ue", "ø": "oe", "å": "aa", "æ": "ae", "ñ": "ny"}
)


# Causes that lead to one text, and how often.
Belief: TypeAlias = tuple[tuple[str, ...], float]


class Beliefs(NamedTuple):
    """The texts a member may believe in, without the number, and the handle's own number."""

    texts: dict[str, tuple[Belief, ...]]
    number: str


class _Half(NamedTuple):
    text: str
    cause: str  # "" when it is as it should be
    weight: float


@lru_cache(maxsize=64)
def beliefs_of(handle: Handle, names: tuple[PersonName, ...]) -> Beliefs:
    """What they may believe, by the names under which the member was ever known."""
    stem, number = _apart(handle, names)
    own = next((n for n in names if _made_of(stem, n)), None)
    found: dict[str, dict[tuple[str, ...], float]] = {}

    def add(text: str, causes: Iterable[str], weight: float) -> None:
        if weight < _LEAST:
            return
        key = tuple(dict.fromkeys(filter(None, causes)))
        # Who knows that a long handle is cut cuts whatever name they believe in.
        for told in {text, *(text[:longest] for longest in cuts)} if cuts else (text,):
            known = found.setdefault(told, {})
            if weight > known.get(key, 0.0):
                known[key] = weight

    cuts = {len(stem), len(handle.text)} if _is_cut(stem, own) else set()
    add(stem, (), 1.0)
    for name in [own] if own else names:
        others = tuple(n for n in names if n is not name)
        cut = stem[len(letters(name.given)) :] if own else ""
        for first in _firsts(name, others):
            for last in _lasts(name, others, cut):
                causes = (first.cause, last.cause)
                weight = first.weight * last.weight
                if not own:
                    kept = tuple(c for c in causes if c == "typed.partner")
                    add(first.text + last.text, kept or ("typed.name",), _NAME * weight)
                    continue
                add(first.text + last.text, causes, weight)
                if first.text and last.text:
                    turned = (*causes, "typed.last_first")
                    add(last.text + first.text, turned, weight * _LAST_FIRST)
        for other in name.joint:
            if other.given and other.family:
                whole = letters(other.given + other.family)
                add(whole, ("typed.partner",), _PARTNER)
        givens = [letters(one.given) for one in (name, *name.joint)]
        if own and len(givens) > 1:
            for joint in ("", "and", "y"):
                add(joint.join(givens) + letters(name.family), ("typed.partner",), _PARTNER / 4)
    found.pop("", None)
    return Beliefs({text: tuple(known.items()) for text, known in found.items()}, number)


def is_a_name(handle: Handle, names: tuple[PersonName, ...]) -> bool:
    """Whether the handle is one of the names, or was made of one: then what is wrong with a name is
    wrong with it.

    >>> is_a_name(Handle("aruiz"), (PersonName("Ana", family="Ruiz"),))
    False
    """
    stem, _ = _apart(handle, names)
    return bool(handle.steps) or any(_made_of(stem, name) for name in names)


def _apart(handle: Handle, names: tuple[PersonName, ...]) -> tuple[str, str]:
    """The handle without its number, and the number."""
    stem = handle.text.rstrip("0123456789")
    number = handle.text[len(stem) :]
    numbered = any(step.what == "number" for step in handle.steps)
    if number and not numbered and any(_made_of(handle.text, name) for name in names):
        return handle.text, ""  # the digit is the name's own
    return (stem, number) if stem else (handle.text, "")


def _made_of(stem: str, name: PersonName) -> bool:
    """Whether the handle is this name, whole, with one of two last names, or cut behind the first
    letter of the last name."""
    given, family = letters(name.given), letters(name.family)
    if not family or not given:
        return stem == given + family
    if stem.removeprefix(given) in map(letters, last_names(name.family)):
        return True
    return (given + family).startswith(stem) and (
        stem == given + family or len(stem) >= max(len(given) + 1, 12)
    )


def _is_cut(stem: str, own: PersonName | None) -> bool:
    if own is None or stem.removeprefix(letters(own.given)) in map(letters, last_names(own.family)):
        return False
    return len(stem) < len(letters(own.given) + letters(own.family))


def _firsts(name: PersonName, others: tuple[PersonName, ...]) -> list[_Half]:
    """What may stand for the first name."""
    given, middle = letters(name.given), letters(name.middle)
    halves = [_Half(given, "", 1.0), _Half("", "typed.part", _PART)]
    words = re.split(r"[\s\-]+", name.given.strip())
    short = set(nicknames(letters(words[0])))
    short |= {letters(called) for called in (name.called, *(n.called for n in others)) if called}
    known = {letters(n.given) for n in others} | ({letters(name.called)} - {""})
    halves += [_Half(text, "typed.nickname", _NICKNAME / 3) for text in known - {given, ""}]
    short -= {given, ""} | known
    halves += [_Half(t, "typed.nickname", _NICKNAME / max(3, len(short))) for t in short]
    # Many short forms are on no list and are the front of the name: Theo, Sofi, Marg.
    word = letters(words[0])
    front = {word[:size] for size in range(3, len(word) - 1)} - short - known
    halves += [_Half(text, "typed.nickname", _NICKNAME / 10) for text in front]
    if len(words) > 1:
        halves += [_Half(letters(word), "typed.part", _PART / 2) for word in words]
        initials = "".join(letters(word)[:1] for word in words)
        halves.append(_Half(initials, "typed.initial", _INITIAL / 2))
    for more in {middle, *(letters(n.middle) for n in others)} - {""}:
        halves += [
            _Half(given + more, "typed.middle_name", _MIDDLE / 2),
            _Half(given + more[0], "typed.middle_name", _MIDDLE / 2),
            _Half(given[:1] + more[0], "typed.middle_name", _MIDDLE / 10),
            _Half(more, "typed.middle_name", _MIDDLE / 5),
        ]
    if len(given) > 1:
        halves.append(_Half(given[0], "typed.initial", _INITIAL))
    if (out := _written_out(name.given)) != given:
        halves.append(_Half(out, "typed.accents", _WRITTEN_OUT))
    halves += [_Half(letters(n.given), "typed.partner", _PARTNER) for n in name.joint if n.given]
    return halves


def _lasts(name: PersonName, others: tuple[PersonName, ...], cut: str) -> list[_Half]:
    """What may stand for the last name; `cut` is what the handle has of it."""
    family = letters(name.family)
    if cut and cut != family:
        halves = [_Half(cut, "", 1.0), _Half(family, "typed.whole_name", _WHOLE)]
    else:
        halves = [_Half(family, "", 1.0)]
    halves.append(_Half("", "typed.part", _PART))
    words = re.split(r"[\s\-]+", name.family.strip())
    if len(words) > 1:
        parts = {letters(part) for part in (words[0], words[-1], *last_names(name.family))}
        halves += [_Half(part, "typed.part", _PART) for part in parts - {family, cut, ""}]
    other = {letters(name.former), *(letters(n.family) for n in others)}
    other |= {letters(n.former) for n in others}
    for text in other - {family, ""}:
        halves += [
            _Half(text, "typed.former_name", _FORMER),
            _Half(text + family, "typed.former_name", _FORMER / 4),
            _Half(family + text, "typed.former_name", _FORMER / 4),
        ]
    if len(family) > 1:
        halves.append(_Half(family[0], "typed.initial", _INITIAL / 2))
    own = {letters(n.suffix) for n in (name, *others)} - {""}
    halves += [
        _Half(family + written, "typed.suffix", _SUFFIX if own else _SUFFIX / 10)
        for suffix in own or {"jr", "sr"}
        for written in _SUFFIXES.get(suffix, (suffix,))
    ]
    if (out := _written_out(name.family)) != family:
        halves.append(_Half(out, "typed.accents", _WRITTEN_OUT))
    return halves


@cache
def _pairs() -> tuple[dict[str, set[str]], dict[str, set[str]]]:
    """Full names to short forms, and short forms to full names."""
    shorts: dict[str, set[str]] = {}
    fulls: dict[str, set[str]] = {}
    told = [(full.lower(), short.lower()) for full, _, short in name_triplets()]
    for full, short, *_ in (*told, *rows("nicknames")):
        shorts.setdefault(full, set()).add(short)
        fulls.setdefault(short, set()).add(full)
    return shorts, fulls


@lru_cache(maxsize=8192)
def nicknames(name: str) -> frozenset[str]:
    """The other first names that the bearer of `name` may go by, in small letters.

    Wider than what matching takes for one name: here a wrong guess costs nothing.

    >>> {"bob", "bobby"} <= nicknames("robert"), "rob" in nicknames("bob")
    (True, True)
    """
    shorts, fulls = _pairs()
    whole = fulls.get(name, set())
    beside = (shorts.get(full, set()) for full in whole)
    return frozenset(whole.union(shorts.get(name, ()), *beside)) - {name}


def _written_out(word: str) -> str:
    """The word with its marked letters written out, as German and the Nordic languages do."""
    return letters(word.lower().translate(_WRITTEN))
