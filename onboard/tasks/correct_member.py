"""What is on file of a member put right, through the same rules as a join form.

Changing where a member can be reached is a road to take an account over. So whoever had the
contact before is told, and a packet that has not gone out waits until the caller is checked
(`reissue`). NIST SP 800-63B-4: section 4.6 on notices, 4.2.1.2 on new addresses.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, astuple, dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import Connection, Engine, Row

from onboard import handles, sites
from onboard.clean import address, phone, row
from onboard.clean import name as names
from onboard.errors import FileTrouble
from onboard.match import keys
from onboard.model import (
    Applicant,
    Cleaned,
    Finding,
    Handle,
    Member,
    PersonName,
    RawRow,
    Signature,
    Weight,
)
from onboard.roster import change, desk, record, search, store
from onboard.roster.change import Change
from onboard.roster.desk import CONTACTS
from onboard.settings import Settings
from onboard.welcome import letters, outbox
from onboard.welcome.notice import notice

# What can be corrected, and the field of a join form that it is.
FIELDS = {
    "name": "full_name", "email": "email", "phone": "phone", "address": "address", "site": "site"
}  # fmt: skip
MAY_BE_EMPTY = ("email", "phone", "address")


@dataclass(frozen=True, slots=True)
class Corrected:
    """What a correction comes to, or why it can't be."""

    member: Member  # as on file before
    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]  # about what was corrected
    refused: tuple[str, ...] = ()  # what is wrong with it; then nothing is changed
    notices: tuple[str, ...] = ()  # files that tell of it, in the outbox
    to_do: tuple[str, ...] = ()  # what is left for a person
    number: int = 0  # by which it can be taken back


def correct_member(
    engine: Engine,
    settings: Settings,
    meant: str,
    corrections: Mapping[str, str],
    *,
    signature: Signature,
    today: date,
    why: str = "",
    new_handle: bool = False,
    keep: bool,
) -> Corrected:
    """Put right what is on file of the member that `meant` (a handle or a number) means.

    `corrections` are texts by `FIELDS`; an empty email, phone or address is taken away. The
    handle stays, unless `new_handle` asks for one of the name as it is now. The old spellings
    stay known. Without `keep` it only looks. Raises `FileTrouble` if nobody is meant or the
    outbox cannot be written, and `StoreTrouble`; then nothing has changed.
    """
    if unknown := corrections.keys() - FIELDS.keys():
        raise ValueError(f"cannot correct {sorted(unknown)}")
    with store.transaction(engine, keep=keep) as connection:
        line = desk.member_meant(connection, meant)
        if line is None:
            raise FileTrouble(f"Nobody here has the handle or number “{meant[:60]}”.")
        member = search.member_of(line)
        if line.merged_into:
            return Corrected(
                member, (), (), (f"This account was merged into member {line.merged_into}.",)
            )
        understood = _understood(connection, settings, line, member, corrections)
        findings, refused = _judged(understood, corrections)
        wanted = _wanted(understood, line, corrections)
        if new_handle and not refused:
            made = _handle(connection, settings, understood, member)
            findings += made.findings
            refused = _blocking(made.findings)
            if made.value and made.value.text != member.handle.text:
                wanted["handle"] = made.value.text
                wanted["handle_steps"] = [astuple(step) for step in made.value.steps]
        if refused or not wanted:
            return Corrected(member, (), findings, refused)
        if "email" in wanted and line.bounced:
            wanted["bounced"] = None  # that was the other address
        changes = tuple(
            Change(member.id, field, getattr(line, field), after, why)
            for field, after in wanted.items()
        )
        spelt = wanted.keys() & {"name", "email", "phone", "address"}
        done = change.make(
            connection,
            [(1, one) for one in changes],
            signature,
            what="corrected",
            spellings=[(p, keys.of(p)) for p in understood.people(member.owner)] if spelt else (),
        )
        assert not done.left_out, "the line was read in this very transaction"
        changed = [field for field in CONTACTS if field in wanted]
        _settle_packet(connection, settings, line, wanted, signature, keep)
        told, to_do = _tell(connection, settings, line, member, changed, signature, today, keep)
        return Corrected(member, changes, findings, (), told, to_do, done.number)


# ---------------------------------------------------------------- what is meant


def _understood(
    connection: Connection,
    settings: Settings,
    line: Row[Any],
    member: Member,
    corrections: Mapping[str, str],
) -> Applicant:
    """The member as a join form would say it, with the corrections in it."""
    born = [p.born for p in desk.spellings(connection, member.owner) if p.born]
    said = {
        "name": names.show(member.name),
        "email": member.email,
        "phone": member.phone,
        "address": "\n".join(member.address),
        "site": member.site,
    } | dict(corrections)
    fields = {FIELDS[field]: text for field, text in said.items()}
    fields |= {"born": born[-1]} if born else {}
    raw = RawRow("", 0, (), fields)
    understood = row.clean(raw, region=settings.region)
    site = sites.clean(said["site"], settings.sites, understood.place.value)
    if "name" not in corrections:  # as it is, also if the rules of today read it otherwise
        understood = replace(understood, name=replace(understood.name, value=member.name))
    return replace(understood, site=site)


