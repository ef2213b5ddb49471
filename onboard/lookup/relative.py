"""The relatives of whom a caller speaks: who is meant, and who only comes up by the way.

"My wife can't get in" is about the wife. "My daughter signed me up" is not about the daughter.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from functools import partial

from onboard.clean.name.words import is_first
from onboard.lookup.name_places import IN, REACH, names_before, names_behind, runs
from onboard.lookup.need import CALLER, NEAR, OF_CALLER, clause, is_in_need, needs
from onboard.lookup.sentence import Token, phrase_at
from onboard.match.given_names import sex
from onboard.tables import words as words_of

speaker_words = partial(words_of, "speaker_words")

_OF_SOMEBODY = frozenset(("the", "la", "el", "her", "his", "a", "un", "una"))
_TO_CALLER = frozenset(("me", "us", "it", "this", "you", "nos"))
_THINGS = frozenset(("this", "that", "it", "things", "everything", "eso", "esto"))
_CALLERS_OWN = frozenset(("myself", "me", "help", "some", "mine", "us", "ourselves", "mio", "mia"))
_BEFORE_THING = frozenset(("my", "a", "an", "the", "our", "new", "own", "mi", "la", "el", "lo"))
_AT = frozenset(("at", "in", "on", "there", "here"))
_FROM = frozenset(("from", "through", "than", "like"))
_I_AM = frozenset(("im", "am", "soy"))
_THEIRS = frozenset(("her", "his", "their", "su"))
_ARTICLES = frozenset(("the", "a", "an", "la", "el", "un", "una"))
_NO_ONES = frozenset(("half", "mate", "fellow"))  # "half of it" is nobody
_ADDRESSES = frozenset(("senora", "senor", "mrs", "missus", "mister"))
_OF_US, _SAINTS = frozenset(("our", "nuestra")), frozenset(("lady", "senora"))
_IS, _WHO = frozenset(("is", "es", "was", "era")), frozenset(("who", "whos", "que", "quien"))
_WHAT_CALLER_IS = _THEIRS | {"the", "a", "an", "el", "la", "un", "una"}
_ASKED = frozenset(("asked", "ask", "told", "pregunte"))
_TALKED = frozenset(
    (("spoke", "with"), ("spoke", "to"), ("talked", "with"), ("talked", "to"), ("saying", "to"))
)
_SHARES = frozenset(("share", "shares", "sharing", "comparto", "compartimos"))
_LIVES = frozenset(("live", "lives", "living", "stay", "staying"))
_WIDOWED = frozenset(("widow", "widower"))
_BESIDE = frozenset(("across", "next", "by"))  # "the lady across the road", "next door"


@dataclass(frozen=True, slots=True)
class Mention:
    """A relative, or whoever something belongs to, as a sentence speaks of them."""

    start: int  # the place of the first word that speaks of them
    kin: str = ""  # "wife"; "" if only something of theirs was said
    names: frozenset[int] = frozenset()  # places of their name
    is_by_the_way: bool = False  # they are not who is meant
    is_in_need: bool = False  # what they need or have lost, or what is theirs, is spoken of
    is_spoken_to: bool = False  # the caller only asked or told them something


def mentions(found: Sequence[Token]) -> list[Mention]:
    """The relatives of whom the sentence speaks, and whose things it speaks of.

    >>> from onboard.lookup.sentence import tokens
    >>> [(m.kin, m.is_by_the_way) for m in mentions(tokens("my daughter signed me up, my son can't get in"))]
    [('daughter', True), ('son', False)]
    """
    return [
        mention
        for at in range(len(found))
        for mention in (_kin_at(found, at), _belongs_at(found, at))
        if mention is not None
    ]


def by_title(found: Sequence[Token]) -> Mention | None:
    """Whose wife or husband somebody calls themselves: "Mrs. David Nelson" is married to David.

    >>> from onboard.lookup.sentence import tokens
    >>> [by_title(tokens(said)) is not None for said in ("Mrs. David Nelson", "Mrs. Robin Diaz")]
    [True, False]
    """
    for run in runs(found):
        title = found[run[0] - 1].word if run[0] else ""
        for kind, kin in (("mr", "husband"), ("mrs", "wife")):
            said = len(run) > 1 and not found[run[0]].gap and title in speaker_words(kind)
            if said and is_of_other_sex(kin, found[run[0]].word):
                return Mention(run[0] - 1, kin)
    return None


def _kin_at(found: Sequence[Token], at: int) -> Mention | None:
    """A relative, if the word here says what somebody is to the caller."""
    first = at
    beside = speaker_words("such") | speaker_words("kin")
    while first and found[first - 1].word in beside and not found[first].gap:
        first -= 1  # "my late husband", "the neighbor lady"
    before = found[first - 1] if first else None
    said_before = before.word if before else ""
    tells_generation = phrase_at(found, at, "younger") > 1  # "Dad's got the same name"
    if (
        phrase_at(found, at, "called") and said_before not in _OF_SOMEBODY and not tells_generation
    ):  # "Grandma"
        names = names_behind(found, at + 1)
        return Mention(
            at, found[at].word, names, _by_the_way(found, at, at + 1), needs(found, at + 1)
        )
    size = phrase_at(found, at, "kin")
    if not size or found[at].is_name:  # "Theodore Law", "la señora"
        return None
    end = at + size
    kin = found[end - 1].word
    if kin in _ADDRESSES and end < len(found) and found[end].is_name and not found[end].gap:
        return None  # "la señora Ruiz"
    if kin in _SAINTS and said_before in _OF_US and _is_of(found, end):
        return None  # "Our Lady of the Pines"
    if before and before.is_owned:  # "Gwen's husband"
        names = names_before(found, first)
        in_need = bool(names) and not _tells_who(found, names)
        return Mention(first - 1, kin, names, is_in_need=in_need)
    is_alone = _is_spoken_of_alone(found, first, end)
    if said_before in OF_CALLER or is_alone:
        start = first if is_alone and said_before not in _ARTICLES else first - 1
        is_late = not speaker_words("late").isdisjoint(token.word for token in found[first:at])
        if is_late and not (end < len(found) and found[end].is_name):
            return None  # "my late husband did all this" is nobody who calls or is meant
        if named := _named_as_theirs(found, start):  # "Kjell is my husband"
            return Mention(min(named), kin, named, is_by_the_way=not needs(found, end))
        names = names_behind(found, end)
        if any(is_of_other_sex(kin, found[at].word) for at in names):
            names = frozenset()  # "my wife can't get in. Hugo Haas."
        by_the_way = _by_the_way(found, start, end)
        spoken_to = _is_spoken_to(found, start)
        in_need = is_late or needs(found, end) or _who_needs(found, max(names, default=end) + 1)
        return Mention(start, kin, names, by_the_way, in_need, spoken_to)
    if said_before in _WHAT_CALLER_IS and first > 1 and found[first - 2].word in _I_AM:
        theirs = (
            said_before in _THEIRS
        )  # "I'm her son"; "I'm the lady with the goats" may be the member
        return Mention(first - 2, kin, is_in_need=theirs)
    of_somebody = _is_of(found, end)
    if first > 1 and said_before in ("the", "el") and found[first - 2].is_name and not of_somebody:
        return None
    behind = names_behind(found, end, is_far=False)
    is_told = of_somebody or said_before in _OF_SOMEBODY
    if not behind or not is_told:
        return None
    in_need = of_somebody or needs(found, end) or _who_needs(found, max(behind) + 1)
    return Mention(at, kin, behind, is_in_need=in_need)


def _named_as_theirs(found: Sequence[Token], start: int) -> frozenset[int]:
    """The places of the first name of whom it is said that they are the relative who comes next."""
    if start < 2 or found[start - 1].word not in _IS or found[start].gap or found[start - 1].gap:
        return frozenset()
    names = names_before(found, start - 1)
    return names if len(names) == 1 and (not min(names) or found[min(names)].gap) else frozenset()


def _is_first_in_need(found: Sequence[Token], at: int) -> bool:
    """Whether a sentence begins with a first name, behind the whole name of somebody else, and tells what that one
    needs."""
    name = found[at - 1]
    begins = name.gap == "." and not name.is_owned and is_first(name.word)
    if not begins or found[at].word not in speaker_words("needs"):
        return False
    whole = [run for run in runs(found) if len(run) > 1 and run[-1] < at - 1]
    return bool(whole) and all(found[place].word != name.word for run in whole for place in run)


def _who_needs(found: Sequence[Token], at: int) -> bool:
    """Whether what the one needs who was just named is said here: "…, who lost it", "'s the one who can't"."""
    if [one.word for one in found[at : at + 2]] == ["the", "one"]:
        at += 2
    return at + 1 < len(found) and found[at].word in _WHO and needs(found, at + 1)


def _is_of(found: Sequence[Token], at: int) -> bool:
    return at < len(found) and not found[at].gap and found[at].word in ("of", "de", "del")


def _is_spoken_of_alone(found: Sequence[Token], first: int, end: int) -> bool:
    """Whether kin is spoken of without a word for whose: "the wife can't get in", "wife's account", "la señora no
    puede". Whoever is called so, or says that they are it, is not: "buenas tardes, señora", "habla la señora Ruiz"."""
    behind = found[end] if end < len(found) else None
    kin, before = found[end - 1], found[first - 1].word if first else ""
    is_named = behind is not None and behind.is_name and not behind.gap
    if is_named or (kin.word in _NO_ONES and found[first].word not in speaker_words("such")):
        return False
    starts = not first or bool(found[first].gap) or before in speaker_words("greeting")
    if starts:
        goes_on = behind is not None and not behind.gap
        known = bool(at_home(kin.word)) and kin.word not in _ADDRESSES
        return goes_on and (known or needs(found, end))
    if before not in _ARTICLES or found[first].gap:
        return False
    said = range(max(first - 5, 0), first - 1)
    says_who = any(phrase_at(found, at, "before") == first - 1 - at for at in said)
    says_who = says_who and not kin.is_owned  # "it's the neighbor's account"
    tells_which = first > 1 and found[first - 2].is_name and not needs(found, end)
    return not says_who and not tells_which  # "Mike Wolff, the son": which of two he is


