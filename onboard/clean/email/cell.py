"""Cells that are not simply an address: what stands around it, beside it, or in its place."""

from __future__ import annotations

import re
import string
import unicodedata
from collections.abc import Iterator
from functools import partial

from onboard.clean.email import characters, kinds
from onboard.clean.email.address import ATEXT, SPREADSHEET_MARKS, Parsed, library, parse
from onboard.clean.email.mailbox import identity
from onboard.clean.email.oddities import made_up, oddities
from onboard.clean.email.providers import endings, providers
from onboard.clean.email.slips import targets
from onboard.clean.email.strays import PAIRS, across, half, torn_before
from onboard.late import late
from onboard.model import Cleaned, Email, Finding, Kind
from onboard.tables import words as words_of

LONGEST = 500  # characters read of a cell; an address ends at 254 (RFC 5321, 4.5.3.1.3)

_TOKEN = late(rf"[\w{ATEXT}.]+@[\w.\-]+")
_TAG = late(r"</?[A-Za-z][A-Za-z0-9]*(?:\s[^<>]*)?/?>")
_COMMENT = late(r"\([^()]*\)")
_SCHEME = late(
    r"\s*(mailto|https?|e-?mail(?: address)?|correo(?: electr[oó]nico)?)\s*:\s*/{0,2}",
    re.IGNORECASE,
)
_CLOSE = '@)]}"`´’”»›'  # what closes goes with what opens, and a name before an @ is no address
_QUOTES = "\"'`´‘’‚“”„«»‹›"
_SEPARATORS = " \t\r\n,;|&/\\"
_APART = _SEPARATORS + _QUOTES + "<>()[]{}:.,!?-–—"
_LETTERS = late(r"\w(?: \w){2,}")
_AT = late(r"\s*[(\[{<]\s*(?:at|arroba|@)\s*[)\]}>]\s*|\s+(?:at|arroba)\s+|_at_|%40|&#64;", re.I)
_DOT = late(r"\s*[(\[{<]\s*(?:dot|punto|\.)\s*[)\]}>]\s*|\s+(?:dot|punto)\s+|_dot_", re.I)
_UNDERSCORE = late(r"\s+(?:underscore|gui[oó]n bajo)\s+", re.I)
_HYPHEN = late(r"\s+(?:dash|hyphen|gui[oó]n)\s+", re.I)
contact_words = partial(words_of, "contact_words")


