"""What is on file of a member put right, through the same rules as a join form."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection

from onboard import handles
from onboard.clean import consent, row
from onboard.clean import name as names
from onboard.errors import ChangedMeanwhile
from onboard.match import keys
from onboard.model import (
    Applicant,
    Asked,
    Change,
    Cleaned,
    Deed,
    Finding,
    Handle,
    Member,
    Owner,
    PersonName,
    RawRow,
    Signature,
    Weight,
)
from onboard.office import Act, Office
from onboard.roster import change, desk, members, outgoing, reminded, search
from onboard.roster.change import Made, Occasion
from onboard.settings import Settings
from onboard.tasks import changed_contact, email_doubts, old_letters, said_dead
from onboard.tasks import meant as who
from onboard.tasks.on_file import PRIVATE
from onboard.tasks.shown import note_shown

# What can be corrected, and the field of a join form that it is.
FIELDS = {
    "name": "full_name", "email": "email", "phone": "phone", "address": "address", "site": "site",
    "born": "born", "consent": "consent",
}  # fmt: skip
MAY_BE_EMPTY = ("email", "phone", "address", "born")
ALL_RIGHT = "confirmed"  # among the corrections: the member says that the rest on file is right
AS_SHOWN = "as shown"  # among the corrections: the version of what was shown to whoever typed them
CHANGED = "Somebody changed this member meanwhile. Nothing was saved. Compare what is on file now with what you typed."


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
    died: str = ""  # that it was said of them that they have died, and what to do
    packet_due: bool = False  # their packet told what was, and is to be written anew
    shows_contact: bool = False  # whoever is at work may see the contact info on file

    @property
    def version(self) -> str:
        """What was on file, as `AS_SHOWN` takes it: it changes with everything that can be corrected."""
        columns = members.columns(self.member)
        return sha256(repr([columns[field] for field in FIELDS]).encode()).hexdigest()


def correct_member(
    office: Office,
    meant: str,
    corrections: Mapping[str, str],
    *,
    why: str = "",
    new_handle: bool = False,
    keep: bool,
) -> Corrected:
    """Put right what is on file of the member that `meant` (a handle or a number) means.

    `corrections` are texts by `FIELDS`; an empty email, phone, address or birth date is taken away.
    `ALL_RIGHT` among them notes that the member said today that the rest is right, which settles what
    was in doubt; `AS_SHOWN`, the `version` of a look, corrects nothing that somebody else has corrected since. The handle stays, unless `new_handle` asks for one of the name as it is now. The old spellings
    stay known. Without `keep` it only looks. Raises `SettingsTrouble` where the settings let
    others look members up, `ChangedMeanwhile`, `FileTrouble` if nobody is meant or the outbox cannot be written, and
    `StoreTrouble`; then nothing has changed.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings, signature = office.settings, office.signature()
    shows = office.sees_contacts(Act.REISSUE)
    all_right = {ALL_RIGHT: office.today().isoformat()} if ALL_RIGHT in corrections else {}
    shown = corrections.get(AS_SHOWN)
    corrections = _known(corrections)
    with office.work(keep=keep) as connection:
        member = who.member(connection, meant)
        if shown and shown != Corrected(member, (), ()).version:
            raise ChangedMeanwhile(CHANGED)
        if member.standing.forbids(Deed.CORRECT):
            merged = f"This account was merged into member {member.merged_into}. Correct that one."
            return Corrected(member, (), (), (merged,))
        died = "" if all_right else said_dead.refusal(connection, [member])
        understood = _understood(connection, settings, member, corrections)
        findings, refused = _judged(understood, corrections)
        wanted = _wanted(connection, understood, member, corrections) | all_right
        if new_handle and not refused:
            made = _handle(connection, settings, understood, member)
            findings += made.findings
            refused = _blocking(made.findings)
            wanted |= _new_handle(made.value, member)
        if refused or not wanted:
            return Corrected(member, (), findings, refused, died=died)
        now = members.columns(member)
        changes = tuple(
            (Asked if now[field] == after else Change)(member.id, field, now[field], after, why)
            for field, after in wanted.items()
        )
        done = _made(connection, understood, changes, signature, keep=keep)
        if done.left_out:  # on a server, somebody saved it since it was read
            raise ChangedMeanwhile(CHANGED)
        told = changed_contact.follow(connection, settings, member, wanted, signature, keep)
    if keep:
        old_letters.take_out(office, [member.id])
    elif shows:
        private = [one.field for one in changes if one.field in PRIVATE and one.before]
        shows = note_shown(office, member.owner, private)
    return Corrected(
        member, changes, findings, (), told.notices, told.to_do, done.number, died, told.packet_due,
        shows,
    )  # fmt: skip