def _belongs_at(found: Sequence[Token], at: int) -> Mention | None:
    """Whose thing, or on whose behalf: "Pat's account", "calling for Pat"."""
    if size := for_somebody(found, at):
        return Mention(at, names=names_behind(found, at + size), is_in_need=True)
    if (size := phrase_at(found, at, "about")) and (names := names_behind(found, at + size)):
        return Mention(at, names=names, is_in_need=True) if min(names) <= at + size + 1 else None
    is_named = at > 0 and found[at - 1].is_name and not found[at].gap
    if is_named and (_who_needs(found, at) or _is_first_in_need(found, at)):
        # "it's Ana who can't"; "Pat Lee. Ana can't …"
        return Mention(at - 1, names=names_before(found, at), is_in_need=True)
    before = found[at - 1] if at else None
    if before is None or not before.is_owned or not before.is_name or found[at].gap:
        return None
    names = names_before(found, at)
    if found[at].word in _WIDOWED:  # "Otto's widow"
        return None if _tells_who(found, names) else Mention(at - 1, names=names, is_in_need=True)
    is_told = found[at].word in speaker_words("thing") or found[at].word in ("not", "that", "thats")
    return Mention(at - 1, names=names, is_in_need=True) if is_told else None


def _tells_who(found: Sequence[Token], names: Set[int]) -> bool:
    """Whether whose relative somebody is tells who the caller is: "I'm Ana Ruiz, Pat's sister", "I'm the
    treasurer's wife"."""
    owner = min(names, default=0)
    return owner > 0 and found[owner].gap == "," and found[owner - 1].is_name


