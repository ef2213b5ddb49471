"""What a batch came to, for a person to act on and for a program to read."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rich.console import Group
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from onboard.model import Decision, Drop, Enrol, Hold, Owner, PersonName, SameAs, Weight

FEW = 6  # lines named of a doubt that many forms have
SHOWN = 12  # lines of each list on a screen, unless all are asked for
VERDICT = {Enrol: "enrolled", SameAs: "already a member", Hold: "on hold", Drop: "left out"}


def shown_name(decision: Decision) -> str:
    """The applicant's name as understood, or as said."""
    applicant = decision.applicant
    name = applicant.name.value
    if name is None:
        return " ".join(applicant.name.said.split())[:60] or "(no name)"
    return _whole(name)[:60]


def as_json(decision: Decision, owner: Owner, *, given_before: bool) -> str:
    """One row's outcome as a JSON object on one line."""
    applicant = decision.applicant
    line: dict[str, Any] = {
        "file": applicant.raw.file,
        "line": applicant.raw.line,
        "row": applicant.raw.key,
        "verdict": "given before" if given_before else VERDICT[type(decision)],
        "name": shown_name(decision),
        "owner": owner,
        "handle": decision.handle.text if isinstance(decision, Enrol) else None,
        "reasons": list(decision.reasons),
        "questions": [
            {"field": q.field, "ask": q.ask, "answers": [str(a) for a in q.answers]}
            for q in (decision.questions if isinstance(decision, Hold) else ())
        ],
        "findings": [
            {"code": f.code, "weight": str(f.weight), "said": f.said[:200], "note": f.note}
            for f in applicant.findings
        ],
    }
    return json.dumps(line)


def lists(
    holds: Sequence[Hold],
    enrolled: Sequence[Enrol],
    same: Sequence[tuple[SameAs, str]],
    dropped: Sequence[Drop],
    counts: Mapping[str, int],
    file: str,
) -> Group:
    """The lists of a batch, those that need a person last, where the eye ends up.

    `counts` says, by verdict, how many there were, of which only some are here. A row of
    another file than `file`, on hold since then, has that file's name with it.
    """
    held = {VERDICT[Hold]: len(holds)}
    tables = (
        _table(
            ("line", "name", "signs in as", "drop site"), enrolled, _enrolled, counts, Enrol, file
        ),
        _table(("line", "name", "is", "because"), same, _same, counts, SameAs, file),
        _table(("line", "name", "why"), dropped, _dropped, counts, Drop, file),
        _table(("line", "name", "what is needed"), holds, _held, held, Hold, file),
    )
    return Group(*(table for table in tables if table is not None))


@dataclass
class Doubts:
    """What to ask the enrolled when you next can, a line a kind of doubt.

    A doubt that many forms have is said once, with its first lines; so that a huge file needs no
    huge memory.
    """

    file: str = ""  # rows of another file have its name with their line
    lines: dict[str, list[str]] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    counts: Counter[str] = field(default_factory=Counter)

    def add(self, decision: Enrol) -> None:
        """Count the doubts about one of the enrolled."""
        for finding in decision.applicant.findings:
            if finding.weight is Weight.DOUBTFUL:
                self.counts[finding.code] += 1
                self.notes.setdefault(finding.code, finding.note)
                lines = self.lines.setdefault(finding.code, [])
                if len(lines) < FEW:
                    other = decision.applicant.raw.file
                    whose = "" if other == self.file else f" ({other})"
                    lines.append(_line(decision) + whose)

    def table(self) -> Padding | None:
        """The doubts as a table, or None if there are none."""
        lines = [
            (
                ", ".join(self.lines[code]) + (f" and {count - FEW} more" if count > FEW else ""),
                code,
                self.notes[code] + (" …" if count > 1 else ""),
            )
            for code, count in sorted(self.counts.items())
        ]
        heads = ("lines", "about", "what")
        return _plain_table("Ask the enrolled when you next can", heads, lines) if lines else None


def codes(counts: Counter[str]) -> Text:
    """How often each kind of finding was met."""
    told = ", ".join(f"{code} {number}" for code, number in sorted(counts.items()))
    return Text(f"Findings: {told or 'none'}.\n", style="dim")


def holds(decisions: Sequence[Hold]) -> Padding:
    """The rows on hold, each with the beginning of its key, to answer them one by one."""
    files = {d.applicant.raw.file for d in decisions}
    file = files.pop() if len(files) == 1 else ""
    lines = [(d.applicant.raw.key[:6], *_held(d, file)) for d in decisions]
    heads = ("row", "line", "name", "what is needed")
    return _plain_table(f"{VERDICT[Hold].capitalize()} ({len(lines)})", heads, lines)


def whose(decision: SameAs) -> str:
    """The member that a row is the same as, by name where the match says it."""
    named = [m.person for m in decision.matches if m.person.owner == decision.owner]
    name = f"{named[0].given} {named[0].family}".strip() if named else ""
    return f"{name} ({decision.owner.shown})" if name else decision.owner.shown


def _table(
    heads: tuple[str, ...],
    items: Sequence[Any],
    cells: Callable[[Any, str], tuple[str, ...]],
    counts: Mapping[str, int],
    kind: type[Decision],
    file: str,
) -> Padding | None:
    number = counts.get(VERDICT[kind], 0)
    if not number:
        return None
    lines = [cells(item, file) for item in items]
    if len(lines) < number:
        lines.append(("", f"… and {number - len(lines)} more: --all shows them"))
    return _plain_table(f"{VERDICT[kind].capitalize()} ({number})", heads, lines)


def _plain_table(title: str, heads: tuple[str, ...], lines: Iterable[tuple[str, ...]]) -> Padding:
    table = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False)
    for head in heads:
        table.add_column(head, justify="right" if head == "line" else "left", overflow="fold",
                         no_wrap=head == "line", header_style="dim")  # fmt: skip
    for cells in lines:
        table.add_row(*(Text(_printable(cell)) for cell in cells))
    return Padding(table, (0, 0, 1, 0))


def _enrolled(decision: Enrol, file: str) -> tuple[str, ...]:
    applicant = decision.applicant
    return (
        _line(decision),
        _told(decision, file),
        decision.handle.text,
        applicant.site.value or "(none)",
    )


def _same(item: tuple[SameAs, str], file: str) -> tuple[str, ...]:
    decision, who = item
    return (_line(decision), _told(decision, file), who, "; ".join(decision.reasons))


def _dropped(decision: Drop, file: str) -> tuple[str, ...]:
    return (_line(decision), _told(decision, file), "; ".join(decision.reasons))


def _held(decision: Hold, file: str) -> tuple[str, ...]:
    needs = "\n".join(f"{question.field}: {question.ask}" for question in decision.questions)
    why = "\n".join(f"  {reason}" for reason in decision.reasons if reason not in needs)
    return (_line(decision), _told(decision, file), needs + (f"\n{why}" if why else ""))


def _told(decision: Decision, file: str) -> str:
    """The name, and the file of the row if it is not this one: line 4 of which file, else?"""
    other = decision.applicant.raw.file
    name = shown_name(decision)
    return name if other == file else f"{name}\n({other})"


def _line(decision: Decision) -> str:
    return str(decision.applicant.raw.line)


def _printable(text: str) -> str:
    """The text without what could steer a terminal."""
    return "".join(c if c.isprintable() or c == "\n" else "�" for c in text)


def _whole(name: PersonName) -> str:
    return " ".join(p for p in (name.title, name.given, name.middle, name.family, name.suffix) if p)