class EmailCell:
    """One try at reading a cell; what is noticed on the way gathers in `findings`."""

    def __init__(self, said: str) -> None:
        self.said = said
        self.findings: list[Finding] = []

    def found(self, kind: Kind, note: str) -> None:
        if all(finding.code != kind.code for finding in self.findings):  # said once is enough
            self.findings.append(kind.found(_short(self.said), note))

    def give_up(self, kind: Kind, note: str) -> Cleaned[Email]:
        self.found(kind, note)
        return Cleaned(self.said, None, tuple(self.findings))

    def take(self, parsed: Parsed, others: tuple[str, ...] = ()) -> Cleaned[Email]:
        """The result for an address found: its value, and what is odd about it."""
        if made_up(parsed):
            note = f"{parsed.address} is made up. Ask for the real email address by phone."
            return self.give_up(kinds.PLACEHOLDER, note)
        if kinds.COUNTRY_ONLY in parsed.domain.kinds:
            note = f"{parsed.domain.shown} is only a country code. Ask for the rest of the email address."
            return self.give_up(kinds.COUNTRY_ONLY, note)
        for kind, note in oddities(parsed):
            self.found(kind, note)
        value = Email(parsed.address, parsed.identity, others)
        return Cleaned(self.said, value, tuple(self.findings))

    def read_as(self, parsed: Parsed) -> Cleaned[Email]:
        """The result for an address that was not written so, but can only mean this."""
        self.found(
            kinds.SPELLING,
            f"“{_short(self.said)}” was read as {parsed.address}. Ask if that is right.",
        )
        return self.take(parsed)

    def result(self) -> Cleaned[Email]:
        text = self.tidied()
        if _nothing(text):
            return self.give_up(
                kinds.MISSING,
                "No email address. Ask for one by phone. No email? Answer enroll, and a letter will be made.",
            )
        for attempt in (
            self.unusual, self.wrapped, self.spaced, self.across, self.several, self.respelled,
        ):  # fmt: skip
            if answer := attempt(text):
                return answer
        return self.refused(text)

    def tidied(self) -> str:
        """The text without what nobody means: spaces around, full width, unseen marks, tags."""
        text = self.said
        if len(text) > LONGEST:
            self.found(
                kinds.LONG,
                f"The cell has {len(text):,} characters; only the first {LONGEST} were read."
                " Look at the form.",
            )
            text = text[:LONGEST]
        visible = characters.tidy(text)
        if visible != text:
            self.found(
                kinds.CHARACTERS,
                "Full-width or hidden characters were fixed. Nothing to do.",
            )
        untagged = _TAG.sub(" ", visible)
        if untagged != visible:
            self.found(kinds.WRAPPING, "Web page code was removed. Nothing to do.")
        bare = untagged.strip()
        if untagged == visible and bare != visible:
            self.found(kinds.SPACES, "Spaces around the email address were removed. Nothing to do.")
        return bare

    # ------------------------------------------------------------ ways to read it, in order

    def unusual(self, text: str) -> Cleaned[Email] | None:
        """Quoted names and IP addresses (RFC 5321, 4.1.2, 4.1.3); comments (RFC 5322, 3.2.2)."""
        if "@" not in text:
            return None
        if "(" in text:
            return self._commented(text)
        if '"' not in text and "[" not in text:
            return None
        checked = library(text)
        if isinstance(checked, str):
            return None
        address = checked.normalized
        if address.startswith(SPREADSHEET_MARKS):
            return None
        if parsed := parse(address):
            if checked.display_name is not None:
                return None
            self.found(
                kinds.UNUSUAL,
                f"{text} has quotation marks it does not need. Ask if they mean {address}.",
            )
            return self.take(parsed)
        self.found(
            kinds.UNUSUAL,
            f"{address} is allowed, but almost no email program accepts it. Ask for another one.",
        )
        key = identity(checked.local_part, checked.ascii_domain or checked.domain)
        return Cleaned(self.said, Email(address, key), tuple(self.findings))

    def _commented(self, text: str) -> Cleaned[Email] | None:
        bare = text
        for _ in range(3):  # comments can stand in one another
            bare = _COMMENT.sub("", bare)
        # with a space between, it is a remark beside the address and no comment in it
        glued = re.search(r"\S\(|\)\S", text[1:-1])
        parsed = parse(bare.strip()) if bare != text and glued else None
        if parsed is None:
            return None
        self.found(kinds.UNUSUAL, f"{text} has a comment in it. Ask if they mean {parsed.address}.")
        return self.take(parsed)

    def wrapped(self, text: str) -> Cleaned[Email] | None:
        """An address with brackets, quotes, a name or a scheme around it."""
        bare, web = _unwrapped(text)
        named = re.fullmatch(r"[^<>@]*<\s*(?:mailto:)?([^<>]+?)\s*>[^<>@]*", text, re.IGNORECASE)
        for candidate in (bare, named[1] if named else ""):
            if parsed := parse(candidate):
                if web:
                    return self.read_as(parsed)
                if candidate != text:
                    self._only(parsed)
                return self.take(parsed)
        return None

    def _only(self, parsed: Parsed) -> None:
        self.found(kinds.WRAPPING, f"Only {parsed.address} was kept. Nothing to do.")

    def spaced(self, text: str) -> Cleaned[Email] | None:
        """An address with spaces in it where there can be none."""
        closed = re.sub(r"\s*@\s*", "@", text)
        if parsed := parse(closed):
            self.found(kinds.SPACES, "Spaces around the @ were removed. Nothing to do.")
            return self.take(parsed)
        if spelled := _letter_by_letter(closed):
            return self.read_as(spelled)
        if closed != text and (found := self.across(closed) or self.several(closed)):
            return found
        local, at, domain = text.rpartition("@")
        joined = re.sub(r"\s+", "", domain)
        if not at or joined == domain or re.search(r"\s", local.strip()):
            return None
        parsed = parse(f"{local.strip()}@{joined}")
        if parsed is None:
            return None
        known = parsed.domain.ascii in providers()
        exists = parsed.domain.ascii.rpartition(".")[2] in endings()
        at_a_dot = re.fullmatch(r"\s*[\w-]+(?:\s*\.\s*[\w-]+)+\s*", domain)
        return self.read_as(parsed) if known or (at_a_dot and exists) else None

    def across(self, text: str) -> Cleaned[Email] | None:
        """An address with a stray sign in its domain, "pat@gm,ail.com"."""
        meant = [parsed for address in across(text) if (parsed := parse(address))]
        if len(meant) == 1:
            return self.read_as(meant[0])
        if not meant:
            return None
        readings = _one_of([parsed.address for parsed in meant])
        return self.give_up(
            kinds.UNCLEAR, f"There is a stray sign after the @. Ask if they mean {readings}."
        )

    def several(self, text: str) -> Cleaned[Email] | None:
        """One address among words, or more than one; the one nobody doubts comes first."""
        parts, rest = _addresses(re.sub(r"\\[nrt]", "\n", text))  # "\n" as some exports write it
        if not parts or not _apart(rest):
            return None
        whole = [p for i, p in enumerate(parts) if not _torn(p, rest[i], rest[i + 1])]
        if not whole:
            return self._torn_before(parts[0], rest[0], rest[1]) if len(parts) == 1 else None
        whole.sort(key=lambda parsed: bool(parsed.domain.suggestion or parsed.domain.kinds))
        first = whole[0]
        others = {p.identity: p.address for p in whole[1:] if p.identity != first.identity}
        if others:
            kept = ", ".join(others.values())
            odd = [p.address for p in whole if p.domain.suggestion and not first.domain.suggestion]
            doubt = f" {' and '.join(odd)} may be a typo." if odd else ""
            self.found(
                kinds.SEVERAL,
                f"{first.address} is used and {kept} kept.{doubt} Ask which one to write to.",
            )
            return self.take(first, tuple(others.values()))
        # a torn address beside the whole one is told as it was written
        words = (" ".join(rest) if len(whole) == len(parts) else text).strip(_APART)
        if all(w in contact_words("email") for w in re.findall(r"[^\W_]+", words.lower())):
            self._only(first)
            return self.take(first)
        if readings := _cut_by_a_space(rest[0], first):
            return self.give_up(
                kinds.UNCLEAR, f"There is a space before the @. Ask if they mean {readings}."
            )
        self.found(
            kinds.WORDS,
            f"Next to {first.address} it says “{_short(words)}”. See if it matters.",
        )
        return self.take(first)

    def _torn_before(self, parsed: Parsed, before: str, after: str) -> Cleaned[Email] | None:
        """The question about a name with a stray sign in it, "pat,lee@gmail.com"."""
        word = torn_before(before, parsed.local, f"@{after}")
        if not word:
            return None
        tail = parsed.address
        readings = _one_of([f"{word}.{tail}", f"{word}{tail}", tail])
        return self.give_up(
            kinds.UNCLEAR, f"There is a stray sign before the @. Ask if they mean {readings}."
        )

    def respelled(self, text: str) -> Cleaned[Email] | None:
        """An address with a slip that leaves one way to read it, or spelled out in words."""
        spelled = _HYPHEN.sub("-", _UNDERSCORE.sub("_", _DOT.sub(".", text)))
        if "@" not in text:
            spelled = _AT.sub("@", spelled, count=1)
        for candidate in _respellings(spelled):
            if candidate != text and (parsed := parse(candidate.strip(" .,;"))):
                return self.read_as(parsed)
        if "@" in spelled:
            whole = spelled != text and re.search(r"@\S+$", spelled)
            return self.several(spelled) if whole else None
        return self._without_at(spelled)

    def _without_at(self, text: str) -> Cleaned[Email] | None:
        """An address of a well-known provider whose @ is missing or another key."""
        folded = text.lower()
        domain = max((d for d in targets() if folded.endswith(d)), key=len, default="")
        before = text[: -len(domain)] if domain else ""
        if len(before) < 2 or re.match(r"www\.|https?:", before, re.IGNORECASE):
            return None
        if before[-1] == "2" and parse(f"{before[:-1]}@{domain}"):
            # 2 is on the key of @; but the name may as well end in a 2 and lack its @
            return self.give_up(
                kinds.UNCLEAR,
                f"The @ is missing. Ask if they mean {before[:-1]}@{domain} or {before}@{domain}.",
            )
        local = before if before[-1].isalnum() else before[:-1]
        parsed = parse(f"{local}@{domain}")
        return self.read_as(parsed) if parsed else None

    def refused(self, text: str) -> Cleaned[Email]:
        digits = sum(c.isdigit() for c in text)
        if "@" not in text and 7 <= digits <= 15 and not re.search(r"[^\W\d_]{4,}", text):
            return self.give_up(
                kinds.WRONG_FIELD,
                f"“{_short(text)}” looks like a phone number. Ask for the email address.",
            )
        why = library(text) if len(text) <= 320 else "It is too long."
        reason = why if isinstance(why, str) else "We can't tell its parts apart."
        return self.give_up(
            kinds.UNREADABLE,
            f"“{_short(text)}” can't be an email address. {reason} Ask for it by phone.",
        )


