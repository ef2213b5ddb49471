"""A member deleted on request, and all that is known of one member told.

What law asks for differs by state and country: how soon, what must be kept, who must be told. This
module removes what the program holds and says what it cannot reach; whether to is for people.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from onboard.errors import StoreTrouble
from onboard.intake import kept_files
from onboard.mail import outbox
from onboard.model import Member, Owner, Person, State
from onboard.office import Act, Office
from onboard.roster import desk, outgoing, page, removing, search, spoken_of, store, traces, whole
from onboard.roster.spoken_of import Place, Spoken, Wanted
from onboard.roster.whole import Whole
from onboard.tasks import meant as who
from onboard.welcome import letters

# How a packet stands that cannot have told anybody the handle.
UNTOLD = (None, State.DUE, State.WAITING)


@dataclass(slots=True)
class Forgotten:
    """What was removed, what stayed, and what is left for people to do."""

    handles: list[str]
    numbers: list[int]
    removed: dict[str, int] = field(default_factory=dict)  # lines, by table
    searched: dict[str, int] = field(default_factory=dict)  # how many emails, phones, names
    left: list[Place] = field(default_factory=list)  # as somebody else's
    masked: list[Spoken] = field(default_factory=list)  # others' records, with a neutral word now
    unsure: list[Spoken] = field(default_factory=list)  # others' records that a person must judge
    signed: list[str] = field(default_factory=list)  # names under which they worked on the roster
    names: dict[int, str] = field(default_factory=dict)  # sign-in names of the others spoken of
    files: list[str] = field(default_factory=list)  # taken out of the outbox
    cut: list[str] = field(default_factory=list)  # files of letters that theirs is taken out of
    letters: list[str] = field(default_factory=list)  # in the outbox, that may hold theirs
    forms: list[str] = field(default_factory=list)  # files that the join forms came from
    holding: list[str] = field(default_factory=list)  # files in the co-op's folder that name them
    maybe: list[str] = field(default_factory=list)  # of these, those that may mean a namesake
    others: list[str] = field(default_factory=list)  # emails to others that may name them
    copies: list[str] = field(default_factory=list)  # copies of the roster that hold them
    unread: list[str] = field(default_factory=list)  # files that the program cannot look into
    traces: list[str] = field(
        default_factory=list
    )  # the roster's own files, if they still hold them
    trouble: str = ""  # why the roster's file could not be written anew
    on_server: bool = False  # nothing is known of what a server keeps
    on_page: bool = False  # the page may have the account: it is told with the next export

    @property
    def needs_a_person(self) -> bool:
        """Whether there is anything left to do or to judge."""
        return any(
            (self.left, self.unsure, self.letters, self.holding, self.others, self.copies, self.traces,
             self.trouble, self.on_page, self.signed)
        )  # fmt: skip


def forget_member(office: Office, said: str, *, keep: bool) -> Forgotten:
    """What comes of deleting a member, told by number, handle, or "row:" and the key of a form;
    done if `keep`, for good.

    It is done in one transaction. Where others' records speak of the member, a neutral word stays; then
    all is searched again for what was removed, the roster's file is written anew, so that nothing is
    left in it where it was, and the co-op's folder is searched for files that hold the member. Raises
    `SettingsTrouble` where the settings let others look members up, `FileTrouble` for a member who
    is unknown, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.transaction(keep=keep) as connection:
        meant = _meant(connection, said)
        done = Forgotten([member.handle.text for member in meant.members], list(meant.numbers))
        done.on_server = connection.dialect.name != "sqlite"
        handles = _handles(connection, meant.members)
        spelt = spoken_of.people(connection, meant)
        done.searched = _searched(spelt)
        told = whole.everything(connection, meant)
        done.forms = sorted({row["file"] for row in told["row"] if row["file"]})
        sent = [line["file"] for line in told["outgoing"] if line["file"]]
        done.files, shared = _in_outbox(office, meant.numbers, handles, sent)
        _sort_letters(office, shared, handles, done)
        others = outgoing.emails_of_others(connection, meant.numbers)
        on_page = _on_page(connection, meant)
        done.on_page = bool(on_page)
        done.removed = removing.remove(
            connection, meant, office.signature(), on_page, office.today()
        )
        wanted = spoken_of.wanted(connection, meant, spelt, handles)
        _mask(connection, wanted, done)
        removing.keep_receipt(connection, meant, done.removed, office.signature())
    if keep:
        for name in done.files:
            outbox.take_away(office.settings.outbox, name)
        _cut(office, done.cut, handles)
        _write_anew(office, done, wanted)
    _look_in_folder(office, done, wanted, others)
    return done


