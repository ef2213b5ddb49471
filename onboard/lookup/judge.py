"""Who of those weighed it is, how sure that is, and what to ask if it is not.

Sureness is a share: of all who could have said this, and of somebody whom the roster does not
have at all, how much speaks for this one. It says who is meant, never who is calling: facts on
file are no proof of that (NIST SP 800-63B-4 takes no such knowledge for an authenticator).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import log2

from onboard.lookup.anothers import is_anothers
from onboard.lookup.clue import Clue
from onboard.lookup.costs import ONE_SLIP
from onboard.lookup.facts import Facts
from onboard.lookup.said import Said
from onboard.lookup.told import NO_GENERATION
from onboard.lookup.weigh import least, tells, tells_of

STRANGER = 5.0  # bits: one caller in thirty is nobody on the roster
NAME = 6.0  # bits that any name tells: one in sixty has it, in a small roster too
SURE = 0.99
LEAD = 7.0  # bits to the next: more than one slip of the finger
SOUND = ONE_SLIP + 1.0  # bits: with more than one slip in all, nobody is certain
SOUND_ALONE = 4.5  # bits: nor with one, where a name, a mailbox or a phone is all there is


@dataclass(frozen=True, slots=True)
class Weighed:
    """One owner beside what was said."""

    doc: int
    facts: Facts
    bits: float
    confidence: float  # 0 to 1
    clues: tuple[Clue, ...]
    said: Said  # the reading that suits them best


@dataclass(frozen=True, slots=True)
class Ranking:
    """Those who could be meant, the likeliest first; whether the first is certain; what to ask."""

    ranked: tuple[Weighed, ...]
    certain: bool = False
    lead: float = 0.0  # bits between the first and the next
    ask: str = ""  # a stable word, see `QUESTIONS`


def judge(
    readings: Sequence[Said], known: Mapping[int, Facts], *,
    roster: int, bearers: Mapping[str, int], cut_short: bool = False,
) -> Ranking:  # fmt: skip
    """Everybody in `known` ranked.

    `roster` is how many owners there are in all, `bearers` how many of them have a word. With `cut_short` there are more of the kind who were not read, and so nobody is certain.
    """
    if not known:
        return Ranking((), ask=first_question(readings[0]))
    weighed = [(*least(readings, facts), doc, facts) for doc, facts in known.items()]
    weighed = _told_by_generation(weighed)
    weighed.sort(key=lambda one: (one[0], one[3]))
    everybody = log2(max(2, roster))
    rare = {word: max(NAME, everybody - log2(count + 0.5)) for word, count in bearers.items()}
    told = (
        max(tells(said, rare) for said in readings if not said.told)
        if any(not said.told for said in readings)
        else 0.0
    )
    _, first, clues, *_ = weighed[0]
    # What fits nobody costs a stranger as much, and says no less of them.
    idle = sum(clue.bits for clue in clues if clue.how == "other") if first.told else 0.0
    if first.told:
        told = tells_of(clues, rare)
    stranger = STRANGER + max(0.0, told - everybody) + idle
    best = weighed[0][0]
    total = sum(2.0 ** (best - bits) for bits, *_ in weighed) + 2.0 ** (best - stranger)
    if cut_short:
        total += len(weighed)
    ranked = tuple(
        Weighed(doc, facts, bits, 2.0 ** (best - bits) / total, clues, said)
        for bits, said, clues, doc, facts in weighed
    )
    lead = (ranked[1].bits if len(ranked) > 1 else stranger) - best
    certain = not cut_short and lead >= LEAD and _is_certain(ranked[0])
    return Ranking(ranked, certain, lead, "" if certain else _question(readings, ranked))


_Cost = tuple[float, Said, tuple[Clue, ...], int, Facts]


def _told_by_generation(weighed: Sequence[_Cost]) -> list[_Cost]:
    """The same, but that of two of one name, of whom one is on file as the senior who was said, the other is not he."""
    named = {
        name.joined
        for *_, clues, _, facts in weighed
        if any(clue.kind == "generation" and clue.how == "same" for clue in clues)
        for name in facts.names
    }
    if not named:
        return list(weighed)
    return [
        (bits + NO_GENERATION, said, clues, doc, facts)
        if any(clue.kind == "generation" and clue.how == "unknown" for clue in clues)
        and any(name.joined in named for name in facts.names)
        else (bits, said, clues, doc, facts)
        for bits, said, clues, doc, facts in weighed
    ]


def _is_certain(first: Weighed) -> bool:
    """Whether one who is far enough ahead may be opened: nothing speaks against, enough speaks for."""
    kinds = {clue.kind.removeprefix("former ").removeprefix("further ") for clue in first.clues}
    return (
        first.confidence >= SURE
        and not first.said.for_another
        and (first.said.says_own_name or _is_all_a_name(first))
        and first.bits <= (SOUND if len(kinds) > 1 else SOUND_ALONE)
        and all(clue.agrees for clue in first.clues)
        and not any(is_anothers(clue, first.facts) for clue in first.clues)
        and any(clue.kind not in ("site", "town") for clue in first.clues)
    )


def _is_all_a_name(first: Weighed) -> bool:
    """Whether nothing but their name was said, however much it reads like a sentence: "Our Lady of the Pines Church"."""
    named = {word for clue in first.clues if clue.kind == "name" for word in clue.said.split()}
    return bool(first.said.told) and named.issuperset(token.whole for token in first.said.told)


# ---------------------------------------------------------------- what to ask

# The stable words of the questions, each with what it would tell of an owner. Handles and mailboxes
# are not asked for: what the caller gets wrong is mostly just these.
QUESTIONS: Mapping[str, Callable[[Facts], str]] = {
    "site": lambda facts: facts.site,
    "phone end": lambda facts: facts.phones[0][-4:] if facts.phones else "",
    "first name": lambda facts: " ".join(facts.names[0].given) if facts.names else "",
    "family name": lambda facts: " ".join(facts.names[0].family) if facts.names else "",
    "zip": lambda facts: facts.homes[0].zip5 if facts.homes else "",
    "street": lambda facts: " ".join(facts.homes[0].street) if facts.homes else "",
    "email": lambda facts: facts.emails[0] if facts.emails else "",
}
AMONG = 20  # candidates that a question is to split


def _question(readings: Sequence[Said], ranked: Sequence[Weighed]) -> str:
    """The question not yet answered whose answer would tell most, in bits expected."""
    asked = _answered(readings[0], ranked[0])
    among = ranked[:AMONG]
    best, most = "", 0.05
    for question, answer in QUESTIONS.items():
        if question in asked:
            continue
        shares: dict[str, float] = {}
        for one in among:
            said = answer(one.facts)
            shares[said] = shares.get(said, 0.0) + one.confidence
        whole = sum(shares.values())
        told = -sum(p / whole * log2(p / whole) for p in shares.values() if p > 0)
        if told > most + 0.01:  # of two that tell the same, the first is the easier to answer
            best, most = question, told
    return best or first_question(readings[0], ranked[0])


def first_question(said: Said, first: Weighed | None = None, *, site_told: bool = False) -> str:
    """What to ask while nothing splits the candidates: the first thing that was not said, or a name that
    fits badly once more. `site_told`: something that was said is of the name of a drop site."""
    asked = _answered(said, first) | ({"site"} if site_told else set())
    families = (
        {word for name in first.facts.names for word in name.family + name.nouns}
        if first
        else set()
    )
    if first and any(clue.kind == "name" and clue.known in families for clue in first.clues):
        asked.add("family name")
    if first and any(clue.kind == "name" and not clue.agrees for clue in first.clues):
        return "spelling"
    order = ("family name", "first name", "site", "phone end", "email", "street")
    return next((question for question in order if question not in asked), "spelling")


def _answered(said: Said, first: Weighed | None = None) -> set[str]:
    found: set[str] = set()
    if said.told and first:
        # In a sentence only what fits shows what kind of thing it was.
        givens = {word for name in first.facts.names for word in name.given}
        agree = [clue for clue in first.clues if clue.agrees]
        found |= {clue.kind for clue in agree} & {"site", "street"}
        towns = {word for clue in agree if clue.kind == "town" for word in clue.known.split()}
        if not towns.isdisjoint(first.facts.site.split()):
            found.add("site")  # "from Winona", of Winona Boathouse
        found |= {"first name" for clue in first.clues if clue.known in givens}
        found |= {
            "family name"
            for clue in first.clues
            if clue.kind.endswith("name") and clue.known and clue.known not in givens
        }
    elif len(said.words) > 1 or (said.as_one and len(said.whole) > 7):
        found |= {"first name", "family name"}
    if said.emails:
        found.add("email")
    if any(len(digits) > 6 for digits in said.phones) or said.tails:
        found.add("phone end")
    if said.site:
        found.add("site")
    if said.zips:
        found.add("zip")
    if said.street:
        found.add("street")
    return found
