"""Who is whom: who could be alike, how alike they are, who belongs together."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from onboard.match.evidence import compare as compare
    from onboard.match.known import Known as Known
    from onboard.match.known import Spelt as Spelt
    from onboard.match.known import best as best
    from onboard.match.known import match as match
    from onboard.match.known import spelt as spelt

__all__ = ["Known", "Spelt", "best", "compare", "match", "spelt"]


def __getattr__(name: str) -> object:
    """Loaded when asked for: they bring numpy, and the look-up needs only how names are folded."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from onboard.match import evidence, known

    found: object = getattr(evidence if name == "compare" else known, name)
    globals()[name] = found
    return found
