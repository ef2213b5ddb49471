"""An audit as the roster keeps it: all that pages show of it but its findings, which have a table of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from onboard.model import Weight
from onboard.reports import audit_page
from onboard.reports.audit import CallTo, Dot, KindOf, Report

VERSION = 1  # of what is kept
_PLAIN = (
    "coop", "at", "day", "source", "members", "open", "touched", "proposed", "households", "elsewhere", "before",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Told:
    """What is kept of an audit: its report without findings, its map, and what to add to its kinds."""

    report: Report
    since: str  # when the audit before was, ISO 8601; "" if there was none
    calls: tuple[tuple[CallTo, tuple[str, ...]], ...]  # with the owners whom each helps
    proposed: Mapping[str, int]  # by code, how many of its findings propose a change
    map: Mapping[str, Any] | None  # `maps.Map`, laid out; each part by its name
    sites: tuple[tuple[int, Dot], ...]  # by their number on the map
    zips: tuple[Dot, ...]  # the ZIP codes with most members

    def kind(self, code: str) -> KindOf | None:
        """A kind of which something was found, by its code."""
        return next((kind for kind in self.report.kinds if kind.code == code), None)


def as_kept(
    report: Report,
    calls: Sequence[tuple[CallTo, tuple[str, ...]]],
    proposed: Mapping[str, int],
    since: str = "",
) -> dict[str, Any]:
    """The audit as JSON has it; `since` is when the one before was."""
    content = audit_page.content(report)
    return {
        "version": VERSION,
        "since": since,
        **{name: getattr(report, name) for name in _PLAIN},
        "notes": list(report.notes),
        "history": list(report.history),
        "kinds": [
            {
                "code": kind.code, "group": kind.group, "weight": str(kind.weight), "about": kind.about,
                "elsewhere": kind.count, "before": kind.before, "new": kind.new, "gone": kind.gone,
                "is_nearly_all": kind.is_nearly_all,
            }
            for kind in report.kinds
        ],
        "calls": [asdict(call) | {"owners": list(owners)} for call, owners in calls],
        "proposed_of": dict(proposed),
        "map": _by_name(content["map"]),
        "sites": [asdict(dot) for _, dot in content["sites"]],
        "zips": [asdict(dot) for dot in content["by_zip"][: audit_page.MOST_ZIPS]],
    }  # fmt: skip


def can_read(kept: Mapping[str, Any]) -> bool:
    """Whether it was kept as this version of the program keeps it; if not, the roster is audited anew."""
    return kept.get("version") == VERSION


def of_kept(kept: Mapping[str, Any]) -> Told:
    """The audit out of what was kept of it."""
    kinds = [
        KindOf(**{**kind, "weight": Weight(kind["weight"])}, items=()) for kind in kept["kinds"]
    ]
    plain = {name: kept[name] for name in _PLAIN}
    return Told(
        Report(**plain, kinds=kinds, notes=tuple(kept["notes"]), history=kept["history"]),
        kept["since"],
        tuple(map(_call, kept["calls"])),
        kept["proposed_of"],
        kept["map"],
        tuple((number, Dot(**dot)) for number, dot in enumerate(kept["sites"], start=1)),
        tuple(Dot(**dot) for dot in kept["zips"]),
    )


def _call(kept: Mapping[str, Any]) -> tuple[CallTo, tuple[str, ...]]:
    said: dict[str, Any] = {
        name: tuple(v) if isinstance(v, list) else v for name, v in kept.items()
    }
    owners = said.pop("owners")
    return CallTo(**said), owners


def _by_name(drawn: Any) -> Any:
    """What is laid out as JSON has it, each part under its name: a template finds it there as it did before."""
    if hasattr(drawn, "_asdict"):
        drawn = drawn._asdict()
    elif hasattr(drawn, "__dataclass_fields__"):
        drawn = {name: getattr(drawn, name) for name in drawn.__dataclass_fields__}
    if isinstance(drawn, dict):
        return {name: _by_name(part) for name, part in drawn.items()}
    if isinstance(drawn, list | tuple):
        return [_by_name(part) for part in drawn]
    return drawn
