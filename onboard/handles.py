"""Sign-in handles: first and last name, small letters, no spaces.

    >>> handle = clean("Seán O'Brien Jr.").value
    >>> show(handle)
    'seanobrien'
    >>> for sentence in tell(handle):
    ...     print(sentence)
    We leave out the suffix: Seán O'Brien Jr becomes Seán O'Brien.
    We write letters without accents or other marks: Seán O'Brien becomes Sean O'Brien.
    We leave out the apostrophe: Sean O'Brien becomes Sean OBrien.
    We write everything as one word: Sean OBrien becomes SeanOBrien.
    We use small letters only: SeanOBrien becomes seanobrien.

A handle is letters a to z and digits, so it is allowed by the UsernameCaseMapped profile
(RFC 8265 section 3.3) and is of a single script (UTS 39 section 5.1). Accents go by NFKC (UAX 15)
and transliteration, never by guess of a language: ü becomes u, ß becomes ss.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Container, Mapping
from functools import cache, lru_cache

from onboard.clean import name as names
from onboard.model import Cleaned, Finding, Handle, Kind, PersonName, Step, Weight
from onboard.settings import HandleRule
from onboard.tables import rows

# ---------------------------------------------------------------- what can be found

JOINT = Kind(
    "handle.joint", Weight.BLOCKING,
    "Two people are on one join form. A sign-in name is for one person.",
    "Pat and Robin Lee", "Pat Lee",
)  # fmt: skip
SCRIPT = Kind(
    "handle.script", Weight.BLOCKING,
    "The name is not in Latin letters.",
    "王 小明", "Xiaoming Wang",
)  # fmt: skip
UNCLEAR = Kind(
    "handle.unclear", Weight.BLOCKING,
    "We need a clear name before we can make a sign-in name.",
    "Jos? Garc?a", "José García",
)  # fmt: skip
RESERVED = Kind(
    "handle.reserved", Weight.BLOCKING,
    "The sign-in name would be a reserved word.",
    "Ad Min", "Ada Min",
)  # fmt: skip
SHORTENED = Kind(
    "handle.shortened", Weight.DOUBTFUL,
    "The sign-in name was too long, so it was shortened.",
    "Maximiliana Wolfeschlegelsteinhausen-Bergerdorff", "Pat Lee",
)  # fmt: skip
DEVICE = Kind(
    "handle.device", Weight.DOUBTFUL,
    "Windows keeps the word for itself, so no file can have it as a name. We add a word.",
    "Nu L", "Nu Lee",
)  # fmt: skip
KINDS: tuple[Kind, ...] = (JOINT, SCRIPT, UNCLEAR, RESERVED, SHORTENED, DEVICE)

# ---------------------------------------------------------------- the steps in words

STEPS: Mapping[str, Mapping[str, str]] = {
    what: {"en": english, "es": spanish} for what, english, spanish in rows("handle_steps")
}


def tell(handle: Handle, language: str = "en") -> tuple[str, ...]:
    """The steps from the name to the handle, a sentence each, in English ("en") or Spanish ("es").

    A language that we do not have is told in English.

    >>> tell(Handle("patlee2", (Step("number", "patlee", "patlee2"),)))
    ('We add a number, so it is yours alone: patlee becomes patlee2.',)
    """
    return tuple(
        STEPS[step.what]
        .get(language, STEPS[step.what]["en"])
        .format(before=step.before, after=step.after)
        for step in handle.steps
    )


# ---------------------------------------------------------------- the rule


def clean(name: PersonName | str, rule: HandleRule = HandleRule()) -> Cleaned[Handle]:  # noqa: B008
    """The handle that a name gives, before anybody else's is looked at.

    A text is cleaned as a name first; what blocks the name blocks the handle. The same name gives
    the same handle. `value` is None where a person must answer first.

    >>> clean("Dr. María José Núñez-Ortiz").value.text
    'mariajosenunezortiz'
    >>> clean("Ad Min").findings[0].code
    'handle.reserved'
    """
    if isinstance(name, PersonName):
        return _of_name(name, rule)
    cleaned = names.clean(name)
    blocking = tuple(f for f in cleaned.findings if f.weight is Weight.BLOCKING)
    if cleaned.value is None:
        return Cleaned(name, None, blocking)
    if blocking:
        shown = names.show(cleaned.value)
        return Cleaned(
            name, None, (*blocking, _trouble(cleaned.value, shown, rule) or _unsettled(shown))
        )
    return _of_name(cleaned.value, rule)._replace(said=name)


@lru_cache(maxsize=2048)  # a batch asks twice: who has it already, then whether it can be had
def _of_name(name: PersonName, rule: HandleRule) -> Cleaned[Handle]:
    shown = names.show(name)
    findings: list[Finding] = []
    if trouble := _trouble(name, shown, rule):
        return Cleaned(shown, None, (trouble,))
    handle = _no_device(_shorten(_make(name, rule), rule.longest), rule.longest)
    if not handle.text:
        note = f"“{shown}” leaves no letters for a sign-in name. Ask for the name."
        return Cleaned(shown, None, (UNCLEAR.found(shown, note),))
    if is_reserved(handle.text, rule):
        note = (
            f"The sign-in name would be “{handle.text}”. Nobody can have it, because people or"
            " programs would take it for something else. Ask the member for a middle name or"
            " initial to add to the first name."
        )
        return Cleaned(shown, None, (RESERVED.found(shown, note),))
    if any(step.what == "shorten" for step in handle.steps):
        note = (
            f"The sign-in name would have more than {rule.longest} characters. It is shortened to"
            f" “{handle.text}”. Tell the member, who will expect the whole name."
        )
        findings.append(SHORTENED.found(shown, note))
    if handle.steps and handle.steps[-1].what == "device":
        note = (
            f"Windows keeps “{handle.steps[-1].before}” for itself, and no packet could have it as a"
            f" file name. The sign-in name is “{handle.text}”. Tell the member, who will expect the"
            " name alone."
        )
        findings.append(DEVICE.found(shown, note))
    return Cleaned(shown, handle, tuple(findings))


def show(handle: Handle) -> str:
    """The handle as it is typed at sign-in."""
    return handle.text


def free(handle: Handle, taken: Container[str], rule: HandleRule = HandleRule()) -> Handle:  # noqa: B008
    """The handle, or where it is taken the first free one with a number from 2 on.

    >>> free(Handle("patlee"), {"patlee", "patlee2"}).text
    'patlee3'
    """
    text, number = handle.text, 2
    while text in taken or is_reserved(text, rule):
        stem = handle.text[: max(1, rule.longest - len(str(number)))]
        text = f"{stem}{number}"
        number += 1
    if text == handle.text:
        return handle
    return Handle(text, (*handle.steps, Step("number", handle.text, text)))


def with_both_readings(
    name: Cleaned[PersonName],
    text: str,
    rule: HandleRule = HandleRule(),  # noqa: B008
) -> Cleaned[PersonName]:
    """The cleaned name, whose doubt about two last names tells the handle of either reading.

    `text` is the handle that the member gets.
    """
    other = _read_otherwise(name)
    if other is None:
        return name
    would = _of_name(other, rule).value
    if would is None:
        return name
    given = " ".join(filter(None, (other.given, other.middle)))
    command = f'onboard correct {text} --name "{other.family}, {given}"'
    if text.removeprefix(would.text).isdigit() or text == would.text:
        more = f" The sign-in name is {text} either way. To change the name: {command} --record"
    else:
        more = (
            f" Now the sign-in name is {text}; if so, it would be {would.text}. To change both:"
            f" {command} --new-handle --record"
        )
    return name._replace(
        findings=tuple(
            f._replace(note=f.note + more) if f.code in _TWO_READINGS else f for f in name.findings
        ),
    )


_TWO_READINGS = ("name.two_last_names", "name.last_or_middle")


def _read_otherwise(name: Cleaned[PersonName]) -> PersonName | None:
    """The name as the question about its last names has it; None where there is no such question."""
    codes = {finding.code for finding in name.findings}.intersection(_TWO_READINGS)
    if not codes or name.value is None:
        return None
    value, last, middle = name.value, names.apart(name.value.family), name.value.middle.split()
    if "name.two_last_names" in codes and len(last) > 1:
        return value._replace(
            middle=" ".join((*middle, last[0])), family=value.family[len(last[0]) :].strip()
        )
    if "name.last_or_middle" in codes and middle:
        return value._replace(middle=" ".join(middle[:-1]), family=f"{middle[-1]} {value.family}")
    first, *rest = value.given.split() or [""]
    if "name.last_or_middle" in codes and rest:  # "Luis De Jesús"
        return value._replace(given=first, family=f"{' '.join(rest)} {value.family}")
    return None


def _trouble(name: PersonName, shown: str, rule: HandleRule) -> Finding | None:
    """Why no handle can be made of a name, if so."""
    if name.joint:
        people = (name._replace(joint=()), *name.joint)
        would = " and ".join(show(_make(one, rule)) for one in people)
        note = f"“{shown}” is more than one person. Ask who the account is for ({would})."
        return JOINT.found(shown, note)
    text = f"{name.given} {name.family}"
    if not text.isascii() and not all(map(_is_latin, text)):
        hint = _make(name, rule).text
        note = (
            f"A sign-in name needs Latin letters, and “{shown}” has others. Ask the member how they"
            " spell the name in Latin letters"
            + (f" (a computer would write {hint})." if hint else ".")
        )
        return SCRIPT.found(shown, note)
    if "?" in text:
        return _unsettled(shown)
    return None


def _unsettled(shown: str) -> Finding:
    return UNCLEAR.found(
        shown,
        f"We need a clear name before we can make a sign-in name of “{shown}”. Ask for the name.",
    )


def _is_latin(char: str) -> bool:
    if char.isascii() or unicodedata.category(char)[0] != "L":
        return True
    return unicodedata.name(char, "").startswith(("LATIN", "MODIFIER", "FEMININE", "MASCULINE"))


def _make(name: PersonName, rule: HandleRule) -> Handle:
    """The handle and its steps, from the name as it is written out."""
    steps: list[Step] = []
    text = names.show(name)

    def step(what: str, after: str) -> None:
        nonlocal text
        if after != text:
            steps.append(Step(what, text, after))
            text = after

    if name.given or name.family:
        for what, part, without in _WITHOUT:
            if getattr(name, part):
                name = without(name)
                step(what, names.show(name))
        if rule.last_names != "all":
            last = names.apart(name.family)
            name = name._replace(
                family=last[0 if rule.last_names == "first" else -1] if last else ""
            )
            step("last-names", names.show(name))
    for what, change in _CHANGES:
        if (after := change(text)) != text:
            step(what, after)
    return Handle(text, tuple(steps))


_WITHOUT: tuple[tuple[str, str, Callable[[PersonName], PersonName]], ...] = (
    ("title", "title", lambda name: name._replace(title="")),
    ("nickname", "called", lambda name: name._replace(called="")),
    ("suffix", "suffix", lambda name: name._replace(suffix="")),
    ("former-name", "former", lambda name: name._replace(former="")),
    ("middle-name", "middle", lambda name: name._replace(middle="")),
)


def _plain_letters(text: str) -> str:
    if text.isascii():
        return text
    from anyascii import anyascii  # its tables are read only where there is an accent

    text = unicodedata.normalize("NFKC", text)
    # Combining marks that stand alone would be lost or written out; the okina is an apostrophe.
    text = "".join(c for c in text if not unicodedata.combining(c)).replace("\u02bb", "'")
    return "".join(c if c.isascii() else str(anyascii(c)) for c in text)


_PUNCTUATION = re.compile(r"[^A-Za-z0-9 ]+")
_CHANGES: tuple[tuple[str, Callable[[str], str]], ...] = (
    ("accents", _plain_letters),
    ("apostrophe", lambda text: text.replace("'", "").replace("`", "")),
    ("hyphen", lambda text: text.replace("-", "")),
    ("punctuation", lambda text: _PUNCTUATION.sub("", text)),
    ("join", lambda text: text.replace(" ", "")),
    ("small-letters", str.lower),
)


def _shorten(handle: Handle, longest: int) -> Handle:
    if len(handle.text) <= longest:
        return handle
    short = handle.text[: max(1, longest)]
    return Handle(short, (*handle.steps, Step("shorten", handle.text, short)))


# Names of devices, whatever stands behind a dot; CON.eml is no file. "Naming Files, Paths, and
# Namespaces", Windows App Development, Microsoft Learn. Those without a number would meet one as
# soon as a second member had the name.
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com|lpt)[0-9]*")
_ADDED = "coop"  # a word that is the same in every language


def is_device(text: str) -> bool:
    """Whether Windows takes a file of that name for a device, whatever stands behind a dot.

    >>> is_device("con"), is_device("LPT1.lee"), is_device("conlee"), is_device("com")
    (True, True, False, False)
    """
    return re.fullmatch(r"(?:con|prn|aux|nul|(?:com|lpt)[0-9])(?:\..*)?", text.lower()) is not None


def _no_device(handle: Handle, longest: int = 30) -> Handle:
    """The handle, with a word added where it would be a device of Windows, with a number or not.

    >>> _no_device(Handle("com1")).text, _no_device(Handle("conlee")).text
    ('com1coop', 'conlee')
    """
    if not _DEVICE.fullmatch(handle.text):
        return handle
    other = handle.text[: max(1, longest - len(_ADDED))] + _ADDED
    return Handle(other, (*handle.steps, Step("device", handle.text, other)))


# ---------------------------------------------------------------- look-alikes

_ALIKE = (("rn", "m"), ("vv", "w"))
_SAME = str.maketrans({"0": "o", "O": "o", "1": "l", "I": "l", "|": "l"})


def skeleton(text: str) -> str:
    """What a handle looks like: equal for two that common typefaces show alike.

    After UTS 39 section 4, with the pairs that matter among small letters and digits: rn and m,
    vv and w (house rules), l, 1 and capital I, o and 0. For comparing only, never to be shown.

    >>> skeleton("patlee") == skeleton("pat1ee"), skeleton("vvill") == skeleton("will")
    (True, True)
    """
    if not text.isascii():
        text = "".join(map(_latin_alike, unicodedata.normalize("NFKC", text)))
    text = text.translate(_SAME).lower()
    for pair, one in _ALIKE:
        text = text.replace(pair, one)
    return text


@cache
def _latin_alike(char: str) -> str:
    """The Latin letter that a letter of another script looks like; else the letter itself."""
    if char.isascii() or _is_latin(char):
        return char
    from confusable_homoglyphs import confusables  # 50 ms, and only for foreign letters

    found = confusables.is_confusable(char, greedy=True, preferred_aliases=[]) or []
    for entry in found:
        for alike in entry["homoglyphs"]:
            if len(alike["c"]) == 1 and alike["c"].isascii():
                return str(alike["c"])
    return char


@cache
def _reserved_alike() -> frozenset[str]:
    return frozenset(skeleton(word) for word, _ in rows("reserved_handles"))


def is_reserved(text: str, rule: HandleRule = HandleRule()) -> bool:  # noqa: B008
    """Whether nobody may have the handle, or one that looks like it.

    >>> is_reserved("adrnin"), is_reserved("patlee")
    (True, False)
    """
    return skeleton(text) in _reserved_alike() or text in map(str.lower, rule.reserved)