def tell_all(office: Office, said: str) -> dict[str, list[dict[str, Any]]]:
    """All that is known of a member, by table.

    Raises `SettingsTrouble` where the settings let others look members up, `FileTrouble` for a
    member who is unknown, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        return whole.everything(connection, _meant(connection, said))


def _meant(connection: Connection, said: str) -> Whole:
    if (beginning := Owner(said).row_key) is not None:
        keys = whole.row_meant(connection, beginning)
        if len(keys) == 1:
            return whole.of_row(connection, keys[0])
        raise who.no_form("without a member ", beginning, len(keys))
    return whole.of_member(connection, who.member(connection, said).id)


def _handles(connection: Connection, members: Sequence[Member]) -> frozenset[str]:
    """Every sign-in name that was ever theirs."""
    former = (desk.former_handles(connection, member) for member in members)
    return frozenset(text for some in former for text in some) | {m.handle.text for m in members}


def _searched(spelt: Sequence[Person]) -> dict[str, int]:
    """How many emails, phones and names the member is known by."""
    said = {
        "email": {person.email.casefold() for person in spelt},
        "phone": {person.phone.removeprefix("+") for person in spelt},
        "name": {f"{p.given} {p.family}" for p in spelt if p.given and p.family},
    }
    counts = {what: len(texts - {""}) for what, texts in said.items()}
    return {what: count for what, count in counts.items() if count}


def _on_page(connection: Connection, meant: Whole) -> set[int]:
    """Those whom the page may have: it was told of them, or they had an account before us."""
    marked = page.marks(connection, meant.numbers)
    adopted = {member.id for member in meant.members if not member.handle.steps}
    written = {member.id for member in meant.members if member.packet not in UNTOLD}
    return set(marked) | adopted | written


def _mask(connection: Connection, wanted: Wanted, done: Forgotten) -> None:
    """A neutral word where others' records surely speak of the member, and what is left after that."""
    found = spoken_of.mask(connection, wanted)
    done.masked, done.unsure, done.signed = found.masked, found.unsure, sorted(found.signed)
    traces.keep_remarks(connection, found.remarks)
    again = spoken_of.left_after(connection, wanted, found)
    still = [Place(one.table, one.whose, "name") for one in again.masked]
    done.left = list(dict.fromkeys([*found.left, *still]))
    done.removed["texts about others"] += len(found.masked)
    whose = [one.whose for one in (*done.masked, *done.unsure)] + [one.whose for one in done.left]
    numbers = {number for owner in whose if (number := Owner(owner).member_id)}
    done.names = search.handles_of(connection, numbers)


# ---------------------------------------------------------------- files


def _in_outbox(
    office: Office, numbers: Collection[int], handles: Collection[str], sent: Collection[str]
) -> tuple[list[str], list[str]]:
    """The files of the outbox that are theirs alone, and the letters that may hold theirs among others.

    A program that was killed may have left files there of which the roster knows nothing.
    """
    folder = office.settings.outbox
    printed = outbox.letters_with(folder, numbers)
    alone = [name for name in printed if outbox.only_of(name, numbers)]
    named = [outbox.email_name(handle) for handle in handles]
    shared = set(printed) - set(alone)
    theirs = {
        *named,
        *sent,
        *alone,
        *outbox.notices_to(folder, numbers),
        *outbox.half_written(folder),
    }
    found = sorted(name for name in theirs - shared if (folder / name).exists())
    return found, sorted(shared)


