"""Texts in a name box that are nobody's name: tests, jokes, keyboard mash, whose relative somebody is."""

from __future__ import annotations

import re
from functools import cache, lru_cache

from onboard.clean.name import remarks, words
from onboard.late import late

_VOWELS = frozenset("aeiouy")
# "Mother of Toby Marsh", "Toby's mom"
_RELATIVE = late(
    rf"\W*(?:the\s+|la\s+|el\s+)?(?:{remarks.KIN}(?<!s)|(?:legal\s+)?guardian|tutor|parents?)\s+(?:of|to|de|del)\s+[^\W\d_].*"
    rf"|[^\W\d_][\w.\- ]*['’]s?\s+(?:{remarks.KIN}|guardian|parents?)\W*",
    re.IGNORECASE,
)


def is_relative(text: str) -> bool:
    """Whether a text says whose relative somebody is, and not who.

    >>> is_relative("Mother of Toby Marsh"), is_relative("Toby's mom"), is_relative("Friends of Toby Creek")
    (True, True, False)
    """
    return len(text) < 200 and bool(_RELATIVE.fullmatch(text))


def is_no_name(text: str) -> bool:
    """Whether a text only says that there is no name: "N/A", "none", "-", "same as above", "Mr"."""
    known = words.of("no name")
    found = text.lower().split()
    if len(found) == 1 and (word := words.bare(text)) in words.of("title"):
        return not words.given(word) and not words.family(word)
    return bool(found) and all(word in known or word.strip(".-") in known for word in found)


def is_test(text: str) -> bool:
    """Whether somebody tried the form out: "Test Test", "Demo Account", "Sally Testerson"."""
    known = words.of("test")
    found = [words.bare(word).strip("0123456789!.,-*#") for word in text.split()]
    found = [word[: len(word) // 2] if words.is_doubled(word) else word for word in found if word]
    marks = [known.get(word, _like_a_test(word)) for word in found]
    if _is_broken(found) or _is_entry(found) or found[:2] == ["do", "not"]:
        return True
    is_alone = len(marks) == 2 and marks[0] == "" and not words.is_first(found[1])
    if is_alone and (len(found[1]) == 1 or not words.is_last(found[0])):
        return True  # "Firstname L", "Testman Zwei"
    if None not in marks:
        surely = "thing" in marks and len(marks) > 1  # "New Member"
        alone = len(marks) == 1 and words.family(found[0])
        return "" in marks or surely or ("with" in marks and not alone)
    if len(marks) < 2 or marks[-1] is None:
        return False
    last = found[-1]  # "Pat Test" may be called so; "Pat Test Account" may not, nor "Website Test"
    if marks[-1] == "" and last != "test":
        return not words.family(last)
    is_person = words.is_first(found[0]) or words.family(found[0]) or found[0] in words.of("title")
    return "" in marks and (None not in marks[1:] if len(marks) > 2 else not is_person)


# Things that a person may be called by in a jest, "Pat Member"; an account is nobody.
_PEOPLE = ("member", "client", "customer", "user", "miembro", "cliente", "usuario")


def _is_entry(found: list[str]) -> bool:
    """Whether words are of an entry and not of a person: "Sandbox User", "Dev Account"."""
    last = found[-1] if found else ""
    if len(found) < 2 or words.of("test").get(last) != "thing" or words.is_last(last):
        return False
    return last not in _PEOPLE or not words.is_first(found[0])


def _is_broken(found: list[str]) -> bool:
    """Whether two words are one of those that no person is called, broken in two: "Anon Ymous"."""
    whole = "".join(found)
    if len(found) != 2 or len(whole) < 5 or words.is_last(found[1]):
        return False
    return whole in words.of("test") or whole in words.of("no name")


_TRIALS = ("test", "demo", "fake", "dummy", "sample")
_SOME = re.compile(r"(?:some|any|no|my|your)(?:name|body|one|guy|user|person|thing)")


def _like_a_test(word: str) -> str | None:
    """What "test" and something behind it is, "Testerino" or "Demoson", that nobody is called."""
    if word.startswith("test") and words.is_said(word[4:]) and len(word) > 7:
        return ""  # "Testperson"
    if _SOME.fullmatch(word) or (len(word) > 3 and word in words.of("no name")):
        return "with"
    is_one = len(word) > 5 and word.startswith(_TRIALS) and not words.family(word)
    return "beside" if is_one and not words.is_last(word) else None


def is_joke(text: str) -> bool:
    """Whether a text is a name that people give in jest; some people do bear one."""
    found = [word for word in words.bare(text).split() if len(word) > 1]
    return " ".join(found) in words.of("joke")


def is_broken_mash(first: str, last: str) -> bool:
    """Whether two words are such a run, broken in two, or the same letters twice."""
    return f"{first}{last}".lower() in _whole_runs() or _is_twice([first.lower(), last.lower()])


def is_mash(text: str) -> bool:
    """Whether a hand ran over the keyboard: "asdf", "qwerty", "aaa", "xcvbn".

    >>> is_mash("asdf jkl"), is_mash("Qwe Rty"), is_mash("Ng Trew")
    (True, True, False)
    """
    found = text.lower().replace("-", " ").split()
    return any(map(_is_mashed, found)) or "".join(found) in _whole_runs() or _is_twice(found)


@lru_cache(maxsize=8_192)
def _is_mashed(word: str) -> bool:
    if words.family(word) or words.given(word):
        return False
    if len(word) < 4:
        return len(word) == 3 and len(set(word)) == 1 and word != "iii"
    if len(set(word)) == 1 or (word.isascii() and len(word) > 4 and not _VOWELS & set(word)):
        return True
    return bool(_runs().search(word))


def _is_twice(found: list[str]) -> bool:
    """Whether one word, which is no name, is in both boxes: "Jkl Jkl", "Yada Yada"."""
    if len(found) != 2 or (found[0] != found[1] and len(set(found[0])) + len(set(found[1])) > 2):
        return False
    if len(found[0]) < 3:
        return found[0] != found[1] and len(found[0]) == len(found[1]) == 2  # "aa bb"
    return not words.is_last(found[0])


@cache
def _whole_runs() -> frozenset[str]:
    """Five letters and more along a keyboard row, either way: in two boxes, "qwe rty", they break no word."""
    return frozenset(
        run[at:end]
        for row in words.of("keyboard row")
        for run in (row, row[::-1])
        for at in range(len(run))
        for end in range(at + 5, len(run) + 1)
    )


@cache
def _runs() -> re.Pattern[str]:
    """Runs along a keyboard row, either way, so long that no name of the 1990 Census has them."""
    return late(
        "|".join(
            run[at : at + length]
            for row, written in words.of("keyboard row").items()
            for length in (int(written),)
            for run in (row, row[::-1])
            for at in range(len(run) - length + 1)
        )
    )
