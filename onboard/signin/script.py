"""The words to say to a member who could not sign in: on the phone, by email, as a text message.

What they never hold: a password; anything that was typed; anybody else's name or handle; a name on
file beyond what the handle itself shows; whether an address or a person is known to us. For a
caller who knows facts has not shown who they are: NIST SP 800-63B-4 (August 2025) takes neither
knowledge nor answers to security questions as an authenticator (sections 2 and 3.1.1).
"""

from __future__ import annotations

import textwrap
from collections.abc import Collection, Iterable, Sequence
from enum import StrEnum
from functools import cache
from pathlib import Path

from anyascii import anyascii
from babel.dates import format_skeleton
from jinja2 import ChoiceLoader, FileSystemLoader, PackageLoader, StrictUndefined
from jinja2.sandbox import ImmutableSandboxedEnvironment

from onboard import handles
from onboard.model import Handle, Standing
from onboard.settings import Settings
from onboard.signin.account import UNSENT, UNWRITTEN, Account, Cause
from onboard.signin.beliefs import is_a_name
from onboard.signin.causes import ORDERING
from onboard.signin.guesses import are_in, is_known
from onboard.welcome import spelling
from onboard.welcome.words import told
from onboard.windows import say_day

LANGUAGES = ("en", "es")
_WORTH = 0.1  # a cause less likely than this is for the desk only
_MOST = 3  # more reasons at once help nobody

# Steps whose text holds no more of a name than the handle does. A middle or former name, a
# nickname or a title is a fact on file; the number's step has another member's handle in it.
_OPEN_STEPS = frozenset(
    ["accents", "apostrophe", "hyphen", "punctuation", "join", "small-letters", "shorten", "device"]
)


# What is amiss with a name, which says nothing where the handle is none.
_OF_THE_NAME = frozenset(
    ["typed.part", "typed.initial", "typed.middle_name", "typed.suffix", "typed.nickname",
     "typed.former_name", "typed.last_first", "typed.whole_name"]
)  # fmt: skip
# What stops them whatever they type.
_OF_THE_ACCOUNT = ("account.", "packet.", "page.disabled")
_OF_A_PART = frozenset(["typed.part", "typed.initial", "typed.whole_name"])


class Form(StrEnum):
    """How the words get to the member."""

    PHONE = "phone"
    MAIL = "mail"  # the body of a plain-text mail
    TEXT = "text"  # a short text message; parts are set apart by an empty line


def script(
    causes: Sequence[Cause],
    account: Account,
    settings: Settings,
    language: str = "en",
    form: Form | str = Form.PHONE,
    reader: str = "",
) -> str:
    """The words to say, in English ("en") or Spanish ("es") by ISO 639 code; other languages get English.

    Those for the phone open with a caution for whoever says them: it is in the language of the `reader`, else in the
    first language of the settings, for they may not read the member's.

    `causes` are what `why` told of this account. Raises `SettingsTrouble` when the co-op's own
    template is broken, and ValueError when the form is not one of `Form`.

    >>> from types import SimpleNamespace
    >>> settings = SimpleNamespace(
    ...     coop="Growers", ordering_page="https://order.example.org", shop_page="",
    ...     reply_phone="419-555-0100", sender="", templates=None, languages=("en",))
    >>> text = script((), Account(Handle("patlee")), settings, form="text")
    >>> text[:69]
    'Your sign-in name is patlee: one word, small letters, not your email.'
    """
    form = Form(form)
    language = _ours(language)
    name = f"{language}/signin-{form}.txt.j2"
    with told(name, settings):
        filled = (
            _environment(settings.templates)
            .get_template(name)
            .render(
                _values(causes, account, settings, language)
                | {"desk": _ours(reader or settings.languages[0])}
            )
        )
    if form is Form.TEXT:
        must, _, may = filled.partition("\n\n")
        return "\n\n".join(_parts(must.split("\n"), may.split("\n")))
    return "\n".join(_wrapped(filled)).strip() + "\n"


def _ours(language: str) -> str:
    language = language.partition("-")[0]
    return language if language in LANGUAGES else "en"


# ---------------------------------------------------------------- what templates are given


def _values(
    causes: Sequence[Cause], account: Account, settings: Settings, language: str
) -> dict[str, object]:
    """All that a template may speak of; docs/sign-in.md lists it."""
    codes = [_told(cause.code, account) for cause in causes if cause.confidence >= _WORTH]
    known = {cause.code for cause in causes}
    opens = next((cause.when for cause in causes if cause.code == "window.closed"), None)
    handle = account.handle if _works(account) and "page.disabled" not in codes else None
    is_in = account.standing is Standing.OPEN and are_in(causes)
    if not (handle or is_in):  # nothing that they type helps
        codes = [code for code in codes if code.startswith(_OF_THE_ACCOUNT)]
    # Some causes are told in one sentence, and it is said once.
    tell = getattr(
        _environment(settings.templates).get_template(f"{language}/signin-causes.j2").module,
        "tell",
        str,
    )
    by_sentence: dict[str, str] = {}
    for code in codes:
        by_sentence.setdefault(tell(code), code)
    password = _which_password(account, known)
    closes = next((cause.when for cause in causes if cause.code == "unexplained"), None)
    locked, down = "page.locked" in codes, codes[:1] == ["page.down"]
    return {
        "coop": _plain(settings.coop),
        "codes": list(by_sentence.values())[:_MOST],
        "handle": handle.text if handle else "",
        "spelled": [spelling.say(sign, language) for sign in handle.text] if handle else [],
        "traps": spelling.traps(handle.text, language) if handle else (),
        "steps": _steps(handle, language) if handle else (),
        "number": _number(handle) if handle else "",
        "page": _plain(settings.ordering_page),
        "shop": _plain(settings.shop_page),
        "phone": _plain(settings.reply_phone),
        "sender": _plain(settings.sender),
        # Which password they need: "new" (we must make one), "set" (on the page), "first", "if-got" (the
        # first, which may not have reached them), "own", or "" (not known).
        "password": password,
        "set_link": _plain(settings.password.set_link) if account.set_by_member else "",
        "locked": locked,
        "down": down,
        # They can try it while they listen; else they write it down for later.
        "now": not locked and not down and password != "new",
        # They say so, and what is left to tell is of ordering alone.
        "is_in": is_in,
        # Then it is true that they can sign in, though not order, and news to them; who is locked out, and nobody knows why, is told of the days alone.
        "can_sign_in": not locked and not down and password not in ("new", "if-got")
        and not is_in and is_known(causes),
        "closed": "window.closed" in known,
        # The code of what keeps them from ordering, said also where it stops no sign-in; "" for nothing.
        "no_order": next((code for code in ORDERING if code in known), ""),
        "opens": say_day(opens, language) if opens else "",
        "closes": say_day(closes, language) if closes else "",
        "opens_short": str(format_skeleton("MMMd", opens, locale=language)) if opens else "",
    }  # fmt: skip


