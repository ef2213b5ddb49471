"""The welcome packet: sign-in explained so plainly that nobody has to call."""

from __future__ import annotations

from onboard.welcome.packet import Packet, Packets, packet
from onboard.welcome.words import copy_templates, language_of

__all__ = ["Packet", "Packets", "copy_templates", "language_of", "packet"]
