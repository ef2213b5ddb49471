"""Names that are near to one on file, and are names of other people: Claudia is no slip for Claude."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.clean.name.words import is_first, is_last
from onboard.lookup.clue import Clue
from onboard.lookup.facts import Facts, bare
from onboard.match.given_names import is_short_for, of_two_sexes, shipped, sound

_AS_ON_FILE = ("same", "initial", "as one", "signs", "other of two")


def is_anothers(clue: Clue, facts: Facts) -> bool:
    """Whether what was said is a name that people bear, and not that on file: neither short for it or in full, nor
    another spelling of it. A slip that makes no name is a slip.

    >>> from onboard.lookup.facts import Name
    >>> claude = Facts(names=(Name(("claude",), ("pham",)),))
    >>> said = (("claudia", "claude"), ("klaude", "claude"), ("phan", "pham"), ("phsm", "pham"))
    >>> [is_anothers(Clue("name", one, known, 6.0, "slip"), claude) for one, known in said]
    [True, False, True, False]
    """
    return any(_is_another(*one, facts) for one in _names(clue, facts))


def _names(clue: Clue, facts: Facts) -> Iterator[tuple[str, str, bool]]:
    """The names that were said for one on file and are not it: (said, on file, whether it is a last name)."""
    if clue.how in _AS_ON_FILE or not clue.known:
        return
    said, known = (bare(text.partition("@")[0]) for text in (clue.said, clue.known))
    if clue.kind.endswith("name"):
        families = {
            word for name in facts.names for word in (*name.family, *name.former, *name.nouns)
        }
        yield said, known, known in families
    elif clue.kind in ("handle", "former handle", "email"):
        for name in facts.names:
            given, family = "".join(name.given), "".join(name.family)
            if known == name.joined and said.startswith(given):
                yield said.removeprefix(given), family, True
            elif known == name.joined and said.endswith(family):
                yield said.removesuffix(family), given, False


def _is_another(said: str, known: str, is_family: bool, facts: Facts) -> bool:
    if said == known:
        return False
    if not is_family and _is_half(known, facts) and len(said) >= len(known):
        return True  # "Anna" for Mary Ann; but "Lupe" may be Maria Guadalupe
    if sound(said) == sound(known):
        return False
    if is_family:
        return is_last(said)
    return is_first(said) and not _is_short_for(said, known)


def _is_half(known: str, facts: Facts) -> bool:
    return all(known in name.given and len(name.given) > 1 for name in facts.names)


def _is_short_for(said: str, known: str) -> bool:
    """Whether one is a short form of the other, in any spelling: Beth for Elisabeth."""
    if is_short_for(said, known):
        return True
    return not of_two_sexes(
        said, known
    ) and any(  # John is short for Johann, which Joan sounds like
        sound(full) == sound(long)
        for short, long in ((said, known), (known, said))
        for full in shipped().full.get(short, ())
    )