def _made(
    connection: Connection,
    understood: Applicant,
    changes: Sequence[Change],
    signature: Signature,
    *,
    keep: bool,
) -> Made:
    """The changes of one member, made if `keep`; an email that they no longer want becomes a letter."""
    lines = [(1, one) for one in changes]
    if not keep:
        return change.would_make(connection, lines, signature)
    wanted = {one.field: one.after for one in changes}
    number = changes[0].member_id
    spelt = wanted.keys() & {"name", "email", "phone", "address", "born"}
    people = understood.people(Owner.of_member(number)) if spelt else ()
    spellings = [(person, keys.of(person)) for person in people]
    occasion = Occasion(signature, "corrected")
    done = change.make(connection, lines, occasion, spellings=spellings)
    if wanted.get("consent") is False:
        unsent = email_doubts.not_gone(connection, [number])
        outgoing.by_letter(connection, [line.id for line in unsent], signature)
    return done


# ---------------------------------------------------------------- what is meant


def _understood(
    connection: Connection,
    settings: Settings,
    member: Member,
    corrections: Mapping[str, str],
) -> Applicant:
    """The member as a join form would say it, with the corrections in it."""
    born = [p.born for p in desk.spellings(connection, member.owner) if p.born]
    if member.born:
        born.append(member.born.isoformat())
    said = {
        "name": names.show(member.name),
        "email": member.email,
        "phone": member.phone,
        "address": "\n".join(member.address),
        "site": member.site,
        "born": born[-1] if born else "",
    } | dict(corrections)
    fields = {FIELDS[field]: text for field, text in said.items()}
    raw = RawRow("", 0, (), fields)
    understood = row.clean(raw, region=settings.region, sites=settings.sites)
    if "name" not in corrections:  # as it is, also if the rules of today read it otherwise
        return understood._replace(name=understood.name._replace(value=member.name))
    # Somebody has asked: "Soto Feliciano, Ana" sets the parts.
    told = names.clean(corrections["name"], hints=names.Hints(told=True))
    return understood._replace(name=told)


def _judged(
    understood: Applicant, corrections: Mapping[str, str]
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """What there is to say of the corrected fields, and what can't stay so."""
    findings: list[Finding] = []
    refused: list[str] = []
    for field in FIELDS:
        if field not in corrections or (field in MAY_BE_EMPTY and not corrections[field].strip()):
            continue
        cleaned = understood.days["born"] if field == "born" else getattr(understood, field)
        about = cleaned.findings
        if field == "address":
            about += understood.place.findings
        findings += about
        wrong = tuple(f.note for f in about if f.weight is Weight.BLOCKING or field == "consent")
        if cleaned.value is None and field != "address":
            wrong = (
                wrong
                or tuple(f.note for f in about)
                or (f"The {field} is empty. Type the right one.",)
            )
        refused += wrong
    return tuple(findings), tuple(refused)


def _wanted(
    connection: Connection, understood: Applicant, member: Member, corrections: Mapping[str, str]
) -> dict[str, Any]:
    """The columns of the member that are to be otherwise, and how."""
    before, after = members.columns(member), members.of_applicant(understood)
    said = {field for field in corrections if after[field] != before[field]}
    if "consent" in corrections and _is_an_answer(connection, understood, member):
        said.add("consent")
    return {field: after[field] for field in corrections if field in said}


def _is_an_answer(connection: Connection, understood: Applicant, member: Member) -> bool:
    """Whether a no is new, though the roster has one: the box of their form was left blank, which counts as no."""
    if understood.consent.value is not False or member.consent is not False:
        return False
    return member.id in reminded.without_answer(connection, consent.NO_ANSWER)


def _blocking(findings: Iterable[Finding]) -> tuple[str, ...]:
    return tuple(f.note for f in findings if f.weight is Weight.BLOCKING)


def _known(corrections: Mapping[str, str]) -> dict[str, str]:
    """Those that are of a field. Raises `ValueError` for what can't be corrected."""
    fields = {one: text for one, text in corrections.items() if one not in (ALL_RIGHT, AS_SHOWN)}
    if unknown := fields.keys() - FIELDS.keys():
        raise ValueError(f"cannot correct {sorted(unknown)}")
    return fields


def _new_handle(handle: Handle | None, member: Member) -> dict[str, Any]:
    """Its columns, where it is another than the member's."""
    if handle is None or handle.text == member.handle.text:
        return {}
    return {"handle": handle.text, "handle_steps": list(handle.steps)}


def _handle(
    connection: Connection, settings: Settings, understood: Applicant, member: Member
) -> Cleaned[Handle]:
    """A handle of the name, free for this member; one that they had before is theirs, unless an account
    that was merged with theirs bears it."""
    made = handles.clean(understood.name.value or PersonName(""), settings.handle)
    if made.value is None:
        return made
    text = made.value.text
    is_theirs = desk.handle_owner(connection, text) == member.id
    if is_theirs and not desk.still_bears(connection, text, besides=member.id):
        return made
    taken = search.handles(connection, [text])
    return made._replace(value=handles.free(made.value, taken, settings.handle))
