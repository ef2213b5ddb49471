"""Letters to print: one tagged PDF (PDF/UA-1, ISO 14289-1) for any number of members.

What is printed reaches the typesetter as data, never as its markup.
"""

from __future__ import annotations

import io
import json
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

import segno

from onboard.errors import SettingsTrouble
from onboard.model import Member
from onboard.settings import Settings
from onboard.welcome.packet import TO, addressee
from onboard.welcome.printed import showable
from onboard.welcome.typeset import Broken, pages

if TYPE_CHECKING:
    from pypdf import PdfReader, PdfWriter

LETTER, LABELS, SHEET, HOST, CARDS = (
    "letter.typ",
    "labels.typ",
    "windows.typ",
    "host.typ",
    "postcards.typ",
)
HANDOUT = "handout.typ"
A_LETTER = ("US", "CA", "MX", "PR", "PH", "CL", "CO", "VE")  # where paper is Letter, else A4: CLDR


class Printed(Protocol):
    """What has a letter to print: a packet, a notice."""

    @property
    def letter(self) -> str: ...


def pdf(packets: Iterable[Printed], settings: Settings) -> bytes:
    """One PDF with a letter for each packet, each beginning on a new page.

    Signs that no typeface on this computer has are printed in Latin letters instead. Raises
    `SettingsTrouble` when the co-op's own `letter.typ` is broken, and `FileTrouble` when the letters
    cannot be typeset (see `typeset.pages`).
    """
    about = {
        "paper": "us-letter" if settings.region in A_LETTER else "a4",
        "code": _code(settings.ordering_page),
        "page": settings.ordering_page,
    }
    written = ", ".join(packet.letter for packet in packets)
    return _typeset(LETTER, f'{json.dumps(about)[:-1]}, "letters": [{written}]}}', settings)


def labels(members: Sequence[Member], settings: Settings) -> bytes:
    """Labels with the address of each member, on sheets of 30 (PDF). Raises as `pdf` does."""
    data = {
        "title": settings.coop,
        "lang": settings.languages[0],
        "labels": [showable(addressee(member, settings)) for member in members],
    }
    return _typeset(LABELS, json.dumps(data), settings)


def sheet(data: Mapping[str, object], settings: Settings) -> bytes:
    """The sheets for the wall (PDF) of what `wall.data` gives. Raises as `pdf` does."""
    return _on_paper(SHEET, data, settings)


def for_host(data: Mapping[str, object], settings: Settings) -> bytes:
    """The sheet for the host of a drop site (PDF) of what `host_sheet.data` gives. Raises as `pdf` does."""
    return _on_paper(HOST, data, settings)


def handout(data: Mapping[str, object], settings: Settings) -> bytes:
    """The hand-out (PDF) of what `guide.handout.data` gives; its code opens the page `link`. Raises as `pdf` does."""
    return _on_paper(HANDOUT, {**data, "code": _code(str(data["link"]))}, settings)


def _on_paper(name: str, data: Mapping[str, object], settings: Settings) -> bytes:
    paper = "us-letter" if settings.region in A_LETTER else "a4"
    return _typeset(name, json.dumps(showable({**data, "paper": paper})), settings)


def postcards(cards: Sequence[Mapping[str, object]], settings: Settings) -> bytes:
    """Postcards, four to a sheet (PDF), of what `postcard.card` gives. Raises as `pdf` does."""
    data = {
        "title": settings.coop,
        "lang": settings.languages[0],
        "paper": "us-letter" if settings.region in A_LETTER else "a4",
        "cards": [showable(card) for card in cards],
    }
    return _typeset(CARDS, json.dumps(data), settings)


def _typeset(name: str, data: str, settings: Settings) -> bytes:
    """The PDF that a template makes of the data, JSON: the co-op's own template, or ours."""
    own = settings.templates / name if settings.templates else None
    try:
        if own and own.is_file():
            return pages(own, data)
        with as_file(files(__package__) / "templates" / name) as ours:
            return pages(ours, data)
    except Broken as error:
        raise SettingsTrouble(
            f"{own or name}: {_where(error.diagnostic)}{error.message}. Fix it there, or "
            f"delete the file to get our {name.partition('.')[0]} back."
        ) from error


def picked(wanted: Mapping[Path, Collection[str]]) -> tuple[bytes, list[str]]:
    """The letters of some members, by their sign-in names, out of the files that hold them, or all of a
    file that none are named of: one PDF for paper, and the sign-in names whose letter is in none.

    Each begins on a sheet of its own, also when both sides are printed. What is in a file that cannot be
    read is in none.
    """
    from pypdf import PdfWriter  # takes long to load: not for who makes packets

    into, missing = PdfWriter(), []
    for file, handles in wanted.items():
        reader, parts = _parts(file)
        for handle in handles or parts:
            if reader is None or handle not in parts:
                missing.append(handle)
                continue
            first, end = parts[handle]
            for page in reader.pages[first:end]:
                into.add_page(page)
            if (end - first) % 2:
                into.add_blank_page()
    return _as_bytes(into), missing


def whose(file: Path) -> frozenset[str]:
    """The sign-in names of those whose letters a file holds; none if it cannot be read."""
    return frozenset(_parts(file)[1])


def without(file: Path, handles: Collection[str]) -> bytes:
    """A file of letters without those of some members, by their sign-in names: b"" if none is left.

    What is taken out is not in it any more. It is for paper: a page no longer says how it reads aloud.
    """
    from pypdf import PdfWriter

    reader, parts = _parts(file)
    stay = {handle: part for handle, part in parts.items() if handle not in handles}
    if reader is None or not stay:
        return b""
    into = PdfWriter()
    for handle, (first, end) in stay.items():
        begins = len(into.pages)
        for page in reader.pages[first:end]:
            into.add_page(page)
        into.add_named_destination(f"{TO}{handle}", begins)
        into.add_outline_item(title=handle, page_number=begins)
    into.add_metadata({name: str(text) for name, text in (reader.metadata or {}).items()})
    return _as_bytes(into)


def _parts(file: Path) -> tuple[PdfReader | None, dict[str, tuple[int, int]]]:
    """A file of letters, and by sign-in name the first page of a letter and the one after its last."""
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        reader = PdfReader(file)
        begins = {
            name.removeprefix(TO): reader.get_destination_page_number(place) or 0
            for name, place in reader.named_destinations.items()
        }
        ends = sorted({*begins.values(), len(reader.pages)})
    except (OSError, PyPdfError, ValueError, KeyError):  # it is gone, or no PDF of ours
        return None, {}
    in_order = sorted(begins.items(), key=lambda one: one[1])
    return reader, {
        handle: (first, next(n for n in ends if n > first)) for handle, first in in_order
    }


def _as_bytes(pdf: PdfWriter) -> bytes:
    out = io.BytesIO()
    pdf.write(out)
    return out.getvalue()


def _where(diagnostic: str) -> str:
    """The line that a message of the typesetter speaks of, "line 3: ", or nothing."""
    found = re.search(r"┌─ [^\n]*:(\d+):\d+\n", diagnostic)
    return f"line {found[1]}: " if found else ""


def _code(url: str) -> str:
    """A QR code (ISO/IEC 18004) as SVG, of medium error correction."""
    image = io.BytesIO()
    segno.make(url, error="m", micro=False).save(image, kind="svg", scale=4, border=4)
    return image.getvalue().decode()
