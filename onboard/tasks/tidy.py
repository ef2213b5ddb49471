"""Approved changes, applied together: all lines that still fit, in one transaction."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import Connection

from onboard.audit import record
from onboard.clean import sites, stored
from onboard.errors import FileTrouble
from onboard.intake.changes import Reviewed
from onboard.match import keys
from onboard.model import Change, Cleaned, Deed, Member, Signature, Standing, Weight
from onboard.office import Act, Office
from onboard.roster import change, member_lines, search
from onboard.roster.members import columns, with_columns
from onboard.settings import Settings
from onboard.tasks import changed_contact, merge_members, old_letters
from onboard.tasks.merge_members import Merge

SPELT = frozenset(("name", "email", "phone", "address"))  # fields by which somebody is known
# What a line of the file may change; the rest has a command of its own.
FIELDS = (
    "name", "email", "phone", "address", "site", "language", "consent", "extras", "standing",
    "confirmed", "merged_into",
)  # fmt: skip

NEVER_EMPTY = frozenset(("name", "standing"))
# What is written in one way: what the rule makes of it must be what it is.
AS_STORED = frozenset(
    ("email", "phone", "site", "language", "consent", "standing", "confirmed", "merged_into")
)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """An approved line that was not applied."""

    line: int
    change: Change
    now: Any  # the value today; None too if there is no such member
    known: bool  # whether there is such a member
    why: str = ""  # what is wrong with its exact values, if somebody changed them

    @property
    def is_so_already(self) -> bool:
        return self.known and not self.why and self.now == self.change.after


@dataclass(slots=True)
class TidyReport:
    """What was applied, and what not."""

    number: int = 0  # by which it is taken back; 0: nothing was applied
    lines: int = 0
    approved: int = 0
    made: list[tuple[int, Change]] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    merges: list[Merge] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)  # files that tell of changed contacts
    to_do: dict[int, list[str]] = field(default_factory=dict)  # by member, what is left to do
    names: dict[int, str] = field(default_factory=dict)  # sign-in names of all who are spoken of

    @property
    def applied(self) -> set[int]:
        """The lines that were applied."""
        return {line for line, _ in self.made}

    @property
    def needs_a_person(self) -> bool:
        """Whether somebody has to look again at a line, or to do something."""
        return bool(self.to_do) or not all(left.is_so_already for left in self.left_out)


def tidy(office: Office, lines: Sequence[Reviewed], *, file: str, keep: bool) -> TidyReport:
    """What came of the approved lines; done if `keep`.

    What a person wrote in place of a proposed value goes through the rule of its field; so does a
    proposed value, which somebody may have changed: a line that it refuses is left out. Lines that
    change a field come first, then merges, so that what somebody set goes before what the rules
    of a merge would choose. Of changed contacts whoever had them before is told. Raises
    `SettingsTrouble` where the settings let others look members up, `FileTrouble` for lines that
    cannot be understood or an outbox that cannot be written, and `StoreTrouble`; then nothing has
    changed.
    """
    office.see_that_one_may(Act.LOOK_UP)
    office.see_that_one_may(Act.CARE)
    settings, signature = office.settings, office.signature()
    occasion = change.Occasion(signature, "tidied", file)
    report = TidyReport(lines=len(lines), approved=sum(line.approved for line in lines))
    approved = [line for line in lines if line.approved]
    refused = _refused(approved, settings)
    wanted = _understood([line for line in approved if line.line not in refused], settings)
    plain = [(n, c) for n, c in wanted if c.field != "merged_into"]
    merges = [(n, c) for n, c in wanted if c.field == "merged_into"]
    with office.work(keep=keep) as connection:
        concerned = {n for _, c in wanted for n in (c.member_id, _stays(c)) if n}
        before = search.members_by_number(connection, concerned)
        done = (
            change.make(connection, plain, occasion)
            if keep
            else change.would_make(connection, plain, signature)
        )
        report.number = done.number
        report.made += done.made
        left_out = [(one.line, one.change) for one in approved if one.line in refused]
        left_out += done.left_out
        if keep:
            spelt = {c.member_id for _, c in done.made if c.field in SPELT}
            change.spell(connection, done.number, _spellings(connection, spelt, settings))
        left_out += _merge(connection, merges, settings, occasion, report, keep)
        report.left_out = _told(connection, left_out, report, refused)
        _follow(connection, settings, before, report, signature, keep)
        report.names = search.handles_of(connection, _spoken_of(report))
    if keep:
        old_letters.take_out(office, {made.member_id for _, made in report.made})
    return report


def _spoken_of(report: TidyReport) -> set[int]:
    """Every member whom the report names."""
    said = [*(c for _, c in report.made), *(left.change for left in report.left_out)]
    merged = [c for c in said if c.field == "merged_into"]
    return {
        *report.to_do,
        *(c.member_id for c in said),
        *(number for c in merged for number in (c.before, c.after) if isinstance(number, int)),
    }


def _stays(said: Change) -> int:
    """The member who stays after a merge; 0 if it is none."""
    return said.after if said.field == "merged_into" and said.after else 0


def _follow(
    connection: Connection,
    settings: Settings,
    before: Mapping[int, Member],
    report: TidyReport,
    signature: Signature,
    keep: bool,
) -> None:
    """Whoever had a contact that was changed is told, as after a correction at the desk."""
    after: dict[int, dict[str, Any]] = defaultdict(dict)
    for _, made in report.made:
        if made.field != "belongings":
            after[made.member_id][made.field] = made.after
    for number, fields in after.items():
        if Standing(fields.get("standing", before[number].standing)) is not Standing.MERGED:
            told = changed_contact.follow(
                connection, settings, before[number], fields, signature, keep
            )
            report.notices += told.notices
            if told.to_do:
                report.to_do[number] = list(told.to_do)


def _merge(
    connection: Connection,
    merges: Iterable[tuple[int, Change]],
    settings: Settings,
    occasion: change.Occasion,
    report: TidyReport,
    keep: bool,
) -> list[tuple[int, Change]]:
    """The lines of merges that could not be made; one after the other, as each changes the next."""
    set_before: dict[int, set[str]] = defaultdict(set)
    for _, made in report.made:
        set_before[made.member_id].add(made.field)
    left_out = []
    for line, wanted in merges:
        found = _members(connection, {wanted.member_id, wanted.after}, report)
        goes, stays = found.get(wanted.member_id), found.get(wanted.after)
        if not goes or not stays or goes.standing.forbids(Deed.MERGE) or wanted.before is not None:
            left_out.append((line, wanted))
            continue
        merge = merge_members.plan(
            stays, goes, settings, why=wanted.why, untouched=set_before[stays.id]
        )
        lines = [(line, c) for c in merge.changes]
        if keep:
            done = change.make(connection, lines, occasion, number=report.number)
        else:
            done = change.would_make(connection, lines, occasion.signature, since=report.made)
        if done.left_out:
            left_out.append((line, wanted))
            continue
        report.number = done.number
        report.made += done.made
        report.merges.append(replace(merge, because="the file says so", number=done.number))
    return left_out


def _understood(lines: Iterable[Reviewed], settings: Settings) -> list[tuple[int, Change]]:
    """The changes as they are to be made; trouble that lists every line that is not understood."""
    wanted, wrong = [], []
    for line in lines:
        said = line.change
        if said.field not in FIELDS:
            wrong.append(f"- row {line.line}: a file can't change {said.field}.")
            continue
        if line.better is not None:
            cleaned = _cleaned(said.field, line.better, settings)
            if note := _objection(said.field, line.better, cleaned, settings):
                wrong.append(f"- row {line.line}, {said.field}: {note}")
                continue
            said = replace(said, after=cleaned.value)
        wanted.append((line.line, said))
    if wrong:
        raise FileTrouble("Nothing was applied. Fix these rows first:\n" + "\n".join(wrong))
    return wanted


def _refused(lines: Iterable[Reviewed], settings: Settings) -> dict[int, str]:
    """By line, why a proposed value cannot be used: the program did not propose it like that."""
    refused = {}
    for line in lines:
        field, after = line.change.field, line.change.after
        if field not in FIELDS or (line.better is not None and not line.spoiled):
            continue
        shown = "" if line.spoiled else stored.show(field, after) or stored.NOTHING
        cleaned = _cleaned(field, shown, settings)
        if line.spoiled:
            refused[line.line] = "its exact values were changed to what the roster can't hold"
        elif note := _objection(field, shown, cleaned, settings):
            refused[line.line] = note.removesuffix(".")
        elif field in AS_STORED and cleaned.value != after:
            refused[line.line] = f"“{shown[:60]}” is not how the roster writes it"
    return refused


def _objection(field: str, said: str, cleaned: Cleaned[Any], settings: Settings) -> str:
    """Why the roster does not take what was said; "" if it does."""
    if blocking := [f.note for f in cleaned.findings if f.weight is Weight.BLOCKING]:
        return blocking[0]
    if _empties(said) and field in NEVER_EMPTY:
        return "every account has one: it cannot be emptied."
    unknown = field == "language" and cleaned.value not in ("", *settings.languages)
    if unknown or (cleaned.value is None and not _empties(said)):
        return f"“{said[:60]}” is not a value for this field.{_possible(field, settings)}"
    if not stored.could_hold(field, cleaned.value):
        return f"“{said[:60]}” is nothing that the roster could hold."
    return ""


def _possible(field: str, settings: Settings) -> str:
    """What the field may hold, where that is one of a few."""
    values: dict[str, Sequence[str]] = {
        "site": [site.name for site in settings.sites],
        "language": settings.languages,
        "consent": ("yes", "no"),
        "standing": [str(one) for one in Standing],
    }
    return f" Write one of these: {', '.join(values[field])}." if field in values else ""


def _cleaned(field: str, said: str, settings: Settings) -> Cleaned[Any]:
    if field == "site" and not _empties(said):
        return sites.clean(said, settings.sites)
    return stored.clean(field, said, region=settings.region)


def _empties(said: str) -> bool:
    return said.strip().casefold() in ("-", stored.NOTHING)


def _spellings(
    connection: Connection, numbers: Iterable[int], settings: Settings
) -> list[change.Spelling]:
    """Who the members are now, as matching reads them."""
    people = [
        person
        for member in search.members_by_number(connection, set(numbers)).values()
        for person in record.of_member(member, settings).applicant.people(member.owner)
    ]
    return [(person, keys.of(person)) for person in people]


def _members(connection: Connection, numbers: set[int], report: TidyReport) -> dict[int, Member]:
    """The members as they are with what was changed so far, also where it is not written."""
    found = search.members_by_number(connection, numbers)
    for _, made in report.made:
        if made.member_id in found:
            member = with_columns(found[made.member_id], {made.field: made.after})
            if made.field == member_lines.PACKET:
                member = replace(member, packet=change.packet_after(made))
            found[made.member_id] = member
    return found


def _told(
    connection: Connection,
    left_out: Iterable[tuple[int, Change]],
    report: TidyReport,
    refused: Mapping[int, str],
) -> list[LeftOut]:
    """The lines that were left out, each with what stands on file today."""
    lines = sorted(left_out, key=lambda pair: pair[0])
    found = _members(connection, {said.member_id for _, said in lines}, report)
    members = {number: columns(member) for number, member in found.items()}
    return [
        LeftOut(
            line,
            said,
            member[said.field] if member else None,
            member is not None,
            refused.get(line, ""),
        )
        for line, said in lines
        for member in (members.get(said.member_id),)
    ]