def at_home(kin: str) -> str:
    """Whether whoever is this to somebody may live with them: "m", "w" or "mw" as the word tells; "" if not.

    >>> at_home("wife"), at_home("son"), at_home("roommate"), at_home("lawyer")
    ('w', 'm', 'mw', '')
    """
    both = {"m": "he", "w": "she"}
    told = "".join(sex for sex, kind in both.items() if kin in speaker_words(kind))
    return told or ("mw" if kin in speaker_words("housemate") else "")


def is_of_other_sex(kin: str, name: str) -> bool:
    return {at_home(kin), sex(name)} == {"m", "w"}


def for_somebody(found: Sequence[Token], at: int) -> int:
    """How many words from here say that something is for somebody else; 0 if none do.

    >>> from onboard.lookup.sentence import tokens
    >>> [for_somebody(tokens(said), 1) for said in ("take care of Pat Lee", "take care of this please")]
    [2, 0]
    """
    size = phrase_at(found, at, "for") or _about_relative(found, at)
    if not size or (at and found[at - 1].word in _TO_CALLER):  # "mi hija me ayudó a …"
        return 0
    behind = [token.word for token in found[at + size : at + size + NEAR]]
    if behind and (behind[0] in _THINGS or behind[0] in _AT):
        return 0
    while behind and behind[0] in _BEFORE_THING:
        behind = behind[1:]
        if behind and behind[0] in speaker_words("thing"):
            return 0
    return 0 if behind and behind[0] in _CALLERS_OWN else size


