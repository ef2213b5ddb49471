"""The roster as a SQLite file: private, known as ours, and left as it is by whoever only looks.

Each of our files says so: it has our application id (https://www.sqlite.org/fileformat2.html,
section 1.3.10). Files that we made before they had it are known by their tables.
"""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Callable, Collection
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.pool import StaticPool

from onboard.errors import StoreTrouble
from onboard.roster.trouble import read_json, told

APPLICATION_ID = 0x6F6E6264  # "onbd"
OURS = frozenset(("alembic_version", "batch", "journal", "member", "handle", "row"))
CACHE_KIB = 64 * 1024  # of pages; the default of 2 MB makes a batch into a large roster wait
LOGS = ("-wal", "-shm", "-journal")
GROWING = ("member", "outgoing", "row", "journal", "batch")
WORTH_COUNTING, GROWN, LINES_LOOKED_AT = 1000, 4, 400
READING = "onboard_reading"  # the execution option of who only reads


def to_write(file: Path, wait: float) -> Engine:
    """An engine on a file that is there; `wait` seconds for another program that is writing."""

    def connect() -> sqlite3.Connection:
        raw = _connect(file, "mode=rw", wait)
        _set(raw, "journal_mode=WAL", "synchronous=FULL", "temp_store=MEMORY")
        return raw

    return _engine(file, connect)


def to_look(file: Path, wait: float) -> Engine:
    """An engine that changes nothing, and waits for nobody who writes; also where nothing may be
    written. `wait` is in seconds. Connecting raises `StoreTrouble` where the newest changes cannot be
    read."""

    def connect() -> sqlite3.Connection:
        raw = _connect(file, "mode=rw", wait)
        try:
            raw.execute("SELECT count(*) FROM sqlite_master")
        except sqlite3.OperationalError as error:
            raw.close()
            # SQLite reads a write-ahead log by way of a file beside it, which cannot be made here.
            if error.sqlite_errorcode & 0xFF not in (
                sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY,
            ):  # fmt: skip
                raise
            raw = _connect(file, "immutable=1", wait)  # nobody can be writing
            log = file.with_name(f"{file.name}-wal")
            if log.exists() and log.stat().st_size:
                raise StoreTrouble(
                    f"The newest changes of the roster {file} are in {log}, and cannot be read as nothing may "
                    "be written in that folder: copy both files to a folder of your own, and look there."
                ) from None
        _set(raw, "temp_store=MEMORY")
        return raw

    return _engine(file, connect, **{READING: True})


def in_memory() -> Engine:
    """An engine on an empty database that nobody else sees, and that is gone when it is closed.

    What memory need not hold of it is in a file without a name, readable to its owner only.
    """

    def connect() -> sqlite3.Connection:
        # An empty name, not ":memory:": a first look at a million forms would fill that.
        raw = sqlite3.connect("", check_same_thread=False)
        _set(raw, "temp_store=FILE")
        return raw

    return _engine(None, connect, poolclass=StaticPool)


def copy_of(engine: Engine) -> Engine:
    """A private copy of a roster, as it is now, for who must write to see what would be.

    Raises `StoreTrouble` if there is no room for it where temporary files go.
    """
    private = in_memory()
    with engine.connect() as source, private.connect() as target:
        try:
            _raw(source).backup(_raw(target))
        except sqlite3.OperationalError as error:
            if "full" not in str(error):
                raise
            raise StoreTrouble(
                "To preview this, the program works on a copy of the roster, and there is no room for one "
                f"where temporary files go ({os.environ.get('TMPDIR') or '/var/tmp'}): make room there, or "
                "let TMPDIR name another folder. Nothing was changed."
            ) from error
    return private


