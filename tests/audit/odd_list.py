"""A member list with odd headings, in which things have decayed in the words that people use for them.

    python tests/audit/odd_list.py N SEED [--draw 1|2]

plants the texts of wordings.tsv, and what no single text shows (names that changed places, a phone that
many have), in a clean list of N members; brings it in with `adopt` and audits the roster, audits the list
as it is, and prints for each kind how many were found, and of how many clean members it was said.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

import decay

from onboard import intake
from onboard import settings as settings_file
from onboard.intake.days import days_of
from onboard.office import Office
from onboard.roster import store
from onboard.tables import rows as table_rows
from onboard.tasks.adopt_members import adopt_members
from onboard.tasks.audit_roster import Audit, audit_roster
from onboard.tasks.audit_sheets import audit_sheet

NOON = datetime(2026, 11, 25, 12, tzinfo=UTC)
WORDINGS = Path(__file__).with_name("wordings.tsv")
# By kind, the beginnings of the codes of which one must be found.
CODES = {
    "swapped": ("fields.swapped", "name.order_unsure"),
    "never": ("access.never_signed_in",),
    "deceased": ("name.deceased", "notes.deceased"),
    "test": ("name.test", "name.joke", "name.mash", "name.empty"),
    "organisation": ("name.organisation", "name.household"),
    "helper": ("reach.helper", "reach.shared"),
    "box": ("place.box_only",),
    "email": ("email.", "reach.bounced"),
    "aside": ("name.aside", "name.lost_letters"),
    "joined": ("day.",),  # what says that nobody knows, is no finding
}
EACH = 60  # of a kind in 3,000 members


@dataclass
class Row:
    """A member of the list, by column."""

    id: int
    given: str
    family: str
    cells: dict[str, str]
    kind: str = ""  # what is planted
    text: str = ""


@dataclass
class List:
    """A list, and where it is."""

    folder: Path
    rows: list[Row]
    one_name: bool  # whether it has one column for the whole name
    fields: dict[str, str] = field(default_factory=dict)


HEADINGS = {
    "handle": "Login", "name": "Member", "first": "First", "last_name": "Last", "email": "E-mail addr",
    "phone": "Cell", "address1": "Street or PO Box", "address2": "Address 2", "city": "Town", "state": "St",
    "zip": "Zip", "site": "Pick-up site", "joined": "Joined", "last": "Last sign-in", "notes": "Notes",
}  # fmt: skip
# What people note of members of whom nothing is amiss.
IDLE_NOTES = (
    "",
    "",
    "",
    "",
    "",
    "Has a truck",
    "eggs only",
    "prefers mornings",
    "knows Robin",
    "paid 2024",
)


def wordings(draw: str) -> dict[str, list[tuple[str, str]]]:
    """By kind, the field and the text of each wording of a draw."""
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    with WORDINGS.open(encoding="utf-8") as lines:
        for line in lines:
            if line.startswith("#") or not line.strip():
                continue
            of, kind, where, text = line.rstrip("\n").split("\t")
            if of == draw:
                found[kind].append((where, text))
    return found


def make(folder: Path, count: int, seed: int, draw: str = "1", *, one_name: bool = False) -> List:
    """Write onboard.toml and members.csv into the folder."""
    chance = random.Random(seed)
    sites = decay.spots(chance)
    made = [_row(one, chance) for one in decay.people(count, chance, sites)]
    phones = Counter(row.cells["phone"] for row in made)
    alone = [row for row in made if phones[row.cells["phone"]] == 1]
    chance.shuffle(alone)
    fresh = iter(alone)
    each = max(2, EACH * count // 3000)
    for kind, texts in wordings(draw).items():
        # Of a small list, each wording still comes about once.
        for at in range(max(each, 2 * len(texts)) if kind != "control" else 2 * len(texts)):
            _plant(next(fresh), kind, *texts[at % len(texts)])
    for _ in range(each):
        _swap(next(fresh), chance)
    for at in range(max(2, each // 6)):
        _share(fresh, chance.choice((3, 5, 7)), ("phone", "email")[at % 2])
    folder.mkdir(parents=True, exist_ok=True)
    # Of a co-op that has just begun with the program: no window of the past is in the settings.
    lines = decay.settings(sites, count).splitlines(keepends=True)
    coming = [line for line in lines if "opens = " not in line or "opens = 2027" in line]
    (folder / "onboard.toml").write_text("".join(coming), "utf-8")
    listed = List(folder, made, one_name)
    _write(listed)
    return listed


def _row(one: decay.One, chance: random.Random) -> Row:
    number = one.phone[2:]
    cells = {
        "handle": one.handle, "first": one.given, "last_name": one.family, "email": one.email,
        "phone": f"({number[:3]}) {number[3:6]}-{number[6:]}", "address1": one.street.title(), "address2": "",
        "city": one.city.title(), "state": one.state, "zip": one.zip5, "site": one.site,
        "joined": f"{one.joined:%m/%d/%Y}", "last": f"{one.last_sign_in:%m/%d/%Y}",
        "notes": chance.choice(IDLE_NOTES),
    }  # fmt: skip
    return Row(one.id, one.given, one.family, cells)


def _plant(row: Row, kind: str, where: str, text: str) -> None:
    local = row.cells["email"].partition("@")[0]
    said = text.format(given=row.given, family=row.family, local=local, number=row.id % 900 + 12)
    row.kind, row.text = kind, f"{where}: {text}"
    if where == "name":
        # In two columns, the last name begins the second, or else its second word does.
        first, found, last = said.rpartition(row.family) if row.family in said else (said, "", "")
        if found and first.strip():
            row.cells["first"], row.cells["last_name"] = first.strip(), found + last
        else:
            row.cells["first"], _, row.cells["last_name"] = said.partition(" ")
        row.cells["name"] = said
    else:
        row.cells[where] = said
        if where == "address2" and kind == "box":
            row.cells["address1"] = ""


def _swap(row: Row, chance: random.Random) -> None:
    """First and last name in each other's place, for names that are seldom the other."""
    given, family = next(_clear_names(chance))
    row.kind, row.text = "swapped", "swapped"
    style = chance.choice((str, str, str.upper))
    row.cells["first"], row.cells["last_name"] = style(family), style(given)
    row.cells["name"] = f"{style(family)} {style(given)}"
    mine = (
        f"{given}.{family}",
        f"{given[0]}{family}",
        f"{family}{row.id}",
        f"{family}{given}",
        f"garlic{row.id}x",
    )
    row.cells["email"] = f"{chance.choice(mine)}{row.id}@example.org".lower()
    row.cells["handle"] = chance.choice(
        (f"{given}{family}{row.id}", f"{family}{given}{row.id}")
    ).lower()