def _about_relative(found: Sequence[Token], at: int) -> int:
    """How many words say that the call is about a relative, who comes next: "calling about my aunt". 0 if
    it is about a thing of theirs: "about my aunt's wedding"."""
    size = phrase_at(found, at, "about")
    kin = at + size + 1
    if not size or kin >= len(found) or found[kin - 1].word not in OF_CALLER:
        return 0
    length = phrase_at(found, kin, "kin")
    return size if length and not found[kin + length - 1].is_owned else 0


# ---------------------------------------------------------------- by the way


def _by_the_way(found: Sequence[Token], start: int, end: int) -> bool:
    """Whether of the caller's relative, named from `start` to `end`, only something is told that
    helps the caller, or that says nothing of what they need now."""
    said = list(clause(found, end))
    words = [token.word for token in said]
    if is_in_need(words):
        return False
    if found[end - 1].is_owned:  # "on my daughter's phone"
        beside = words[:1] or [token.word for token in found[max(start - REACH, 0) : start]]
        return not speaker_words("lent").isdisjoint(beside)
    if start and found[start - 1].word in _FROM and not found[start].gap:
        return True
    if start > 1 and found[start - 1].word == "with" and found[start - 2].word in _LIVES:
        return True
    if is_shared_with(found, start):
        return True
    near = [word for token, word in zip(said, words, strict=True) if not token.is_name]
    near = _past_place(near)[:NEAR]
    if near[:2] in (["and", "i"], ["y", "yo"]):
        return True
    if speaker_words("usually").intersection(near):
        return True
    if near and near[0] in speaker_words("says"):
        speaks = any(word in CALLER for word in near[1:])
        return speaks and speaker_words("needs").isdisjoint(words)  # "says it won't let her in"
    helped = speaker_words("helped").intersection(near)
    # In Spanish the caller comes before what was done: "mi hija me inscribió".
    return bool(helped) and not _TO_CALLER.isdisjoint(words)


def is_shared_with(found: Sequence[Token], at: int) -> bool:
    """Whether the caller shares something with whoever comes here: "I share the phone with Ana"."""
    if not at or found[at].gap or found[at - 1].word not in ("with", "con"):
        return False
    return not _SHARES.isdisjoint(token.word for token in found[max(at - NEAR - 3, 0) : at])


def _past_place(words: list[str]) -> list[str]:
    """The words behind a place with which they begin: "at the store told me …"."""
    at = 0
    while at < len(words) and words[at] in IN | _AT | _BESIDE:
        at += 1
        while at < len(words) and words[at] in _ARTICLES | OF_CALLER:
            at += 1
        at += 1
    return words[at:]


def _is_spoken_to(found: Sequence[Token], start: int) -> bool:
    before = tuple(token.word for token in found[max(start - 2, 0) : start])
    return (before[-1:] != () and before[-1] in _ASKED) or before in _TALKED
