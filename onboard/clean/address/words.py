"""A text in capitals, cut into lines and words as Publication 28, 222, 232 and 354 want them."""

from __future__ import annotations

import re
import unicodedata

from onboard.clean.address.lookups import bag

_MARKS = {
    **dict.fromkeys(map(ord, "‐‑‒–—―−﹣-"), "-"),
    **dict.fromkeys(map(ord, "'’‘ʼ`´′"), None),  # 354: O'NEILL is written ONEILL
    ord("½"): " 1/2", ord("¼"): " 1/4", ord("¾"): " 3/4", ord("⅓"): " 1/3", ord("⅔"): " 2/3",
    ord("⅛"): " 1/8", ord("⅜"): " 3/8", ord("⅝"): " 5/8", ord("⅞"): " 7/8", ord("№"): " NO ",
    ord("º"): "", ord("ª"): "", ord("\r"): "\n", ord("|"): "\n", ord(";"): ",", ord("\t"): " ",
    ord("&"): " & ", ord("ß"): "ss", ord("ø"): "o", ord("Ø"): "O", ord("ł"): "l", ord("Ł"): "L",
    ord("æ"): "ae", ord("Æ"): "AE", ord("œ"): "oe", ord("Œ"): "OE", ord("đ"): "d", ord("Đ"): "D",
    ord("ð"): "d", ord("Ð"): "D", ord("þ"): "th", ord("Þ"): "TH", ord("ı"): "i", 0x2028: "\n", 0x2029: "\n", 0x85: "\n", 0x0B: "\n", 0x0C: "\n",
}  # fmt: skip
# found at once where there is none: the pattern of initials looks at every word
_POINT = re.compile(r"\.[A-Z]")
_FRACTION = re.compile(r"(\d) ?/ ?(\d)")
_FRACTION_HYPHEN = re.compile(r"(\d)-(?=[1-9]/[1-9])")
_SPACED_HYPHEN = re.compile(r"(\d) - (\d)")
# "S.E." is one word, "J. F." are two, "N.Main" are two; "39.2 RD" keeps its point (354)
_INITIALS = re.compile(
    r"(?<![A-Z0-9])(?:[A-Z]\.){2,}(?:[A-Z](?![A-Z0-9]))?|(?<![A-Z0-9])[A-Z]\.[A-Z](?![A-Z0-9.])"
)
# the words within what stands between two spaces and is not a plain word or number itself
_WORD = re.compile(
    r"[CP]/O\b|\d[A-Z0-9]*(?:[-./][A-Z0-9]+)*|[A-Z]{1,2}-?\d[A-Z0-9]*(?:-[A-Z0-9]+)*"
    r"|[A-Z0-9]+|(?<![A-Z0-9])-\d+|[#&]"
)
_NOT_ASCII = re.compile(r"[^\x00-\x7f]+")
_GLUED = re.compile(r"([A-Z]{2,})-?(\d[A-Z0-9-]*)")
_ORDINAL_HYPHEN = re.compile(r"(\d+(?:ST|ND|RD|TH)?)-([A-Z]{3,})")
# words people write without a space before their number: "STE200", "RR03", "IH280"
GLUED = bag(
    "APT STE SUITE UNIT RM ROOM FL FLOOR LOT BLDG SPC TRLR DEPT NO PMB BOX POB POBOX RR HC RFD RT RTE "
    "IH CR SR US HWY FM SH PSC CMR CPR OPC UPR BZN BLQ KM PO RD ROUTE"
)

Line = tuple[list[str], bool]  # the words between two commas, and whether a new line begins here


def cut(said: str) -> list[Line]:
    """The words of a text in capitals, by line and comma; marks that are not needed left out.

    >>> cut("12 n. Main St., Apt #4\\nLima OH")
    [(['12', 'N', 'MAIN', 'ST'], True), (['APT', '#', '4'], False), (['LIMA', 'OH'], True)]
    """
    if said.isascii():
        text = said.upper()
        if "'" in text or "`" in text or "|" in text or ";" in text:
            text = text.translate(_MARKS)
    else:
        text = _NOT_ASCII.sub(" ", unaccented(said))
    if "." in text and _POINT.search(text):
        text = _INITIALS.sub(_joined, text)
    if "/" in text:
        text = _FRACTION_HYPHEN.sub(r"\1 ", _FRACTION.sub(r"\1/\2", text))
    if "-" in text:
        text = _ORDINAL_HYPHEN.sub(r"\1 \2", _SPACED_HYPHEN.sub(r"\1-\2", text))
    lines: list[Line] = []
    for line in text.splitlines():
        new = True
        for piece in line.split(","):
            if words := _words(piece):
                lines.append((words, new))
                new = False
    return lines


def unaccented(said: str) -> str:
    """A text in capitals, without accents and with plain marks.

    >>> unaccented("Peñón 5½ – Straße")
    'PENON 5 1/2 - STRASSE'
    """
    text = unicodedata.normalize("NFKD", said.translate(_MARKS)).upper()
    return "".join(c for c in text if not unicodedata.combining(c)).translate(_MARKS)


def _words(piece: str) -> list[str]:
    """The words between two commas."""
    said = piece.split()
    if "".join(said).isalpha():
        return said
    words: list[str] = []
    for written in said:
        if written.isalpha() or written.isdigit():
            words.append(written)
            continue
        bare = written.rstrip(".")
        if bare.isalpha() or (bare.isalnum() and bare[0] <= "9"):
            words.append(bare)
            continue
        for word in _WORD.findall(written):
            glued = _GLUED.fullmatch(word) if word[0] > "9" else None
            if glued and glued[1] in GLUED:
                words += glued.groups()
            else:
                words.append(word)
    return words


def _joined(initials: re.Match[str]) -> str:
    return initials[0].replace(".", "") + " "
