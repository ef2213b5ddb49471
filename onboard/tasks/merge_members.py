"""Two accounts of one person made one: which stays, and what of each stands on it.

The rules, in their order; a person's word goes before all of them.

Which account stays: one that is open; the one used last on the ordering page; one whose owner
could sign in (its packet was written, or they had the account before us); the older one.

Which value stays, field by field: one rather than none; an email that has not come back as dead;
that of the account confirmed last; the one about which the field's rule finds least; that of the
account that joined last; that of the account that stays. Whoever opted out of email on either account
has opted out.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from typing import Any

from sqlalchemy import Connection

from onboard.clean import stored
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.model import Change, Deed, Member, Standing, State, Weight
from onboard.office import Act, Office
from onboard.roster import change, members
from onboard.settings import Settings
from onboard.tasks import changed_contact, old_letters
from onboard.tasks import meant as who

CHOSEN = ("name", "email", "phone", "address", "site", "language")  # fields that rules choose
CHOICES = (*CHOSEN, "consent")  # fields that a person may choose
AS_SHOWN = "as shown"  # among the choices: the version of what was shown to whoever made them
CHANGED = (
    "Somebody changed one of the two meanwhile. Nothing was merged. This is what is on file now."
)
LATEST = ("confirmed", "page_seen", "last_sign_in", "last_order")
Columns = Mapping[str, Any]  # of a member, as the member table writes them
ROUGH = {None: 0, Weight.MENDED: 1, Weight.DOUBTFUL: 2, Weight.BLOCKING: 3}

# Packets that their member has, or may get; None: they had the account before us.
CAN_SIGN_IN = (None, State.WRITTEN, State.CLAIMED, State.SENT, State.PRINTED)


@dataclass(frozen=True, slots=True)
class Merge:
    """What a merge comes to."""

    stays: Member
    goes: Member
    because: str  # why that account stays
    changes: tuple[Change, ...]
    told: tuple[str, ...] = ()  # what is left to do on the ordering page, and who is told
    number: int = 0  # by which it is taken back; 0: not made
    chosen: Mapping[str, str] = field(
        default_factory=dict
    )  # field to the reason, where they differ
    notices: tuple[str, ...] = ()  # files that tell of changed contacts, in the outbox

    @property
    def version(self) -> str:
        """What was on file of both, as `AS_SHOWN` takes it."""
        return _version(self.stays, self.goes)


def merge_members(
    office: Office,
    two: tuple[str, str],
    *,
    keep: bool,
    stays: str = "",
    choices: Mapping[str, str] | None = None,
    why: str = "",
) -> Merge:
    """What comes of making the accounts of two members one; done if `keep`.

    The two members are told by number or handle. `stays` names the account that stays, `choices` by field
    whose value does; where they say nothing, the rules of this module do. `AS_SHOWN` among the choices, the
    `version` of a look, merges nothing that somebody has changed since. Raises `SettingsTrouble`
    where the settings let others look members up, `ChangedMeanwhile`, `FileTrouble` where a member is
    unknown or the two cannot be one, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    settings, signature = office.settings, office.signature()
    asked = dict(choices or {})
    shown = asked.pop(AS_SHOWN, "")
    with office.work(keep=keep) as connection:
        first, second = _two(connection, two, stays)
        if shown and shown != _version(first, second):
            raise ChangedMeanwhile(CHANGED)
        chosen = {f: who.member(connection, whose).id for f, whose in asked.items()}
        for name, number in chosen.items():
            if name not in CHOICES or number not in (first.id, second.id):
                raise FileTrouble(
                    f"{name} of member {number} can't be chosen. Choose among {', '.join(CHOICES)}, "
                    f"of member {first.id} or {second.id}."
                )
        because = "you said so" if stays else ""
        if not stays:
            first, second, because = which_stays(first, second)
        _see_that_they_may(first, second)
        merge = plan(first, second, settings, why=why, choices=chosen)
        wanted = [(1, one) for one in merge.changes]
        made = (
            change.make(connection, wanted, change.Occasion(signature, "merged"))
            if keep
            else change.would_make(connection, wanted, signature)
        )
        assert not made.left_out  # read in this very transaction
        after = {c.field: c.after for c in merge.changes if c.member_id == merge.stays.id}
        told = changed_contact.follow(connection, settings, merge.stays, after, signature, keep)
    if keep:
        old_letters.take_out(office, [merge.stays.id, merge.goes.id])
    return Merge(
        merge.stays, merge.goes, because, merge.changes,
        (*merge.told, *told.to_do), made.number, merge.chosen, told.notices,
    )  # fmt: skip


def _two(connection: Connection, two: tuple[str, str], stays: str) -> tuple[Member, Member]:
    """The two who are meant, the one that stays first if somebody said so."""
    one, other = two
    first, second = (who.member(connection, said) for said in two)
    if first.id == second.id:
        raise FileTrouble(
            f"{one} and {other} are the same account: {first.handle.text}, {first.owner.shown}. Name two."
        )
    kept = who.member(connection, stays).id if stays else first.id
    if kept not in (first.id, second.id):
        raise FileTrouble(f"--stays {stays} is neither of the two. Use {one} or {other}.")
    return (second, first) if kept == second.id else (first, second)


def _version(one: Member, other: Member) -> str:
    """What was on file of the two, whichever is first: another text after any change of theirs."""
    said = sorted((member.id, sorted(members.columns(member).items())) for member in (one, other))
    return sha256(repr(said).encode()).hexdigest()


