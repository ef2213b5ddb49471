"""A letter as JSON, the form in which `letters.pdf` prints it."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from hashlib import blake2b

from anyascii import anyascii

from onboard.welcome.blocks import Block


def letter(about: Mapping[str, object], said: Iterable[str]) -> str:
    """A letter of blocks, as `block` gives them, and what is printed besides."""
    return f'{json.dumps(showable(about))[:-1]}, "blocks": [{", ".join(said)}]}}'


def block(one: Block) -> str:
    """A block of a letter."""
    said = [
        [{"text": showable(s.text), "strong": s.strong, "url": s.url} for s in line]
        for line in one.lines
    ]
    return json.dumps(
        {"kind": one.kind, "lines": said, "pieces": [_piece(one.kind, line) for line in said]}
    )


# ---------------------------------------------------------------- how high a block is

# How wide signs of Libertinus Serif are at most, in em, as `measure` of the typesetter says.
_REGULAR = {
    0.19: "'", 0.21: '|', 0.22: ',.', 0.24: ':;', 0.25: ' \xa0', 0.27: '‘’l', 0.28: 'ij{}ìíîï', 0.29: '!\\',
    0.30: '()IÌÍÎÏ', 0.31: 'f', 0.32: 't', 0.33: '/J', 0.34: '"-', 0.36: '[]', 0.37: '*', 0.38: 'r“”¨', 0.39: 's',
    0.40: '`', 0.43: 'czç', 0.44: '?¿', 0.45: 'e~èéêë', 0.46: 'aàáâãäå', 0.47: '#$0123456789', 0.49: '_FSx',
    0.50: 'bgv', 0.51: 'doqòóôõö', 0.52: '^pyýÿk', 0.53: 'L', 0.54: 'uùúûüh', 0.55: '+<>–=Pnßñ', 0.56: 'EÈÉÊË',
    0.58: 'YÝ', 0.59: 'BR', 0.60: 'T', 0.61: 'Z', 0.64: '%K', 0.65: 'CÇ', 0.66: 'VX', 0.67: 'UÙÚÛÜ', 0.69: 'G',
    0.70: 'ANÀÁÂÃÄÅÑ', 0.71: '&DOQÐÒÓÔÕÖØ', 0.73: 'H', 0.75: '—w…', 0.79: 'm', 0.84: 'M',
}  # fmt: skip
_BOLD = {
    0.22: "'|", 0.25: ' ,.\xa0', 0.26: ':;‘’', 0.27: '!', 0.31: '\\{}', 0.32: '()/j', 0.33: 'ilìíîï', 0.36: '-t',
    0.37: 'IÌÍÎÏ', 0.38: '"J', 0.40: '[]`f', 0.41: '¨', 0.43: '?rs¿', 0.44: '*“”', 0.46: 'czç', 0.48: '~',
    0.49: '_eèéêë', 0.51: 'Saàáâãäå', 0.52: '#$0123456789<>^', 0.53: 'gv', 0.54: '+–', 0.55: 'Fb', 0.56: '=oyòóôõöýÿ',
    0.57: 'dx', 0.58: 'Lq', 0.59: 'p', 0.60: 'uùúûü', 0.61: 'EÈÉÊË', 0.62: 'Phknßñ', 0.63: 'YZ', 0.64: '%',
    0.66: 'BTÝ', 0.70: 'V', 0.71: 'CÇ', 0.72: 'RX', 0.73: '&OQÒÓÔÕÖØ', 0.74: 'ADGKNUÀÁÂÃÄÅÐÑÙÚÛÜ', 0.75: '—',
    0.78: 'w', 0.82: 'H…', 0.90: 'M', 0.91: 'm',
}  # fmt: skip
_WIDTHS = [
    {sign: wide for wide, signs in table.items() for sign in signs} for table in (_REGULAR, _BOLD)
]
_WIDEST = 1.05  # of all others that it has
_AS_WIDE_AS_FITS = "shown"  # on a line, in the template


def _piece(kind: str, line: Sequence[Mapping[str, object]]) -> dict[str, object]:
    """What of letters is measured by itself: a line of a list, or the one that a block has.

    It has a name by what it says, and one by how it is written, which holds if it fits on one line; and how
    wide it may be, in em: 0 if only measuring can tell.
    """
    said = "".join(str(span["text"]) for span in line)
    if kind == _AS_WIDE_AS_FITS:
        return {"wide": 0, "like": "", "said": f"{kind} {len(said)}"}
    fonts = "".join(sorted({"sw"[not span["strong"]] for span in line}))
    name = blake2b(said.encode("utf-8", "replace"), digest_size=9).hexdigest()
    return {"wide": _width(line), "like": f"{kind} {fonts}", "said": f"{kind} {fonts} {name}"}


def _width(line: Sequence[Mapping[str, object]]) -> float:
    """How wide a line is at most, in em; 0 if it has a break, or signs of another typeface."""
    wide = 0.0
    for span in line:
        said, widths = str(span["text"]), _WIDTHS[bool(span["strong"])]
        if "\n" in said or _SURE.search(said):
            return 0.0
        wide += sum(widths.get(sign, _WIDEST) for sign in said)
    return wide


# ---------------------------------------------------------------- letters that cannot be shown

_SURE = re.compile(" ?[^\x20-\x7e\xa0-\xff\u0100-\u017f\u2010-\u2026\n]")  # Latin, which ours has
_PICTURE = re.compile(":[a-z0-9_+-]+:")  # what stands for a picture: it says nothing in print


def showable(value: object) -> object:
    """The data with every sign that no typeface here has in Latin letters instead, and without pictures."""
    match value:
        case str():
            return _SURE.sub(_in_latin, value)
        case Mapping():
            return {key: showable(held) for key, held in value.items()}
        case Sequence():
            return [showable(held) for held in value]
        case _:
            return value


def _in_latin(found: re.Match[str]) -> str:
    before, sign = found[0][:-1], found[0][-1]
    if _shown(sign):
        return before + sign
    said = anyascii(sign)
    return "" if _PICTURE.fullmatch(said) else before + said


@cache
def _shown(sign: str) -> bool:
    """Whether the typesetter can show a sign: it refuses to make a PDF/UA that lacks one."""
    import typst  # few letters have such signs

    try:
        typst.compile(
            b'#set document(title: "a")\n#sys.inputs.sign',
            sys_inputs={"sign": sign},
            pdf_standards="ua-1",
        )
    except typst.TypstError:
        return False
    return True
