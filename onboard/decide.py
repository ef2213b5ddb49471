"""What then: an applicant and everybody like them become one decision.

Rows are decided one at a time, in the order they came, and each decision is known to the next.
Nothing here knows a clock, a store or chance, so the same rows give the same decisions however
they were cut into batches.
"""

from __future__ import annotations

from collections.abc import Collection, Container, Mapping
from types import MappingProxyType

from onboard import handles, who
from onboard.clean import listed, other_of_two
from onboard.model import (
    Answer,
    Applicant,
    Cleaned,
    Decision,
    Drop,
    Enrol,
    Finding,
    Handle,
    Hold,
    Match,
    Owner,
    PersonName,
    Question,
    Ruling,
    SameAs,
    Verdict,
    Weight,
)
from onboard.settings import HandleRule

FIELDS_ASKED = (Answer.ENROL, Answer.DROP, Answer.WAIT)
LONGEST_ADOPTED = 100  # letters: longer than any handle that somebody types, short for a file name


def decide(
    applicant: Applicant,
    matches: tuple[Match, ...],
    ruling: Ruling | None = None,
    *,
    taken: Container[str],
    rule: HandleRule,
    asking: Collection[str] = (),
    handle: Cleaned[Handle] | None = None,
) -> Decision:
    """One of `Enrol`, `SameAs`, `Hold`, `Drop`, with its reasons.

    `matches` are people like the applicant, those whom a ruling told apart left out. `taken`
    are the handles ever given. `asking` are the owners ("row:…") among the matches whose own
    hold is a question of who they are: nobody enters on the strength of being like them. The
    applicant is among them if that was asked about their own form: only an answer to it enrolls them.
    `handle` is what their name gives by `rule`, where that was made ahead.
    """
    if ruling is not None and ruling.answer is Answer.DROP:
        return Drop(applicant, (_said_by(ruling, "do not enroll"),))
    if ruling is not None and ruling.answer is Answer.SAME and ruling.member:
        shown = Owner(ruling.member).shown
        whom = f"{ruling.named} ({shown})" if ruling.named else shown
        reason = _said_by(ruling, f"the same person as {whom}")
        return SameAs(applicant, ruling.member, (reason,), matches, ruling.named)
    is_listed = listed.is_skipped(applicant.raw)
    if _says_nothing(applicant) and not is_listed:
        return Drop(applicant, ("the row has no name and no way to reach anybody",))
    ruled_new = ruling is not None and ruling.answer is Answer.ENROL
    if is_listed and ruling and ruled_new:
        applicant = applicant._replace(raw=listed.as_form(applicant.raw))
        if signs_in_as := ruling.corrections.get("handle", "").strip():
            return adopt(applicant, signs_in_as, taken)
    handle = handle or handles.clean(applicant.name.value or PersonName(""), rule)

    same = [m for m in matches if who.is_same(m)]
    if everybody := who.all_members(applicant, matches):
        reason = f"everybody on the form is a member: {' and '.join(map(who.shown, everybody))}"
        return SameAs(applicant, everybody[0].person.owner, (reason,), matches)
    if not ruled_new and (known := _by_likeness(applicant, matches, handle, asking)):
        return known

    if ruled_new and (theirs := _one_of_those(applicant, matches)):
        reasons = tuple(map(who.why, theirs))
        return Hold(applicant, (who.has_one(applicant, theirs),), reasons, tuple(theirs))
    if questions := _field_questions(applicant, handle, ruled_new, ruling):
        return Hold(applicant, questions, tuple(f.note for f in _blocking(applicant)), tuple(same))
    assert handle.value is not None  # or a question above had asked for the name
    reason = (
        _said_by(ruling, "a new person")
        if ruling and ruled_new
        else "nobody like them is on the roster"
    )
    own = handles.free(handle.value, taken, rule)
    told = _with_doubts(applicant, handle.findings, own, rule)
    if any(f.code == "name.last_or_middle" for f in told.name.findings):
        # Nobody is told that it is their middle name while that is asked.
        own = own._replace(steps=tuple(s for s in own.steps if s.what != "middle-name"))
    return Enrol(told, own, (reason,), matches if ruled_new else ())


