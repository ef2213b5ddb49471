"""What became of each row, in lists for a person to act on."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from shlex import quote
from typing import TypeVar

from onboard.clean import name as names
from onboard.clean import remarks, sites, stored
from onboard.clean.email.doubts import is_doubted
from onboard.model import (
    Change,
    Decision,
    Drop,
    Enrol,
    Finding,
    Hold,
    News,
    PersonName,
    Question,
    SameAs,
    Weight,
)
from onboard.reports import changes, kinds
from onboard.reports.table import Piece, Table, Words

D = TypeVar("D", bound=Decision)

FEW = 6  # rows named of a doubt that many forms have
MANY = 3  # forms that call a drop site the same, for one answer to be asked for all
SHOWN = 12  # rows of each list, unless all are asked for
# Doubts of which each has words of its own, which a person must read: all are shown.
_OWN_WORDS = frozenset((remarks.NO_EMAIL.code,))
# Doubts that one answer settles for all forms that call a drop site so, and how many such names are kept.
_NO_SITE, _SITES = frozenset((sites.UNKNOWN.code, sites.AMBIGUOUS.code)), 500

# What became of a row, as people read it.
SETTLED = {
    Enrol: "new member", SameAs: "already a member", Hold: "on hold", Drop: "not enrolled",
}  # fmt: skip
TITLE = {
    Enrol: "New members", SameAs: "Already a member", Hold: "On hold", Drop: "Not enrolled",
}  # fmt: skip

BEFORE_YOU_SEND = (
    "Check these email addresses before you send. A wrong one gives a stranger the password. Their "
    "welcome packets wait for your answer."
)

NO_EMAIL_NOW = "These members said no to email on a later form. From now on they get letters."
TAKEN_ALONG = "From a row of your old list that had been skipped, these members now have:"
# What is taken along of a list, as people call it.
TAKEN = {
    "joined": "the day they joined", "born": "the date of birth", "notes": "the notes",
    "last_sign_in": "the last sign-in", "last_order": "the last order", "extras": "answers",
}  # fmt: skip
REMARKS = "A form came in these members' names. Find out who filled it out."
NEWS_COLUMNS = ("row", "name", "member", "what", "on file", "on the form")
NEW_CONTACT = (
    "These members gave other information on a later form. Nothing was changed: anybody can fill out "
    "a form in their name. Ask them first, by the phone or email on file."
)


@dataclass
class Seen:
    """What is shown of the rows in the end: all that are on hold, and the first few of the others.

    The last word about a row holds. Only what is shown is kept, so that a huge file needs no
    huge memory.
    """

    named: Path  # the file of forms or of answers
    whole: bool = False  # every row is shown
    to_see_all: str = ": --all shows them"  # said of rows that are not shown
    holds: dict[str, Hold] = field(default_factory=dict)  # by row key
    settled: dict[str, Decision] = field(default_factory=dict)
    counts: Counter[type] = field(default_factory=Counter)  # of all that are settled
    emails: list[tuple[str, ...]] = field(default_factory=list)  # that may be wrong
    wrong_emails: int = 0  # all of them
    refused: list[tuple[str, ...]] = field(default_factory=list)  # members who now say no to email
    contacts: list[tuple[str, ...]] = field(
        default_factory=list
    )  # new contact info, to be asked about
    taken: list[tuple[str, ...]] = field(default_factory=list)  # of an old list, into the roster
    remarks: list[tuple[str, ...]] = field(default_factory=list)  # who may have died, or has left
    noted: Counter[str] = field(default_factory=Counter)  # all of each of these lists
    on_file: set[int] = field(default_factory=set)  # members whose contact info they show
    doubts: Doubts = field(init=False)

    def __post_init__(self) -> None:
        self.doubts = Doubts(self.file, self.whole, self.to_see_all)

    @property
    def file(self) -> str:
        """Rows of another file, on hold since then, have its name with theirs."""
        return self.named.name

    def add(self, decision: Decision) -> None:
        """Take the decision about a row, which may have been on hold so far."""
        key = decision.applicant.raw.key
        if isinstance(decision, Hold):
            self.holds[key] = decision
            return
        self.holds.pop(key, None)
        if isinstance(decision, Enrol):
            self.doubts.add(decision)
            self._check_email(decision)
        kind = type(decision)
        self.counts[kind] += 1
        if self.whole or self.counts[kind] <= SHOWN:
            self.settled[key] = decision

    def _check_email(self, decision: Enrol) -> None:
        applicant = decision.applicant
        wrong = [f.note for f in applicant.findings if f.field == "email" and is_doubted(f)]
        if not wrong or applicant.email.value is None or applicant.consent.value is False:
            return
        self.wrong_emails += 1
        if self.whole or self.wrong_emails <= SHOWN:
            email = decision.applicant.email
            said = email.value.address if email.value else email.said
            self.emails.append((*_who(decision, self.file), said, "\n".join(wrong)))

    def hear(self, decision: Decision, news: News) -> None:
        """Take what a member's form says that is not on file."""
        row, name = _who(decision, self.file)
        member = f"{_whole(news.member.name)} ({news.member.owner.shown})"
        if news.remark:
            self._note(self.remarks, REMARKS, (row, name, member, news.remark))
        if any(c.field == "consent" and c.after is False for c in news.recorded):
            self._note(self.refused, NO_EMAIL_NOW, (row, name, member))
        if taken := [TAKEN[c.field] for c in news.recorded if c.field in TAKEN]:
            self._note(self.taken, TAKEN_ALONG, (row, name, member, ", ".join(taken)))
        for change in news.proposed:
            told = (row, name, member, change.field, *_before_and_after(change))
            if self._note(self.contacts, NEW_CONTACT, told):
                self.on_file.add(change.member_id)

    def _note(self, into: list[tuple[str, ...]], what: str, row: tuple[str, ...]) -> bool:
        """Whether the row is one of those that are shown."""
        self.noted[what] += 1
        is_shown = self.whole or self.noted[what] <= SHOWN
        if is_shown:
            into.append(row)
        return is_shown

    def more(self, number: int, shown: Sequence[object]) -> str:
        """How many more rows there are than are shown; "" if those are all."""
        left = number - len(shown)
        return f"… and {left:,} more{self.to_see_all}" if left > 0 else ""

    def of(self, kind: type[D]) -> list[D]:
        """The decisions of this kind that are shown."""
        return [one for one in self.settled.values() if isinstance(one, kind)]


