"""The rooms of the desk, in the order in which they are listed. Each is a module here with `ROOM` and `router`."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import import_module
from typing import Any

from fastapi import APIRouter

ORDER = ("today", "sign_ups", "calls", "windows", "mail")


@dataclass(frozen=True, slots=True)
class Room:
    """A room: where it is, and what it is called."""

    path: str
    name: str


@cache
def every() -> tuple[Room, ...]:
    """All rooms, as they are listed."""
    return tuple(module(name).ROOM for name in ORDER)


def routers() -> tuple[APIRouter, ...]:
    """Their routes."""
    return tuple(module(name).router for name in ORDER)


def module(name: str) -> Any:
    """The module of a room."""
    return import_module(f"onboard.desk.rooms.{name}")
