"""Words in their plain structure, from which mail, page and letter are made.

Templates are written in Markdown (CommonMark 0.31), of which this much is used: headings,
paragraphs, lists, bold, links, `>` for what is to be typed exactly as shown, `[page](no-link)` for
a page that nobody is to open, and `![caption](code)` for the place of the letter's QR code. HTML in
them is text like any other.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple
from urllib.parse import urlsplit

from markdown_it import MarkdownIt
from markdown_it.token import Token

WIDTH = 72  # columns of the plain text
NO_LINK = "no-link"  # in place of an address: the page is not to be opened


class Span(NamedTuple):
    """A run of text; a line break is a span of its own, "\\n"."""

    text: str
    strong: bool = False
    url: str = ""


Line = tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """One block of words.

    `kind` is "title", "heading", "paragraph", "steps" (numbered), "points", "shown" (large, to be
    typed as it stands) or "code" (place of the QR code, with its caption). Lists have a line for
    each item, all others one.
    """

    kind: str
    lines: tuple[Line, ...]

    @property
    def text(self) -> str:
        """The words alone, a line of text for each line."""
        return "\n".join("".join(span.text for span in line) for line in self.lines)


def bare(page: str) -> str:
    """A page's address as people say it.

    >>> bare("https://shop.example.org/"), bare("https://example.org/shop/")
    ('shop.example.org', 'example.org/shop/')
    """
    parts = urlsplit(page)
    return f"{parts.netloc}{'' if parts.path == '/' else parts.path}" if parts.netloc else page


_MARKDOWN = MarkdownIt("zero").enable(
    ["heading", "list", "blockquote", "emphasis", "link", "image", "escape", "entity", "newline"]
)
_LISTS = {"ordered_list_open": "steps", "bullet_list_open": "points"}


# Before a piece that nothing above reaches into. After an empty line only a list goes on, and only with a line
# that is indented or begins an item (CommonMark 0.31, 5.2); a "**" begins none.
_APART = re.compile(r"\n(?:[ \t]*\n)+(?=[^\s\d*+-]|\*\*)")


def apart(markdown: str) -> list[str]:
    """The pieces of a Markdown text that can be read one by one: packets say much the same."""
    return _APART.split(markdown)


def read(markdown: str) -> tuple[Block, ...]:
    """The blocks of a Markdown text.

    >>> [block.kind for block in read("# Hello\\n\\n> patlee\\n\\n1. one\\n2. two")]
    ['title', 'shown', 'steps']
    """
    return tuple(block for piece in apart(markdown) for block in _read(piece))


def _read(markdown: str) -> Iterator[Block]:
    kind = "paragraph"
    items: list[Line] = []  # of the list that we are in
    depth = 0  # of lists: what is nested joins the outermost
    for token in _MARKDOWN.parse(markdown):
        if token.type in _LISTS:
            kind, depth = (_LISTS[token.type] if depth == 0 else kind), depth + 1
        elif token.type in ("ordered_list_close", "bullet_list_close"):
            depth -= 1
            if depth == 0:
                yield Block(kind, tuple(items))
                kind, items = "paragraph", []
        elif token.type == "heading_open":
            kind = "title" if token.tag == "h1" else "heading"
        elif token.type == "blockquote_open" and depth == 0:
            kind = "shown"
        elif token.type in ("heading_close", "blockquote_close") and depth == 0:
            kind = "paragraph"
        elif token.type == "inline":
            line = tuple(_spans(token.children or ()))
            if depth:
                items.append(line)
            elif caption := _caption(token):
                yield Block("code", ((Span(caption),),))
            else:
                yield Block(kind, (line,))


def in_mail(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """The blocks as a mail shows them: a page that nobody is to open has a gap on both sides of each
    dot, so that no mail program makes a link of it."""
    return _without_no_link(blocks, lambda text: text.replace(".", "\xa0.\xa0"))


def in_print(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """The blocks as paper shows them, where nothing can be clicked."""
    return _without_no_link(blocks, lambda text: text)


def _without_no_link(blocks: Sequence[Block], shown: Callable[[str], str]) -> tuple[Block, ...]:
    def plain(span: Span) -> Span:
        return Span(shown(span.text), span.strong) if span.url == NO_LINK else span

    return tuple(
        replace(block, lines=tuple(tuple(map(plain, line)) for line in block.lines))
        if any(span.url == NO_LINK for line in block.lines for span in line)
        else block
        for block in blocks
    )


def _caption(inline: Token) -> str:
    """The caption, if the paragraph is nothing but an image."""
    children = inline.children or []
    return children[0].content if [child.type for child in children] == ["image"] else ""


def _spans(tokens: Sequence[Token]) -> Iterator[Span]:
    strong, url = 0, ""
    for token in tokens:
        match token.type:
            case "strong_open":
                strong += 1
            case "strong_close":
                strong -= 1
            case "link_open":
                url = str(token.attrs.get("href", ""))
            case "link_close":
                url = ""
            case "softbreak":
                yield Span(" ", strong > 0, url)
            case "hardbreak":
                yield Span("\n")
            case "text" | "text_special" | "image":
                if token.content:
                    yield Span(token.content, strong > 0, url)


# ---------------------------------------------------------------- as plain text


def as_text(blocks: Sequence[Block]) -> str:
    """The blocks as plain text, 72 columns wide; only what cannot be broken is wider."""
    return joined(map(text, blocks))


def joined(texts: Iterable[str]) -> str:
    """The text of blocks of which each is written as `text` gives it."""
    return "\n\n".join(filter(None, texts)) + "\n"


def text(block: Block) -> str:
    """A block as plain text; "" if it says nothing in that form."""
    return "\n".join(_text_lines(block))


def _text_lines(block: Block) -> Iterator[str]:
    match block.kind:
        case "title" | "heading":
            mark = "=" if block.kind == "title" else "-"
            wrapped = list(_wrap(_plain(block.lines[0])))
            yield from wrapped
            yield mark * min(WIDTH, max(map(len, wrapped), default=0))
        case "shown":
            yield from (f"    {shown}" for shown in block.text.splitlines())
        case "steps":
            for number, line in enumerate(block.lines, start=1):
                yield from _wrap(_plain(line), f"{number}. ")
        case "points":
            for line in block.lines:
                yield from _wrap(_plain(line), "- ")
        case "paragraph":
            for line in block.lines:
                yield from _wrap(_plain(line))


def _plain(line: Line) -> str:
    """The line's words; a web address follows the words that it lies behind, in brackets."""
    words = "".join(span.text for span in line)
    for url in dict.fromkeys(span.url for span in line):
        if url.startswith(("http:", "https:")):
            behind = "".join(span.text for span in line if span.url == url)
            if behind not in (url, url.removesuffix("/")):
                words = words.replace(behind, f"{behind} ({url})", 1)
    return words


def _wrap(text: str, mark: str = "") -> Iterator[str]:
    for index, line in enumerate(text.split("\n")):
        yield from textwrap.wrap(
            line,
            WIDTH,
            initial_indent=mark if index == 0 else " " * len(mark),
            subsequent_indent=" " * len(mark),
            break_long_words=False,
            break_on_hyphens=False,
        )
