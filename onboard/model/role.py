"""What people do here that not everybody may, and the roles that let them."""

from __future__ import annotations

from enum import StrEnum


class Act(StrEnum):
    """What some people may do and not others. Every task asks for its own: see `Office.may`."""

    LOOK_UP = "look_up"
    REISSUE = "reissue"
    INTAKE = "intake"
    TELL = "tell"
    CARE = "care"
    SETTINGS = "settings"
    STAFF = "staff"


# As in "Robin is not allowed to …".
IN_WORDS = {
    Act.LOOK_UP: "look up members",
    Act.REISSUE: "issue temporary passwords",
    Act.INTAKE: "bring in or answer join forms",
    Act.TELL: "make or send what members and the ordering page are told",
    Act.CARE: "check, merge, close or delete members",
    Act.SETTINGS: "change the settings",
    Act.STAFF: "manage the people who work here",
}


class Role(StrEnum):
    """What somebody with an account at the desk is there for."""

    OWNER = "owner"
    COORDINATOR = "coordinator"
    HELP_DESK = "help desk"
    READER = "reader"


# The one table of who may do what. A reader sees counts, ordering days and sites, and no member.
MAY = {
    Role.OWNER: frozenset(Act),
    Role.COORDINATOR: frozenset(Act) - {Act.SETTINGS, Act.STAFF},
    Role.HELP_DESK: frozenset({Act.LOOK_UP, Act.REISSUE}),
    Role.READER: frozenset[Act](),
}