def _judged(
    understood: Applicant, corrections: Mapping[str, str]
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """What there is to say of the corrected fields, and what can't stay so."""
    findings: list[Finding] = []
    refused: list[str] = []
    for field in FIELDS:
        if field not in corrections or (field in MAY_BE_EMPTY and not corrections[field].strip()):
            continue
        cleaned = getattr(understood, field)
        about = cleaned.findings
        if field == "address":
            about += understood.place.findings
        findings += about
        wrong = _blocking(about)
        if cleaned.value is None and field != "address":
            wrong = wrong or tuple(f.note for f in about) or (f"The {field} is empty.",)
        refused += wrong
    return tuple(findings), tuple(refused)


def _wanted(
    understood: Applicant, line: Row[Any], corrections: Mapping[str, str]
) -> dict[str, Any]:
    """The columns of the member that are to be otherwise, and how."""
    wanted: dict[str, Any] = {}
    where = understood.address.value
    values = {
        "name": asdict(understood.name.value or PersonName("")),
        "email": understood.email.value.address if understood.email.value else "",
        "phone": phone.show(understood.phone.value) if understood.phone.value else "",
        "address": (address.show(where) if where else understood.address.said).splitlines(),
        "site": understood.site.value or "",
    }
    for field in corrections:
        before = getattr(line, field)
        is_same = (
            search.name_of(before) == understood.name.value
            if field == "name"
            else before == values[field]
        )
        if not is_same:
            wanted[field] = values[field]
    return wanted


def _blocking(findings: Iterable[Finding]) -> tuple[str, ...]:
    return tuple(f.note for f in findings if f.weight is Weight.BLOCKING)


def _handle(
    connection: Connection, settings: Settings, understood: Applicant, member: Member
) -> Cleaned[Handle]:
    """A handle of the name, free for this member; one that they had before is theirs."""
    made = handles.clean(understood.name.value or PersonName(""), settings.handle)
    if made.value is None or desk.handle_owner(connection, made.value.text) == member.id:
        return made
    taken = search.handles(connection, [made.value.text])
    return replace(made, value=handles.free(made.value, taken, settings.handle))


# ---------------------------------------------------------------- what follows


def _settle_packet(
    connection: Connection,
    settings: Settings,
    line: Row[Any],
    wanted: Mapping[str, Any],
    signature: Signature,
    keep: bool,
) -> None:
    """A packet that has not gone out is worth nothing now: its words or its address are old.

    Where the contact that it goes to was changed it waits for a check of the caller, else it is
    due. Either way its first password works no more.
    """
    if keep and "handle" in wanted:
        outbox.take_away(settings.outbox, f"{line.handle}.eml")
    by_mail = bool(line.email) and line.consent is not False
    moved = "email" in wanted or ("address" in wanted and not by_mail)
    told = wanted.keys() & {"name", "address", "site", "handle"}  # what the packet speaks of
    if moved and line.packet in ("due", "written", "unsure"):
        stands = "barred" if settings.desk.second_check_days else "due"
    elif told and line.packet == "written":
        stands = "due"
    else:
        return
    desk.end_first_password(connection, line.id)
    record.packets(connection, [line.id], stands, signature)
    if keep:
        outbox.take_away(settings.outbox, f"{line.handle}.eml")


def _tell(
    connection: Connection,
    settings: Settings,
    line: Row[Any],
    member: Member,
    changed: Sequence[str],
    signature: Signature,
    today: date,
    keep: bool,
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The notice of changed contacts to one that was on file before, or what is left to do."""
    if not changed:
        return (), ()
    stem = f"notice-{member.id}-{signature.when:%Y%m%d%H%M%S}"
    if member.email and member.consent is not False and not line.bounced:
        told = notice(member, changed, settings, today, email=member.email)
        name, content = f"{stem}.eml", told.message
    elif member.address:
        told = notice(member, changed, settings, today, address=member.address)
        name, content = f"{stem}.pdf", letters.pdf([told], settings)
    elif member.phone:
        number = member.phone.removeprefix("tel:")
        return (), (
            f"Tell them by the phone that was on file before, {number}: there is no other way.",
        )
    else:
        return (), ("Nobody can be told: no other contact was on file before.",)
    if keep:
        outbox.write_file(settings.outbox, name, content)
        desk.keep_notice(connection, member.id, name, signature)
    return (name,), ()
