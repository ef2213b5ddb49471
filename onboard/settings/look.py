"""How the co-op's email looks, as [look] states it."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.look import easy_to_read, picture
from onboard.settings.key import Key


@dataclass(frozen=True, slots=True)
class Look:
    """The co-op's own look. A mail says everything without it, too."""

    logo: Annotated[
        str,
        Key("a picture on top of your email", "a PNG or SVG file of at most 100 kB; an SVG is sent as PNG, as mail programs show no other", picture, blank=True),
    ] = ""  # fmt: skip
    logo_words: Annotated[
        str,
        Key("what is read out, or shown, in place of the picture", "if empty, the co-op's name", blank=True),
    ] = ""  # fmt: skip
    color: Annotated[
        str,
        Key("the color of headings", 'as "#1b5e20"; it must be dark enough to read on white', easy_to_read, blank=True),
    ] = ""  # fmt: skip
