"""The co-op's own facts, read from one TOML file; every mistake in it is told at once.

`model` states each key once: its type, its check, what it is in a line. docs/settings.md, the file
that `starter()` writes and the messages are held to it. What a program builds itself is taken as it
is: only what a file says is checked, by pydantic, which is loaded when a file is read.
"""

from onboard.settings.guide import GuideRule
from onboard.settings.look import Look
from onboard.settings.mail import Mailbox, MailServer
from onboard.settings.model import KEYS, LANGUAGES, Settings
from onboard.settings.places import Group, Site, Window
from onboard.settings.porch import PorchRule
from onboard.settings.reading import NAME, find, read
from onboard.settings.reminders import ReminderRule
from onboard.settings.rules import (
    CHECKS,
    AuditRule,
    DeskRule,
    HandleRule,
    HostSheet,
    PasswordRule,
)
from onboard.settings.starter import samples, starter
from onboard.settings.window_rule import Moved, WindowRule

__all__ = [
    "CHECKS", "KEYS", "LANGUAGES", "NAME", "AuditRule", "DeskRule", "Group", "GuideRule", "HandleRule", "HostSheet", "Look", "MailServer",
    "Mailbox", "Moved", "PasswordRule", "PorchRule", "ReminderRule", "Settings", "Site", "Window", "WindowRule", "find", "read", "samples", "starter",
]  # fmt: skip
