"""One name on its way from text to parts."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from onboard.clean.name import (
    asides,
    box,
    capitals,
    doubts,
    ends,
    joint,
    letters,
    order,
    organisations,
    parts,
    remarks,
    words,
)
from onboard.clean.name.box import EDGES, LETTER
from onboard.clean.name.kinds import LONGEST, NO_HINTS, Hints, Noticed, found
from onboard.clean.name.written import show
from onboard.late import late
from onboard.model import Finding, PersonName, Weight

_WRITTEN = re.compile(r"(?:[A-Z](?:[a-z]+|\.)?(?: |$))+")  # the usual capitals: "Pat Q Lee"
_DIGIT = re.compile(r"\d")
_SPACED_HYPHEN = re.compile(r"(?<=[^\s\-])(?:\s+-[\s\-]*|-+\s[\s\-]*)(?=[^\s\-])")
_SLASHED = re.compile(r"(?<!\S)([acfnsdw])/(?:(k)/)?([aon])(?!\w)", re.IGNORECASE)
_QUOTED = re.compile(r'"[^"]*"|\([^()]*\)|\[[^\[\]]*\]')
# What hangs loose at a word's beginning, and "and" and "c/o" with nobody on their other side.
_LOOSE = re.compile(
    r"(?<!\S)[.\-]+(?=\w)|^(?:(?:and|or|und|with)\s+)+|(?:\s+(?:and|or|und|with|y|c/o))+$",
    re.IGNORECASE,
)
_BRACKETED_AND = re.compile(r"\s*\(\s*(?:and|&|\+|y)\s+([^()]*)\)", re.IGNORECASE)
_SIDES = EDGES.replace(".", "")  # a full stop may belong to the last word
_PARTS_PEOPLE = re.compile("[;&+]")
_ROUNDS = 8  # of reading what was read; three are rare
_UNPAIRED = str.maketrans("", "", '"()[]')
_OTHERS = frozenset(
    ("family", "friends", "kids", "children", "partner", "spouse", "husband", "wife", "guest", "co",
     "familia", "hijos", "hijas", "niños", "esposo", "esposa")
)  # fmt: skip
_OTHERS_TOO = late(
    r"\s+(?:and|&|\+|y|e)\s+(?:(?:his|her|my|the|our|su|mi|la)\s+)?(?:family|familia|kids|children|friends|niños|esposo|esposa)$",
    re.IGNORECASE,
)


class Reading:
    """One name on its way from text to parts."""

    def __init__(self, said: str, hints: Hints = NO_HINTS) -> None:
        self.said = said
        self.hints = hints
        self.plainly = False  # whether it was two plain words: those stay as they are
        self.noticed = Noticed(hints)
        self.findings: list[Finding] = []

    def note(self, code: str, what: str = "") -> None:
        code = code if code.startswith("name.") else f"name.{code}"
        if not self.noted(code.removeprefix("name.")):
            self.findings.append(found(code, self.said.strip(), what))

    def noted(self, *codes: str) -> bool:
        return any(finding.code.removeprefix("name.") in codes for finding in self.findings)

    # ------------------------------------------------------------ the two ways in

    def whole(self) -> PersonName | None:
        if len(self.said) < LONGEST and self.said.isascii() and self.said.isprintable():
            tokens = self.said.split()
            if (
                len(tokens) == 2
                and all(map(words.is_plain, tokens))
                and words.PARTING.isdisjoint(self.said.lower().split())
            ):
                return self.plain(tokens)
        if doubts.is_relative(self.said):
            return self.relative(self.said)
        said = self.without_others(self.without_widow(self.said))
        text = box.name_in(self.without_remark(said), self.note)
        if text is None:
            return None
        return self.finish(self.person_or_people(text), text)

    def settle(
        self, value: PersonName, read: Callable[[Reading, PersonName], PersonName | None]
    ) -> PersonName | None:
        """The value that, written out and read again, stays the same; None if it is no name.

        Whatever a sign or a word that was left in a part would come to mean, comes out here.
        """
        for _ in range(_ROUNDS):
            again = Reading(show(value), self.hints)
            settled = read(again, value)
            mended = any(finding.weight is Weight.MENDED for finding in again.findings)
            if settled == value and not mended:
                return value
            for finding in again.findings:
                if finding.weight is not Weight.MENDED and not self.noted(finding.code[5:]):
                    self.findings.append(finding)
            if settled is None:
                return None
            value = settled
        self.note("not_a_name")
        return None

    def whole_again(self, value: PersonName) -> PersonName | None:
        return self.whole()

    def columns_again(self, value: PersonName) -> PersonName | None:
        if value.joint:
            return self.whole()
        again = self.columns(value.given, value.middle, value.family, value.suffix)
        return again and again._replace(
            title=again.title or value.title,
            called=again.called or value.called,
            former=again.former or value.former,
        )

    def columns(self, given: str, middle: str, family: str, suffix: str) -> PersonName | None:
        if not middle and not suffix and words.is_plain(given[:40]) and words.is_plain(family[:40]):
            return self.plain([given, family])
        if not middle and doubts.is_relative(f"{given} {family}".strip()):
            return self.relative(f"{given} {family}")
        if not (middle or suffix) and organisations.is_numbered(
            both := f"{given} {family}".strip()
        ):
            self.note("organisation")
            return PersonName("", family=both)
        family = self.without_widow(family, before=middle, column=True)
        given, family = self.without_remarks(given, family)
        texts = [
            box.name_in(part, self.note, column=True) if part else ""
            for part in (given, middle, family, suffix)
        ]
        if None in texts:
            return None
        first, mid, last, end = (self.or_nothing(text) if text else "" for text in texts)
        text = " ".join(part for part in (first, mid, last, end) if part)
        shared = self.share_out(first, last)
        if isinstance(shared, str):
            whole = " ".join(part for part in (shared, end) if part)
            name = self.person_or_people(whole)
        else:
            name = self.one_of_columns(*shared)
            if end:
                name = name._replace(suffix=ends.written_suffix(end))
        if mid and not name.middle:
            name = name._replace(middle=parts.middle(mid.translate(_UNPAIRED)))
            if name.middle and not self.hints.told:
                name = order.middle_or_last(name, self.noticed)
        return self.finish(name, text)

    def relative(self, text: str) -> PersonName:
        """A text that says whose relative somebody is: nobody's name, so it stays as it is."""
        self.note("relative")
        return PersonName("", family=" ".join(text.split()))

    def without_widow(self, text: str, *, before: str = "", column: bool = False) -> str:
        """The text without "vda. de" (widow of), which says that the last names are of Spain's kind."""
        rest, said = remarks.without_widow(text, before=before, column=column)
        if said:
            self.noticed.setdefault("name.widow", said)
            self.hints = self.noticed.hints = replace(self.hints, spanish=True)
        return rest

    def without_remark(self, text: str) -> str:
        """The text without what was written behind the name for whoever reads the list."""
        rest, said = remarks.cut(text)
        if said:
            self.noticed.setdefault("name.aside", said)
        return rest

    def without_others(self, text: str) -> str:
        """The text without "and family", which names nobody."""
        found = len(text) < LONGEST and _OTHERS_TOO.search(text)
        if not found or organisations.is_organisation(text):
            return text
        self.noticed.setdefault("name.aside", found[0].strip())
        return text[: found.start()]

    def without_remarks(self, given: str, family: str) -> tuple[str, str]:
        """First and last name without such a remark, which may begin in the one and end in the other."""
        family = self.without_others(family)
        both = f"{given} {family}" if given and family else given or family
        rest = self.without_remark(both)
        if rest == both:
            return given, family
        return (rest[: len(given)], rest[len(given) :].strip()) if given else ("", rest)

    def plain(self, tokens: list[str]) -> PersonName:
        """The name of two words that no table speaks of, as most names are: little can be amiss."""
        self.plainly = True
        name = parts.natural(tokens, self.noticed)
        for code, what in self.noticed.items():
            self.note(code, what)
        bare = " ".join(tokens)
        name = self.capitals(name, bare)
        self.judge_letters(bare)
        return name

    def or_nothing(self, text: str) -> str:
        """A column's text, or "" where it only says that there is nothing."""
        if words.bare(text) in words.of("no first name"):
            return ""
        if not LETTER.search(text) and "?" not in text:
            if text.strip(EDGES):
                self.note("no_letters")
            return ""
        return text

    def share_out(self, first: str, last: str) -> tuple[str, str] | str:
        """First and last name; or the one text that the columns are to be read as."""
        if not first or not last:
            only = first or last
            if len(only.split()) < 2 or (
                last
                and words.bare(last.split()[0]) in words.of("particle")
                and not organisations.is_organisation(only)
            ):
                return first, last
            if not organisations.is_organisation(only) and not organisations.is_household(only):
                self.note("columns")
            return only
        both = f"{first} {last}"
        if organisations.is_organisation(both, surely=True) or organisations.is_household(both):
            return both
        if not box.is_tidy(both):
            first = joint.first_names(first)
            firsts = self.people(first)
            lasts = self.people(_BRACKETED_AND.sub(r" and \1", last))
            if len(firsts) == len(lasts) > 1:  # "Pat & Robin", "Lee & Diaz"
                return " and ".join(map(" ".join, zip(firsts, lasts, strict=True)))
            if len(firsts) > 1 or len(lasts) > 1 or asides.CARE_OF.search(last):
                return f"{first} {last}"
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

    # ------------------------------------------------------------ people

    def person_or_people(self, text: str) -> PersonName:
        tidy = box.is_tidy(text)
        if not LETTER.search(text) or doubts.is_no_name(text):
            return PersonName(text)
        if not tidy:
            text = _SPACED_HYPHEN.sub(self.hyphen(text), text)
            text = self.without_firm(_BRACKETED_AND.sub(r" and \1 ", text)).strip(_SIDES)
            text = _LOOSE.sub("", text)
        for code, is_so in (
            ("organisation", organisations.is_organisation),
            ("household", organisations.is_household),
        ):
            bare = text if tidy else " ".join(_QUOTED.sub(" ", text).split())
            if is_so(bare) and not doubts.is_test(bare):
                self.note(code)
                return PersonName("", family=bare.translate(_UNPAIRED))
        if tidy:
            return parts.natural(text.split(), self.noticed)
        # A sign that parts people, left in a name, would part it anew each time it is read.
        people = [self.one(_PARTS_PEOPLE.sub(" ", piece)) for piece in self.people(text)]
        people = [one for one in people if one.given or one.family or one.title]
        if len(people) > 1:
            self.note("joint", str(len(people)))
            first, *others = joint.with_last_names(people)
            return first._replace(joint=tuple(others))
        return people[0] if people else PersonName("")

    def hyphen(self, text: str) -> str:
        """What a hyphen with spaces stands for: a hyphen inside one name, or a break."""
        pieces = _SPACED_HYPHEN.split(text)
        if any(map(organisations.is_organisation, pieces)):
            return ", "
        if len(pieces) == 2 and all(len(piece.split()) > 1 for piece in pieces):
            return "; "  # two whole names
        return "-" if len(pieces[0].split()) > 1 else " "

    def without_firm(self, text: str) -> str:
        """The text without an organisation set off by a comma from a person's name."""
        pieces = [piece.strip() for piece in text.split(",") if piece.strip()]
        firms = [
            piece
            for piece in pieces
            if organisations.is_organisation(piece)
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
        aside = asides.CARE_OF.search(masked.replace("\u2044", "/"))
        rest = masked[aside.start() :] if aside else ""
        pieces = joint.people(masked[: aside.start()] if aside else masked)
        if pieces:  # a slash that is left would part whoever comes to be named in a last name
            pieces[-1] += rest.replace("/", " ")
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
        text, beside = asides.take_asides(text, self.noticed)
        text = self.without_numbers(text.translate(_UNPAIRED).strip(_SIDES))
        tokens, titles = text.split(), words.of("title")
        if all(words.bare(token) in titles for token in tokens) and (
            len(tokens) > 1 or (tokens and not words.given(words.bare(tokens[0])))
        ):
            return PersonName("", title=titles[words.bare(tokens[0])])
        return beside.put_to(parts.whole(text, self.noticed))

    def without_numbers(self, text: str) -> str:
        """The text without words that are only digits: "Pat Lee 2"."""
        numbers = [word for word in text.split() if word.strip(".,#").isdigit()]
        if not numbers:
            return text
        self.note("digits", " ".join(numbers))
        return " ".join(word for word in text.split() if word not in numbers)

    def one_of_columns(self, first: str, last: str) -> PersonName:
        if box.is_tidy(first) and box.is_tidy(last):
            return parts.of_columns(first, last, self.noticed)
        first, beside_first = asides.take_asides(first, self.noticed)
        last, beside_last = asides.take_asides(last, self.noticed)
        first, last = (
            self.without_numbers(_SPACED_HYPHEN.sub("-", text.translate(_UNPAIRED)).strip(_SIDES))
            for text in (first, last)
        )
        name = parts.of_columns(first, last, self.noticed)
        return beside_first.or_else(beside_last).put_to(name)

    # ------------------------------------------------------------ the end

    def finish(self, name: PersonName, text: str) -> PersonName | None:
        for code, what in self.noticed.items():
            self.note(code, what)
        bare = " ".join(part for part in (name.given, name.middle, name.family) if part)
        if not LETTER.search(bare):
            if not self.noted("lost_letters"):
                self.note("no_letters" if text.strip(EDGES) else "empty")
            return None
        if doubts.is_no_name(bare) or (bare != text and doubts.is_no_name(text)):
            self.note("empty")
            return None
        if not self.noted("organisation", "household"):
            name = self.capitals(name, bare)
        self.judge(name, bare)
        return name

    def capitals(self, name: PersonName, bare: str) -> PersonName:
        if _WRITTEN.fullmatch(bare) and not (name.joint or name.called or name.former):
            return name
        if not bare.isascii() and len(letters.scripts(bare)) > 1:
            return name  # a person must look at it as it was written
        for _ in range(3):  # "la JD" reads as all capitals once "la" is "LA"; rarely a third time
            right = capitals.of_name(name)
            if right == name:
                break
            self.note("capitals")
            name = right
            if _WRITTEN.fullmatch(f"{name.given} {name.family}"):
                break
        return name

    def judge(self, name: PersonName, bare: str) -> None:
        """Notes what may be wrong with the name as it now stands."""
        if not bare.isascii():
            found = letters.scripts(bare)
            if len(found) > 1 and "LATIN" in found:
                names = [script.title() for script in sorted(found)]
                self.note("mixed_scripts", " and ".join(names))
            elif found and found != {"LATIN"}:
                self.note("script")
        if doubts.is_test(bare):
            self.note("test")
        else:
            self.judge_letters(bare)
        if name.given and name.family:
            for part in (name.given, name.family):
                if len(part) == 1 and part.isascii():
                    self.note("initial", part)
        elif not self.noted("organisation", "household") and not (name.joint and name.given):
            self.note("one_word", name.given or name.family)
        if _DIGIT.search(bare):
            self.note("digits", bare)

    def judge_letters(self, bare: str) -> None:
        """Notes a name given in jest, or by a hand run over the keyboard."""
        if doubts.is_joke(bare) or doubts.is_joke(self.said.strip()):
            self.note("joke")
        elif doubts.is_mash(bare):
            self.note("mash")
