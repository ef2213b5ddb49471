"""A reminder as a postcard: what stands on the card, as `letters.postcards` prints it."""

from __future__ import annotations

from collections.abc import Sequence

from onboard.model import PersonName
from onboard.settings import Settings
from onboard.welcome import blocks, words
from onboard.welcome.blocks import Block
from onboard.welcome.packet import full_name, plain
from onboard.welcome.reminder import Says, values


def message(says: Says, settings: Settings) -> list[dict[str, object]]:
    """The words of the card, the same for all of whom it says the same. Raises `SettingsTrouble`."""
    return [
        {
            "kind": block.kind,
            "lines": [[{"text": s.text, "strong": s.strong} for s in line] for line in block.lines],
        }
        for block in blocks.in_print(said(says, settings))
    ]


def said(says: Says, settings: Settings) -> tuple[Block, ...]:
    """The words of the card, block by block. Raises `SettingsTrouble`."""
    name = f"{says.language}/{words.POSTCARD}"
    given = values(says, settings) | {"page": blocks.bare(settings.ordering_page)}
    return blocks.read(words.markdown(name, settings, given))


def card(
    said: Sequence[object],
    language: str,
    name: PersonName,
    address: Sequence[str],
    settings: Settings,
) -> dict[str, object]:
    """A card with these words, to a member of this name and address."""
    here = [plain(settings.coop), *(plain(line) for line in settings.postal_address.splitlines())]
    return {
        "lang": language,
        "from": here,
        "to": [full_name(name) or plain(settings.coop), *map(plain, address)],
        "blocks": list(said),
    }