def _see_that_they_may(stays: Member, goes: Member) -> None:
    for member in (stays, goes):
        if member.standing.forbids(Deed.MERGE):
            raise FileTrouble(
                f"{member.handle.text} is already merged into member {member.merged_into}."
            )
    if stays.standing.forbids(Deed.KEEP):
        raise FileTrouble(f"{stays.handle.text} is closed. The account that stays must be open.")


# ---------------------------------------------------------------- the rules


def which_stays(one: Member, other: Member) -> tuple[Member, Member, str]:
    """The account that stays, the one that goes, and why."""
    rules: tuple[tuple[str, Callable[[Member], Any]], ...] = (
        ("it is open", lambda member: not member.standing.forbids(Deed.KEEP)),
        ("it was used last on the ordering page", _last_use),
        ("its owner can sign in with it", lambda member: member.packet in CAN_SIGN_IN),
    )  # fmt: skip
    for because, rank in rules:
        if rank(one) != rank(other):
            stays, goes = (one, other) if rank(one) > rank(other) else (other, one)
            return stays, goes, because
    stays, goes = sorted((one, other), key=lambda member: member.id)
    return stays, goes, "it is the older one"


def plan(
    stays: Member,
    goes: Member,
    settings: Settings,
    *,
    why: str = "",
    choices: Mapping[str, int] | None = None,
    untouched: Collection[str] = (),
) -> Merge:
    """The changes by which one account becomes part of another, and what is left to do; why that one
    stays is for whoever says so.

    `choices` are the fields that a person chose, with the member's number; `untouched` are fields
    of the account that stays which somebody has just set.
    """
    why = why or f"one person with {stays.handle.text}"
    kept, given = members.columns(stays), members.columns(goes)
    chosen: dict[str, str] = {}
    changes = []

    def set_to(name: str, value: Any, reason: str = "") -> None:
        if name not in untouched and kept[name] != value:
            changes.append(Change(stays.id, name, kept[name], value, reason or why))

    for name in CHOSEN:
        taken, reason = _value(name, kept, given, settings, choices or {})
        if kept[name] != given[name] and name not in untouched:
            chosen[name] = reason
        set_to(name, taken[name], f"merged with {goes.handle.text}: {reason}")
        if name == "email" and taken is given:
            set_to("bounced", given["bounced"])
    if (whose := (choices or {}).get("consent")) is not None:
        set_to("consent", (stays if whose == stays.id else goes).consent)
    else:
        set_to("consent", _consent(stays.consent, goes.consent))
    set_to("extras", {**goes.extras, **stays.extras})
    set_to("born", kept["born"] or given["born"])
    set_to("notes", "\n".join(dict.fromkeys(filter(None, (stays.notes, goes.notes)))))
    set_to("joined", min(filter(None, (kept["joined"], given["joined"])), default=""))
    for name in LATEST:
        set_to(name, max(filter(None, (kept[name], given[name])), default=None))
    changes += [
        Change(goes.id, "standing", given["standing"], str(goes.standing.to(Standing.MERGED)), why),
        Change(goes.id, "merged_into", None, stays.id, why),
    ]
    return Merge(stays, goes, "", tuple(changes), _told(stays, goes), chosen=chosen)


def _value(
    name: str, stays: Columns, goes: Columns, settings: Settings, choices: Mapping[str, int]
) -> tuple[Columns, str]:
    """Whose value of the field stands from now on, and why."""
    if name in choices:
        return (stays if choices[name] == stays["id"] else goes), "you said so"
    if not goes[name] or stays[name] == goes[name]:
        return stays, "the other account has none"
    if not stays[name]:
        return goes, "this account had none"
    rules: tuple[tuple[str, Callable[[Columns], Any]], ...] = (
        ("an email to the other came back", lambda line: name != "email" or not _is_dead(line)),
        ("confirmed last", lambda line: line["confirmed"] or ""),
        ("nothing to check about it", lambda line: -_rough(name, line[name], settings)),
        ("it is newer", lambda line: line["joined"]),
    )
    for reason, rank in rules:
        if rank(stays) != rank(goes):
            return (stays if rank(stays) > rank(goes) else goes), reason
    return stays, "it belongs to the account that stays"


def _last_use(member: Member) -> date:
    return max(member.last_sign_in or date.min, member.last_order or date.min)


def _is_dead(line: Columns) -> bool:
    """Whether mail came back since the member last said that all is right."""
    return bool(line["bounced"]) and line["bounced"] >= (line["confirmed"] or "")


def _rough(name: str, value: Any, settings: Settings) -> int:
    """How much is odd about a value: what the rule of its field finds at worst."""
    if name == "site":
        site = settings.site(value)
        return 0 if site and not site.closed else 1
    cleaned = stored.clean(name, stored.show(name, value), region=settings.region)
    return max((ROUGH[finding.weight] for finding in cleaned.findings), default=0)


def _consent(one: bool | None, other: bool | None) -> bool | None:
    """No goes before yes, and yes before nothing said."""
    said = {one, other}
    return False if False in said else True if True in said else None


def _told(stays: Member, goes: Member) -> tuple[str, ...]:
    gone, kept = goes.handle.text, stays.handle.text
    told = [
        f"Orders are on the ordering page, not here. Before you close “{gone}” there, check "
        f"whether it has open orders or money on it, and have them moved to “{kept}”.",
        f"Then close “{gone}” there: onboard export changes.csv --changed --record. Tell the member "
        f"that they sign in as “{kept}” from now on.",
    ]
    if goes.packet is State.DUE:
        told.append(f"No welcome packet will be made for “{gone}”.")
    return tuple(told)