def _by_likeness(
    applicant: Applicant,
    matches: tuple[Match, ...],
    handle: Cleaned[Handle],
    asking: Collection[str],
) -> SameAs | Hold | None:
    """What people like the applicant make of the form; None if it is nobody's whom we know."""
    same = [m for m in matches if who.is_same(m)]
    unclear = [m for m in matches if who.is_unclear(m)]
    members = [m for m in same if who.is_member(m)]
    is_namesakes = any(m.evidence.namesake for m in unclear)
    if is_namesakes and not any(map(who.is_by_what_is_theirs, members)):
        unclear, members = members + unclear, []
    if len(members) == 1 and not who.is_for_nobody(applicant):
        return SameAs(applicant, members[0].person.owner, (who.why(members[0]),), matches)
    in_doubt = members + unclear + [m for m in same if m.person.owner in asking]
    if in_doubt:
        asked, is_one = who.question(applicant, in_doubt), len(in_doubt) == 1
        fields = _field_questions(applicant, handle, False)
        if who.is_for_several(applicant) and any(map(who.is_member, in_doubt)):
            # Whose account it is, is asked already.
            notes = {f.note for f in applicant.name.findings if f.code == "name.joint"}
            fields = tuple(one for one in fields if one.ask not in notes)
        reasons = tuple(who.why(m) if is_one else f"{who.shown(m)}: {who.why(m)}" for m in in_doubt)
        return Hold(applicant, (asked, *fields), reasons, tuple(in_doubt))
    if Owner.of_row(applicant.raw.key) in asking:
        questions = (_STILL_ASKED, *_field_questions(applicant, handle, False))
        return Hold(applicant, questions, (), tuple(same))
    return None


def _one_of_those(applicant: Applicant, matches: tuple[Match, ...]) -> list[Match]:
    """The members who seem to be whom an answer names of those on a form for several: who the account is for was
    asked, and not whether they have one."""
    if not other_of_two.was_for_several(applicant.name) or applicant.name.value is None:
        return []
    mine = applicant.name.value
    return [
        m
        for m in matches
        if who.is_member(m)
        and m.evidence.verdict is not Verdict.DIFFERENT
        and other_of_two.is_called_alike(m.person.given, mine.given)
    ]


def _with_doubts(
    applicant: Applicant, findings: tuple[Finding, ...], own: Handle, rule: HandleRule
) -> Applicant:
    """The applicant with what there is to say of their handle, beside what there is of the name."""
    name = applicant.name
    if not findings and not name.findings:
        return applicant
    name = handles.with_both_readings(name, own.text, rule)
    return applicant._replace(name=name._replace(findings=(*name.findings, *findings)))


# What lists have in place of a sign-in name that there is not.
_NO_HANDLES = frozenset(
    ("n/a", "na", "none", "null", "nil", "tbd", "unknown", "pending", "ninguno")
)
NO_HANDLE = "the row has no sign-in name: fill in the one the member signs in with"


