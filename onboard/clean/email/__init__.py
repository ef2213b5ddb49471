"""Email addresses: RFC 5321 and 5322 for the form, RFC 6531 for letters beyond ASCII.

Policy: what people use is accepted; what is legal but never used by people (quoted names, IP
addresses, comments) is put on hold; slips in the domain are suggested and never rewritten. The
address stays as typed, and `Email.identity` says which mailbox it reaches. Whether a well-formed
address receives mail nobody can tell from its form.
docs/contacts.md says the same for coordinators.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from email_validator import EmailNotValidError, ValidatedEmail, validate_email

from onboard.clean.email import characters, providers
from onboard.clean.email.mailbox import Relation, relation, slip
from onboard.model import Cleaned, Email, Finding, Kind, Weight

__all__ = ["KINDS", "Relation", "clean", "relation", "show", "slip"]

MISSING = Kind(
    "email.missing", Weight.BLOCKING,
    "There is no email address, and without one no account or packet can be made.",
    wrong="none", right="pat@example.org",
)  # fmt: skip
UNREADABLE = Kind(
    "email.unreadable", Weight.BLOCKING,
    "What was typed cannot be an email address.",
    wrong="pat..lee@example.org", right="pat.lee@example.org",
)  # fmt: skip
UNCLEAR = Kind(
    "email.unclear", Weight.BLOCKING,
    "The address can be read in more than one way, and a wrong guess would write to a stranger.",
    wrong="pat lee@example.org", right="pat.lee@example.org",
)  # fmt: skip
WRONG_FIELD = Kind(
    "email.wrong_field", Weight.BLOCKING,
    "Something else stands where the email address should be.",
    wrong="(419) 555-0143", right="pat@example.org",
)  # fmt: skip
PLACEHOLDER = Kind(
    "email.placeholder", Weight.BLOCKING,
    "The address is made up to fill the field.",
    wrong="none@none.com", right="pat@example.org",
)  # fmt: skip
UNUSUAL = Kind(
    "email.unusual", Weight.BLOCKING,
    "The address is legal, but of a form that hardly any mail program accepts.",
    wrong='"pat lee"@example.org', right="pat.lee@example.org",
)  # fmt: skip
LONG = Kind(
    "email.long", Weight.DOUBTFUL,
    "The cell is far too long for an email address; only its beginning was read.",
    wrong="pat@example.org " + "x" * 1000, right="pat@example.org",
)  # fmt: skip
SPACES = Kind(
    "email.spaces", Weight.MENDED,
    "Spaces around the address or its @ were taken out.",
    wrong=" pat @example.org", right="pat@example.org",
)  # fmt: skip
CHARACTERS = Kind(
    "email.characters", Weight.MENDED,
    "Full-width or invisible characters were put right.",
    wrong="pat＠example.org", right="pat@example.org",
)  # fmt: skip
WRAPPING = Kind(
    "email.wrapping", Weight.MENDED,
    "Brackets, quotation marks, a name, mailto: or punctuation around the address was left off.",
    wrong="Pat Lee <pat@example.org>", right="pat@example.org",
)  # fmt: skip
WORDS = Kind(
    "email.words", Weight.DOUBTFUL,
    "There are other words beside the address.",
    wrong="pat@example.org after June", right="pat@example.org",
)  # fmt: skip
SPELLING = Kind(
    "email.spelling", Weight.DOUBTFUL,
    "The address was mistyped or spelled out, and there is only one way to read it.",
    wrong="pat (at) example (dot) org", right="pat@example.org",
)  # fmt: skip
SEVERAL = Kind(
    "email.several", Weight.DOUBTFUL,
    "There is more than one address; the first is used and the others are kept.",
    wrong="pat@example.org or pat@example.net", right="pat@example.org",
)  # fmt: skip
SLIP = Kind(
    "email.slip", Weight.DOUBTFUL,
    "The part after the @ looks like a slip of a well-known one.",
    wrong="pat@gmial.com", right="pat@gmail.com",
)  # fmt: skip
WEB = Kind(
    "email.web", Weight.DOUBTFUL,
    "The address begins like that of a web page.",
    wrong="www.pat@example.org", right="pat@example.org",
)  # fmt: skip
CONFUSABLE = Kind(
    "email.confusable", Weight.DOUBTFUL,
    "The address has letters that look like others, perhaps from another alphabet.",
    wrong="pat@ex\N{CYRILLIC SMALL LETTER A}mple.org", right="pat@example.org",
)  # fmt: skip
INTERNATIONAL = Kind(
    "email.international", Weight.DOUBTFUL,
    "The name before the @ has letters beyond a-z, which some mail systems cannot send to.",
    wrong="pelé@example.org", right="pele@example.org",
)  # fmt: skip
ROLE = Kind(
    "email.role", Weight.DOUBTFUL,
    "The address belongs to a job or a group, so others may read the mail.",
    wrong="office@example.org", right="pat@example.org",
)  # fmt: skip
THROWAWAY = Kind(
    "email.throwaway", Weight.DOUBTFUL,
    "The mailbox is of a service whose mailboxes are thrown away.",
    wrong="pat@mailinator.com", right="pat@example.org",
)  # fmt: skip
SPECIAL_USE = Kind(
    "email.special_use", Weight.DOUBTFUL,
    "The domain is reserved for tests or private networks; mail never arrives there.",
    wrong="pat@example.test", right="pat@example.org",
)  # fmt: skip
COUNTRY_ONLY = Kind(
    "email.country_only", Weight.DOUBTFUL,
    "There is only a country's ending after the @.",
    wrong="pat@io", right="pat@example.io",
)  # fmt: skip

KINDS = (
    MISSING, UNREADABLE, UNCLEAR, WRONG_FIELD, PLACEHOLDER, UNUSUAL, LONG, SPACES, CHARACTERS,
    WRAPPING, WORDS, SPELLING, SEVERAL, SLIP, WEB, CONFUSABLE, INTERNATIONAL, ROLE, THROWAWAY,
    SPECIAL_USE, COUNTRY_ONLY,
)  # fmt: skip

LONGEST = 1000  # characters read of a cell; RFC 5321, 4.5.3.1.3 ends an address at 254

# RFC 5322, 3.2.3: atext
_ATEXT = r"A-Za-z0-9!#$%&'*+/=?^_`{|}~\-"
_PLAIN = re.compile(rf"([{_ATEXT}.]{{1,64}})@([A-Za-z0-9.\-]{{1,253}})")
_TOKEN = re.compile(rf"[\w{_ATEXT}.]+@[\w.\-]+")


def clean(said: str) -> Cleaned[Email]:
    """The address meant by `said`, the mailbox it reaches, and what is odd about it.

    The local part stays as typed; the domain is in small letters, as A-labels (RFC 5890,
    2.3.2.1) unless the local part needs SMTPUTF8 anyway. Never raises; `value` is None where
    no single address can be meant.

    >>> cleaned = clean("Pat Lee <Pat.Lee+coop@GMail.com>")
    >>> cleaned.value.address, cleaned.value.identity
    ('Pat.Lee+coop@gmail.com', 'patlee@gmail.com')
    >>> [f.code for f in clean("pat@gmial.com").findings]
    ['email.slip']
    """
    if (parsed := _plain(said)) and not said.startswith("'"):
        return _understood(said, parsed, [])
    return _Reading(said).result()


def show(value: Email) -> str:
    """The address, and any others of the same cell, one a line.

    >>> show(clean("pat@Example.org").value)
    'pat@example.org'
    """
    return "\n".join((value.address, *value.others))


# ---------------------------------------------------------------- one address


@dataclass(frozen=True, slots=True)
class _Domain:
    """A domain that is well formed, and what is to be said of it."""

    ascii: str
    shown: str
    kinds: tuple[Kind, ...] = ()
    suggestion: str = ""


@dataclass(frozen=True, slots=True)
class _Parsed:
    local: str
    domain: _Domain

    @property
    def address(self) -> str:
        # RFC 6531, 3.2: a server without SMTPUTF8 takes A-labels only, so that form is
        # the one to write to wherever the local part allows it
        domain = self.domain.ascii if self.local.isascii() else self.domain.shown
        return f"{self.local}@{domain}"


# Reserved for tests and private use: RFC 6761, 6.2 and 6.4; ICANN, 29 July 2024 ("internal").
# "example" is not among them: RFC 6761, 6.5 asks programs not to treat it as special.
_SPECIAL_USE = (".test", ".invalid", ".internal")


def _library(address: str) -> ValidatedEmail | str:
    """What email-validator makes of an address, or in its words why it is none."""
    try:
        return validate_email(
            address, check_deliverability=False, strict=True, test_environment=True,
            allow_quoted_local=True, allow_domain_literal=True, allow_display_name=True,
        )  # fmt: skip
    except EmailNotValidError as wrong:
        return str(wrong)


@lru_cache(maxsize=65536)
def _domain(domain: str) -> _Domain | str:
    """The domain, in whatever letters it is typed, or why it is none."""
    folded = domain.lower()
    if re.fullmatch(r"[a-z]{2}", folded) and folded in providers.endings():
        # RFC 5321, 2.3.5: a top-level domain may stand alone. ICANN forbids it to all but
        # the countries (resolution of 13 August 2013), whose endings have two letters.
        return _Domain(folded, folded, (COUNTRY_ONLY,))
    if "." not in domain.translate({0x3002: ".", 0xFF0E: ".", 0xFF61: "."}):
        return "There is no dot after the @."
    # RFC 6761, 6.4 reserves .invalid just as 6.2 does .test; the library has a switch for one
    stand_in = re.sub(r"\.invalid$", ".test", folded)
    checked = _library(f"x@{stand_in}")
    if isinstance(checked, str):
        return checked
    if stand_in != folded:
        return _Domain(folded, folded, (SPECIAL_USE,))
    assert checked.ascii_domain is not None
    ascii_domain = checked.ascii_domain.lower()
    kinds = []
    if ascii_domain.endswith(_SPECIAL_USE):
        kinds.append(SPECIAL_USE)
    if providers.throwaway(ascii_domain):
        kinds.append(THROWAWAY)
    if any(characters.confusable(label) for label in checked.domain.split(".")):
        kinds.append(CONFUSABLE)
    return _Domain(
        ascii_domain, checked.domain, tuple(kinds), providers.suggestion(ascii_domain)
    )


def _plain(text: str) -> _Parsed | None:
    """The parts of an address in plain ASCII, as nearly all are; None if it is not one."""
    match = _PLAIN.fullmatch(text)
    if match is None or len(text) > 254:
        return None
    local, written = match.groups()
    if local[0] == "." or local[-1] == "." or ".." in local:
        return None
    domain = _domain(written.lower())
    return None if isinstance(domain, str) else _Parsed(local, domain)


def _parse(text: str) -> _Parsed | None:
    """The parts of an address as people write them, with letters of any alphabet."""
    if parsed := _plain(text):
        return parsed
    if text.isascii() or text.count("@") != 1 or '"' in text:
        return None
    local, _, written = text.partition("@")
    domain = _domain(written)
    if isinstance(domain, str):
        return None
    checked = _library(f"{local}@example.org")
    if isinstance(checked, str) or not checked.local_part:
        return None
    parsed = _Parsed(checked.local_part, domain)
    return parsed if len(parsed.address.encode()) <= 254 else None


def _understood(
    said: str, parsed: _Parsed, findings: list[Finding], others: tuple[str, ...] = ()
) -> Cleaned[Email]:
    """The result for a parsed address: its value, what was found before, and what is odd."""
    local, domain = parsed.local, parsed.domain
    if _filler(local, domain.ascii):
        note = f"{parsed.address} is made up; ask for the real address by phone."
        return Cleaned(said, None, (*findings, PLACEHOLDER.found(_short(said), note)))
    findings = [*findings, *(k.found(_short(said), note) for k, note in _oddities(parsed))]
    value = Email(parsed.address, providers.identity(local, domain.ascii), others)
    return Cleaned(said, value, tuple(findings))


def _oddities(parsed: _Parsed) -> Iterator[tuple[Kind, str]]:
    local, domain = parsed.local, parsed.domain
    if domain.suggestion:
        meant = f"{local}@{domain.suggestion}"
        yield SLIP, f"{domain.shown} looks like a slip of {domain.suggestion}; ask whether {meant} is meant."
    if local[:4].lower() == "www." and len(local) > 4:
        yield WEB, f"www. belongs to web pages; ask whether {local[4:]}@{domain.shown} is meant."
    for kind in domain.kinds:
        yield kind, _DOMAIN_NOTES[kind.code].format(domain=domain.shown, address=parsed.address)
    if not local.isascii():
        yield from _beyond_ascii(local, domain)
    elif re.sub(r"[-_.]", "", local.lower()) in providers.roles():
        yield ROLE, (
            f"{local}@ is the address of a job or a group; ask for the member's own, as the"
            " packet holds a password."
        )


_DOMAIN_NOTES = {
    SPECIAL_USE.code: "{domain} is reserved and gets no mail; ask for another address.",
    THROWAWAY.code: "{domain} mailboxes are thrown away soon; ask for a lasting address.",
    CONFUSABLE.code: (
        "{domain} has letters that only look like the usual ones; have the address spelled out"
        " before you send anything."
    ),
    COUNTRY_ONLY.code: "{domain} is only a country's ending; ask whether the address is whole.",
}


def _beyond_ascii(local: str, domain: _Domain) -> Iterator[tuple[Kind, str]]:
    plain = characters.plain(local)
    meant = f"{plain}@{domain.shown}" if plain.isascii() and plain else ""
    if characters.confusable(local):
        ask = f"ask whether {meant} is meant" if meant else "have the address spelled out"
        yield CONFUSABLE, f"{local} has letters that only look like others; {ask}."
    elif domain.ascii in providers.providers() and meant:
        yield INTERNATIONAL, (
            f"{domain.shown} gives out names in plain letters only (common practice); ask"
            f" whether {meant} is meant."
        )
    else:
        yield INTERNATIONAL, (
            f"{local} has letters beyond a-z, which some mail systems cannot send to (SMTPUTF8,"
            " RFC 6531); ask for a second address."
        )


# What people write to get past a field that must not be empty (common practice).
_FILLERS = frozenset(
    "none no na nil null nomail noemail noemailaddress noname nobody nowhere nothing email mail"
    " unknown fake asdf asdfasdf qwerty xxx xxxx xyz abc aaa donthave donthaveone noone void"
    " notapplicable nope idk blank anonymous noreply ninguno notengo nada".split()
)
# Enough by themselves, whatever comes after the @.
_SURE_FILLERS = frozenset(
    "noemail nomail noemailaddress none donthaveone donthave notapplicable notengo ninguno".split()
)


def _filler(local: str, domain: str) -> bool:
    name = re.sub(r"[-_.]", "", local.lower())
    if name not in _FILLERS:
        return False
    return name in _SURE_FILLERS or domain.partition(".")[0].replace("-", "") in _FILLERS


def _short(said: str) -> str:
    return said if len(said) <= 200 else said[:200] + "…"


# ---------------------------------------------------------------- whatever else was typed

_NOTHING = re.compile(
    r"\W*(?:(?:n/?a|nil|null|none|no|not|unknown|nothing|tbd|later|pending|same|x+|dont|don't|"
    r"does|doesn't|do|have|has|one|any|an|got|at|all|this|time|given|applicable|yet|available|"
    r"email|e-mail|mail|address|ninguno|nada|sin|tengo|tiene|correo|electr[oó]nico)\W*)*",
    re.IGNORECASE,
)
_LABEL = re.compile(
    r"(?:my|his|her|our|the|new|primary|personal|home|work|e-?mail|mail|correo|electr[oó]nico|"
    r"address|addr|is|es|mi|at|or|and|y|o|to|a|contact|id|use|try|please|also|preferred|best|"
    r"dr|mr|mrs|ms|prof)",
    re.IGNORECASE,
)
_SCHEME = re.compile(r"\s*(mailto|https?|e-?mail(?: address)?|correo(?: electr[oó]nico)?)\s*:\s*/{0,2}", re.I)
_QUOTES = "\"'`´‘’‚“”„«»‹›"
_PAIRS = {"<": ">", "(": ")", "[": "]", "{": "}", "\\": "\\", **{q: q for q in "\"'`´"},
          "‘": "’", "“": "”", "„": "“", "«": "»", "‹": "›"}  # fmt: skip
_SEPARATORS = " \t\n,;|&/\\"
_AT_WORD = re.compile(
    r"\s*[(\[{<]\s*(?:at|arroba|@)\s*[)\]}>]\s*|\s+(?:at|arroba)\s+|_at_", re.IGNORECASE
)
_DOT_WORD = re.compile(
    r"\s*[(\[{<]\s*(?:dot|punto|point|\.)\s*[)\]}>]\s*|\s+(?:dot|punto)\s+|_dot_", re.IGNORECASE
)
_MARK_WORDS = (
    (re.compile(r"\s+(?:underscore|gui[oó]n bajo)\s+", re.IGNORECASE), "_"),
    (re.compile(r"\s+(?:dash|hyphen|gui[oó]n)\s+", re.IGNORECASE), "-"),
)
_COMMENT = re.compile(r"\([^()]*\)")
_SHIFTED = "#!$%^&*(\"'"  # on the keys around 2, where @ is on a US keyboard


class _Reading:
    """One try at reading a cell that is not simply an address."""

    def __init__(self, said: str) -> None:
        self.said = said
        self.findings: list[Finding] = []

    def found(self, kind: Kind, note: str) -> None:
        self.findings.append(kind.found(_short(self.said), note))

    def give_up(self, kind: Kind, note: str) -> Cleaned[Email]:
        self.found(kind, note)
        return Cleaned(self.said, None, tuple(self.findings))

    def take(self, parsed: _Parsed, others: tuple[str, ...] = ()) -> Cleaned[Email]:
        return _understood(self.said, parsed, self.findings, others)

    def result(self) -> Cleaned[Email]:
        text = self.tidied()
        if _NOTHING.fullmatch(text):
            return self.give_up(MISSING, "There is no email address; ask for one by phone.")
        for attempt in (self.unusual, self.wrapped, self.spaced, self.several, self.respelled):
            if answer := attempt(text):
                return answer
        return self.refused(text)

    def tidied(self) -> str:
        """The text without what nobody means: spaces around, full width, unseen marks."""
        text = self.said
        if len(text) > LONGEST:
            self.found(LONG, f"The cell has {len(text):,} characters; only the first {LONGEST:,} were read. Look at the form.")  # noqa: E501
            text = text[:LONGEST]
        put_right = characters.tidy(text)
        if put_right != text:
            self.found(CHARACTERS, "Full-width or invisible characters were put right; nothing to do.")
        bare = put_right.strip()
        if bare != put_right:
            self.found(SPACES, "Spaces around the address were taken out; nothing to do.")
        return bare

    def unusual(self, text: str) -> Cleaned[Email] | None:
        """Quoted names and IP addresses (RFC 5321, 4.1.2 and 4.1.3), comments (RFC 5322, 3.2.2)."""
        if "@" not in text or not any(mark in text for mark in '"[('):
            return None
        if "(" in text:
            bare = text
            for _ in range(3):
                bare = _COMMENT.sub("", bare)
            glued = re.search(r"\S\(|\)\S", text[1:-1])
            if bare != text and glued and (parsed := _parse(bare.strip())):
                self.found(UNUSUAL, f"{text} has a comment in it; ask whether {parsed.address} is meant.")
                return self.take(parsed)
            return None
        checked = _library(text)
        if isinstance(checked, str):
            return None
        address = checked.normalized
        if parsed := _parse(address):
            if checked.display_name is not None:
                return None
            self.found(UNUSUAL, f"{text} is quoted without need; ask whether {address} is meant.")
            return self.take(parsed)
        self.found(
            UNUSUAL,
            f"{address} is legal but hardly any mail program accepts it; ask for another address.",
        )
        key = f"{(checked.local_part or '').casefold()}@{checked.ascii_domain or checked.domain}"
        return Cleaned(self.said, Email(address, key), tuple(self.findings))

    def wrapped(self, text: str) -> Cleaned[Email] | None:
        """An address with brackets, quotes, a name or a scheme around it."""
        bare = text
        web = False
        for _ in range(6):  # wrappings can stand in one another
            before = bare
            if scheme := _SCHEME.match(bare):
                web = web or scheme[1].lower().startswith("http")
                bare = bare[scheme.end() :]
                if scheme[1].lower() == "mailto":
                    bare = bare.partition("?")[0]
            if len(bare) > 1 and _PAIRS.get(bare[0]) == bare[-1]:
                bare = bare[1:-1]
            bare = bare.strip().lstrip("'<").rstrip(".,;:!?/'>")
            if bare == before:
                break
        named = re.fullmatch(r"[^<>@]*<\s*(?:mailto:)?([^<>]+?)\s*>[^<>@]*", text, re.IGNORECASE)
        for candidate in (bare, named[1] if named else ""):
            if parsed := _parse(candidate):
                if candidate == text:
                    pass  # it only had spaces around it, or letters beyond ASCII
                elif web:
                    self.found(SPELLING, f"This is written like a web page; ask whether {parsed.address} is meant.")
                else:
                    self.found(WRAPPING, f"Only {parsed.address} was kept; nothing to do.")
                return self.take(parsed)
        return None

    def spaced(self, text: str) -> Cleaned[Email] | None:
        """An address with spaces in it where there can be none."""
        if parsed := _parse(re.sub(r"\s*@\s*", "@", text)):
            self.found(SPACES, "Spaces around the @ were taken out; nothing to do.")
            return self.take(parsed)
        local, at, domain = text.rpartition("@")
        joined = re.sub(r"\s+", "", domain)
        if not at or joined == domain or re.search(r"\s", local.strip()):
            return None
        parsed = _parse(f"{local.strip()}@{joined}")
        if parsed is None:
            return None
        known = parsed.domain.ascii in providers.providers()
        at_a_dot = re.fullmatch(r"\s*[\w-]+(?:\s*\.\s*[\w-]+)+\s*", domain)
        if known or (at_a_dot and parsed.domain.ascii.rpartition(".")[2] in providers.endings()):
            return self.read_as(parsed)
        return None

    def several(self, text: str) -> Cleaned[Email] | None:
        """One address among words, or more than one."""
        loose = re.sub(r"\\[nrt]", "\n", text)  # line ends as some exports write them
        parts: list[_Parsed] = []
        rest: list[str] = []
        at = 0
        for token in _TOKEN.finditer(loose):
            bare = token[0].lstrip("/'|&").rstrip(".-_")
            if parsed := _parse(bare):
                begins = token.end() - len(token[0].lstrip("/'|&"))
                rest.append(loose[at:begins])
                at = token.start() + token[0].index(bare) + len(bare)
                parts.append(parsed)
        rest.append(loose[at:])
        if not parts or not self._apart(rest):
            return None
        first = parts[0]
        others = tuple(
            dict.fromkeys(
                p.address
                for p in parts[1:]
                if providers.identity(p.local, p.domain.ascii)
                != providers.identity(first.local, first.domain.ascii)
            )
        )
        if others:
            kept = ", ".join(others)
            self.found(SEVERAL, f"{first.address} is used and {kept} kept; ask which one to write to.")
            return self.take(first, others)
        words = " ".join(rest).strip(_SEPARATORS + _QUOTES + ".:<>()[]{}-–—")
        if not words:
            self.found(WRAPPING, f"Only {first.address} was kept; nothing to do.")
            return self.take(first)
        if ask := self._split_name(rest[0], first):
            return self.give_up(UNCLEAR, ask)
        self.found(WORDS, f'Beside {first.address} there is "{_short(words)}"; see whether it matters.')
        return self.take(first)

    @staticmethod
    def _apart(rest: list[str]) -> bool:
        """Whether what stands between addresses is apart from them, not a piece of them."""
        before, after = rest[0], rest[-1]
        loose = _SEPARATORS + _QUOTES + "<>()[]{}:.,!?-–—"
        return (
            (not before or before[-1] in loose)
            and (not after or after[0] in loose)
            and not re.search(r"@", before + after)
            and not re.search(r'["\\@]\S*$', before)
            and not re.match(r"[(\[{.:\\\-]\S*[\w@]", after)
        )

    @staticmethod
    def _split_name(before: str, parsed: _Parsed) -> str:
        """What to ask if a word before the address may be a part of it, cut off by a space."""
        match = re.search(r"(?:^|\s)([\w.'+-]+)\s+$", re.sub(r"\s+\.", ".", before))
        if match is None or _LABEL.fullmatch(match[1]):
            return ""
        if match[1].endswith("."):
            return f"There is a space before the @; ask whether {match[1]}{parsed.address} is meant."
        named = [word for word in re.findall(r"\w+", before.lower()) if len(word) > 1]
        if any(word in parsed.local.lower() for word in named):
            return ""  # a name, then the address made of it
        head, tail = match[1].rstrip("."), parsed.address
        return (
            f"There is a space before the @; ask whether {head}.{tail}, {head}{tail},"
            f" {head}_{tail} or {tail} is meant."
        )

    def respelled(self, text: str) -> Cleaned[Email] | None:
        """An address with a slip that leaves one way to read it, or spelled out in words."""
        spelled = _DOT_WORD.sub(".", text)
        for pattern, mark in _MARK_WORDS:
            spelled = pattern.sub(mark, spelled)
        if "@" not in text:
            spelled = _AT_WORD.sub("@", spelled, count=1)
        half = len(text) // 2
        candidates = [
            spelled,
            re.sub(r"@{2,}", "@", spelled),
            re.sub(r"\.{2,}(?=[^@]*$)", ".", spelled) if "@" in spelled else "",
            re.sub(r"(@[\w-]+(?:\.[\w-]+)*)\s*[,;:]\s*(?=[A-Za-z]{2,6}$)", r"\1.", spelled),
            text[:half] if text[:half].lower() == text[half:].lower() else "",
            self._dotted(spelled),
        ]
        for candidate in candidates:
            if candidate != text and (parsed := _parse(candidate.strip(" .,;"))):
                return self.read_as(parsed)
        return self._without_at(spelled)

    @staticmethod
    def _dotted(text: str) -> str:
        """The address with the dot that its provider's domain lacks, or ""."""
        local, _, domain = text.partition("@")
        domain = domain.lower()
        if not local or not domain or "." in domain:
            return ""
        for known in providers.targets().values():
            if domain == known.domain.replace(".", "") or (
                domain == known.name and known.reach >= 3
            ):
                return f"{local}@{known.domain}"
        return ""

    def _without_at(self, text: str) -> Cleaned[Email] | None:
        """An address of a well-known provider whose @ is missing or another key."""
        folded = text.lower()
        domain = max(
            (d for d in providers.targets() if folded.endswith(d)), key=len, default=""
        )
        if not domain or "@" in text:
            return None
        before = text[: -len(domain)]
        if len(before) < 2 or before.lower() in ("www.", "http://", "https://www."):
            return None
        if before[-1] == "2":
            # 2 is on the key of @; but the name may as well end in a 2 and lack its @
            if _parse(f"{before[:-1]}@{domain}"):
                return self.give_up(
                    UNCLEAR,
                    f"The @ is missing; ask whether {before[:-1]}@{domain} or {before}@{domain}"
                    " is meant.",
                )
            return None
        local = before[:-1] if before[-1] in _SHIFTED + "." else before
        if parsed := _parse(f"{local}@{domain}"):
            return self.read_as(parsed)
        return None

    def read_as(self, parsed: _Parsed) -> Cleaned[Email]:
        self.found(SPELLING, f'"{_short(self.said)}" was read as {parsed.address}; ask whether that is right.')
        return self.take(parsed)

    def refused(self, text: str) -> Cleaned[Email]:
        digits = sum(c.isdigit() for c in text)
        if "@" not in text and 7 <= digits <= 15 and not re.search(r"[^\W\d_]{4,}", text):
            return self.give_up(
                WRONG_FIELD,
                f'"{_short(text)}" looks like a telephone number; ask for the email address.',
            )
        why = _library(text) if len(text) <= 320 else "It is too long."
        reason = why if isinstance(why, str) else "Its parts cannot be told apart."
        return self.give_up(
            UNREADABLE,
            f'"{_short(text)}" cannot be an email address. {reason} Ask for it by phone.',
        )
