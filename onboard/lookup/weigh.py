"""How well what was said goes with what is known of somebody: a cost in bits, clue by clue."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rapidfuzz.distance import OSA

from onboard.lookup.clue import Clue
from onboard.lookup.costs import (
    NAME_TELLS,
    NO_HOME,
    NO_SITE,
    NOT_THEIR_MAILBOX,
    NOT_THEIR_PHONE,
    NOT_THEIR_TAIL,
    ONE_SLIP,
    OTHER_DOMAIN_SLIPS,
    OTHER_PROVIDER,
    OTHER_SITE,
    OTHER_STREET,
    OTHER_ZIP,
    SIGNS,
    TELLS,
    TELLS_OF,
    THEIR_NAME_IN_IT,
)
from onboard.lookup.facts import Facts, bare
from onboard.lookup.names import named_in
from onboard.lookup.said import Said
from onboard.lookup.slips import one_text, word
from onboard.lookup.told import generation_of, told_in
from onboard.match import folds


def weigh(said: Said, facts: Facts) -> tuple[float, tuple[Clue, ...]]:
    """The bits that this reading costs with these facts, and its clues.

    >>> from onboard.lookup.facts import Name
    >>> from onboard.lookup.said import read
    >>> jeanne = Facts("prairie hall", names=(Name(("jeanne",), ("benach",)),))
    >>> cost, clues = weigh(read("Jeaanne Benach", site="prairie hall")[0], jeanne)
    >>> cost, [(clue.kind, clue.how) for clue in clues]
    (5.5, [('name', 'slip'), ('name', 'same'), ('site', 'same')])
    """
    if said.told:
        bits, named = told_in(said.told, said.generation, facts)
    else:
        bits, named = named_in(said, facts)
    clues = [_email(*email, facts) for email in said.emails]
    clues += [_phone(digits, facts) for digits in said.phones]
    clues += [_tail(digits, facts) for digits in said.tails]
    clues += [_zip(zip5, facts) for zip5 in said.zips]
    if said.street:
        clues.append(_street(said, facts))
    if said.generation and not said.told:
        clues.append(generation_of(said.generation, facts))
    if said.site:
        clues.append(_site(said.site, facts))
    return said.unsure + bits + sum(clue.bits for clue in clues), (*named, *clues)


def least(readings: Sequence[Said], facts: Facts) -> tuple[float, Said, tuple[Clue, ...]]:
    """The reading that suits these facts best: its bits, itself, its clues."""
    first, *others = readings
    best = (*weigh(first, facts), first)
    for said in others:
        if said.unsure < best[0]:  # else it cannot be less
            found = (*weigh(said, facts), said)
            best = found if found[0] < best[0] else best
    cost, clues, said = best
    return cost, said, clues


def tells(said: Said, rare: Mapping[str, float]) -> float:
    """The bits by which what was said tells one from anybody; `rare` has those of each word.

    Of more than two words the two that tell most count: the rest may be no names.
    """
    if said.as_one and len(said.whole) > 7:
        told = TELLS["whole"]
    else:
        told = sum(sorted((rare.get(word, 0.0) for word in said.words), reverse=True)[:2])
    told += TELLS["email"] * len(said.emails)
    told += sum(TELLS["phone"] if len(d) > 8 else 20.0 for d in said.phones)
    told += TELLS["tail"] * len(said.tails) + TELLS["zip"] * len(said.zips)
    return told + TELLS["site"] * bool(said.site) + TELLS["street"] * bool(said.street)


def tells_of(clues: Sequence[Clue], rare: Mapping[str, float]) -> float:
    """The same, of what goes with what is known of somebody."""
    names = sorted(
        (rare.get(c.said, NAME_TELLS) for c in clues if c.agrees and c.kind.endswith("name")),
        reverse=True,
    )
    return sum(names[:2]) + sum(TELLS_OF.get(clue.kind, 0.0) for clue in clues if clue.agrees)


# ---------------------------------------------------------------- mailboxes and phones


def _email(local: str, domain: str, facts: Facts) -> Clue:
    said = f"{local}@{domain}"
    best = Clue("email", said, "", NOT_THEIR_MAILBOX, "other" if facts.emails else "unknown")
    mailbox = folds.mailbox(said)
    for email in facts.emails:
        if email == said or (mailbox and folds.mailbox(email) == mailbox):
            return Clue("email", said, email, 0.0, "same")
        theirs, _, there = email.rpartition("@")
        bits, how = (0.0, "same") if theirs == local else one_text(bare(local), bare(theirs))
        if how == "same" and theirs != local:
            bits, how = SIGNS, "signs"
        elif theirs != local and bits < best.bits:
            # "agnes.ochoa" for "agnesochoa" is one slip, but so is any other: compare as typed
            bits = min(bits + 0.5, max(one_text(local, theirs)[0], bits))
        slips = OSA.distance(domain, there, score_cutoff=2)
        if slips > 2:
            bits += OTHER_PROVIDER
            how = "provider" if how == "same" else how
        elif slips:
            bits += OTHER_DOMAIN_SLIPS[slips]
            how = "domain" if how == "same" else how
        if bits < best.bits:
            best = Clue("email", said, email, bits, how)
    if best.bits > THEIR_NAME_IN_IT:
        letters = bare(local).rstrip("0123456789")
        if any(name.given and name.family and letters == name.joined for name in facts.names):
            return Clue("email", said, "", THEIR_NAME_IN_IT, "name in it")
    return best


def _phone(digits: str, facts: Facts) -> Clue:
    best = Clue("phone", digits, "", NOT_THEIR_PHONE, "other" if facts.phones else "unknown")
    for phone in facts.phones:
        known = phone[-7:] if len(digits) == 7 else phone
        slips = OSA.distance(digits, known, score_cutoff=3)
        bits, how = (
            (0.0, "same"), (7.0, "slip"), (13.0, "slips"), (18.0, "slips"), (NOT_THEIR_PHONE, "other"),
        )[slips]  # fmt: skip
        if bits < best.bits:
            best = Clue("phone", digits, phone, bits, how)
    return best


def _tail(digits: str, facts: Facts) -> Clue:
    best = Clue("phone end", digits, "", NOT_THEIR_TAIL, "other" if facts.phones else "unknown")
    for phone in facts.phones:
        end = phone[-len(digits) :]
        if end == digits:
            return Clue("phone end", digits, phone, 0.0, "same")
        if OSA.distance(digits, end, score_cutoff=1) == 1:
            best = Clue("phone end", digits, phone, 8.0, "slip")
    for home in facts.homes:
        if home.number == digits:
            return Clue("street", digits, home.number, 1.0, "same")
    if facts.joined == digits:
        return Clue("joined", digits, digits, 1.0, "same")
    return best


# ---------------------------------------------------------------- homes


def _site(site: str, facts: Facts) -> Clue:
    if not facts.site:
        return Clue("site", site, "", NO_SITE, "unknown")
    if facts.site == site:
        return Clue("site", site, site, 0.0, "same")
    return Clue("site", site, facts.site, OTHER_SITE, "other")


def _zip(zip5: str, facts: Facts) -> Clue:
    zips = [home.zip5 for home in facts.homes if home.zip5]
    if not zips:
        ends = [phone for phone in facts.phones if phone.endswith(zip5)]
        if ends:
            return Clue("phone end", zip5, ends[0], 0.0, "same")
        return Clue("zip", zip5, "", NO_HOME, "unknown")
    if zip5 in zips:
        return Clue("zip", zip5, zip5, 0.0, "same")
    near = [known for known in zips if OSA.distance(zip5, known, score_cutoff=1) == 1]
    if near:
        return Clue("zip", zip5, near[0], ONE_SLIP, "slip")
    return Clue("zip", zip5, zips[0], OTHER_ZIP, "other")


def _street(said: Said, facts: Facts) -> Clue:
    text = " ".join((said.number, *said.street)).strip()
    best = Clue("street", text, "", NO_HOME, "unknown")
    worst = [home for home in facts.homes if home.street]
    if worst:
        best = Clue("street", text, " ".join(worst[0].street), OTHER_STREET, "other")
    for home in worst:
        cost = sum(min(word(one, known)[0] for known in home.street) for one in said.street)
        if said.number and said.number != home.number:
            cost += 3.0 if OSA.distance(said.number, home.number, score_cutoff=1) == 1 else 7.0
        if cost < best.bits:
            best = Clue("street", text, " ".join((home.number, *home.street)), cost,
                        "same" if cost == 0 else "slip")  # fmt: skip
    return best