def adopt(
    applicant: Applicant,
    handle: str,
    taken: Container[str],
    rows: Mapping[str, int] = MappingProxyType({}),
) -> Decision:
    """`Enrol` for a member who has an account already, under the handle they have; else `Hold`, and `Drop` for
    a row that says nobody.

    Nothing is judged but the handle and whether the row is one: what else is odd about a roster, an
    audit says. `taken` are handles in small letters: two that differ only in capitals would be taken
    for each other. `rows` are the rows of the same file that have each already.
    """
    spoilt = [
        finding.note
        for finding in applicant.raw.findings
        if (finding.field == "handle" and finding.weight is not Weight.MENDED)
        or (finding.field == "row" and finding.weight is Weight.BLOCKING)
    ]
    if spoilt:
        return skip(applicant, _as_reason(spoilt[0]))
    if not any(map(str.isalnum, handle)) or handle.casefold() in _NO_HANDLES:
        says_nobody = _says_nothing(applicant) and not handle
        return Drop(applicant, (NO_HANDLE,)) if says_nobody else skip(applicant, NO_HANDLE)
    if not _can_be_handle(handle):
        shown = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in handle[:60])
        why = f"“{shown}” can't be a sign-in name: fill in the one the member signs in with"
        return skip(applicant, why)
    if handles.is_device(handle):
        why = (
            f"Windows keeps the word “{handle}” for itself, so no packet could have it as a file name: give the "
            "member another sign-in name on the ordering page, and fill it in"
        )
        return skip(applicant, why)
    if row := rows.get(handle.casefold()):
        reason = (
            f"the sign-in name {handle} is also that of row {row} of {applicant.raw.file}: if both rows are "
            "one person, delete this one"
        )
        return skip(applicant, reason)
    if handle.casefold() in taken:
        why = f"the sign-in name {handle} belongs to a member already on the roster"
        return skip(applicant, why)
    return Enrol(applicant, Handle(handle), ("had an account already",), had_account=True)


def skip(applicant: Applicant, why: str, matches: tuple[Match, ...] = ()) -> Hold:
    """A row of a list of members that cannot be brought in, on hold like a form, with why."""
    note = f"{why[:1].upper()}{why[1:]}."
    raw = listed.skipped(applicant.raw, note, applicant.days)
    return Hold(applicant._replace(raw=raw), (_list_question(note),), (why,), matches)


def name_anew(
    applicant: Applicant, matches: tuple[Match, ...], *, taken: Container[str], rule: HandleRule
) -> Decision:
    """`Enrol` for a member of an old roster who has no account, under a handle made from the name.

    Not for whoever may have one: `matches` are people like them. And not where it is not clear who
    they are, or whether they live. Else a packet is due, by email or by letter.
    """
    if alike := [m for m in matches if who.is_same(m) or who.is_unclear(m)]:
        reason = f"may be {who.shown(alike[0])}, {who.why(alike[0])}: fill in that sign-in name, or delete the row"
        return skip(applicant, reason, matches)
    made = handles.clean(applicant.name.value or PersonName(""), rule)
    asked = [
        finding.note
        for finding in (*applicant.findings, *made.findings)
        if (finding.field in ("row", "name", "handle") and finding.weight is Weight.BLOCKING)
        or finding.code in ("notes.deceased", "notes.left")
    ]
    if asked or made.value is None:
        return skip(applicant, _as_reason((asked or ["no sign-in name can be made"])[0]))
    reason = "had no sign-in name: one was made"
    return Enrol(applicant, handles.free(made.value, taken, rule), (reason,))


def _as_reason(note: str) -> str:
    return note.rstrip(".")


def _can_be_handle(text: str) -> bool:
    """Whether it can be signed in with, and name the file of a packet."""
    return (
        text.isprintable()
        and len(text) <= LONGEST_ADOPTED
        and not text.startswith(".")
        and not any(c.isspace() or c in "/\\" for c in text)
    )


def _says_nothing(applicant: Applicant) -> bool:
    return not any(
        cleaned.said.strip()
        for cleaned in (applicant.name, applicant.email, applicant.phone, applicant.address)
    )


def _blocking(applicant: Applicant) -> list[Finding]:
    return [f for f in applicant.findings if f.weight is Weight.BLOCKING]