def _before_and_after(change: Change) -> tuple[str, str]:
    shown = stored.in_words if change.field == "phone" else stored.to_correct
    before, after = (
        shown(change.field, value).replace("\n", ", ") or "(none)"
        for value in (change.before, change.after)
    )
    return before, after


_OTHER = {
    "email": "another email address", "phone": "another phone number", "address": "another mailing address",
    "site": "another drop site", "name": "another last name", "consent": "a yes to email",
}  # fmt: skip


def proposals(news: News, line: Callable[[str], str]) -> list[str]:
    """What a member's form says that is not on file, each with the line that changes it."""
    told = []
    for change in news.proposed:
        before, after = _before_and_after(change)
        command = line(f"correct {change.member_id} --{change.field} {quote(after)} --record")
        told.append(
            f"The form has {_OTHER[change.field]}: {after}. On file: {before}. Nothing was changed. Once the member "
            f"says that it is right: {command}"
        )
    return told


def lists(seen: Seen, line: Callable[[str], str] = "onboard {}".format) -> list[Piece]:
    """What became of the rows; those that need a person last, where the eye ends up."""
    told: list[Piece] = [*settled(seen), *to_act_on(seen)]
    if seen.contacts:  # the last table: each line beside what it mends
        told.append(Words("Once they said that it is right:"))
        told += [Words(f"  {row[1]}: {line(_correct(row))}") for row in seen.contacts]
    return told


def settled(seen: Seen) -> list[Table]:
    """The rows that are settled: new members, those who were members already, and those left out."""
    tables = (
        _list(seen, Enrol, ("row", "name", "sign-in name", "drop site"), _enrolled),
        _list(seen, SameAs, ("row", "name", "same person as", "because"), _same),
        _list(seen, Drop, ("row", "name", "why"), _dropped),
    )
    return [table for table in tables if table is not None]


