"""The mail's page with the co-op's own look: one color, and a logo that travels in the mail itself.

Nothing is fetched: programs that show no pictures show its words instead, and who blocks pictures from
outside still sees it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from markupsafe import Markup

from onboard.errors import SettingsTrouble
from onboard.settings import Settings
from onboard.welcome import blocks, words

LARGEST = 100_000  # bytes; each mail carries the logo
WIDEST, HIGHEST = 240, 80  # pixels that it is shown with at most
DARK = "#1c1c1c"  # of headings, if the co-op has no color
PNG = b"\x89PNG\r\n\x1a\n"


@dataclass(frozen=True, slots=True)
class Logo:
    """A picture, PNG, and how it is shown."""

    content: bytes = field(repr=False)
    words: str
    width: int  # pixels
    height: int
    cid: str  # RFC 2392


class Pages:
    """Makes the pages of mails. Raises `SettingsTrouble` for a logo that cannot be shown."""

    def __init__(self, settings: Settings) -> None:
        self._logo = logo(settings)
        self._look = {"color": settings.look.color or DARK, "logo": self._logo}
        self._page, self._block = (
            words.pages(name, settings) for name in (words.PAGE, words.BLOCK)
        )

    def page(
        self, language: str, title: str, said: Sequence[blocks.Block], drawn: str
    ) -> tuple[str, Logo | None]:
        """A page, as `page` gives it, of blocks that are drawn already."""
        values = {"lang": language, "title": title, "blocks": said, "look": self._look}
        html = self._page(values | {"drawn": Markup(drawn)})
        logo = self._logo
        return html, logo if logo and f"cid:{logo.cid}" in html else None

    def drawn(self, block: blocks.Block) -> str:
        """A block of a page."""
        return self._block({"block": block, "look": self._look})


def page(
    language: str, title: str, said: Sequence[blocks.Block], settings: Settings
) -> tuple[str, Logo | None]:
    """The mail's page, HTML, and the logo that belongs in the mail with it.

    Raises `SettingsTrouble` for a template that is broken, or a logo that cannot be shown.
    """
    pages = Pages(settings)
    return pages.page(language, title, said, "".join(map(pages.drawn, said)))


@lru_cache(maxsize=4)
def logo(settings: Settings) -> Logo | None:
    """The co-op's logo; None if it has none. Raises `SettingsTrouble`."""
    if not settings.look.logo:
        return None
    file = Path(settings.look.logo)
    try:
        content = file.read_bytes()
    except OSError as error:
        raise _trouble(file, f"can't be read ({error.strerror})") from error
    if file.suffix.casefold() == ".svg":
        content = _drawn(file, content)
    if len(content) > LARGEST:
        size = (
            f"is too large, {len(content) // 1000:,} kB. Make it smaller than {LARGEST // 1000} kB"
        )
        raise _trouble(file, size)
    # W3C, PNG (Third Edition), 5.3 and 11.2.1: IHDR comes first, and begins with width and height.
    if not content.startswith(PNG) or content[12:16] != b"IHDR" or len(content) < 24:
        raise _trouble(file, "is not a PNG picture. Save it as PNG")
    wide, high = (int.from_bytes(content[at : at + 4], "big") for at in (16, 20))
    if not wide or not high:
        raise _trouble(file, "is not a PNG picture. Save it as PNG")
    scale = min(1.0, WIDEST / wide, HIGHEST / high)
    return Logo(
        content,
        settings.look.logo_words or settings.coop,
        max(1, round(wide * scale)),
        max(1, round(high * scale)),
        f"logo@{settings.sender.rpartition('@')[2]}",
    )


def _drawn(file: Path, svg: bytes) -> bytes:
    """An SVG as PNG, twice as large as it is shown, for sharp screens."""
    import typst

    source = (
        b"#set page(width: auto, height: auto, margin: 0pt, fill: none)\n"
        b'#image(bytes(sys.inputs.svg), format: "svg", height: 80pt)'
    )
    try:
        drawn = typst.compile(
            source, format="png", ppi=144.0, sys_inputs={"svg": svg.decode("utf-8-sig")}
        )
    except (typst.TypstError, UnicodeDecodeError) as error:
        raise _trouble(file, "can't be drawn. Save it as PNG") from error
    return bytes(drawn)


def _trouble(file: Path, what: str) -> SettingsTrouble:
    return SettingsTrouble(
        f"The logo {file} {what}. Or leave logo empty, under [look] in the settings."
    )