def _sort_letters(
    office: Office, shared: Collection[str], handles: Collection[str], done: Forgotten
) -> None:
    """Which of the files of letters hold theirs among others', and which the program cannot look inside."""
    for name in shared:
        file = office.settings.outbox / name
        whose = letters.whose(file) if outbox.is_ours(file) else frozenset()
        if not whose:
            done.letters.append(name)
        elif not whose.isdisjoint(handles):
            done.cut.append(name)


def _cut(office: Office, names: Collection[str], handles: Collection[str]) -> None:
    """Their letters taken out of these files."""
    folder = office.settings.outbox
    for name in names:
        left = letters.without(folder / name, handles)
        if left:
            outbox.write_letters(folder, name, left)
        else:
            outbox.take_away(folder, name)


def _write_anew(office: Office, done: Forgotten, wanted: Wanted) -> None:
    """The roster's file without what was removed, and whether that is so."""
    engine = office.to_write()
    try:
        store.write_anew(engine)
    except StoreTrouble as trouble:  # what is deleted is deleted: the rest is told all the same
        done.trouble = str(trouble)
    whom = wanted.whom
    names = {f"{p.given} {p.family}" for p in whom.known.people if p.given and p.family}
    if whom.known.shared_name or done.signed or done.unsure:
        names = set()  # it stays there, as another's or for a person to judge
    done.traces = [file.name for file in store.traces(engine, names | whom.emails | whom.phones)]


def _look_in_folder(
    office: Office, done: Forgotten, wanted: Wanted, others: Collection[str]
) -> None:
    """The files in the co-op's folder that still hold the member; `others` are emails to somebody else."""
    settings = office.settings
    home = settings.file.parent
    roster = store.file_of(office.to_look().url)
    folders = [home, settings.outbox, *([roster.parent] if roster else [])]
    # The names of letters say whose they are: those that may be theirs are told already.
    apart = [settings.outbox / name for name in done.files] + [*settings.outbox.glob("*.pdf")]
    kept = kept_files.search(
        folders,
        wanted.alone.is_named,
        done.numbers,
        [settings.file, *apart, *([roster] if roster else [])],
    )
    theirs = {settings.outbox / name for name in others}
    held = [file for file in kept.holds if file not in theirs]
    # A name that somebody else on the roster has may mean them.
    sure = (wanted.unnamed if wanted.whom.known.shared_name else wanted.whom).is_named
    maybe = [file for file in held if not kept_files.holds(file, sure, done.numbers)]
    done.others = [_shown(file, home) for file in kept.holds if file in theirs]
    done.holding, done.maybe, done.copies, done.unread = (
        [_shown(file, home) for file in files] for files in (held, maybe, kept.copies, kept.unread)
    )
    if not kept.is_whole:
        done.unread.append("(and more files than could be looked at)")


def _shown(file: Path, home: Path) -> str:
    return str(file.relative_to(home)) if file.is_relative_to(home) else str(file)


# ---------------------------------------------------------------- afterward


def receipts(office: Office) -> list[tuple[int, str, str]]:
    """(number, when, by whom) of every member deleted so far; when is ISO 8601, UTC.

    Raises `SettingsTrouble` where the settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        return search.forgotten(connection)


def write_anew(office: Office) -> list[str]:
    """Finish what a deletion that was broken off left: the files that were taken out of the outbox.

    The roster's file is written anew, so that nothing of whom was deleted is left in it. Raises
    `SettingsTrouble` where the settings let others look members up, `FileTrouble` where the outbox
    cannot be written, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    with office.reading() as connection:
        numbers = [number for number, _, _ in search.forgotten(connection)]
        handles = search.handles_of_nobody(connection)
    files, shared = _in_outbox(office, numbers, handles, ())
    for name in files:
        outbox.take_away(office.settings.outbox, name)
    left = Forgotten([], [])
    _sort_letters(office, shared, handles, left)
    _cut(office, left.cut, handles)
    store.write_anew(office.to_write())
    return files
