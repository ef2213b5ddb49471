"""What usaddress, a statistical parser, makes of words that the grammar is unsure of."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Any


@cache
def _parser() -> Any:
    import usaddress  # a fifth of a second to load, and rarely asked

    return usaddress


@lru_cache(maxsize=4096)
def labels(text: str) -> tuple[str, ...]:
    """usaddress's label for each word of `text`, or () where it counts other words.

    >>> labels("12 MAIN ST LIMA")
    ('AddressNumber', 'StreetName', 'StreetNamePostType', 'PlaceName')
    """
    tagged = _parser().parse(text)
    words = text.split()
    return tuple(label for _, label in tagged) if len(tagged) == len(words) else ()


def city(words: list[str], after: list[str]) -> int:
    """How many of the last of `words` usaddress takes for a city's name; `after` follows them.

    >>> city(["12", "MAIN", "ST", "NEW", "LONDON"], ["CT"])
    2
    """
    many = 0
    for label in reversed(labels(" ".join(words + after))[: len(words)]):
        if label != "PlaceName":
            break
        many += 1
    return many if many < len(words) else 0
