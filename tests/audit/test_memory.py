"""An audit of very many accounts keeps little of each: what a report tells of them is made as it is written."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TypeVar

import examples

from onboard import catalogue
from onboard.audit import access, reach
from onboard.audit.briefs import Briefs
from onboard.audit.observation import Observation
from onboard.audit.outcome import Audit
from onboard.audit.record import Brief, Rules
from onboard.match import frequencies
from onboard.model import Owner
from onboard.reports import audited
from onboard.reports.audit import read_earlier, write_json

MANY = 4_000
T = TypeVar("T")


def of_many(folder: Path) -> Audit:
    """So many members, each with an email that came back and a sign-in name with capitals."""
    briefs = [
        Brief(
            Owner.of_member(n), n, f"Pat Quill {n}", f"PatQuill{n}", True, "", f"+1419234{n:04}",
            "", "quill", "", "45801", "phone", date(2026, 11, 5),
        )
        for n in range(1, MANY + 1)
    ]  # fmt: skip
    found = [
        Observation(brief.owner, kind.found(brief.handle, f"Something about {brief.name}."))
        for kind in (reach.BOUNCED, access.CAPITALS)
        for brief in briefs
    ]
    rules = Rules.of(examples.coop(folder / "onboard.toml"), examples.TODAY)
    kinds = {kind.code: kind for kind in catalogue.kinds()}
    at = datetime(2026, 11, 25, 12, tzinfo=UTC)
    return Audit(at, "roster", rules, Briefs.of(briefs), found, (), 0, True, kinds)


def bytes_a_finding(work: Callable[[], T]) -> tuple[T, float, float]:
    """What a work comes to, how much of memory it keeps for each finding, and how much it takes at most."""
    tracemalloc.start()
    done = work()
    kept, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return done, kept / (2 * MANY), most / (2 * MANY)


def test_a_report_keeps_next_to_nothing_of_each_finding(tmp_path: Path) -> None:
    done = of_many(tmp_path)
    audited.report_of(done)  # tables are read once
    report, kept, most = bytes_a_finding(lambda: audited.report_of(done))
    assert sum(kind.count for kind in report.kinds) == 2 * MANY
    assert kept < 50
    assert most < 300


def test_of_an_earlier_audit_only_the_keys_are_kept(tmp_path: Path) -> None:
    file = tmp_path / "audit.json"
    write_json(audited.report_of(of_many(tmp_path)), file)
    earlier, kept, most = bytes_a_finding(lambda: read_earlier(file))
    assert earlier.keys["reach.bounced"]["reach.bounced", "member:7"] == 1
    assert kept < 300
    assert most < 3 * file.stat().st_size / (2 * MANY)


def test_handles_are_compared_in_little_memory(tmp_path: Path) -> None:
    briefs = of_many(tmp_path).briefs
    _, _, most = bytes_a_finding(lambda: sum(1 for _ in access.among(briefs)))
    a_handle = 2 * most - 13 * 12  # of each that lacks one letter, 12 bytes
    assert a_handle < 500


def test_how_rare_a_name_is_is_looked_up_in_a_table_that_is_not_taken_apart() -> None:
    frequencies.shipped()
    _, kept, _ = bytes_a_finding(
        lambda: [frequencies.borne(name) for name in ("zbigniew", "kaczmarek", "nobodys")]
    )
    assert kept * 2 * MANY < 6_000_000  # 28 MB as lines and numbers