def _short(said: str) -> str:
    return said if len(said) <= 200 else said[:200] + "…"


def _nothing(text: str) -> bool:
    """Whether a cell says in words, or without any, that there is no address."""
    if "@" in text:
        return False
    words = re.findall(r"[^\W_]+", text.lower())
    return all(word in contact_words("nothing") or not word.strip("x") for word in words)


def _unwrapped(text: str) -> tuple[str, bool]:
    """The text without what stands around it, and whether that was the start of a web page's."""
    web = False
    for _ in range(6):  # wrappings can stand in one another
        before = text
        if scheme := _SCHEME.match(text):
            web = web or scheme[1].lower().startswith("http")
            text = text[scheme.end() :]
            if scheme[1].lower() == "mailto":
                text = text.partition("?")[0]  # RFC 6068, 2: header fields follow
        if len(text) > 1 and PAIRS.get(text[0]) == text[-1]:
            text = text[1:-1]
        text = _without_signs(text.strip().lstrip("'=<*"))
        if text == before:
            break
    return text, web


def _without_signs(text: str) -> str:
    """The text without the signs at its end that no domain ends in, "pat@example.org*", and a dot of a list
    before it."""
    while text and text[-1] not in _CLOSE and _is_sign(text[-1]):
        text = text[:-1]
    return (
        text[1:].lstrip()
        if text and _is_sign(text[0]) and text[0] not in string.punctuation
        else text
    )


