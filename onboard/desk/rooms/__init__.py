"""The rooms of the desk, in the order in which they are listed. Each is a module here with `ROOM` and `router`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from fastapi import APIRouter

from onboard.office import Act, Office

# Rooms that are not listed: the foot of each page leads there.
BESIDE = ("account", "staff")
ORDER = ("today", "sign_ups", "calls", "care", "windows", "mail", "settings")


@dataclass(frozen=True, slots=True)
class Room:
    """A room: where it is, what it is called, and what whoever comes in must be allowed to do."""

    path: str
    name: str
    act: Act | None = None
    also: Act | None = None  # besides
    short: str = ""  # what it is called on a phone; "" for its name

    @property
    def acts(self) -> tuple[Act, ...]:
        """All that whoever comes in must be allowed to do."""
        return tuple(act for act in (self.act, self.also) if act)

    def lets_in(self, office: Office) -> bool:
        """Whether whoever is at work may come in."""
        return all(map(office.may, self.acts))


@cache
def every() -> tuple[Room, ...]:
    """All rooms, as they are listed."""
    return tuple(module(name).ROOM for name in ORDER)


def open_to(office: Office) -> tuple[Room, ...]:
    """Those into which whoever is at work may come."""
    return tuple(room for room in every() if room.lets_in(office))


def routers() -> tuple[tuple[APIRouter, Room], ...]:
    """Their routes, each with its room."""
    return tuple((module(name).router, module(name).ROOM) for name in (*ORDER, *BESIDE))


def module(name: str) -> Any:
    """The module of a room."""
    return import_module(f"onboard.desk.rooms.{name}")
