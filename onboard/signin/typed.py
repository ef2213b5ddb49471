"""Why what was typed is not the handle: every story that could explain it, weighed.

A story is what the member believed the handle to be (`beliefs`), the marks they kept (`marks`),
and what the hand did (`slips`). Its weight is how often people go that way; a cause is as sure as
the stories that have it in them, out of all the stories that explain the text. This is the noisy
channel of spelling correction (Kernighan, Church and Gale, 1990).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Iterator
from functools import lru_cache
from typing import NamedTuple, TypeAlias

from rapidfuzz import process
from rapidfuzz.distance import OSA

from onboard.handles import skeleton
from onboard.model import Handle, PersonName
from onboard.signin.account import Account
from onboard.signin.beliefs import Belief, beliefs_of
from onboard.signin.marks import READ, Bare, letters, unmark
from onboard.signin.slips import slip

Taken: TypeAlias = Callable[[str], str | None] | Container[str]

_LOCAL, _LIKE_EMAIL = 0.06, 0.01
_FORMER_HANDLE = 5.0  # it is written in what they have from us: no guess is as good
_NUMBER_MISSING, _NUMBER_INVENTED, _ODD_NUMBER = 0.3, 1e-3, 2e-4
_SLIP, _ALIKE = 0.15, 0.02
_SLIPS = {2: 2e-6, 3: 8e-7, 4: 3e-7, 5: 1e-7}  # by how many keys are wrong
_MARK = 0.9  # some pages overlook a capital or a blank: what else is wrong is told before it
_MORE, _UNKNOWN_NAME, _OTHER, _UNLIKE = 2e-3, 2e-5, 2e-5, 3e-8

_DIGITS = "0123456789"
_ADDRESS = re.compile(
    r"[^\s@]+\s?(?:@|＠|\(at\)|\[at\]|\sat\s)\s?[^\s@]*[^\s@.]|[^\s@]+\.[^\s@]*@[^\s@]*",
    re.IGNORECASE,
)
# What people leave standing before or behind the handle.
_AROUND = frozenset(
    [
        "mr",
        "mrs",
        "ms",
        "miss",
        "dr",
        "my",
        "name",
        "username",
        "user",
        "userid",
        "id",
        "login",
        "handle",
        "signinname",
        "yoursigninname",
        "usuario",
        "nombredeentrada",
        "sunombredeentrada",
        "mynameis",
    ]
)
_COMMON_NUMBER = re.compile(r"[0-9]{1,2}|(?:19|20)[0-9]{2}|123")


class Story(NamedTuple):
    """One explanation of the whole text."""

    causes: tuple[str, ...]
    weight: float
    seen: str = ""  # of the last cause


class Seen(NamedTuple):
    """How sure a cause is, 0 to 1, and what was seen of it."""

    likely: float
    seen: str


def is_right(account: Account, typed: str) -> bool:
    """Whether the text is the member's own handle, letter for letter."""
    return account.handle is not None and typed == account.handle.text


def explain(account: Account, typed: str, others: Taken = ()) -> dict[str, Seen]:
    """The causes in what was typed, each with how likely it is; none if it is right.

    `others` tells what is another member's handle: whatever is in it, or whatever it gives a
    text for.
    """
    if is_right(account, typed):
        return {}
    typed = typed[:READ]
    bare = unmark(typed)
    if not bare.text and not bare.marks.get("signs"):
        return {"typed.nothing": Seen(1.0, "Nothing was typed.")}
    own = account.handle.text if account.handle else ""
    taken = bool(bare.text) and bare.text != own and _is_taken(bare.text, typed, others)
    if _ADDRESS.fullmatch(typed.strip()):
        # Whatever the address is made of, and whether or not it is on file: the same answer.
        blank = ("typed.invisible",) if "invisible" in bare.marks else ()
        seen = "It looks like an email address."
        stories = [Story((*blank, "typed.email"), 1.0, seen)]
    else:
        stories = [*_emails(account, typed, bare)]
        if account.handle:
            stories += _of_the_name(account, account.handle, bare, guess=not taken)
        unlike = ("typed.other_handle", _OTHER) if taken else ("typed.unlike", _UNLIKE)
        stories.append(Story(unlike[:1], unlike[1]))
    total = sum(story.weight for story in stories)
    found: dict[str, Seen] = {}
    for story in sorted(stories, key=lambda story: -story.weight):
        for code in story.causes:
            known = found.get(code)
            seen = known.seen if known else story.seen if code == story.causes[-1] else ""
            found[code] = Seen((known.likely if known else 0.0) + story.weight / total, seen)
    for mark, seen in bare.marks.items():
        code = f"typed.{mark}"
        if code in found:
            found[code] = Seen(_MARK * found[code].likely, seen)
    if taken:  # told even where a slip of their own explains it, and then behind the slip
        likely = max(0.85, found["typed.other_handle"].likely)
        found["typed.other_handle"] = Seen(likely, "")
    return found


def _is_taken(text: str, typed: str, others: Taken) -> bool:
    if isinstance(others, Container):
        return text in others or typed in others
    return others(text) is not None


def _emails(account: Account, typed: str, bare: Bare) -> Iterator[Story]:
    """Stories in which they typed a good part of an email address of their own."""
    said = typed.strip().casefold()
    email = ("typed.email", "typed.invisible") if "invisible" in bare.marks else ("typed.email",)
    for address in account.emails:
        local = address.casefold().partition("@")[0]
        if said == local:
            yield Story(email, _LOCAL, "It is the first part of an email address, before the @.")
        elif bare.text and (
            bare.text == letters(address)
            # With neither sign it is a name: "ines solano" is no ines.solano@…
            or (bare.text == letters(local) and not {"@", "."}.isdisjoint(said))
        ):
            yield Story(email, _LIKE_EMAIL, "It is an email address, or most of one.")


