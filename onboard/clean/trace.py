"""What is kept of the forms of somebody who was deleted, and of what others' forms said of them.

By it a form or a remark is known again under other headings, with a question more or a column less. It is
digests (RFC 2104, HMAC) in which nothing can be read: of a form those of its answers, under what only a
form of the same person says; of a remark the digest of the whole, and where in it the member was named.
"""

from __future__ import annotations

import hmac
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import Enum, auto

from onboard.clean.statement import ALONE, HOME, NAME, sketch

_WORDS = re.compile(r"[^\W_]+").findall
_NOT_SAID = frozenset(
    ("handle", "submitted")
)  # by the program or the form tool, and not by the person


class Came(Enum):
    """What comes again of somebody who was deleted."""

    OLD = auto()  # what they said before they were deleted
    NEW = auto()  # or maybe since


@dataclass(frozen=True, slots=True)
class Trace:
    """Of a form (`answers`) or of a remark (`places`)."""

    salt: str
    digest: str
    answers: frozenset[str] | None = None  # None: not known
    places: tuple[tuple[int, int], ...] = ()  # of names: from, to
    on: date | None = None  # when they were deleted; None: not known


def of_form(
    salt: str, fields: Mapping[str, str], corrected: Iterable[Mapping[str, str]], on: date
) -> list[Trace]:
    """The traces of a form: of what it says, and with what it was corrected to."""
    corrected = [*corrected]
    said = _texts(fields) | {_plain(text) for one in corrected for text in one.values()}
    names = (_sketch(one) for one in (fields, *corrected))
    return [
        Trace(salt, digest(salt, name), frozenset(digest(salt + name, text) for text in said), on=on)
        for name in dict.fromkeys(filter(None, names))
    ]  # fmt: skip


def came(
    fields: Mapping[str, str],
    on: date | None,
    traces: Mapping[str, Mapping[str, Collection[Trace]]],
) -> Came | None:
    """Whether a row is of somebody who was deleted; None if not.

    `on` is when it was filled out, if it says so; `traces` are those of forms, by salt and digest.
    """
    said = _sketch(fields)
    if not said:
        return None
    found = [
        one for salt, by_digest in traces.items() for one in by_digest.get(digest(salt, said), ())
    ]
    if not found:
        return None
    known = frozenset().union(*(one.answers or () for one in found))
    salts = {one.salt for one in found}

    def is_known(text: str) -> bool:
        return any(digest(salt + said, _plain(text)) in known for salt in salts)

    reached = [fields.get(field, "") for field in (*ALONE, "address", "street")]
    if not any(map(is_known, filter(str.strip, reached))):
        return Came.NEW  # a name alone is many people's
    deleted = max((one.on for one in found if one.on), default=None)
    if on and deleted:
        return Came.OLD if on < deleted else Came.NEW
    groups = [group for group in (NAME, HOME) if is_known(_whole(fields, group))]
    known_fields = _NOT_SAID.union(*groups)
    new = (text for field, text in fields.items() if text.strip() and field not in known_fields)
    return Came.OLD if all(map(is_known, new)) else Came.NEW


def of_remark(salt: str, text: str, places: Iterable[tuple[int, int]]) -> Trace:
    """The trace of a remark, with where in it somebody was named; blanks as `spaced` has them."""
    return Trace(salt, digest(salt, text), places=tuple(places))


def hushed(text: str, traces: Mapping[str, Mapping[str, Trace]], word: str) -> str:
    """A remark with the word in place of the names of those who were deleted.

    `traces` are those of remarks, by salt and digest.
    """
    now = spaced(text)
    while found := next(
        (one for salt, by in traces.items() if (one := by.get(digest(salt, now)))), None
    ):
        for start, end in reversed(found.places):
            now = now[:start] + word + now[end:]
    return text if now == spaced(text) else now


def spaced(text: str) -> str:
    """The text with one blank where there are several."""
    return " ".join(text.split())


def digest(salt: str, text: str) -> str:
    """What is kept in place of a text."""
    return hmac.digest(salt.encode(), text.encode("utf-8", "surrogatepass"), "sha256").hex()[:24]


def _sketch(fields: Mapping[str, str]) -> str:
    return sketch({field: text for field, text in fields.items() if field != "handle"})


def _texts(fields: Mapping[str, str]) -> set[str]:
    said = {_plain(text) for field, text in fields.items() if field not in _NOT_SAID}
    return (said | {_plain(_whole(fields, group)) for group in (NAME, HOME)}) - {""}


def _whole(fields: Mapping[str, str], group: Collection[str]) -> str:
    return " ".join(fields.get(field, "") for field in group)


def _plain(text: str) -> str:
    """A text without what makes no difference: capitals, blanks and signs."""
    return "".join(_WORDS(text.casefold()))