def count_if_grown(connection: Connection) -> None:
    """Have SQLite count its tables once they have grown much, within the connection's transaction.

    Without counts it takes each state or kind to be rare, and reads all packets there are to find one
    member's. It looks at so few lines that a million members take it some hundredths of a second.
    """
    raw = _raw(connection)
    newest = {}
    for name in GROWING:
        (number,) = raw.execute(f'SELECT max(rowid) FROM "{name}"').fetchone()
        newest[name] = number or 0
    if max(newest.values()) < WORTH_COUNTING:
        return
    counted: dict[str, int] = {}
    if raw.execute("SELECT 1 FROM sqlite_master WHERE name = 'sqlite_stat1'").fetchone():
        for name, said in raw.execute("SELECT tbl, stat FROM sqlite_stat1 WHERE stat IS NOT NULL"):
            counted[name] = max(counted.get(name, 0), int(said.split()[0]))
    if any(number > GROWN * counted.get(name, 0) for name, number in newest.items()):
        raw.execute(f"PRAGMA analysis_limit = {LINES_LOOKED_AT}")
        raw.execute("ANALYZE")
        # Where SQLite was made to, it also keeps samples: names and emails, which nobody would delete.
        raw.execute("DROP TABLE IF EXISTS sqlite_stat4")


def see_that_it_may_be_used(file: Path, *, writing: bool) -> None:
    """Raises `StoreTrouble` for what is no file, is empty, or is not for us to read or to write."""
    if file.is_dir():
        raise StoreTrouble(
            f"{file} is a folder, not a roster: name a file in the settings, as roster = "
            f'"{file / "roster.db"}" under [files].'
        )
    # Asked, not tried: to open and close the file would end the locks that this process has on it.
    if not os.access(file, os.R_OK):
        raise StoreTrouble(f"The roster {file} may not be read: check who owns it.")
    if writing and not os.access(file, os.W_OK):
        raise StoreTrouble(
            f"The roster {file} may not be written to (it is read-only): check who owns it and its folder."
        )
    if not file.stat().st_size:
        raise StoreTrouble(
            f"{file} is an empty file, not a roster. If there was a roster, put back your last copy of it. "
            "If there never was one, delete the file; then run this again."
        )


