"""Who is whom: who could be alike, how alike they are, who belongs together."""

from onboard.match.evidence import compare
from onboard.match.known import Known, match

__all__ = ["Known", "compare", "match"]
