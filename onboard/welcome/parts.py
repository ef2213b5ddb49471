"""What packets say, a block at a time: read, and written for mail, page and letter once, however many say it."""

from __future__ import annotations

from dataclasses import dataclass, field

from onboard.settings import Settings
from onboard.welcome import blocks, look, printed
from onboard.welcome.message import encoded


@dataclass(frozen=True, slots=True)
class Part:
    """A block in each of its forms. It may hold a first password."""

    block: blocks.Block = field(repr=False)
    text: str = field(repr=False)  # plain
    page: str = field(repr=False)  # HTML
    printed: str = field(repr=False)  # JSON, as `printed.block` has it


class Parts:
    """The parts of packets, made one after the other.

    What several say is kept. What one says alone, as its first password is, goes with it: of that, only a number
    stays, by which it would be known again.
    """

    def __init__(self, settings: Settings) -> None:
        self._pages = look.Pages(settings)
        self._once: set[int] = set()  # of pieces that one packet said
        self._kept: dict[str, tuple[Part, ...]] = {}
        self.lines: dict[bytes, bytes] = {}  # of what is kept, as a message has them

    def of(self, *markdown: str) -> list[tuple[Part, ...]]:
        """The parts of the texts of one packet."""
        own: dict[str, tuple[Part, ...]] = {}
        found = [
            tuple(part for piece in blocks.apart(text) for part in self._of(piece, own))
            for text in markdown
        ]
        for piece, parts in own.items():
            if (number := hash(piece)) in self._once:
                self._keep(piece, parts)
            else:
                self._once.add(number)
        return found

    def page(
        self, language: str, title: str, said: tuple[Part, ...]
    ) -> tuple[str, look.Logo | None]:
        """The mail's page, as `look.page` gives it."""
        return self._pages.page(
            language, title, [part.block for part in said], "".join(part.page for part in said)
        )

    def _of(self, piece: str, own: dict[str, tuple[Part, ...]]) -> tuple[Part, ...]:
        parts = self._kept.get(piece) or own.get(piece)
        if parts is None:
            parts = own[piece] = tuple(map(self._made, blocks.read(piece)))
        return parts

    def _made(self, block: blocks.Block) -> Part:
        (mailed,), (on_paper,) = blocks.in_mail((block,)), blocks.in_print((block,))
        return Part(mailed, blocks.text(mailed), self._pages.drawn(mailed), printed.block(on_paper))

    def _keep(self, piece: str, parts: tuple[Part, ...]) -> None:
        self._kept[piece] = parts
        for part in parts:
            for line in (part.text + "\n" + part.page).encode().splitlines():
                self.lines[line] = encoded(line)