def see_that_it_is_ours(connection: Connection, file: Path) -> bool:
    """Whether the file has our mark; else it was made before there was one.

    Raises `StoreTrouble` if it is another program's.
    """
    raw = _raw(connection)
    (mark,) = raw.execute("PRAGMA application_id").fetchone()
    if mark == APPLICATION_ID:
        return True
    names = sorted(n for (n,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table'"))
    if mark == 0 and OURS.issubset(names):
        return False
    shown = f"its tables are {', '.join(names[:5])}" if names else "it has no tables"
    raise StoreTrouble(
        f"{file} is a database of another program, not a roster ({shown}). Nothing was changed. Name another "
        "file as the roster in the settings, or put back your last copy of the roster."
    )


def mark_as_ours(connection: Connection) -> None:
    """Within the connection's transaction."""
    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")


def make(file: Path, fill: Callable[[Engine], None]) -> None:
    """Make a roster's file by `fill`: whole, or not at all. One that is there by then is left alone.

    Raises `StoreTrouble` if its folder is not there, or nothing can be written in it.
    """
    file = file.resolve()
    if not file.parent.is_dir():
        raise StoreTrouble(
            f"The folder {file.parent} for the roster does not exist: make it first."
        )
    try:
        # Ours alone from the first, so that neither it nor its logs are ever readable to others.
        opened, name = tempfile.mkstemp(prefix=f".{file.name}-", dir=file.parent)
    except OSError as error:
        raise StoreTrouble(
            f"The roster {file} cannot be made ({error.strerror}): check who may write there, and make room."
        ) from error
    os.close(opened)
    begun = Path(name)
    engine = to_write(begun, 0)
    try:
        with told(URL.create("sqlite", database=str(file))):
            fill(engine)
        engine.dispose()
        _give_name(begun, file)
    finally:
        engine.dispose()
        _remove(begun)


def keep_copy(engine: Engine, file: Path, before: str) -> Path:
    """A copy of the roster beside it, as it is before its tables become those of version `before`.

    Nobody may be writing meanwhile but whoever calls. Raises `StoreTrouble` if there is no room.
    """
    copy = _free(file.with_name(f"{file.stem}-before-{before}{file.suffix}"))
    try:
        os.close(os.open(copy, os.O_CREAT | os.O_EXCL, 0o600))
        # By a connection of its own: one that has begun to write cannot be copied from.
        with engine.connect() as source, closing(sqlite3.connect(copy)) as target:
            _raw(source).backup(target)
    except (OSError, sqlite3.Error) as error:
        _remove(copy)
        size = file.stat().st_size // 1_000_000 + 1
        raise StoreTrouble(
            f"The roster {file} was made by an earlier onboard. Before it is brought up to date a copy of it "
            f"is kept beside it, and that cannot be written ({error}): make {size} MB of room there, and "
            "check who may write there. Then run this again. Nothing was changed."
        ) from error
    return copy


def drop_copy(copy: Path) -> None:
    """Remove a copy that nobody needs."""
    _remove(copy)


def take_in_log(engine: Engine) -> None:
    """Write what is in the log to the file itself, if nobody reads now; else it waits for the next."""
    with engine.connect() as connection, suppress(sqlite3.OperationalError):
        _outside(connection, "PRAGMA wal_checkpoint(TRUNCATE)")


def write_anew(engine: Engine) -> None:
    """Write the file anew, so that nothing of what was deleted is left in it or its log.

    Raises `StoreTrouble` if there is no room, or somebody else uses it.
    """
    with engine.connect() as connection:
        try:
            _outside(connection, "VACUUM")
            (busy, *_) = _raw(connection).execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
            why: object = "another program reads it" if busy else ""
        except sqlite3.Error as error:
            why = error
        if why:
            raise StoreTrouble(
                f"What was deleted is deleted, but traces of it are still in the roster's file ({why}). "
                "End other programs that use the roster, and make room on the disk. Then run: onboard forget --record"
            )


def holding(file: Path, texts: Collection[bytes]) -> list[Path]:
    """Which of the files of a roster hold one of the texts, which are in small letters."""
    longest = max(map(len, texts), default=0)
    found = []
    for ending in ("", *LOGS):
        part = file.with_name(file.name + ending)
        if not part.exists():
            continue
        with part.open("rb") as stream:
            tail = b""
            while some := stream.read(1 << 24):
                lower = (tail + some).lower()
                if any(text in lower for text in texts):
                    found.append(part)
                    break
                tail = lower[-longest:]
    return found


# ---------------------------------------------------------------- engines


def _engine(file: Path | None, connect: Callable[[], sqlite3.Connection], **options: Any) -> Engine:
    pool = {"poolclass": options.pop("poolclass")} if "poolclass" in options else {}
    engine = create_engine(
        URL.create("sqlite", database=str(file) if file else None),
        creator=connect, execution_options=options, hide_parameters=True,
        json_deserializer=read_json, **pool,
    )  # fmt: skip

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # Who writes begins at once, not at the first write: of two batches at a time both would
        # read, then one of them fail half-way.
        reads = bool(connection.get_execution_options().get(READING))
        connection.exec_driver_sql(f"PRAGMA query_only = {'ON' if reads else 'OFF'}")
        connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")

    return engine


def _connect(file: Path, how: str, wait: float) -> sqlite3.Connection:
    address = f"{file.absolute().as_uri()}?{how}"
    return sqlite3.connect(address, uri=True, timeout=wait, check_same_thread=False)


def _set(raw: sqlite3.Connection, *pragmas: str) -> None:
    raw.isolation_level = None  # we begin our transactions ourselves
    for pragma in (*pragmas, "foreign_keys=ON", f"cache_size=-{CACHE_KIB}"):
        raw.execute(f"PRAGMA {pragma}")


def _outside(connection: Connection, *statements: str) -> None:
    """Run what cannot be in a transaction, on a connection that may have been used to read."""
    for statement in ("PRAGMA query_only = OFF", *statements):
        _raw(connection).execute(statement)


def _raw(connection: Connection) -> sqlite3.Connection:
    raw = connection.connection.driver_connection
    assert isinstance(raw, sqlite3.Connection)
    return raw


# ---------------------------------------------------------------- files


def _give_name(begun: Path, file: Path) -> None:
    """The name, unless somebody else's file has got it meanwhile."""
    try:
        os.link(begun, file)
    except FileExistsError:
        pass
    except OSError:  # a disk that knows no second name for a file
        if not file.exists():
            begun.rename(file)


def _free(file: Path) -> Path:
    """The name, or with a number if it is taken."""
    found, number = file, 1
    while found.exists():
        number += 1
        found = file.with_name(f"{file.stem}-{number}{file.suffix}")
    return found


def _remove(file: Path) -> None:
    for ending in ("", *LOGS):
        file.with_name(file.name + ending).unlink(missing_ok=True)
