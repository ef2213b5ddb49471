"""How well the words of a sentence go with what is known of somebody: their name, home and drop site."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache

from onboard.lookup.by_ear import HEARD, by_ear, heard
from onboard.lookup.clue import Clue
from onboard.lookup.costs import (
    FORMER,
    FURTHER,
    INITIAL,
    LEFT_OUT,
    NOT_A_NAME,
    ONE_SLIP,
)
from onboard.lookup.facts import DIRECTIONS, Facts, Home, Name, bare
from onboard.lookup.sentence import LIKELY, TALK, Token, ways
from onboard.lookup.slips import word as word_cost
from onboard.match import folds

PLURAL = 0.5  # bits: "the Talbots"
TWO_WORDS = 1.0  # bits: one name, written as two; as three twice that
AS_ONE = 3  # words that may be one name
IN_PART = 0.5  # bits: a word of a drop site's name
POSTAL = 2.0  # bits: the post office's name for their town, where their address has another
FAR_PLACE = 8.0  # bits up to which a place is taken for another
OTHER_GENERATION, NO_GENERATION, NO_SENIOR = 12.0, 8.0, 1.0
OTHER_NUMBER = 3.0


def told_in(told: Sequence[Token], generation: str, facts: Facts) -> tuple[float, list[Clue]]:
    """The least that the words cost with one of the names: bits, and a clue for each that tells something."""
    best: tuple[float, list[Clue]] | None = None
    for name in facts.names or (Name(),):
        found = _with_name(told, generation, name, facts)
        if best is None or found[0] < best[0]:
            best = found
    assert best is not None
    return best


def _with_name(
    told: Sequence[Token], generation: str, name: Name, facts: Facts
) -> tuple[float, list[Clue]]:
    clues: list[Clue] = []
    bits = 0.0
    at = behind_given = 0
    while at < len(told):
        size, clue = _best(told, at, name, facts, is_family=told[at].is_last and at == behind_given)
        weight = sum(token.weight for token in told[at : at + size])
        if clue is not None and clue.bits <= weight:
            clues.append(clue)
            bits += clue.bits
            if clue.known in name.given:
                behind_given = at + size
        else:
            size = 1
            bits += told[at].weight
            if told[at].is_name:
                clues.append(Clue("name", told[at].word, "", told[at].weight, "other"))
        at += size
    if generation:
        clues.append(_generation(generation, name))
        bits += clues[-1].bits
    return bits, _once_each(clues)


def _once_each(clues: Sequence[Clue]) -> list[Clue]:
    """What is said twice is told once, as it fits best."""
    found: dict[tuple[str, str], Clue] = {}
    for clue in clues:
        key = (clue.kind, clue.known or clue.said)
        if key not in found or clue.bits < found[key].bits:
            found[key] = clue
    return _at_one_address(list(found.values()))


def _at_one_address(clues: list[Clue]) -> list[Clue]:
    """The words of a street as one clue: "781", "north", "granary"."""
    street = [clue for clue in clues if clue.kind == "street" and clue.agrees]
    if len(street) < 2:
        return clues
    said, known = (
        " ".join(words) for words in zip(*((c.said, c.known) for c in street), strict=True)
    )
    how = "same" if all(clue.how == "same" for clue in street) else "slip"
    whole = Clue("street", said, known, sum(clue.bits for clue in street), how)
    first = clues.index(street[0])
    return [
        whole if at == first else c for at, c in enumerate(clues) if at == first or c not in street
    ]


def _best(
    told: Sequence[Token], at: int, name: Name, facts: Facts, is_family: bool
) -> tuple[int, Clue | None]:
    """What goes best with the word here, or with it and the next: how many words, and the clue. `is_family`: it
    stands where a last name does, and no place."""
    offers = [*_names(told, at, name), *(() if is_family else _places(told, at, facts))]
    saved, clue = _of_one(told[at], offers, facts)
    best = 1, clue
    for size, together in offers:
        if size > 1:
            apart = saved + sum(_alone(told, n, name, facts)[0] for n in range(at + 1, at + size))
            more = sum(token.weight for token in told[at : at + size]) - together.bits
            if more > apart or (more == apart and not together.bits):
                saved, best = more, (size, together)
    return best


def _alone(told: Sequence[Token], at: int, name: Name, facts: Facts) -> tuple[float, Clue | None]:
    """What goes best with the word by itself: the bits that it saves, and the clue; None if it fits nothing."""
    return _of_one(told[at], [*_names(told, at, name), *_places(told, at, facts)], facts)


def _of_one(
    token: Token, offers: Sequence[tuple[int, Clue]], facts: Facts
) -> tuple[float, Clue | None]:
    """The same, of the offers those that are for the word by itself."""
    if token.word.isdigit():
        number = _number(token.word, facts)
        return (token.weight, number) if number else (0.0, None)
    best: Clue | None = None
    for size, clue in (*offers, *_written(token, facts)):
        if size == 1 and clue.bits <= token.weight and (best is None or clue.bits < best.bits):
            best = clue
    if best is None or (best.bits and best.bits == token.weight):
        return 0.0, None
    return token.weight - best.bits, best


# ---------------------------------------------------------------- names


def _names(told: Sequence[Token], at: int, name: Name) -> Iterator[tuple[int, Clue]]:
    token = told[at]
    if token.word in folds.PARTICLES:
        yield from _with_particles(told, at, name)
    said = list(_said_as_one(told, at))
    for part, kind, more in (
        (name.given, "name", 0.0), (name.family, "name", 0.0),
        (name.nouns, "name", LEFT_OUT), (name.former, "former name", FORMER), (name.more, "further name", FURTHER),
    ):  # fmt: skip
        for known in part:
            if len(token.word) == 1:
                is_initial = kind == "name" and known[0] == token.word
                if is_initial and _is_place_of(told, at, part is name.given):
                    yield 1, Clue(kind, token.word, known, INITIAL, "initial")
                elif part is name.more and known[0] == token.word and _is_place_of(told, at, False):
                    yield 1, Clue(kind, token.word, known, 0.0, "initial")  # "Ana S. Ruiz"
                continue
            for size, word, apart, weight in said:
                if not weight and word != known:
                    continue  # what is talk is a name only if it is the very name
                bits, how = _name_cost(
                    word, known, part is name.family or part is name.nouns, weight >= HEARD
                )
                if how not in ("other", "initial") and (size == 1 or how in _ALIKE):
                    yield size, Clue(kind, apart, known, bits + TWO_WORDS * (size - 1) + more, how)
            if kind == "name" and known in (
                token.word.removesuffix("s"),
                token.word.removesuffix("es"),
            ):
                yield 1, Clue(kind, token.word, known, PLURAL * (token.word != known), "same")


_SHORT = {"saint": "st", "sainte": "ste"}  # as it is on file with what follows: "St. Hyacinth"
_ALIKE = frozenset(("same", "slip", "slips", "sound"))


def _said_as_one(told: Sequence[Token], at: int) -> Iterator[tuple[int, str, str, float]]:
    """How many words, these as one, and apart, and what they weigh: a program that writes what it hears parts names
    anywhere."""
    word, weight = _SHORT.get(told[at].word, told[at].word), told[at].weight
    apart = told[at].word
    yield 1, apart, apart, weight
    if told[at].is_owned:
        yield 1, told[at].whole, told[at].whole, weight  # "Brendan's Kitchen"
    most = AS_ONE if not told[at].is_capital else 2
    for size, token in enumerate(told[at + 1 : at + AS_ONE], 2):
        is_within = token.gap == "-"  # "Tay-o-jen"
        if not (is_within or (size <= most and not token.gap)) or not token.word.isalpha():
            return
        if min(len(word), len(token.word)) < 2 and not is_within:
            return
        weight += token.weight
        if token.is_owned:
            yield size, word + token.whole, f"{apart} {token.whole}", weight
        word += token.word
        apart += " " + token.word
        yield size, word, apart, weight


def _name_cost(said: str, known: str, is_family: bool, aloud: bool) -> tuple[float, str]:
    """The bits of saying a name so, in writing or (`aloud`) in speech; nobody has a pet form of a last name."""
    bits, how = word_cost(said, known)
    if how == "short form" and is_family:
        bits, how = NOT_A_NAME, "other"
    if aloud and bits > ONE_SLIP and len(known) > 1 and len(said) > 1:
        sound = heard(said, known)
        if sound < bits:
            return sound, "sound"
    return bits, how


def _with_particles(told: Sequence[Token], at: int, name: Name) -> Iterator[tuple[int, Clue]]:
    """ "de la Cruz", of which only the last word weighs."""
    said = ""
    for size, token in enumerate(told[at : at + 3], 1):
        said += token.word
        is_noun = token.word not in folds.PARTICLES
        for known in name.family + name.former:
            bits, how = _name_cost(said, known, True, True)
            if size > 1 and (how in _ALIKE if is_noun else how == "same"):  # "de la O"
                yield size, Clue("name", said, known, bits, how)
        if size > 1 and is_noun:
            return


def _is_place_of(told: Sequence[Token], at: int, is_given: bool) -> bool:
    """Whether a single letter stands where a first (a last) name does: "D. Calloway", "Josephine Z"."""
    before = told[at - 1] if at and not told[at].gap else None
    behind = told[at + 1] if at + 1 < len(told) and not told[at + 1].gap else None
    if is_given:  # "D. Calloway", "J. P. Calloway"
        return behind is not None and behind.weight > TALK
    return before is not None and before.is_name and len(before.word) > 1


def generation_of(said: str, facts: Facts) -> Clue:
    """What "junior" or "senior" says of somebody by any of their names."""
    names = facts.names or (Name(),)
    return min((_generation(said, name) for name in names), key=lambda clue: clue.bits)


def _generation(said: str, name: Name) -> Clue:
    known = name.generation
    if known == said:
        return Clue("generation", said, known, 0.0, "same")
    if not known:
        return Clue("generation", said, "", NO_SENIOR if said == "sr" else NO_GENERATION, "unknown")
    return Clue("generation", said, known, OTHER_GENERATION, "other")


# ---------------------------------------------------------------- places


def _places(told: Sequence[Token], at: int, facts: Facts) -> Iterator[tuple[int, Clue]]:
    token = told[at]
    for part in facts.site.split():
        bits = _place_cost(token.word, part)
        if bits < FAR_PLACE and len(part) > 2:
            yield (
                1,
                Clue(
                    "site",
                    token.word,
                    facts.site,
                    bits + IN_PART,
                    "slip" if bits else "same",
                ),
            )
    # A town by itself is that of the address; beside it, that of the ZIP code is the post office's.
    written = next((home.town for home in facts.homes if not (home.street or home.zip5)), "")
    for home in facts.homes:
        town = home.town.split()
        if town:
            more = POSTAL if written and home.town != written else 0.0
            yield from _town(told, at, town, more)
        for known in home.street:
            bits = _place_cost(token.word, known)
            if bits < FAR_PLACE:
                how = "slip" if bits else "same"
                yield 1, Clue("street", token.word, known, bits, how)
                if kind := _kind_of_street(told, at + 1):  # "Union Street", on file as Union St
                    yield 2, Clue("street", f"{token.word} {kind}", known, bits, how)
        way = folds.STREET_WORDS.get(token.word, token.word)
        if home.way and way in DIRECTIONS and home.street and _leads_to_street(told, at, home):
            bits = 0.0 if way == home.way else LIKELY
            yield 1, Clue("street", token.word, home.way, bits, "same" if not bits else "other")


def _kind_of_street(told: Sequence[Token], at: int) -> str:
    """The word here, if it says what kind of street the name before it is of."""
    is_one = at < len(told) and not told[at].gap and told[at].word in ways()
    return told[at].word if is_one else ""


def _leads_to_street(told: Sequence[Token], at: int, home: Home) -> bool:
    return at + 1 < len(told) and told[at + 1].word in home.street


def _town(
    told: Sequence[Token], at: int, town: Sequence[str], more: float
) -> Iterator[tuple[int, Clue]]:
    known = " ".join(town)
    said = told[at : at + len(town)]
    if len(said) == len(town):
        costs = [_place_cost(token.word, part) for token, part in zip(said, town, strict=True)]
        bits = sum(costs)
        if bits < FAR_PLACE:
            text = " ".join(token.word for token in said)
            yield len(town), Clue("town", text, known, bits + more, "slip" if bits else "same")
    follows = told[at + 1] if at + 1 < len(told) and not told[at + 1].gap else None
    if len(town) == 1 and follows:
        bits = _place_cost(told[at].word + follows.word, known) + TWO_WORDS
        if bits < FAR_PLACE:
            text = f"{told[at].word} {follows.word}"
            yield 2, Clue("town", text, known, bits + more, "slip")


@lru_cache(maxsize=5_000)
def _place_cost(said: str, known: str) -> float:
    """As a word of a name, in writing or by its letters as they sound; nobody calls a place fondly."""
    bits, how = word_cost(said, known)
    bits = bits if how in _ALIKE else NOT_A_NAME
    return bits if bits <= ONE_SLIP else min(bits, by_ear(said, known))


# ---------------------------------------------------------------- numbers, and what is one word


def _number(said: str, facts: Facts) -> Clue | None:
    """A number of a home, of a unit, or of a phone; None if it is none of theirs."""
    for home in facts.homes:
        if home.number == said:
            return Clue("street", said, said, 0.0, "same")
        if home.unit == said:
            return Clue("unit", said, said, 0.0, "same")
    for phone in facts.phones:
        if len(said) == 3 and phone.startswith(said):
            return Clue("area code", said, said, 0.0, "same")
    return None


def _written(token: Token, facts: Facts) -> Iterator[tuple[int, Clue]]:
    """The word as a sign-in name, or as what is before the @."""
    if len(token.word) < 5:
        return
    for handle in facts.handles:
        if bare(handle) == token.word:
            yield 1, Clue("handle", token.word, handle, 0.0, "same")
    for email in facts.emails:
        if bare(email.rpartition("@")[0]) == token.word:
            yield 1, Clue("email", token.word, email, 0.5, "local")