def _which_password(account: Account, known: Collection[str]) -> str:
    first = account.password
    if account.set_by_member:
        return "set"
    if "password.expired" in known:
        return "new"
    if first is None:
        return ""
    if first.used:
        return "own"
    return "if-got" if account.packet in UNSENT else "first"


def _told(code: str, account: Account) -> str:
    """The cause as the member is told it: nobody hears of a whole last name where the co-op's rule
    takes one of two, nor of a letter that may never have reached them."""
    if code == "typed.forgotten" and (account.packet is None or account.packet in UNSENT):
        return "typed.no_letter"
    steps = account.handle.steps if account.handle else ()
    if code in _OF_A_PART and any(step.what == "last-names" for step in steps):
        return "typed.one_last_name"
    if code in _OF_THE_NAME and account.handle and not is_a_name(account.handle, account.names):
        return "typed.name"
    return code


def _works(account: Account) -> bool:
    """Whether there is a way in to be told: none while the account or its packet waits."""
    return account.standing is Standing.OPEN and account.packet not in UNWRITTEN


def _steps(handle: Handle, language: str) -> tuple[str, ...]:
    """How the handle came from the name, without what only the file knows."""
    base = next((step.before for step in handle.steps if step.what == "number"), None)
    # What a number was put to is another member's handle.
    steps = tuple(s for s in handle.steps if s.what in _OPEN_STEPS and s.after != base)
    return tuple(map(_plain, handles.tell(handle._replace(steps=steps), language)))


def _number(handle: Handle) -> str:
    """The number at the end of the handle, if it got one."""
    numbered = any(step.what == "number" for step in handle.steps)
    return handle.text[len(handle.text.rstrip("0123456789")) :] if numbered else ""


def _plain(text: str) -> str:
    """Text on one line, without characters that are not seen but do something."""
    return " ".join("".join(c if c.isprintable() else " " for c in text[:300]).split())


@cache
def _environment(folder: Path | None) -> ImmutableSandboxedEnvironment:
    ours = PackageLoader("onboard.signin")
    return ImmutableSandboxedEnvironment(
        loader=ChoiceLoader([FileSystemLoader(folder), ours]) if folder else ours,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        autoescape=False,  # plain text; `_plain` has taken out what could do something
    )


# ---------------------------------------------------------------- layout


_INDENTED = frozenset(["1.", "2.", "3.", "  "])


def _wrapped(text: str) -> Iterable[str]:
    """The lines, folded at 72 columns (78 is advised by RFC 5322 2.1.1; a web address stays whole),
    with never two empty lines together."""
    empty = True
    for line in text.splitlines():
        if not line.strip():
            if not empty:
                yield ""
            empty = True
            continue
        empty = False
        indent = "  " if line.startswith("- ") else "   " if line[:2] in _INDENTED else ""
        yield from textwrap.wrap(
            line, 72, subsequent_indent=indent, break_long_words=False, break_on_hyphens=False
        )


# ---------------------------------------------------------------- short text messages

# The GSM 7 bit default alphabet, and its extension table, whose signs count two.
# 3GPP TS 23.038, 6.2.1 and 6.2.1.1. 160 of them go into one message (3GPP TS 23.040, 9.2.3.24).
GSM = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
GSM_TWO = frozenset("^{}\\[~]|€")
LONGEST = 160


def length(text: str) -> int:
    """How many of a message's 160 places the text takes; it has only signs of the alphabet."""
    return sum(2 if sign in GSM_TWO else 1 for sign in text)


def _gsm(text: str) -> str:
    """The text in the GSM alphabet; a letter that is not in it loses its accent."""
    return "".join(
        c if c in GSM or c in GSM_TWO else "".join(d for d in anyascii(c) if d in GSM) for c in text
    )


def _parts(must: Sequence[str], may: Sequence[str]) -> list[str]:
    """The lines as messages of 160 places: one if that can be, then with what else fits in it."""
    parts = [""]
    for word in (w for line in must for w in _gsm(_plain(line)).split()):
        joined = f"{parts[-1]} {word}".strip()
        if length(joined) <= LONGEST:
            parts[-1] = joined
            continue
        while length(word) > LONGEST:  # an address longer than a message
            parts.append(word[: LONGEST // 2])
            word = word[LONGEST // 2 :]
        parts.append(word)
    parts = [part for part in parts if part]
    if len(parts) == 1:
        for line in may:
            joined = f"{parts[0]} {_gsm(_plain(line))}".strip()
            if length(joined) <= LONGEST:
                parts[0] = joined
    return parts
