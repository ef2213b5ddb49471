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

# How wide signs of Libertinus Serif are at most, bold ones too, in em. As `measure` of the typesetter says.
_SIGNS = {
    0.25: " ',.|\xa0", 0.3: "!:;‘’", 0.35: "()/\\ijl{}ìíîï", 0.4: '"-IJ[]`ftÌÍÎÏ', 0.45: "*?rs“”¨¿", 0.5: "_cez~çèéêë",
    0.55: "#$+0123456789<>FS^abgvàáâãäå–", 0.6: "=Ldopquxyòóôõöùúûüýÿ", 0.65: "%EPYZhknÈÉÊËßñ", 0.7: "BTVÝ",
    0.75: "&ACDGKNOQRUXÀÁÂÃÄÅÇÐÑÒÓÔÕÖØÙÚÛÜ—", 0.8: "w", 0.85: "H…", 0.9: "M", 0.95: "m",
}  # fmt: skip
_WIDTHS = {sign: wide for wide, signs in _SIGNS.items() for sign in signs}
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
    return {"wide": _width(said), "like": f"{kind} {fonts}", "said": f"{kind} {fonts} {name}"}


def _width(line: str) -> float:
    """How wide a line is at most, in em; 0 if it has a break, or signs of another typeface."""
    if "\n" in line or _SURE.search(line):
        return 0.0
    return sum(_WIDTHS.get(sign, _WIDEST) for sign in line)


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
