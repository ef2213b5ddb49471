"""How long changing, taking back, merging, telling the page and deleting take: one size and ten times it.

    python tests/benchmarks/tidy.py [MEMBERS]

Process time in milliseconds, and how many times as much ten times the members cost.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from coop_forms import form, office_of

from onboard import settings as settings_file
from onboard.intake.changes import Reviewed
from onboard.model import Change, Signature, State, Way, What
from onboard.reports import accounts
from onboard.roster import index, outgoing, record, search, store
from onboard.roster.record import Issued
from onboard.settings import Settings
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.export_accounts import export_news
from onboard.tasks.forget_member import forget_member
from onboard.tasks.tidy import tidy
from onboard.tasks.undo import undo

HERE = Path(__file__).parent.parent.parent
GIVEN = [
    "Ana",
    "Pat",
    "Kim",
    "Omar",
    "Joan",
    "Sue",
    "Tom",
    "Ella",
    "Noah",
    "Ruth",
    "Ivan",
    "Mia",
    "Leo",
    "Zoe",
    "Max",
    "Ida",
]
FAMILY = [
    "Ruiz",
    "Lee",
    "Vale",
    "Haddad",
    "Weber",
    "Arneson",
    "Jensen",
    "Bara",
    "Colby",
    "Quist",
    "Moor",
    "Darby",
    "Oster",
]
SIGNATURE = Signature("Robin", datetime.now(UTC))


def taken(work: Callable[[], Any]) -> tuple[float, Any]:
    """Milliseconds of process time, and what came of it."""
    start = time.process_time()
    done = work()
    return 1000 * (time.process_time() - start), done


def measured(count: int, settings: Settings, folder: Path) -> dict[str, float]:
    """Milliseconds a change, a merge, an account, a deletion, in a roster of `count` members."""
    engine = store.open_store(f"sqlite:///{folder / f'{count}.db'}")
    people = (
        form(
            n, full_name=f"{GIVEN[n % 16]} {FAMILY[n % 13]}", handle=f"member{n}x",
            email=f"{GIVEN[n % 16]}{n}@example.org".lower(), site="Lima Grange Hall",
            street=f"{n % 900 + 1} Oak St", city="Lima", state="OH", zip="45801",
        )
        for n in range(count)
    )  # fmt: skip
    adopt_members(office_of(settings, engine, SIGNATURE), people, file="", keep=True)
    with store.transaction(engine) as connection:
        index.rebuild(connection)
        members = search.members(connection)
        issued = [Issued(m.id, "hash", date(2026, 12, 9)) for m in members]
        record.issued(connection, issued, SIGNATURE)
        ways = {m.id: Way.EMAIL for m in members}
        outgoing.add(connection, What.PACKET, ways, SIGNATURE, state=State.WRITTEN)

    def apply(changes: list[Change]) -> Any:
        lines = [Reviewed(n, change, True) for n, change in enumerate(changes, 2)]
        return tidy(office_of(settings, engine, SIGNATURE), lines, file="", keep=True)

    emails = [Change(m.id, "email", m.email, f"new.{m.email}", "") for m in members]
    pairs = list(zip(members[:-1:20], members[1::20], strict=False))
    found: dict[str, float] = {}
    ms, done = taken(lambda: apply(emails))
    assert len(done.made) == count
    found["apply a change"] = ms / count
    ms, back = taken(lambda: undo(office_of(settings, engine, SIGNATURE), done.number, keep=True))
    assert len(back.undone.taken) == count
    found["take it back"] = ms / count
    ms, done = taken(lambda: apply([Change(a.id, "merged_into", None, b.id, "") for a, b in pairs]))
    assert len(done.merges) == len(pairs)
    found["merge two accounts"] = ms / len(pairs)
    ms, back = taken(lambda: undo(office_of(settings, engine, SIGNATURE), done.number, keep=True))
    assert not back.undone.kept
    found["take a merge back"] = ms / len(pairs)
    with Path(os.devnull).open("w") as out:
        for name in ("tell the page of an account", "see that it knows it"):
            ms, _ = taken(
                lambda: export_news(office_of(settings, engine, SIGNATURE), lambda news: accounts.write_news_csv(news, settings, out), keep=True, by_page_id=False)
            )  # fmt: skip
            found[name] = ms / count
    ms, _ = taken(lambda: forget_member(office_of(settings, engine, SIGNATURE), "1", keep=True))
    found["delete a member, search, write the file anew; a member of the roster"] = ms / count
    engine.dispose()
    return found


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    settings = settings_file.read(HERE / "fixtures_demo" / "onboard.toml")
    with TemporaryDirectory() as folder:
        small = measured(count, settings, Path(folder))
        large = measured(10 * count, settings, Path(folder))
    print(f"| with {10 * count:,} members | ms | 10 times the members cost |\n|---|---|---|")
    for name, ms in large.items():
        print(f"| {name} | {ms:.2f} | {10 * ms / small[name]:.1f} times |")


if __name__ == "__main__":
    main()
