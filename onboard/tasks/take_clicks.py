"""Members who asked for no more email by one click (RFC 8058): each no is noted once."""

from __future__ import annotations

from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path

from sqlalchemy import Connection

from onboard import spool
from onboard.intake import clicks
from onboard.intake.clicks import Clicks
from onboard.model import Outgoing
from onboard.office import Act, Office
from onboard.returned import Action, Kind, Returned
from onboard.roster import outgoing
from onboard.settings import Settings
from onboard.tasks import take_returned
from onboard.tasks.take_returned import CameBack, ReturnedReport
from onboard.welcome.reminder import id_of


@dataclass(frozen=True, slots=True)
class ClicksReport:
    """What a file of requests came to."""

    taken: ReturnedReport  # a line for each key of an email of ours
    strangers: frozenset[str]  # keys of no email of ours
    opened: int  # somebody looked at the page, and asked for nothing
    kept_in: Path | None = None  # where the spool keeps those keys, to try them again


def take_clicks(office: Office, file: Path, *, keep: bool) -> ClicksReport:
    """Who asked for no more email by the button of their mail program, out of `file`; noted as a no if `keep`.

    A key is only in the email that it came with, and nobody can make one. The same request counts once, whichever file it
    is in. If `file` is the folder that the porch writes to, its requests are meant, and they go once they are noted; those
    of no email of ours stay there for `spool.KNOWN_DAYS`.
    Raises `FileTrouble`, `StoreTrouble`, and `SettingsTrouble` where the settings let others look members up.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.TELL)
    if not file.is_dir():
        return _take(office, clicks.read(file), file.name, keep=keep)
    return _take_spool(office, file, keep=keep)


def heed_porch(office: Office) -> int:
    """How many asked for no more email by one click at the porch, and are heard now: it is noted before anything goes
    out to them. Raises `FileTrouble` and `StoreTrouble`."""
    folder = office.settings.spool
    if not (folder and (spool.waiting_stops(folder) or spool.unknown_stops(folder))):
        return 0
    done = _take_spool(office, folder, keep=True)
    return sum(not one.before for one in done.taken.mails)


def porch_with_stops(settings: Settings) -> Path | None:
    """The spool that the settings name, if requests for no more email wait there. Raises `FileTrouble` where it is
    somebody else's."""
    folder = settings.spool
    return folder if folder and spool.waiting_stops(folder) else None


def count_stops(settings: Settings) -> int:
    """How many requests for no more email wait in the spool that the settings name. Raises as `porch_with_stops` does."""
    folder = porch_with_stops(settings)
    return len(clicks.read(*spool.waiting_stops(folder)).keys) if folder else 0


def take_stops(office: Office) -> ClicksReport | None:
    """Whoever asked for no more email at the porch, noted as a no; None if nobody did. Raises what `take_clicks` does."""
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.TELL)
    folder = porch_with_stops(office.settings)
    return take_clicks(office, folder, keep=True) if folder else None


def _take_spool(office: Office, folder: Path, *, keep: bool) -> ClicksReport:
    with spool.stops(folder, keep=keep) as files:
        done = _take(office, clicks.read(*files), folder.name, keep=keep)
        if keep:
            spool.keep_unknown(folder, files, done.strangers)
    return replace(done, kept_in=folder / spool.UNKNOWN)


def _take(office: Office, found: Clicks, source: str, *, keep: bool) -> ClicksReport:
    today = office.today()
    asked: dict[str, CameBack] = {}
    for key, line in found.keys.items():
        wish = Returned(Kind.UNSUBSCRIBE, action=Action.STOP_MAIL)
        digest = sha256(f"one click {key}".encode()).hexdigest()
        asked[key] = CameBack(f"{source}, line {line}", wish, today, digest)
    report = ReturnedReport()
    with office.work(keep=keep) as connection:
        lines = _lines(connection, office, list(asked))
        report.mails = [one for key, one in asked.items() if key in lines]
        take_returned.bind(
            connection, report.mails, {id(asked[key]): line for key, line in lines.items()}
        )
        take_returned.take(connection, office, report, source, keep=keep)
    return ClicksReport(report, frozenset(asked.keys() - lines.keys()), found.opened)


def _lines(connection: Connection, office: Office, keys: list[str]) -> dict[str, Outgoing]:
    """The email of ours that each key is of."""
    domain = office.settings.sender.rpartition("@")[2]
    ids = {key: f"<{id_of(key)}@{domain}>" for key in keys}
    found = outgoing.by_message_id(connection, ids.values())
    lines = {key: found[full] for key, full in ids.items() if full in found}
    for key in keys:
        if key not in lines and (line := outgoing.by_id_before_at(connection, id_of(key))):
            lines[key] = line  # the co-op had another domain when it went out
    return lines
