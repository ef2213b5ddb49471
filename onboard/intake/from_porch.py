"""Sign-ups that came in at the porch, as rows of join forms. Their fields are known, so nobody is asked about columns."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from onboard.intake import damage
from onboard.model import Finding, RawRow
from onboard.spool import Entry

NUMBER = "Sign-up number"  # heads the identity: two people who say the same are two rows


def named(entries: Sequence[Entry]) -> str:
    """What these sign-ups are called, as a file is by its name: by the moment of the first.

    >>> named([Entry("a1", "2026-12-02T12:00:05+00:00", "form", ())])
    'porch-20261202-120005'
    """
    first = entries[0].at if entries else ""
    digits = "".join(sign for sign in first[:19] if sign.isdigit())
    return f"porch-{digits[:8]}-{digits[8:]}" if digits else "porch"


def rows(entries: Sequence[Entry]) -> Iterator[RawRow]:
    """A row for each sign-up, numbered from 1. The same sign-up is the same row whenever it is read."""
    file = named(entries)
    for line, entry in enumerate(entries, 1):
        findings: list[Finding] = []
        state = next((one.said for one in entry.answers if one.field == "state"), "")
        fields: dict[str, str] = {}
        for field, _, said in entry.answers:
            cleaned = damage.clean(said.replace("\r\n", "\n").replace("\r", "\n"), field, state)
            findings += cleaned.findings
            fields[field] = cleaned.value or ""
        cells = [(one.asked, one.said) for one in entry.answers] + [(NUMBER, entry.identity)]
        fields |= {"submitted": entry.at[:10], "id": entry.identity}
        yield RawRow(file, line, tuple(cells), fields, tuple(findings))