def to_act_on(seen: Seen) -> list[Table]:
    """The rows that need a person: those on hold, and what to check about others."""
    found: list[Table | None] = []
    if seen.holds:
        held = [_held(one, seen.file) for one in seen.holds.values()]
        found.append(
            _table(f"{TITLE[Hold]} ({len(held)})", ("row", "name", "what is needed"), held)
        )
    if seen.emails:
        heads = ("row", "name", "email", "please check")
        more = seen.more(seen.wrong_emails, seen.emails)
        found.append(_table(BEFORE_YOU_SEND, heads, seen.emails, more))
    found.append(seen.doubts.table())
    for title, columns, rows in (
        (REMARKS, (*NEWS_COLUMNS[:3], "what to know"), seen.remarks),
        (TAKEN_ALONG, (*NEWS_COLUMNS[:3], "what"), seen.taken),
        (NO_EMAIL_NOW, NEWS_COLUMNS[:3], seen.refused),
        (NEW_CONTACT, NEWS_COLUMNS, seen.contacts),
    ):
        if rows:
            found.append(_table(title, columns, rows, seen.more(seen.noted[title], rows)))
    return [table for table in found if table is not None]


def without_contacts(told: Iterable[Piece]) -> list[Piece]:
    """The lists without what is on file of members."""
    return [
        replace(one, columns=one.columns[:4], rows=tuple(row[:4] for row in one.rows))
        if isinstance(one, Table) and one.title == NEW_CONTACT
        else one
        for one in told
    ]


def _correct(contact: tuple[str, ...]) -> str:
    """The command that changes a member's contact to that of a later form."""
    *_, member, field, _, after = contact
    number = member.rpartition(" ")[2].rstrip(")")
    return f"correct {number} --{field} {quote(after)} --record"


def holds_listed(
    decisions: Sequence[Hold], line: Callable[[str], str] = "onboard {}".format
) -> list[Piece]:
    """The forms on hold, each with the beginning of its key, and how to answer one."""
    if not decisions:
        return [Words("No form is on hold.")]
    files = {d.applicant.raw.file for d in decisions}
    file = files.pop() if len(files) == 1 else ""
    rows = [(d.applicant.raw.key[:6], *_held(d, file)) for d in decisions]
    heads = ("key", "row", "name", "what is needed")
    example = line(f"answer {rows[0][0]} wait")
    return [
        _table(f"{TITLE[Hold]} ({len(rows)})", heads, rows),
        Words(
            f"To answer one, type its key and enroll, same, drop or wait. For example: {example}"
        ),
        *(Words(_whose_account(d, line)) for d in decisions if _is_joint(d)),
    ]


def _is_joint(decision: Hold) -> bool:
    return any(f.code == "name.joint" for f in decision.applicant.findings)


def _whose_account(decision: Hold, line: Callable[[str], str]) -> str:
    """How to answer a form of two people."""
    said = " ".join(decision.applicant.name.said.split())[:60]
    members, value = {match.whom for match in decision.matches}, decision.applicant.name.value
    each = [names.show(one) for one in value.each] if value else []
    name = next((one for one in each if one not in members), shown_name(decision))
    key = decision.applicant.raw.key[:6]
    typed = line(f"answer {key} enroll --correct {quote(f'name={name}')}")
    return (
        f"“{said}”: once you know who the account is for, put their name after name=. "
        f"For {name}: {typed}"
    )


def shown_name(decision: Decision) -> str:
    """The applicant's name as understood, or as said."""
    applicant = decision.applicant
    name = applicant.name.value
    if name is None:
        return " ".join(applicant.name.said.split())[:60] or "(no name)"
    return _whole(name)[:60]