def _clear_names(chance: random.Random) -> Iterator[tuple[str, str]]:
    known = [
        (n.capitalize(), int(g), int(f)) for n, g, f in table_rows("census_names") if len(n) > 2
    ]
    given = [(n, g) for n, g, f in known if g > 20 and g > 20 * f]
    family = [(n, f) for n, g, f in known if f > 5 and f > 20 * g]
    while True:
        yield (
            chance.choices([n for n, _ in given], [w for _, w in given])[0],
            chance.choices([n for n, _ in family], [w for _, w in family])[0],
        )


def _share(fresh: Iterator[Row], count: int, where: str) -> None:
    """Several members of several homes with the phone or the mailbox of one helper."""
    some = [next(fresh) for _ in range(count)]
    for at, row in enumerate(some):
        row.kind, row.text = "helper", f"{where} of {count}"
        said = some[0].cells[where]
        row.cells[where] = said.upper() if at % 3 == 1 and where == "email" else said


def _write(listed: List) -> None:
    left_out = {"first", "last_name"} if listed.one_name else {"name"}
    columns = [c for c in HEADINGS if c not in left_out]
    with (listed.folder / "members.csv").open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow([HEADINGS[c] for c in columns])
        for row in listed.rows:
            whole = f"{row.cells['first']} {row.cells['last_name']}".strip()
            writer.writerow([row.cells.get(c, whole if c == "name" else "") for c in columns])


