"""Letters to print: one tagged PDF (PDF/UA-1, ISO 14289-1) for any number of members.

What is printed reaches the typesetter as data, never as its markup.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from importlib.resources import files

import segno
import typst
from anyascii import anyascii

from onboard.errors import SettingsTrouble
from onboard.settings import Settings
from onboard.welcome.packet import Packet

LETTER = "letter.typ"
A_LETTER = ("US", "CA", "MX", "PR", "PH", "CL", "CO", "VE")  # where paper is Letter, else A4: CLDR


def pdf(packets: Iterable[Packet], settings: Settings) -> bytes:
    """One PDF with a letter for each packet, each beginning on a new page.

    Letters that no typeface here has are written in Latin ones, which the letter says. Raises
    `SettingsTrouble` when the co-op's own letter template is broken.
    """
    letters = [json.loads(packet.letter) for packet in packets]
    data = {
        "letters": [_showable(letter) for letter in letters],
        "paper": "us-letter" if settings.region in A_LETTER else "a4",
        "code": _code(settings.ordering_page),
    }
    source, name = _source(settings)
    try:
        return bytes(
            typst.compile(source, sys_inputs={"data": json.dumps(data)}, pdf_standards="ua-1")
        )
    except typst.TypstError as error:
        raise SettingsTrouble(f"{name}: {error}. Put it right, or take the file away.") from error


def _source(settings: Settings) -> tuple[bytes, str]:
    own = settings.templates / LETTER if settings.templates else None
    if own and own.is_file():
        return own.read_bytes(), str(own)
    return (files(__package__) / "templates" / LETTER).read_bytes(), LETTER


def _code(url: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, of medium error correction."""
    image = io.BytesIO()
    segno.make(url, error="m", micro=False).save(image, kind="svg", scale=4, border=4)
    return image.getvalue().decode()


# ---------------------------------------------------------------- letters that cannot be shown

_SURE = re.compile("[^\x20-\x7e\xa0-\xff\u0100-\u017f\u2010-\u2026\n]")  # Latin, which ours has


def _showable(value: object) -> object:
    """The data with every sign that no typeface here has in Latin letters instead."""
    match value:
        case str():
            return _SURE.sub(lambda sign: sign[0] if _shown(sign[0]) else anyascii(sign[0]), value)
        case Mapping():
            return {key: _showable(held) for key, held in value.items()}
        case Sequence():
            return [_showable(held) for held in value]
        case _:
            return value


@cache
def _shown(sign: str) -> bool:
    """Whether the typesetter can show a sign: it refuses to make a PDF/UA that lacks one."""
    try:
        typst.compile(
            b'#set document(title: "a")\n#sys.inputs.sign',
            sys_inputs={"sign": sign},
            pdf_standards="ua-1",
        )
    except typst.TypstError:
        return False
    return True