def _is_sign(c: str) -> bool:
    return unicodedata.category(c)[0] in "PS"


def _letter_by_letter(text: str) -> Parsed | None:
    """An address whose name is typed with a space between all its letters, "P A T@example.org"; of two letters
    it is not clear what they are."""
    local, _, domain = text.partition("@")
    return parse(f"{local.replace(' ', '')}@{domain}") if _LETTERS.fullmatch(local) else None


def _addresses(text: str) -> tuple[list[Parsed], list[str]]:
    """The addresses in a text, and the pieces before, between and after them."""
    parts: list[Parsed] = []
    rest: list[str] = []
    at = 0
    for token in _TOKEN.finditer(text):
        bare = token[0].lstrip("/'=|&").rstrip(".-_")
        if parsed := parse(bare):
            begins = token.start() + token[0].index(bare)
            rest.append(text[at:begins])
            at = begins + len(bare)
            parts.append(parsed)
    return parts, [*rest, text[at:]]


def _torn(parsed: Parsed, before: str, after: str) -> bool:
    """Whether an address is only a piece of what was written."""
    glued = f"{parsed.domain.shown}{after}"
    return half(glued) or bool(torn_before(before, parsed.local, f"@{after}"))


def _one_of(addresses: list[str]) -> str:
    *most, last = addresses
    return f"{', '.join(most)} or {last}"


def _apart(rest: list[str]) -> bool:
    """Whether what stands around the addresses is apart from them, not a piece of them."""
    before, after = rest[0], rest[-1]
    quoted = before.endswith('"') and after.startswith('"')
    return (
        (not before or before[-1] in _APART)
        and (not after or after[0] in _APART)
        and not any("@" in piece for piece in rest)
        and (quoted or not re.search(r'["\\][^\s:,;<(]*$', before))
        and not re.match(r"[(\[{.:\\\-]\S*\w", after)
    )


def _cut_by_a_space(before: str, parsed: Parsed) -> str:
    """What may be meant if the word before an address is a piece of it; "" if it is not."""
    match = re.search(r"(?:^|\s)([\w.'+-]+)\s+$", re.sub(r"\s+\.", ".", before))
    if match is None or match[1].lower() in contact_words("email"):
        return ""
    head, tail = match[1].rstrip("."), parsed.address
    if head != match[1]:
        return f"{head}.{tail}"
    if any(len(w) > 1 and w in parsed.local.lower() for w in re.findall(r"\w+", before.lower())):
        return ""  # a name, then the address made of it
    return f"{head}.{tail}, {head}{tail}, {head}_{tail} or {tail}"


def _respellings(text: str) -> Iterator[str]:
    """What a text means if one usual slip is put right, one after the other."""
    yield text
    yield re.sub(r"@{2,}", "@", text)
    yield re.sub(r"\.{2,}(?=[^@.]*$)", ".", text) if "@" in text else ""
    yield re.sub(r"(@[\w-]+(?:\.[\w-]+)*)\s*[,;:]\s*(?=[A-Za-z]{2,6}$)", r"\1.", text)
    half = len(text) // 2
    yield text[:half] if text[:half].lower() == text[half:].lower() else ""  # pasted twice
    local, _, domain = text.partition("@")
    again = re.fullmatch(r"([^@]+)@\1", domain, re.IGNORECASE)
    yield f"{local}@{again[1]}" if again else ""
    domain = domain.lower().strip(".")
    if local and domain and "." not in domain:
        for known in targets().values():  # the dot is missing, or all that follows it
            whole = domain == known.domain.replace(".", "")
            if whole or (domain == known.name and known.reach >= 3):
                yield f"{local}@{known.domain}"