@dataclass
class Doubts:
    """What to ask new members about, a row a kind of doubt; email has a list of its own.

    A doubt that many forms have is said once, with its first rows; so that a huge file needs no
    huge memory. Where all is shown, each form has its own. What several forms call a drop site that is none of
    ours is asked once for all of them.
    """

    file: str = ""  # rows of another file have its name with theirs
    whole: bool = False
    to_see_all: str = ""
    rows: dict[str, list[tuple[str, str]]] = field(default_factory=dict)  # whose, and the note
    counts: Counter[str] = field(default_factory=Counter)
    called: dict[str, list[str]] = field(default_factory=dict)  # by what a site was called: whose

    def add(self, decision: Enrol) -> None:
        """Count the doubts about a new member."""
        for finding in _doubtful(decision):
            if finding.field == "email" and is_doubted(finding):
                continue  # they have a list of their own
            self.counts[finding.code] += 1
            rows = self.rows.setdefault(finding.code, [])
            if self.whole or len(rows) < FEW or finding.code in _OWN_WORDS:
                other = decision.applicant.raw.file
                whose = f"{_row(decision)} {shown_name(decision)}"
                whose += "" if other == self.file else f" ({other})"
                rows.append((whose, finding.note))
            if finding.code in _NO_SITE:
                said = " ".join(finding.said.split())
                if said in self.called or len(self.called) < _SITES:
                    self.called.setdefault(said, []).append(f"{_row(decision)}")

    def table(self) -> Table | None:
        """The doubts as a table, or None if there are none."""
        rows = [*self._of_sites(), *(row for code in sorted(self.counts) for row in self._of(code))]
        title = "Ask these new members when you can. They have their accounts."
        return Table.of(("rows", "about", "please check"), rows, title=title) if rows else None

    def _of_sites(self) -> Iterator[tuple[str, str, str]]:
        for said, rows in self.called.items():
            if len(rows) >= MANY:
                more = ", …" if len(rows) > FEW else ""
                yield ", ".join(rows[:FEW]) + more, f"{len(rows):,} × “{said}”", asked_for_all(said)

    def _of(self, code: str) -> list[tuple[str, str, str]]:
        told, count = self.rows[code], self.counts[code]
        if self.whole or code in _OWN_WORDS:
            return [(whose, kinds.called(code), note) for whose, note in told]
        whose = ", ".join(whose for whose, _ in told)
        more = f" and {count - FEW:,} more{self.to_see_all}" if count > FEW else ""
        note = told[0][1] + (" …" if count > 1 else "")
        return [(whose + more, kinds.called(code), note)]


def asked_for_all(said: str) -> str:
    """What to do about a drop site that is none of ours, where several rows call theirs so."""
    quoted = json.dumps(said, ensure_ascii=False)  # as TOML has it
    return f"If “{said}” is one of your drop sites, write it there in the settings, and do this again: also = [{quoted}]"


def _list(
    seen: Seen,
    kind: type[D],
    heads: tuple[str, ...],
    cells: Callable[[D, str], tuple[str, ...]],
) -> Table | None:
    number = seen.counts[kind]
    rows = [cells(one, seen.file) for one in seen.of(kind)]
    title = f"{TITLE[kind]} ({number:,})"
    return _table(title, heads, rows, seen.more(number, rows)) if number else None


def _table(
    title: str, heads: tuple[str, ...], rows: Iterable[tuple[str, ...]], more: str = ""
) -> Table:
    return Table.of(heads, rows, title=title, note=more, numbers=("row",))


def _enrolled(decision: Enrol, file: str) -> tuple[str, ...]:
    site = decision.applicant.site.value or "(none)"
    return (*_who(decision, file), decision.handle.text, site)


def _same(decision: SameAs, file: str) -> tuple[str, ...]:
    return (*_who(decision, file), _whose(decision), "; ".join(decision.reasons))


def _dropped(decision: Drop, file: str) -> tuple[str, ...]:
    return (*_who(decision, file), "; ".join(decision.reasons))


def _held(decision: Hold, file: str) -> tuple[str, ...]:
    needs = "\n".join(map(_asked, decision.questions))
    why = "\n".join(f"  {reason}" for reason in decision.reasons if reason not in needs)
    return (*_who(decision, file), needs + (f"\n{why}" if why else ""))


def _asked(question: Question) -> str:
    """What is asked, behind the field that it is about; whether somebody is another says so itself."""
    if question.field in ("match", "row"):
        return question.ask
    return f"{changes.called(question.field)}: {question.ask}"


def _whose(decision: SameAs) -> str:
    """The member that a row is the same as, by name where the match says it."""
    meant = [m for m in decision.matches if m.person.owner == decision.owner]
    found = meant[0].named or f"{meant[0].person.given} {meant[0].person.family}" if meant else ""
    name = found.strip() or decision.named
    return f"{name} ({decision.owner.shown})" if name else decision.owner.shown


def _who(decision: Decision, file: str) -> tuple[str, str]:
    """Row and name, and the file of the row if it is not this one."""
    other = decision.applicant.raw.file
    name = shown_name(decision)
    return _row(decision), name if other == file else f"{name}\n({other})"


def _row(decision: Decision) -> str:
    return str(decision.applicant.raw.line)


def _doubtful(decision: Enrol) -> list[Finding]:
    return [f for f in decision.applicant.findings if f.weight is Weight.DOUBTFUL]


def _whole(name: PersonName) -> str:
    return " ".join(p for p in (name.title, name.given, name.middle, name.family, name.suffix) if p)