def _of_the_name(account: Account, handle: Handle, bare: Bare, *, guess: bool) -> Iterator[Story]:
    """Stories in which they typed what they believe the handle to be; if we may `guess`, with a name that
    nobody told us of: somebody else's sign-in name needs none."""
    kept = tuple(f"typed.{mark}" for mark in bare.marks)
    beliefs, number = beliefs_of(handle, account.names)
    text = bare.text
    if text in account.former_handles:
        yield Story((*kept, "typed.former_handle"), _FORMER_HANDLE)
    yield from _believed(text, bare.cased, kept, _numbered(handle, account.names))
    if guess:
        yield from _unknown_names(account, text.removesuffix(number), kept)
    stem = text.rstrip(_DIGITS)
    digits = text[len(stem) :]
    if digits and digits != number and stem:
        odd = _NUMBER_INVENTED if _COMMON_NUMBER.fullmatch(digits) else _ODD_NUMBER
        ends = f"the sign-in name ends in {number}" if number else "the sign-in name has no number"
        seen = f"It ends in {digits}; {ends}."
        for story in (
            *_believed(stem, bare.cased[: len(stem)], kept, beliefs),
            *(_unknown_names(account, stem, kept) if guess else ()),
        ):
            yield Story((*story.causes, "typed.number_invented"), story.weight * odd, seen)
    around = text.replace(handle.text, "") if len(handle.text) >= 4 else text
    if around != text and not around.isdigit():
        known = not around or around in _AROUND
        yield Story((*kept, "typed.more"), _MORE if known else _MORE / 500)


def _unknown_names(account: Account, text: str, kept: tuple[str, ...]) -> Iterator[Story]:
    """Stories of one name that is right beside another that nobody told us of."""
    for name in account.names:
        given, family = letters(name.given), letters(name.family)
        first, last = text.removesuffix(family), text.removeprefix(given)
        if len(family) >= 3 and first != text and _is_another(first, given):
            yield Story((*kept, "typed.nickname"), _UNKNOWN_NAME)
        if len(given) >= 3 and last != text and _is_another(last, family):
            yield Story((*kept, "typed.former_name"), _UNKNOWN_NAME)


def _is_another(text: str, name: str) -> bool:
    """Whether the text may be a name, and is not that one with a slip in it, or cut."""
    return (
        len(text) >= 2
        and text.isalpha()
        and not name.startswith(text)
        and not text.startswith(name)
        and OSA.distance(text, name, score_cutoff=2) > 2
    )


@lru_cache(maxsize=64)
def _numbered(handle: Handle, names: tuple[PersonName, ...]) -> dict[str, tuple[Belief, ...]]:
    """The beliefs with the handle's number, and without it."""
    beliefs, number = beliefs_of(handle, names)
    if not number:
        return beliefs
    found: dict[str, tuple[Belief, ...]] = {}
    for text, ways in beliefs.items():
        whole: list[Belief] = []
        without: list[Belief] = []
        for causes, weight in ways:
            if causes == ("typed.name",):  # the number is not the name's
                without.append((causes, weight))
                continue
            whole.append((causes, weight))
            if "typed.partner" not in causes:  # nobody looks for a number in another's name
                causes = (*causes, "typed.number_missing")
            without.append((causes, weight * _NUMBER_MISSING))
        if whole:
            found[text + number] = tuple(whole)
        found[text] = (*found.get(text, ()), *without)
    return found


def _believed(
    text: str, cased: str, kept: tuple[str, ...], beliefs: dict[str, tuple[Belief, ...]]
) -> Iterator[Story]:
    """Stories of the beliefs that the text is, looks like, or is a slip or two away from."""
    for causes, weight in beliefs.get(text, ()):
        yield Story((*kept, *causes), weight)
    shapes = _shapes(tuple(beliefs))
    shape = skeleton(text)
    for meant in shapes.get(shape, ()):
        if meant != text:
            for causes, weight in beliefs[meant]:
                yield Story((*kept, *causes, "typed.look_alike"), weight * _ALIKE)
    if "I" in cased and (capital := skeleton(cased)) != shape:
        # A capital I for a small l: then it is not there because the member types capitals.
        lower = cased.replace("I", "l")
        marks = tuple(m for m in kept if m != "typed.capitals") if lower.islower() else kept
        for meant in shapes.get(capital, ()):
            for causes, weight in beliefs[meant]:
                seen = "There is a capital I where the sign-in name has a small l."
                yield Story((*marks, *causes, "typed.look_alike"), weight * _ALIKE, seen)
    if len(text) < 3:
        return
    reach = min(max(_SLIPS), max(1, len(text) // 3))
    near = process.extract(
        text, beliefs.keys(), scorer=OSA.distance, score_cutoff=reach, limit=None, processor=None
    )
    for meant, distance, _ in near:
        if distance == 0 or len(meant) < 3:
            continue
        if meant.rstrip(_DIGITS) == text.rstrip(_DIGITS):
            continue  # another number, and told as that
        one = slip(meant, text)
        rate = one.weight * _SLIP if one else _SLIPS[max(2, int(distance))]
        seen = one.seen if one else f"{int(distance)} keys are wrong."
        for causes, weight in beliefs[meant]:
            yield Story((*kept, *causes, "typed.slip"), weight * rate, seen)


@lru_cache(maxsize=64)
def _shapes(beliefs: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """What each text looks like, and which of them look so."""
    found: dict[str, tuple[str, ...]] = {}
    # All at once: a line break takes part in no look-alike.
    for text, shape in zip(beliefs, skeleton("\n".join(beliefs)).split("\n"), strict=True):
        found[shape] = (*found.get(shape, ()), text)
    return found
