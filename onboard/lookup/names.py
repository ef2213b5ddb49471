"""The least that words cost as somebody's name, handle or mailbox."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rapidfuzz.distance import OSA

from onboard.lookup.by_ear import HEARD, heard
from onboard.lookup.clue import Clue
from onboard.lookup.costs import (
    AS_ONE,
    FORMER,
    FURTHER,
    HALF,
    LEFT_OUT,
    LOCAL,
    NOT_A_NAME,
    NOT_THEIR_MAILBOX,
    OTHER_GIVEN,
    OTHER_GIVEN_LETTER,
    OTHER_GIVEN_LETTERS,
    OTHER_OF_TWO,
    SAME_LETTER,
    SIGNS,
    TURNED,
)
from onboard.lookup.facts import Facts, Name, bare
from onboard.lookup.said import Said
from onboard.lookup.slips import one_text, word


def named_in(said: Said, facts: Facts) -> tuple[float, list[Clue]]:
    """The least that the words cost as names, or all together as a handle or mailbox."""
    if not said.words and not said.whole:
        return 0.0, []
    bits, named = _names(said, facts) if said.words else (NOT_THEIR_MAILBOX, [])
    # Two plain words with a blank between are a name; as a handle they mostly cost no less.
    if bits > 0.0 and said.whole and (said.as_one or not said.whole.isalpha()):
        one = _written(said.whole, facts)
        if one.bits < bits or not named:
            return one.bits, [one]
    elif bits > AS_ONE and any(said.whole == bare(handle) for handle in facts.handles):
        # Its blank is elsewhere than between the names: "be njaminlee".
        return AS_ONE, [Clue("handle", said.whole, said.whole, AS_ONE, "signs")]
    return bits, named


def _names(said: Said, facts: Facts) -> tuple[float, list[Clue]]:
    """The least that the words cost with any of the names; all that they could be, if none is known."""
    best: tuple[float, list[Clue]] | None = None
    for name in facts.names or (Name(),):
        found = _name(said, name, facts)
        if best is None or found[0] < best[0]:
            best = found
    assert best is not None
    return best


def _name(said: Said, name: Name, facts: Facts) -> tuple[float, list[Clue]]:
    """The least that the words cost with this name."""
    clues, roles = _paired(said, name)
    if len(clues) < len(said.words):
        _other_words(said, name, facts, clues, roles)
    cost = sum(clue.bits for clue in clues.values())
    # A name that is typed as one word, or a number behind it that their handle does not have.
    if said.as_one and len(said.words) == 1 and len(name.given) and len(name.family):
        one_word = min(
            (name.joined, *name.joined_in_short), key=lambda text: one_text(said.words[0], text)[0]
        )
        bits, how = one_text(said.words[0], one_word)
        bits += AS_ONE + _other_number(said.raws[0], facts)
        if bits < cost:
            how = "as one" if how == "same" else how
            return bits, [Clue("name", said.words[0], one_word, bits, how)]
    if _is_turned(said, roles):
        cost += TURNED
    if len(name.family) > 1 and _is_half(name.family, clues):
        cost += HALF
    if said.raws != said.words and any(
        raw != one and raw.startswith(one) for raw, one in zip(said.raws, said.words, strict=False)
    ):
        cost += AS_ONE  # "smith5": the number says something that the name does not
    return cost, [clues[at] for at in sorted(clues)]


def _paired(said: Said, name: Name) -> tuple[dict[int, Clue], dict[int, int]]:
    """By the place of each word that goes with a part of the name: its clue, and whether that part
    is a given (0) or a family name (1)."""
    parts = [(known, 0.0, "name", 0) for known in name.given]
    parts += [(known, 0.0, "name", 1) for known in name.family]
    parts += [(known, LEFT_OUT, "name", 1) for known in name.nouns]
    if name.former or name.more:
        parts += [(known, FORMER, "former name", 1) for known in name.former]
        parts += [(known, FURTHER, "further name", 0) for known in name.more]
    # Nothing but one unbroken text: a handle or mailbox, sooner than a name spelt by its sound.
    unbroken = said.as_one and not (said.phones or said.tails or said.zips)
    offers: list[tuple[float, int, int, str]] = []
    far = []
    for at, one in enumerate(said.words):
        for where, (known, more, kind, _) in enumerate(parts):
            if len(known) == 1 and len(one) > 1 and kind != "name":
                continue  # a middle initial is no name that anybody says
            bits, how = word(one, known)
            if how == "other":
                far.append((at, where))
            elif not (unbroken and how in ("sound", "cut", "slips")):
                offers.append((bits + more, at, where, how))
    clues: dict[int, Clue] = {}
    taken: set[int] = set()
    roles: dict[int, int] = {}

    def take(offers: Iterable[tuple[float, int, int, str]]) -> None:
        for bits, at, where, how in sorted(offers):
            if at not in clues and where not in taken:
                known, _, kind, roles[at] = parts[where]
                taken.add(where)
                clues[at] = Clue(kind, said.words[at], known, bits, how)

    # How a name sounds takes a while to tell and costs more than these, so only what is left is asked.
    take(offer for offer in offers if offer[0] < HEARD)
    for at, where in () if unbroken else far:
        if at not in clues and where not in taken:
            known, more, *_ = parts[where]
            bits = heard(said.words[at], known)
            if bits < SAME_LETTER:
                offers.append((bits + more, at, where, "sound"))
    take(offer for offer in offers if offer[0] >= HEARD)
    return clues, roles


def _other_words(
    said: Said, name: Name, facts: Facts, clues: dict[int, Clue], roles: Mapping[int, int]
) -> None:
    """Adds the clues of words that go with no part of the name."""
    spare = said.together and len(said.words) > 2
    same, none = SAME_LETTER, NOT_A_NAME
    family_only = 1 in roles.values() and 0 not in roles.values()
    for at, one in enumerate(said.words):
        if at in clues:
            continue
        raw = said.raws[at] if at < len(said.raws) else ""
        if family_only:
            two = any(known[:2] == one[:2] for known in name.given)
            same, none = (OTHER_GIVEN_LETTERS if two else OTHER_GIVEN_LETTER), OTHER_GIVEN
        initial = any(known[0] == one[0] for known in name.given + name.family)
        bits = same if initial else none
        if spare and at < len(said.words) - 1:
            clues[at] = Clue("name", one, "", OTHER_OF_TWO, "other of two")
            spare = False
            continue
        clue = Clue("name", one, "", bits, "other")
        if not said.as_one and (len(raw) > 9 or not raw.isalpha()):  # a handle among the words
            written = _written(raw, facts)
            clue = written if written.bits < bits else clue
        clues[at] = clue


def _is_turned(said: Said, roles: Mapping[int, int]) -> bool:
    """Whether given and family name are in the other order than the words seem to be in."""
    if len(roles) > 1 and roles.get(0) is not None:
        last = roles.get(len(said.words) - 1)
        return last is not None and roles[0] != last and (roles[0] == 1) != said.family_first
    return list(roles.items()) == [(0, 1)] and len(said.words) == 2 and not said.family_first


def _is_half(family: tuple[str, ...], clues: Mapping[int, Clue]) -> bool:
    """Whether some, but not all, of a double family name was said."""
    said = {clue.known for clue in clues.values()}
    return 0 < len(said.intersection(family)) < len(set(family))


def _other_number(raw: str, facts: Facts) -> float:
    """The bits of a number behind a name that is not the one in their handle."""
    said = _number(raw)
    if not said or not facts.handles:
        return 0.0
    return float(
        min(OSA.distance(said, _number(handle), score_cutoff=1) for handle in facts.handles)
    )


def _number(text: str) -> str:
    return text[len(text.rstrip("0123456789")) :]


def _written(said: str, facts: Facts) -> Clue:
    """The text as a handle, or as the local part of a mailbox."""
    plain = bare(said)
    signs = 0.0 if said == plain else SIGNS
    best = Clue("handle", said, "", NOT_THEIR_MAILBOX, "other")
    for handle in facts.handles:
        bits, how = one_text(plain, bare(handle))
        if bits + signs < best.bits:
            kind = "handle" if handle == facts.handles[0] else "former handle"
            best = Clue(
                kind, said, handle, bits + signs, "signs" if signs and how == "same" else how
            )
    for email in facts.emails:
        local = email.rpartition("@")[0]
        if said == local:
            bits, how = (LOCAL if plain == said else 0.0), "local"
        else:
            bits, how = one_text(plain, bare(local))
            bits += LOCAL + SIGNS * (how == "same")
            how = "local" if how == "same" else how
        if bits < best.bits:
            best = Clue("email", said, email, bits, how)
    return best