def _field_questions(
    applicant: Applicant, handle: Cleaned[Handle], ruled_new: bool, ruling: Ruling | None = None
) -> tuple[Question, ...]:
    """What must be put right first, each trouble by itself. After "enrol" only what that answer left open:
    what a handle cannot be made without, a name that is nobody's, and a correction that nobody can read,
    as whoever typed it meant something by it."""
    for finding in applicant.raw.findings:
        if finding.code == listed.SKIPPED.code:
            return (_list_question(finding.note),)
    asked = [] if ruled_new else [(f.field, f.note) for f in _blocking(applicant)]
    if ruling and ruled_new:
        asked = [
            *_unanswered(applicant, ruling),
            *_unreadable(applicant, ruling.corrections).items(),
        ]
    if handle.value is None and "name" not in dict(asked):
        notes = [f.note for f in handle.findings] or [
            "We can't make a sign-in name from this name."
        ]
        asked.append(("name", notes[0]))
    return tuple(Question(field, note, FIELDS_ASKED) for field, note in dict.fromkeys(asked))


# "Enroll" says nothing of a name that is no living person's: only an answer about the name settles it.
# Nor does an answer that corrects something else say that somebody lives.
_NOBODY = frozenset(
    ("name.household", "name.organisation", "name.relative", "name.test", "name.helper")
)
_NAMES = ("full_name", "given", "family")


def _unanswered(applicant: Applicant, ruling: Ruling) -> list[tuple[str, str]]:
    """What the answer says nothing of, though it must be known. That there is no email it does say."""
    said = {field for field, text in ruling.corrections.items() if text.strip() or field == "email"}
    email = applicant.email
    asked = []
    if said.isdisjoint(_NAMES):
        more = " If the account is to have this very name, write it as the correction."
        no_one = {*_NOBODY, "name.deceased"} if said else _NOBODY
        asked += [("name", f.note + more) for f in applicant.findings if f.code in no_one]
    if email.blocked and email.value is None and "email" not in said:
        asked += [
            ("email", f.note)
            for f in email.findings
            if f.weight is Weight.BLOCKING and f.code != "email.missing"
        ]
    return asked


# Which part of an applicant a corrected field is understood as, where it is not called the same.
_PART = {
    # A name that cannot be read is asked about anyway: no handle can be made of it.
    **dict.fromkeys(
        ("address", "number", "street", "unit", "city", "state", "zip", "last_line"), "address"
    ),
    "opt_out": "consent",
}


def _unreadable(applicant: Applicant, corrections: Mapping[str, str]) -> dict[str, str]:
    """Why the corrections that were not understood were not, by field."""
    asked = {}
    for field, said in corrections.items():
        cleaned = getattr(applicant, _PART.get(field, field), None)
        if said.strip() and isinstance(cleaned, Cleaned) and (note := _unread(field, cleaned)):
            asked[field] = f"The correction “{' '.join(said.split())[:60]}” can't be used. {note}"
    if corrections.get("zip", "").strip() and not _has_zip(applicant):
        asked["zip"] = (
            "The corrected ZIP code is none that there is. It has five digits. Ask for it."
        )
    return asked


def _unread(field: str, cleaned: Cleaned[object]) -> str:
    """Why nothing came of a correction; "" if something did, or if it says that there is nothing."""
    if any(finding.code == f"{field}.missing" for finding in cleaned.findings):
        return ""
    for finding in cleaned.findings:
        if finding.weight is Weight.BLOCKING or finding.code == "consent.unclear":
            return finding.note
    return cleaned.findings[0].note if cleaned.value is None and cleaned.findings else ""


def _has_zip(applicant: Applicant) -> bool:
    place = applicant.place
    known = not any(f.code == "place.unknown_zip" for f in place.findings)
    return bool(place.value and place.value.zip5 and known)


# An answer about another form says nothing of who this one is: the two may have been one person.
_STILL_ASKED = Question(
    "match",
    "This form was like another one, which is settled now. If this is a new person, answer enroll.",
    who.MATCH_ASKED,
)


def _list_question(note: str) -> Question:
    """What is asked about a row of a list of members that was not brought in."""
    ask = f"{note} If they have no account, answer enroll: they get a sign-in name and a welcome packet."
    return Question("row", ask, who.MATCH_ASKED)


def _said_by(ruling: Ruling, what: str) -> str:
    return f"{ruling.by} decided: {what}" + (f" ({ruling.why})" if ruling.why else "")
