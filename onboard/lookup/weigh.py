"""How well what was said goes with what is known of somebody: a cost in bits, clue by clue.

A cost is how much less likely it is that this member would have said this than that they would
have said it without any slip: 0 bits for what agrees, some 6 for a slip of the finger, 20 for a
name they do not have. The costs are common sense in round numbers, set by hand; they rank, and
they keep near ones from being taken for sure. `docs/find.md` has the table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache

from rapidfuzz.distance import OSA

from onboard import tables
from onboard.lookup.facts import Facts, Name, bare
from onboard.lookup.keys import sounds
from onboard.lookup.said import Said
from onboard.match import folds
from onboard.match.given_names import is_short_for, kin, of_two_sexes, sex

# ---------------------------------------------------------------- bits

# A name that they do not have, and one that only begins like theirs.
NOT_A_NAME, SAME_LETTER = 20.0, 18.0
# The same of a given name beside the right family name; and if two letters begin it, as in pet forms.
OTHER_GIVEN, OTHER_GIVEN_LETTER, OTHER_GIVEN_LETTERS = 15.0, 13.0, 11.0
ONE_SLIP, TWO_SLIPS, THREE_SLIPS = 6.0, 12.0, 16.0
# Slips that fingers make (common practice): a letter left out, typed twice, in the wrong order, or
# the key beside it; any other letter is less likely.
OF_A_FINGER, OF_ANOTHER = -0.5, 1.0
DOUBLE, FIRST = -0.5, 0.5  # a double letter written once; the first letter, which few get wrong
SHORT = 2.0  # in a word of three letters one slip leaves little
SOUND = 7.0
SHORT_FORM, SHORT_FORMS = 3.0, 5.0  # Bob for Robert; Bob for Rob
CUT, FOND = 5.0, 7.0  # Chris for Christopher, Robbie for Robert, where no list has it
INITIAL = 3.0
FORMER, FURTHER = 1.0, 1.5  # a former name; a middle name, or the other of a joint sign-up
OTHER_OF_TWO = 3.0  # "Ana and Ben Ruiz": one of the two is somebody else
TURNED = 1.5  # family name first
HALF = 0.5  # one word of a double family name left out
AS_ONE = 2.0  # a name without a blank, that is not their handle
SIGNS = 1.0  # "pat_lee" for the handle patlee
LOCAL = 0.5  # what was said could be a handle, and is the local part of the mailbox
OTHER_PROVIDER = 5.0
OTHER_DOMAIN_SLIPS = (0.0, 4.0, 6.0)
NOT_THEIR_MAILBOX, NOT_THEIR_PHONE, NOT_THEIR_TAIL = 26.0, 26.0, 15.0
THEIR_NAME_IN_IT = 12.0  # a mailbox that is not on file, and holds their name
OTHER_SITE, NO_SITE = 9.0, 4.0
OTHER_ZIP, OTHER_STREET, NO_HOME = 9.0, 10.0, 4.0

# How much each clue tells of somebody whom we do not know, in bits: the less, the commoner it is.
TELLS = {"whole": 22.0, "email": 30.0, "phone": 28.0, "tail": 13.0, "site": 5.0,
         "zip": 10.0, "street": 14.0}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clue:
    """One thing that was said beside what is known, and its cost.

    `how` is a stable word: "same", "slip", "slips", "sound", "short form", "cut", "initial",
    "signs", "local", "provider", "domain", "as one", "name in it", "other of two", "other",
    "unknown".
    """

    # "name", "former name", "further name", "handle", "former handle", "email", "phone", "phone end",
    # "site", "zip", "street"
    kind: str
    said: str
    known: str
    bits: float
    how: str

    @property
    def agrees(self) -> bool:
        """Whether it speaks for them, with a slip or without."""
        return self.how not in ("other", "unknown") and self.bits < NOT_A_NAME


def weigh(said: Said, facts: Facts) -> tuple[float, tuple[Clue, ...]]:
    """The bits that this reading costs with these facts, and its clues.

    >>> from onboard.lookup.said import read
    >>> jeanne = Facts("prairie hall", names=(Name(("jeanne",), ("benach",)),))
    >>> cost, clues = weigh(read("Jeaanne Benach", site="prairie hall")[0], jeanne)
    >>> cost, [(clue.kind, clue.how) for clue in clues]
    (5.5, [('name', 'slip'), ('name', 'same'), ('site', 'same')])
    """
    bits, named = _named(said, facts)
    clues = [_email(*email, facts) for email in said.emails]
    clues += [_phone(digits, facts) for digits in said.phones]
    clues += [_tail(digits, facts) for digits in said.tails]
    clues += [_zip(zip5, facts) for zip5 in said.zips]
    if said.street:
        clues.append(_street(said, facts))
    if said.site:
        clues.append(_site(said.site, facts))
    # Paid for by the reading; it speaks against being sure, as who calls may speak of a neighbour.
    named += [Clue("name", word, "", 0.0, "other") for word in said.talk]
    return said.unsure + bits + sum(clue.bits for clue in clues), (*named, *clues)


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


# ---------------------------------------------------------------- names


@lru_cache(maxsize=200_000)
def word(said: str, known: str) -> tuple[float, str]:
    """The bits of saying one word of a name for another, and how they are alike.

    >>> word("bob", "robert"), word("jeaanne", "jeanne"), word("j", "jeanne")
    ((3.0, 'short form'), (5.5, 'slip'), (3.0, 'initial'))
    """
    if said == known:
        return 0.0, "same"
    if not said or not known:
        return NOT_A_NAME, "other"
    if len(said) == 1 or len(known) == 1:
        return (INITIAL, "initial") if said[0] == known[0] else (NOT_A_NAME, "other")
    best = (SAME_LETTER if said[0] == known[0] else NOT_A_NAME), "other"
    longer = max(len(said), len(known))
    slips = OSA.distance(said, known)
    if slips == 1:
        best = one_slip(said, known) + (0.0 if longer > 3 else SHORT), "slip"
    elif slips == 2 and longer > 4:
        best = (TWO_SLIPS if longer > 5 else TWO_SLIPS + 2.0), "slips"
    elif slips == 3 and longer > 8:
        best = THREE_SLIPS, "slips"
    short, of_sound = _short_forms(said)
    alike = slips <= 0.4 * longer  # Metaphone knows no vowels
    sound = sounds(known) if alike or of_sound else ""
    bits = short.get(known, best[0])
    if bits > SHORT_FORM + 1 and sound in of_sound and not of_sound[sound].isdisjoint(spelt(known)):
        bits = SHORT_FORM + 1
    if bits < best[0]:
        best = bits, "short form"
    if best[0] > CUT and 2 < len(said) < len(known) - 1 and known.startswith(said):
        best = CUT, "cut"
    if best[0] > FOND and (stem := fond_stem(said)) and known.startswith(stem):
        best = FOND, "short form"
    if best[0] > SOUND and alike and sound and sound == sounds(said):
        best = SOUND, "sound"
    return best


@cache
def _beside() -> frozenset[tuple[str, str]]:
    """Every two keys that touch."""
    return frozenset(
        (key, other) for key, touches, *_ in tables.rows("keyboard") for other in touches
    )


def one_slip(said: str, known: str) -> float:
    """The bits of one slip, which is all that the two texts differ by.

    >>> one_slip("bemack", "benack"), one_slip("bexack", "benack"), one_slip("benacck", "benack")
    (5.5, 7.0, 5.5)
    >>> one_slip("mccan", "mccann"), one_slip("mccan", "mccain")
    (5.0, 5.5)
    """
    at = next((i for i, (a, b) in enumerate(zip(said, known, strict=False)) if a != b), -1)
    at = min(len(said), len(known)) if at < 0 else at
    more = FIRST if at == 0 else 0.0
    if len(said) < len(known):
        finger = True
        more += DOUBLE if known[at] in (known[at - 1 : at], known[at + 1 : at + 2]) else 0.0
    elif len(said) > len(known):
        extra, near = said[at], said[at - 1 : at] + said[at + 1 : at + 2]
        finger = extra in near or any((extra, key) in _beside() for key in near)
    else:
        finger = said[at + 1 : at + 2] == known[at] or (said[at], known[at]) in _beside()
    return ONE_SLIP + more + (OF_A_FINGER if finger else OF_ANOTHER)


_FOND = ("ito", "ita", "ie", "ey", "ee", "y", "i")


@lru_cache(maxsize=20_000)
def fond_stem(said: str) -> str:
    """What a name that is said fondly begins with in full; "" if it is none (common practice).

    >>> fond_stem("robbie"), fond_stem("dolly"), fond_stem("benji"), fond_stem("robert")
    ('rob', 'dol', 'benj', '')
    """
    stem = next((said.removesuffix(end) for end in _FOND if said.endswith(end)), "")
    stem = stem[:-1] if stem[-1:] == stem[-2:-1] else stem
    return stem if len(stem) > 2 else ""


@lru_cache(maxsize=20_000)
def fond_forms(said: str) -> tuple[str, ...]:
    """The other spellings of a name that is said fondly: Jacky, Jackie, Jacki.

    >>> fond_forms("jacky")
    ('jackie', 'jackey', 'jacki')
    """
    for end in _FOND[2:]:
        if said.endswith(end) and len(said) > len(end) + 1:
            stem = said.removesuffix(end)
            return tuple(form for new in ("ie", "ey", "y", "i") if (form := stem + new) != said)
    return ()


@lru_cache(maxsize=20_000)
def _short_forms(said: str) -> tuple[dict[str, float], dict[str, set[str]]]:
    """The bits of saying it for each name of which it is a short form, or that is one of it.

    And, by their sound, those that are so as it is spelt: other spellings of these cost a bit more.
    """
    whole = {name for name in kin(said) if is_short_for(said, name)}
    fond = {name for one in fond_forms(said) for name in kin(one) if is_short_for(one, name)}
    bits = dict.fromkeys(kin(said), SHORT_FORMS)
    bits |= dict.fromkeys(_short_of_alike(said), SHORT_FORM + 1)
    bits |= dict.fromkeys(fond, SHORT_FORM + 1)
    bits |= dict.fromkeys(whole, SHORT_FORM)
    of_sound: dict[str, set[str]] = {}
    for name in whole:
        of_sound.setdefault(sounds(name), set()).add(name)
    of_sound.pop("", None)
    return bits, of_sound


@lru_cache(maxsize=20_000)
def likely(said: str) -> frozenset[str]:
    """The given names that somebody who said this may have, beside itself."""
    found = kin(said).union(*map(kin, fond_forms(said)))
    return found.union(_short_of_alike(said), *map(spelt, found))


@lru_cache(maxsize=20_000)
def _short_of_alike(said: str) -> frozenset[str]:
    """The short forms that a full name has as it is spelt elsewhere, and that full name where only its first vowel is left off.

    Of names on the list of given names only: who misspells their own name as well is rare, and it costs time.

    >>> "beth" in _short_of_alike("elisabeth"), sorted(_short_of_alike("lisbeth") & {"elizabeth", "beth"})
    (True, ['beth', 'elizabeth'])
    """
    if not sex(said):
        return frozenset()
    begun = {
        name
        for name in _without_first_vowel().get(sounds(said), ())
        if OSA.distance(said, name[1:]) <= 2
    }
    alike = begun.union(spelt(said), *map(spelt, begun))
    short = {
        one
        for name in alike
        for one in kin(name)
        if is_short_for(one, name) and len(one) < len(name)
    }
    return frozenset(begun | short) - {said}


@cache
def _without_first_vowel() -> dict[str, tuple[str, ...]]:
    """By the sound of what is left: given names whose first letter is a vowel."""
    found: dict[str, list[str]] = {}
    for name, *_ in tables.rows("given_names"):
        if name[0] in "aeiou" and (sound := sounds(name[1:])):
            found.setdefault(sound, []).append(name)
    return {sound: tuple(names) for sound, names in found.items()}


@cache
def _given_by_sound() -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for name, *_ in tables.rows("given_names"):
        if sound := sounds(name):
            found.setdefault(sound, []).append(name)
    return {sound: tuple(names) for sound, names in found.items()}


@lru_cache(maxsize=20_000)
def spelt(name: str) -> tuple[str, ...]:
    """The other spellings of a given name, which have its pet forms too: Elisabeth, Elizabeth.

    >>> "elizabeth" in spelt("elisabeth"), "katherine" in spelt("catherine"), spelt("ann")
    (True, True, ())
    """
    alike = _given_by_sound().get(sounds(name), ())
    return tuple(
        one
        for one in alike
        if one != name and OSA.distance(one, name) <= 2 and not of_two_sexes(one, name)
    )


def _named(said: Said, facts: Facts) -> tuple[float, list[Clue]]:
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
    parts = [(known, 0.0, "name", 0) for known in name.given]
    parts += [(known, 0.0, "name", 1) for known in name.family]
    if name.former or name.more:
        parts += [(known, FORMER, "former name", 1) for known in name.former]
        parts += [(known, FURTHER, "further name", 0) for known in name.more]
    offers = []
    # Nothing but one unbroken text: a handle or mailbox, sooner than a name spelt by its sound.
    one_text = said.as_one and not (said.phones or said.tails or said.zips)
    for at, one in enumerate(said.words):
        for where, (known, more, kind, role) in enumerate(parts):
            if len(known) == 1 and len(one) > 1 and kind != "name":
                continue  # a middle initial is no name that anybody says
            bits, how = word(one, known)
            if how != "other" and not (one_text and how in ("sound", "cut", "slips")):
                offers.append((bits + more, at, where, kind, how, role))
    offers.sort()
    clues: dict[int, Clue] = {}
    roles: dict[int, int] = {}
    used: set[int] = set()
    for bits, at, where, kind, how, role in offers:
        if at in clues or where in used:
            continue
        used.add(where)
        roles[at] = role
        clues[at] = Clue(kind, said.words[at], parts[where][0], bits, how)
    left = [at for at in range(len(said.words)) if at not in clues]
    spare = said.together and len(said.words) > 2
    for at in left:
        one, raw = said.words[at], said.raws[at] if at < len(said.raws) else ""
        same, none = SAME_LETTER, NOT_A_NAME
        if 1 in roles.values() and 0 not in roles.values():
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
    cost = sum(clue.bits for clue in clues.values())
    # A name that is typed as one word, or a number behind it that their handle does not have.
    if said.as_one and len(said.words) == 1 and len(name.given) and len(name.family):
        bits, how = _one_text(said.words[0], name.joined)
        bits += AS_ONE + _other_number(said.raws[0], facts)
        if bits < cost:
            how = "as one" if how == "same" else how
            return bits, [Clue("name", said.words[0], name.joined, bits, how)]
    if len(roles) > 1 and roles.get(0) is not None:
        last = roles.get(len(said.words) - 1)
        if last is not None and roles[0] != last and (roles[0] == 1) != said.family_first:
            cost += TURNED
    elif list(roles.items()) == [(0, 1)] and len(said.words) == 2 and not said.family_first:
        cost += TURNED
    if len(name.family) > 1 and _is_half(name.family, clues):
        cost += HALF
    if said.raws != said.words and any(
        raw != one and raw.startswith(one) for raw, one in zip(said.raws, said.words, strict=False)
    ):
        cost += AS_ONE  # "smith5": the number says something that the name does not
    return cost, [clues[at] for at in sorted(clues)]


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


@lru_cache(maxsize=50_000)
def _one_text(said: str, known: str) -> tuple[float, str]:
    """The bits of typing one unbroken text for another."""
    if said == known:
        return 0.0, "same"
    slips = OSA.distance(said, known, score_cutoff=3)
    shorter = min(len(said), len(known))
    if slips == 1:
        return (one_slip(said, known) if shorter > 3 else TWO_SLIPS), "slip"
    if slips == 2 and shorter > 5:
        return TWO_SLIPS, "slips"
    if slips == 3 and shorter > 8:
        return THREE_SLIPS + 2.0, "slips"
    return NOT_THEIR_MAILBOX, "other"


def _written(said: str, facts: Facts) -> Clue:
    """The text as a handle, or as the local part of a mailbox."""
    plain = bare(said)
    signs = 0.0 if said == plain else SIGNS
    best = Clue("handle", said, "", NOT_THEIR_MAILBOX, "other")
    for handle in facts.handles:
        bits, how = _one_text(plain, bare(handle))
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
            bits, how = _one_text(plain, bare(local))
            bits += LOCAL + SIGNS * (how == "same")
            how = "local" if how == "same" else how
        if bits < best.bits:
            best = Clue("email", said, email, bits, how)
    return best


# ---------------------------------------------------------------- mailboxes and phones


def _email(local: str, domain: str, facts: Facts) -> Clue:
    said = f"{local}@{domain}"
    best = Clue("email", said, "", NOT_THEIR_MAILBOX, "other" if facts.emails else "unknown")
    mailbox = folds.mailbox(said)
    for email in facts.emails:
        if email == said or (mailbox and folds.mailbox(email) == mailbox):
            return Clue("email", said, email, 0.0, "same")
        theirs, _, there = email.rpartition("@")
        bits, how = (0.0, "same") if theirs == local else _one_text(bare(local), bare(theirs))
        if how == "same" and theirs != local:
            bits, how = SIGNS, "signs"
        elif theirs != local and bits < best.bits:
            # "agnes.ochoa" for "agnesochoa" is one slip, but so is any other: compare as typed
            bits = min(bits + 0.5, max(_one_text(local, theirs)[0], bits))
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
