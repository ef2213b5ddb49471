"""A sentence as its words, each with how likely it is a name rather than talk.

Somebody who calls tells a story around a name. What is said of goats and screens speaks neither for
a member nor against one. So each word has a weight: the bits that it costs a member whom it does not
fit. A word of everyday talk weighs nothing, an unknown word with a capital much.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache, partial

from anyascii import anyascii

from onboard import tables
from onboard.clean.name.words import is_first, is_last
from onboard.match import folds
from onboard.match.given_names import sex
from onboard.tables import words as words_of

call_words = partial(words_of, "call_words")

# bits: a word that nobody takes for a name; one that may be; one that mostly is; one that surely is
TALK, PERHAPS, LIKELY, NAME = 0.0, 3.0, 8.0, 12.0
MAYBE_TOWN = 5.0  # the name of a state
ONLY = 18.0  # hardly anything but it was said
SHORT, FEW = 7, 4  # words, and those that tell something, that are hardly anything
OTHERS = 2.0  # it is another's name: "my sister Alice and I"
_CONTRACTED = frozenset(
    [
        "it",
        "he",
        "she",
        "that",
        "what",
        "here",
        "there",
        "who",
        "let",
        "name",
        "where",
        "how",
        "one",
        "dad",
        "mom",
        "i",
        "you",
        "we",
        "they",
    ]
)
_BROKEN = re.compile(r"\b[A-Za-z]{1,3}- ")  # "can you he- it's Pat": the line broke
_WORD = re.compile(
    r"[A-Za-z]+(?:['’][A-Za-z]+)*|[0-9]+|[.!?\n]|(?P<within>(?<=[A-Za-z])-(?=[A-Za-z]))|[,;:()\-]"
)
_DONS = frozenset(("don", "dona"))


@dataclass(frozen=True, slots=True)
class Token:
    """One word of a sentence."""

    word: str  # in small letters
    raw: str
    gap: str = ""  # what stands before it: "", "-" within a word, ",", or "." for a new sentence
    is_owned: bool = False  # "Gwen's"
    weight: float = TALK
    is_last: bool = False  # it stands right behind a first name, where no place does: "Mary Hill"

    @property
    def whole(self) -> str:
        """The word with what says that something is theirs."""
        return self.word + "s" * self.is_owned

    @property
    def is_capital(self) -> bool:
        return self.raw[:1].isupper()

    @property
    def is_name(self) -> bool:
        """Whether it is more likely a name than not."""
        return self.weight >= LIKELY


def _everyday(word: str) -> str:
    """ "word" for one of ordinary talk, "both" if it is a name too, "" if it is none."""
    return "".join(tables.row("everyday_words", word)[1:2])


@cache
def _idle() -> frozenset[str]:
    kin = {word for words in words_of("speaker_words", "kin") for word in words.split("-")}
    done = {
        word
        for kind in ("helped", "usually", "says", "needs", "of whom")
        for word in words_of("speaker_words", kind)
    }
    around = call_words("filler") | call_words("at") | call_words("and") | call_words("of")
    return around | folds.TITLES | kin | done


@cache
def _states() -> tuple[frozenset[str], frozenset[str]]:
    """The codes of the states, and the words of their names that are no first names too."""
    codes = frozenset(code.lower() for code, *_ in tables.rows("address_states"))
    words = {word.lower() for _, name, *_ in tables.rows("address_states") for word in name.split()}
    return codes, frozenset(word for word in words if not sex(word))


def tokens(text: str, spelled: Sequence[str] = ()) -> tuple[Token, ...]:
    """The words of a text with their weights; `spelled` are those that were told letter by letter.

    >>> [(t.word, t.weight) for t in tokens("my goats ate it, this is Agnes Whitcomb") if t.weight]
    [('agnes', 12.0), ('whitcomb', 12.0)]
    """
    found = _split(_BROKEN.sub(" ", anyascii(text)))
    letters = "".join(token.raw for token in found)
    plain = letters.lower() == letters or letters.upper() == letters
    telling = [t.word for t in found if t.word.isalpha() and t.word not in _idle()]
    few = (
        len(found) <= SHORT
        and len(telling) <= FEW
        and all(_everyday(word) != "word" for word in telling)
    )
    cued = _cued(found)
    weighed = [
        replace(token, weight=NAME if token.word in spelled else
                _weight(token, plain, few, at in cued, found[at - 1] if at else None))
        for at, token in enumerate(found)
    ]  # fmt: skip
    return tuple(_beside_names(weighed, plain))


def _split(text: str) -> list[Token]:
    found: list[Token] = []
    gap = "."
    for one in _WORD.finditer(text):
        raw = one[0]
        if not raw[0].isalnum():
            gap = "." if raw in ".!?\n" or gap == "." else "-" if one["within"] else ","
            continue
        base, sign, end = raw.replace("’", "'").rpartition("'")
        owned = bool(sign) and end.lower() == "s" and base.lower() not in _CONTRACTED
        said = base if owned else raw
        is_letter = bool(found) and len(found[-1].word) == 1 and found[-1].is_capital
        if gap == "." and found and (is_letter or found[-1].word in folds.TITLES):
            gap = ""  # "D. Calloway", "Mrs. Calloway"
        word = re.sub(r"[^a-z0-9]", "", said.lower())[: folds.LONGEST // 3]
        if word:
            found.append(Token(word, said, gap, owned))
            gap = ""
    return found


def phrase_at(found: Sequence[Token], at: int, kind: str) -> int:
    """How many words of the sentence from here are a phrase of the kind; 0 if none."""
    for words in _phrases(kind).get(found[at].word, ()):
        if tuple(token.word for token in found[at : at + len(words)]) == words:
            return len(words)
    return 0


@cache
def _phrases(kind: str) -> dict[str, list[tuple[str, ...]]]:
    """By their first word, the longest first."""
    by_first: dict[str, list[tuple[str, ...]]] = {}
    for text in words_of("speaker_words", kind):
        words = tuple(text.replace("-", " ").split())
        by_first.setdefault(words[0], []).append(words)
    for some in by_first.values():
        some.sort(key=len, reverse=True)
    return by_first


def _cued(found: Sequence[Token]) -> set[int]:
    """The places of words that stand where a caller says a name: "this is …"."""
    cued: set[int] = set()
    for at in range(len(found)):
        if size := phrase_at(found, at, "before") or phrase_at(found, at, "beside"):
            end = at + size
            while end < min(at + size + 2, len(found)) and found[end].word not in call_words(
                "filler"
            ):
                if found[end].gap == "." and end > at + size:
                    break
                cued.add(end)
                end += 1
    return cued


def _weight(token: Token, plain: bool, few: bool, cued: bool, before: Token | None) -> float:
    """`plain`: the text does not tell names by capitals; `few`: hardly anything else was said."""
    word = token.word
    if word.isdigit():
        return PERHAPS
    if len(word) == 1:
        initial = token.is_capital and word not in "ai" and not plain
        return LIKELY if initial else TALK
    kind = _everyday(word)
    codes, states = _states()
    if word in _idle() or (word in codes and (token.raw.isupper() or plain) and before is not None):
        return TALK
    if word in states:  # "Waterloo, Iowa"; but "Pat Lee, Nevada" may be a town
        behind_town = before is not None and (not token.gap or not _is_listed(before.word))
        return TALK if behind_town else MAYBE_TOWN
    if word in ways():
        return PERHAPS
    if word in _DONS and not token.is_capital and not plain:
        return TALK  # "soy don Prudencio Mora"; but "Don Mora"
    inside = token.is_capital and not plain and token.gap != "."
    if word in call_words("capital"):
        kind, inside = "word", False
    if kind == "word":
        weight = PERHAPS if inside else TALK
    elif kind == "both":
        weight = LIKELY if inside else PERHAPS if plain or token.is_capital else TALK
    else:
        known = bool(sex(word)) or _is_listed(word)
        weight = (
            NAME if token.is_capital and not plain else LIKELY + 2 * known if plain else PERHAPS
        )
    if cued and (plain or token.is_capital):
        weight += LIKELY
    if few and weight >= PERHAPS:
        return ONLY if weight >= LIKELY else LIKELY
    return min(weight, NAME)


@cache
def ways() -> frozenset[str]:
    """The words for what a street is: "street", "st"."""
    return frozenset((*folds.STREET_WORDS, *folds.STREET_WORDS.values())) - _COMPASS


_COMPASS = frozenset(("north", "south", "east", "west", "n", "s", "e", "w"))


def _is_listed(word: str) -> bool:
    """Whether it is a name of the census."""
    return bool(tables.row("census_names", word))


def _beside_names(found: Sequence[Token], plain: bool) -> list[Token]:
    """With some weight for what stands right behind a first name: "Priya Her", "Kenji R"; a letter that
    stands by itself has none."""
    out: list[Token] = []
    for token, behind in zip(found, [*found[1:], None][: len(found)], strict=True):
        before = out[-1] if out and not token.gap and not out[-1].is_owned else None
        is_behind = before is not None and before.is_name and len(before.word) > 1
        if len(token.word) == 1:
            is_before = behind is not None and behind.is_name and not behind.gap
            is_word = token.word == "i" or (token.word in _idle() and not token.is_capital)
            alone = is_word or (not is_behind and not (is_before and token.weight))
            token = replace(token, weight=TALK if alone else LIKELY)
        elif behind is not None and behind.is_name and not behind.gap and token.weight == PERHAPS:
            token = replace(token, weight=LIKELY)  # "Peg Zimmer"
        elif token.weight == PERHAPS and _is_twice_way(token, before, behind):
            pass  # "Parkway Drive"
        elif token.is_capital and token.weight == PERHAPS and behind and _is_way(behind):
            token = replace(token, weight=LIKELY)  # "Orchard Road"
        elif is_behind and token.is_capital and PERHAPS <= token.weight < LIKELY:
            token = replace(token, weight=LIKELY)  # "Julia Tao"
        elif token.weight < LIKELY and _stands_first(found, len(out), plain):
            token = replace(token, weight=LIKELY)  # "Will Zimmer", "Bee Nightingale"
        elif token.weight < LIKELY and _stands_last(found, out, plain):
            token = replace(token, weight=LIKELY, is_last=True)  # "Theodore Le in Lima"
        elif is_behind and before and sex(before.word) and token.weight < 1.0:
            token = replace(token, weight=1.0 if token.word.isalpha() else token.weight)
        if token.is_name and not token.is_last:
            token = replace(token, is_last=_is_behind_first(found, out, plain))
        out.append(token)
    return out


def _stands_first(found: Sequence[Token], at: int, plain: bool) -> bool:
    """Whether a word comes right before a last name, both with a capital, and is a first name or begins what is said."""
    token, behind = found[at], found[at + 1] if at + 1 < len(found) else None
    if plain or behind is None or behind.gap or not (token.is_capital and behind.is_capital):
        return False
    if token.word in folds.TITLES or token.word in words_of("speaker_words", "greeting"):
        return False
    begins = token.gap == "." and token.word not in _idle() and not phrase_at(found, at, "before")
    if is_first(token.word) and _ends_name(found, at + 2):
        return is_last(behind.word)  # "Will Law", however everyday both words are
    may_be = is_first(token.word) or begins
    return may_be and behind.weight >= PERHAPS and is_last(behind.word)


def _is_twice_way(token: Token, before: Token | None, behind: Token | None) -> bool:
    """Whether a word for what a street is stands beside another: one of them names it."""
    beside = (before, behind if behind and not behind.gap else None)
    return token.word in ways() and any(one is not None and one.word in ways() for one in beside)


def _is_way(token: Token) -> bool:
    return token.word in ways() and token.is_capital and not token.gap


def _name_before(found: Sequence[Token], before: Sequence[Token]) -> list[Token]:
    """The names right before the word behind `before`, and their letters: "Theodore J."; none if they are of a place."""
    at = start = len(before)
    while (
        start
        and not found[start].gap
        and (before[start - 1].is_name or _is_letter(before[start - 1]))
    ):
        start -= 1
    is_place = start > 0 and not found[start].gap and found[start - 1].word in _PLACES
    return [] if is_place or (before and before[-1].is_owned) else list(before[start:at])


def _is_behind_first(found: Sequence[Token], before: Sequence[Token], plain: bool) -> bool:
    """Whether a name stands right behind a first name, or behind the first of all names: "Mary Hill"."""
    token, name = found[len(before)], _name_before(found, before)
    if len(name) != 1 or not (
        is_first(name[0].word) or not any(one.is_name for one in before[:-1])
    ):
        return False
    is_sure = token.is_capital and not plain
    return is_sure or (is_last(token.word) and _ends_name(found, len(before) + 1))


def _stands_last(found: Sequence[Token], before: Sequence[Token], plain: bool) -> bool:
    """Whether the word behind `before`, whatever it is, stands where a last name does: right behind a first name.

    With a capital it does, unless all words have one; else it has to end what is said of who it is. Small letters
    have to be a last name that people bear, as the name of a state has.
    """
    token, name = found[len(before)], _name_before(found, before)
    first = [one for one in name if len(one.word) > 1]
    if not first or not token.word.isalpha() or len(token.word) == 1:
        return False
    if token.word in _NO_LAST or "'" in token.raw or phrase_at(found, len(before), "after"):
        return False
    is_end = _ends_name(found, len(before) + 1)
    codes, states = _states()
    is_state = token.word in states or (token.word in codes and token.raw.isupper())
    if is_state and any(one.is_name for one in before[: -len(name)]):
        return False  # "Debbie Becker, Newton Iowa"
    if token.is_capital and not plain and not is_state:
        titled = all(one.is_capital for one in found if one.word.isalpha())
        return is_end or (len(first) == 1 and not titled and token.word not in folds.PARTICLES)
    is_borne = is_last(token.word) and (is_first(first[0].word) or not is_state)
    return is_end and is_borne and token.word not in _PLACES


_NO_LAST = frozenset(("jr", "sr", "junior", "senior", "ii", "iii", "iv"))
_PLACES = frozenset(
    ("from", "in", "at", "of", "en", "near", "desde", "on", "out", "up", "down", "over")
)


def _is_letter(token: Token) -> bool:
    return len(token.word) == 1 and token.weight > TALK


def _ends_name(found: Sequence[Token], at: int) -> bool:
    """Whether a name ends before the word here: nothing follows, a comma does, or a place, a number, or "and"."""
    if at >= len(found) or found[at].gap:
        return True
    word = found[at].word
    ends = word in _PLACES or word in call_words("and") or word.isdigit()
    return ends or bool(phrase_at(found, at, "after"))
