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
    ord("æ"): "ae", ord("Æ"): "AE", 0x2028: "\n", 0x2029: "\n", 0x85: "\n", 0x0B: "\n", 0x0C: "\n",
}  # fmt: skip
_FRACTION = re.compile(r"(\d) ?/ ?(\d)")
_SPACED_HYPHEN = re.compile(r"(\d) - (\d)")
# "S.E." is one word, "J. F." are two, "N.Main" are two; "39.2 RD" keeps its point (354)
_INITIALS = re.compile(
    r"(?<![A-Z0-9])(?:[A-Z]\.){2,}(?:[A-Z](?![A-Z0-9]))?|(?<![A-Z0-9])[A-Z]\.[A-Z](?![A-Z0-9.])"
)
_WORD = re.compile(
    r"C/O\b|\d[A-Z0-9]*(?:[-./][A-Z0-9]+)*|[A-Z]{1,2}-?\d[A-Z0-9]*(?:-[A-Z0-9]+)*"
    r"|[A-Z0-9]+|-\d+|[#&]|[,;\n\r|\x0b\x0c]"
)  # fmt: skip
_GLUED = re.compile(r"([A-Z]{2,})-?(\d[A-Z0-9-]*)")
_ORDINAL_HYPHEN = re.compile(r"(\d+(?:ST|ND|RD|TH)?)-([A-Z]{3,})")
# words people write without a space before their number: "STE200", "RR03", "IH280"
GLUED = bag(
    "APT STE SUITE UNIT RM ROOM FL FLOOR LOT BLDG SPC TRLR DEPT NO PMB BOX POB POBOX RR HC RFD RT RTE "
    "IH CR SR US HWY FM SH PSC CMR CPR OPC UPR BZN BLQ KM PO RD ROUTE"
)

_BREAKS = {",": False, ";": False, **dict.fromkeys("\n\r|\x0b\x0c", True)}  # True: a new line

Line = tuple[list[str], bool]  # the words between two commas, and whether a new line begins here


def cut(said: str) -> list[Line]:
    """The words of a text in capitals, by line and comma; marks that are not needed left out.

    >>> cut("12 n. Main St., Apt #4\\nLima OH")
    [(['12', 'N', 'MAIN', 'ST'], True), (['APT', '#', '4'], False), (['LIMA', 'OH'], True)]
    """
    if said.isascii():
        text = said.upper()
        if "'" in text or "`" in text:
            text = text.replace("'", "").replace("`", "")
    else:
        text = unicodedata.normalize("NFKD", said.translate(_MARKS)).upper()
        text = "".join(c for c in text if not unicodedata.combining(c)).translate(_MARKS)
    if "." in text:
        text = _INITIALS.sub(_joined, text)
    if "/" in text:
        text = _FRACTION.sub(r"\1/\2", text)
    if "-" in text:
        text = _ORDINAL_HYPHEN.sub(r"\1 \2", _SPACED_HYPHEN.sub(r"\1-\2", text))
    lines: list[Line] = []
    words: list[str] = []
    new = True
    for word in _WORD.findall(text):
        if word in _BREAKS:
            if words:
                lines.append((words, new))
                words, new = [], False
            new = new or _BREAKS[word]
        elif word[0] > "9" and not word.isalpha():
            glued = _GLUED.fullmatch(word)
            if glued and glued[1] in GLUED:
                words += glued.groups()
            else:
                words.append(word)
        else:
            words.append(word)
    if words:
        lines.append((words, new))
    return lines


def _joined(initials: re.Match[str]) -> str:
    return initials[0].replace(".", "") + " "