# ---------------------------------------------------------------- measured


def audited(listed: List, *, from_store: bool) -> tuple[Audit, dict[str, int]]:
    """The audit of the list, or of the roster after it was brought in; and by owner, whose row it is."""
    coop = settings_file.read(listed.folder / "onboard.toml")
    file = listed.folder / "members.csv"
    sheet = intake.open_rows(file, needed=("name",))
    if not from_store:
        office = Office(coop, None, "Robin", lambda: NOON)  # type: ignore[arg-type]
        return audit_sheet(office, sheet), {f"line:{row.id + 1}": row.id for row in listed.rows}
    engine = store.open_store(f"sqlite:///{listed.folder / 'roster.db'}")
    office = Office(coop, engine, "Robin", lambda: NOON)
    days = days_of(sheet, office.today(), coop.region)
    adopt_members(office, sheet.rows(), file=file.name, keep=True, days=days)
    done = audit_roster(office)
    owners = {b.owner: b.handle for b in done.briefs}
    ids = {row.cells["handle"]: row.id for row in listed.rows}
    engine.dispose()
    return done, {owner: ids[handle] for owner, handle in owners.items()}


@dataclass
class Measured:
    """What was found of each kind, what was not, and what was said of clean members."""

    found: dict[str, float]
    missed: dict[str, list[str]]
    alarms: dict[str, float]
    alarmed: dict[str, list[str]]


def measure(listed: List, done: Audit, whose: dict[str, int]) -> Measured:
    """The audit beside what was planted."""
    said: dict[int, set[str]] = defaultdict(set)
    for one in done.found:
        for owner in (one.owner, *one.others):
            if owner in whose:
                said[whose[owner]].add(one.code)
    hits: dict[str, list[bool]] = defaultdict(list)
    missed: dict[str, list[str]] = defaultdict(list)
    alarmed: dict[str, list[str]] = defaultdict(list)
    clean = 0
    for row in listed.rows:
        codes = said[row.id]
        if row.kind and row.kind != "control":
            hit = any(code.startswith(CODES[row.kind]) for code in codes)
            hits[row.kind].append(hit)
            if not hit:
                missed[row.kind].append(f"{row.text} {sorted(codes)}")
            continue
        clean += 1
        for kind, wanted in CODES.items():
            if any(code.startswith(wanted) for code in codes):
                alarmed[kind].append(row.text or f"{row.cells['first']} {row.cells['last_name']}")
    return Measured(
        {kind: sum(h) / len(h) for kind, h in hits.items()}, dict(missed),
        {kind: len(rows) / clean for kind, rows in alarmed.items()}, dict(alarmed),
    )  # fmt: skip


def main(count: int, seed: int, draw: str) -> None:
    """Print what was found of each kind."""
    for one_name in (False, True):
        with tempfile.TemporaryDirectory() as name:
            listed = make(Path(name), count, seed, draw, one_name=one_name)
            for from_store in (True, False):
                told = measure(listed, *audited(listed, from_store=from_store))
                print(
                    f"\n== {'roster' if from_store else 'list'}, {'one name' if one_name else 'two names'}"
                )
                for kind in CODES:
                    print(
                        f"{kind:14}{told.found.get(kind, 0):8.1%}  alarms {told.alarms.get(kind, 0):.2%}"
                    )
                    counted = Counter(told.missed.get(kind, []))
                    for text, times in counted.most_common(40):
                        print(f"      missed {times}: {text}")
                    for text, times in Counter(told.alarmed.get(kind, [])).most_common(12):
                        print(f"      ALARM {times}: {text}")


if __name__ == "__main__":
    main(
        int(sys.argv[1]),
        int(sys.argv[2]),
        sys.argv[sys.argv.index("--draw") + 1] if "--draw" in sys.argv else "1",
    )
