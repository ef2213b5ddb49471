"""A person's name, taken apart and put right.

    >>> cleaned = clean("LEE, DR. PAT Q. JR")
    >>> show(cleaned.value)
    'Dr Pat Q Lee Jr'
    >>> [finding.code for finding in cleaned.findings]
    ['name.order', 'name.capitals']

The member's spelling stays: accents, particles, a mixture of capitals. Nobody is merged: a joint
sign-up keeps each person and waits for an answer.
"""

from __future__ import annotations

import re
from dataclasses import replace

from onboard.clean.name import capitals, doubts, letters, parts, words
from onboard.clean.name.kinds import KINDS, LONGEST, found
from onboard.clean.name.parts import Reading
from onboard.model import Cleaned, Finding, PersonName

__all__ = ["KINDS", "LONGEST", "clean", "show"]

_READ = 2_000  # characters beyond which a text is not even looked at

_SIMPLE = re.compile(r"[A-Za-zÀ-ÖØ-öø-ſ' .\-]*")
_WORDY = re.compile(
    r"(?<!\S)(?:and|or|und|with|y|e|et|née|nee|born|formerly|geborene|nacida|aka|fka|a\.k\.a\.|also"
    r"|goes|known|called|care|in|c\.o\.|attn|via|for|on|the|'\S*|-\S*|\S*-)(?!\S)",
    re.IGNORECASE,
)
_EMAIL = re.compile(r"(?:mailto:)?[^\s<>,;()\"]{1,64}@[^\s<>,;()\"]+")
_PHONE = re.compile(r"(?:\btel\b[.:]?\s*)?\+?\(?\d[\d ().\-]{5,30}\d", re.IGNORECASE)
_SCRIPT = re.compile(r"<(?:script|style)\b.*?(?:</(?:script|style)[^<>]*>|$)", re.I | re.S)
_TAG = re.compile(
    r"</?(?:!--|a|b|i|u|p|br|em|hr|li|td|tr|ul|img|svg|div|span|font|body|html|head|input|table|form"
    r"|iframe|strong|style|script|link|meta|object|embed|video|audio|marquee|h[1-6])\b[^<>]*>?",
    re.IGNORECASE,
)
_CODE = re.compile(
    r"[{}\\]|^[=+@\-]\s*\w+\s*[(!]|^=|https?:/|\bwww\.|\w\([^()]*\);|--\s*$"
    r"|;\s*(?:drop|delete|select|insert|update)\b|\$\(",
    re.IGNORECASE,
)
_WRITTEN = re.compile(r"(?:[A-Z](?:[a-z]+|\.)?(?: |$))+")  # the usual capitals: "Pat Q Lee"
_LOST = re.compile(rf"{letters.LOST}|\w\?|\?\w|\?\?\?")
_SIGNS = re.compile(r"[*#!?^~<>@%$\\{}\[\]()\"]+")
_SIGNS_BETWEEN = re.compile(r"[_:|=\x1a]+|\s\.+(?!\S)")
_SPACED_HYPHEN = re.compile(r"(?<=\S)(?:\s+-\s*|-\s+)(?=\S)")
_SLASHED = re.compile(r"(?<!\S)([acfnsdw])/(?:(k)/)?([aon])(?!\w)", re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"|\([^()]*\)|\[[^\[\]]*\]')
_BRACKETED_AND = re.compile(r"\s*\(\s*(?:and|&|\+|y)\s+([^()]*)\)", re.IGNORECASE)
_EDGES = " .,;:-/&+"
_SIDES = _EDGES.replace(".", "")  # a full stop may belong to the last word
_OTHERS = frozenset(
    [
        "family",
        "friends",
        "kids",
        "children",
        "sons",
        "daughters",
        "partner",
        "spouse",
        "husband",
        "wife",
        "guest",
        "co",
    ]
)


def clean(
    said: str = "", *, given: str = "", middle: str = "", family: str = "", suffix: str = ""
) -> Cleaned[PersonName]:
    """A person's name, from one text or from the columns of a form.

    Where `said` is not empty it is the whole name, and the parts are not looked at; otherwise
    `said` of the result is the parts joined. Never raises on text. `value` is None when there is
    nothing that could be a name.

    >>> clean(given="Pat", family="o'brien").value.family
    "O'Brien"
    """
    if said.strip() or not (given or middle or family or suffix):
        return _Cleaning(said).whole()
    joined = " ".join(part for part in (given, middle, family, suffix) if part.strip())
    return _Cleaning(joined).columns(given, middle, family, suffix)


def show(name: PersonName) -> str:
    """The name as it is written out; the people of a joint sign-up with "and".

    >>> show(PersonName("Pat", "Q", "Lee", "Jr", title="Dr"))
    'Dr Pat Q Lee Jr'
    >>> show(PersonName("Ana", family="Ruiz", called="Ani", former="Soto"))
    'Ana "Ani" Ruiz (born Soto)'
    """
    one = " ".join(
        part
        for part in (
            name.title,
            name.given,
            f'"{name.called}"' if name.called else "",
            name.middle,
            name.family,
            name.suffix,
            f"(born {name.former})" if name.former else "",
        )
        if part
    )
    return " and ".join([one, *map(show, name.joint)])


class _Cleaning:
    """One name on its way from text to parts."""

    def __init__(self, said: str) -> None:
        self.said = said
        self.reading = Reading()
        self.findings: list[Finding] = []

    def note(self, code: str, what: str = "") -> None:
        code = code if code.startswith("name.") else f"name.{code}"
        if not self.noted(code.removeprefix("name.")):
            self.findings.append(found(code, self.said.strip(), what))

    def noted(self, *codes: str) -> bool:
        return any(finding.code.removeprefix("name.") in codes for finding in self.findings)

    def result(self, value: PersonName | None) -> Cleaned[PersonName]:
        return Cleaned(self.said, value, tuple(self.findings))

    # ------------------------------------------------------------ the two ways in

    def whole(self) -> Cleaned[PersonName]:
        text = self.text(self.said)
        if text is None:
            return self.result(None)
        return self.finish(self.person_or_people(text), text)

    def columns(self, given: str, middle: str, family: str, suffix: str) -> Cleaned[PersonName]:
        texts = [self.text(part) if part else "" for part in (given, middle, family, suffix)]
        if None in texts:
            return self.result(None)
        first, mid, last, end = (self.or_nothing(text) if text else "" for text in texts)
        text = " ".join(part for part in (first, mid, last, end) if part)
        shared = self.share_out(first, last)
        if isinstance(shared, str):
            whole = " ".join(part for part in (shared, end) if part)
            name = self.person_or_people(whole)
        else:
            name = self.one_of_columns(*shared)
            if end:
                name = replace(name, suffix=parts.suffix(end))
        if mid and not name.middle:
            name = replace(name, middle=parts.middle(self.plain(mid)))
        return self.finish(name, text)

    def or_nothing(self, text: str) -> str:
        """A column's text, or "" where it only says that there is nothing."""
        if words.bare(text) in words.of("no first name"):
            return ""
        if not any(map(str.isalpha, text)) and not _LOST.search(text):
            if text.strip(_EDGES):
                self.note("no-letters")
            return ""
        return text

    def share_out(self, first: str, last: str) -> tuple[str, str] | str:
        """First and last name; or the one text that the columns are to be read as."""
        if not first or not last:
            only = first or last
            if len(only.split()) < 2 or (
                last and words.bare(last.split()[0]) in words.of("particle")
            ):
                return first, last
            self.note("columns")
            return only
        both = f"{first} {last}"
        if doubts.is_organisation(both, surely=True) or doubts.is_household(both):
            return both
        if not _SIMPLE.fullmatch(both) or _WORDY.search(both):
            firsts, lasts = self.people(first), self.people(last)
            if len(firsts) == len(lasts) > 1:  # "Pat & Robin", "Lee & Diaz"
                return " and ".join(map(" ".join, zip(firsts, lasts, strict=True)))
            if len(firsts) > 1 or len(lasts) > 1 or parts.CARE_OF.search(last):
                return both
        a, b = ([words.bare(word.strip(",")) for word in text.split()] for text in (first, last))
        if len(b) > 1 and set(a) <= set(b) and (len(a) == len(b) or "," in last):
            self.note("columns")  # the whole name in the last-name column
            return last
        if len(a) > len(b) and a[-len(b) :] == b:
            self.note("columns")
            return " ".join(first.split()[: -len(b)]).rstrip(","), last
        if len(b) > len(a) and b[: len(a)] == a:
            self.note("columns")
            return first, " ".join(last.split()[len(a) :])
        return first, last

    # ------------------------------------------------------------ text

    def text(self, said: str) -> str | None:
        """The text of one box without what is no name in it; None where there is no use in it."""
        said = said.strip()
        if len(said) > _READ:
            self.note("long", f"{len(said):,}")
            return None
        text, mended = letters.mend(said)
        for code, what in mended.items():
            self.note(code, what)
        if not _SIMPLE.fullmatch(text):
            if "@" in text:
                text = self.take(_EMAIL, "email", text)
            text = self.take(_PHONE, "phone", text)
            if "<" in text:
                plain = _TAG.sub(" ", _SCRIPT.sub(" ", text))
                if plain != text:
                    self.note("markup")
                    text = plain
            text = " ".join(text.split())
            if _CODE.search(text):
                self.note("not-a-name")
                return None
            if _LOST.search(text):
                self.note("lost-letters")
                text = text.replace(letters.LOST, "?")
        if len(text) > LONGEST:
            self.note("long", f"{len(text):,}")
            return None
        return text

    def take(self, pattern: re.Pattern[str], code: str, text: str) -> str:
        if match := pattern.search(text):
            self.note(code, match[0].strip())
            text = pattern.sub(" ", text)
        return text

    def plain(self, text: str) -> str:
        """The text without signs that are no part of a name."""
        if _SIMPLE.fullmatch(text):
            return text
        lost = self.noted("lost-letters")
        if lost:
            text = text.replace("?", letters.LOST)
        plain = _SIGNS.sub("", _SIGNS_BETWEEN.sub(" ", text))
        if "\x1a" in text and any(not word.strip("\x1a") for word in text.split()):
            if len(plain.split()) < 2:  # a picture in place of a name
                self.note("no-letters")
        elif plain != text:
            gone = next(c for c in text if _SIGNS.match(c) or _SIGNS_BETWEEN.match(c) or c == ".")
            if gone != "\x1a":
                self.note("symbols", gone)
        return " ".join(plain.replace(letters.LOST, "?").split())

    # ------------------------------------------------------------ people

    def person_or_people(self, text: str) -> PersonName:
        if _SIMPLE.fullmatch(text) and not _WORDY.search(text):
            if doubts.is_organisation(text):
                self.note("organisation")
                return PersonName("", family=text)
            if doubts.is_household(text):
                self.note("household")
                return PersonName("", family=text)
            return parts.natural(text.split(), self.reading)
        if doubts.is_no_name(text) or not any(map(str.isalpha, text)):
            return PersonName(self.plain(text))
        text = _SPACED_HYPHEN.sub(self.hyphen(text), text)
        text = self.without_firm(_BRACKETED_AND.sub(r" and \1 ", text))
        if doubts.is_organisation(_QUOTED.sub(" ", text)):
            self.note("organisation")
            return PersonName("", family=self.plain(text).strip(_EDGES))
        if doubts.is_household(text):
            self.note("household")
            return PersonName("", family=self.plain(text).strip(_EDGES))
        found = [self.one(piece) for piece in self.people(text)]
        if len(found) == 1:
            return found[0]
        if len(found) > 1:
            self.note("joint", str(len(found)))
            first, *others = _with_last_names(found)
            return replace(first, joint=tuple(others))
        return PersonName("")

    def hyphen(self, text: str) -> str:
        """What a hyphen with spaces stands for: a hyphen inside one name, or a break."""
        pieces = _SPACED_HYPHEN.split(text)
        if any(map(doubts.is_organisation, pieces)):
            return ", "
        return "-" if len(pieces[0].split()) > 1 else " "

    def without_firm(self, text: str) -> str:
        """The text without an organisation set off by a comma from a person's name."""
        pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
        firms = [
            piece
            for piece in pieces
            if doubts.is_organisation(piece)
            or words.of("organisation").get(words.bare(piece)) == ""
        ]
        if not firms or len(firms) == len(pieces):
            return text
        self.note("aside", ", ".join(firms))
        return ", ".join(piece for piece in pieces if piece not in firms)

    def people(self, text: str) -> list[str]:
        """The texts of each person; what is in brackets, and "c/o", parts nobody."""
        kept: list[str] = []

        def keep(match: re.Match[str]) -> str:
            kept.append(match[0])
            return f"\x02{len(kept) - 1}\x03"

        masked = _QUOTED.sub(keep, text)
        masked = _SLASHED.sub(lambda m: m[0].replace("/", "\u2044"), masked)
        aside = parts.CARE_OF.search(masked.replace("\u2044", "/"))
        rest = masked[aside.start() :] if aside else ""
        pieces = parts.people(masked[: aside.start()] if aside else masked)
        if pieces:
            pieces[-1] += rest
        return [
            re.sub(r"\x02(\d+)\x03", lambda m: kept[int(m[1])], piece).replace("\u2044", "/")
            for piece in pieces
            if not self.is_company(piece, pieces)
        ]

    def is_company(self, piece: str, pieces: list[str]) -> bool:
        """Whether one of several is only "family" or "friends"."""
        found = {words.bare(word) for word in piece.split()} - {"his", "her", "my", "the", "our"}
        if len(pieces) > 1 and found <= _OTHERS:
            self.note("aside", piece)
            return True
        return False

    def one(self, text: str) -> PersonName:
        text, called, former = parts.take_asides(text, self.reading)
        text = self.plain(text).strip(_SIDES)
        tokens = text.split()
        titles = words.of("title")
        if all(words.bare(token) in titles for token in tokens) and len(tokens) > 0:
            if len(tokens) > 1 or not words.given(words.bare(tokens[0])):
                return PersonName("", title=titles[words.bare(tokens[0])])
        text = self.without_numbers(text)
        name = parts.whole(text, self.reading)
        return replace(name, called=self.plain(called), former=_former(self.plain(former), name))

    def without_numbers(self, text: str) -> str:
        """The text without words that are only digits: "Pat Lee 2"."""
        numbers = [word for word in text.split() if word.strip(".,#").isdigit()]
        if not numbers:
            return text
        self.note("digits", " ".join(numbers))
        return " ".join(word for word in text.split() if word not in numbers)

    def one_of_columns(self, first: str, last: str) -> PersonName:
        if _SIMPLE.fullmatch(first + last) and not _WORDY.search(f"{first} {last}"):
            return parts.of_columns(first, last, self.reading)
        first, called, former = parts.take_asides(first, self.reading)
        last, called_, former_ = parts.take_asides(last, self.reading)
        first, last = (self.plain(_SPACED_HYPHEN.sub("-", text)) for text in (first, last))
        name = parts.of_columns(first.strip(_SIDES), last.strip(_SIDES), self.reading)
        former = _former(self.plain(former or former_), name)
        return replace(name, called=self.plain(called or called_), former=former)

    # ------------------------------------------------------------ the end

    def finish(self, name: PersonName, text: str) -> Cleaned[PersonName]:
        for code, what in self.reading.noticed.items():
            self.note(code, what)
        bare = " ".join(part for part in (name.given, name.middle, name.family) if part)
        if not any(map(str.isalpha, bare)):
            if self.noted("lost-letters"):
                return self.result(None)
            self.note("no-letters" if text.strip(_EDGES) else "empty")
            return self.result(None)
        if doubts.is_no_name(text) or doubts.is_no_name(bare):
            self.note("empty")
            return self.result(None)
        if not self.noted("organisation", "household"):
            name = self.capitals(name, bare)
        self.judge(name, bare)
        return self.result(name)

    def capitals(self, name: PersonName, bare: str) -> PersonName:
        if _WRITTEN.fullmatch(bare) and not (name.joint or name.called or name.former):
            return name
        people = (name, *name.joint)
        whole = " ".join(f"{one.given} {one.middle} {one.family}" for one in people)
        if not whole.isascii() and len(letters.scripts(whole)) > 1:
            return name  # a person must look at it as it was written
        first, *others = (_capitals(one, whole) for one in people)
        right = replace(first, joint=tuple(others))
        if right != name:
            self.note("capitals")
        return right

    def judge(self, name: PersonName, bare: str) -> None:
        """Notes what may be wrong with the name as it now stands."""
        if not bare.isascii():
            found = letters.scripts(bare)
            if len(found) > 1 and "LATIN" in found:
                names = [script.title() for script in sorted(found)]
                self.note("mixed-scripts", " and ".join(names))
            elif found and found != {"LATIN"}:
                self.note("script")
        if doubts.is_test(bare):
            self.note("test")
        elif doubts.is_joke(bare):
            self.note("joke")
        elif doubts.is_mash(bare):
            self.note("mash")
        if name.given and name.family:
            for part in (name.given, name.family):
                if len(part) == 1 and part.isascii():
                    self.note("initial", part)
        elif not self.noted("organisation", "household") and not (name.joint and name.given):
            self.note("one-word", name.given or name.family)
        if any(map(str.isdigit, bare)):
            self.note("digits", bare)


def _capitals(name: PersonName, whole: str) -> PersonName:
    return replace(
        name,
        given=capitals.put_right(name.given, whole),
        middle=capitals.put_right(name.middle, whole),
        family=capitals.put_right(name.family, whole, family=True),
        called=capitals.put_right(name.called, name.called),
        former=capitals.put_right(name.former, name.former, family=True),
    )


def _former(former: str, name: PersonName) -> str:
    """The former last name; where the former name was given in full, without the first name."""
    tokens = former.split()
    if len(tokens) > 1 and tokens[0].lower() == name.given.lower():
        tokens = tokens[1:]
    return " ".join(tokens)


def _with_last_names(people: list[PersonName]) -> list[PersonName]:
    """People of one form, each with a last name: "Pat and Robin Lee" are two Lees."""
    out: list[PersonName] = []
    for at, one in enumerate(people):
        if not one.family:
            later = (other.family for other in people[at + 1 :] if other.family)
            earlier = (other.family for other in reversed(out) if other.family)
            one = replace(one, family=next(later, "") or next(earlier, ""))
        out.append(one)
    return out
