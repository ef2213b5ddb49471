"""What to do with mail in a domain's name that proves nothing (DMARC, RFC 9989; RFC 7489 before it)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from onboard.mail_records.kinds import Ask, Grade, Point, Sending, tags

POLICIES = ("none", "quarantine", "reject")
MOST_LABELS = 8  # RFC 9989, 4.10: of a longer name, only the last seven are asked about above it
_REPORT = re.compile(r"mailto:[^@\s,!]+@[^@\s,!]+(?:![0-9]+[kmgt]?)?", re.I)


class _Unanswered(Exception):
    """A name server did not answer; with the name."""


def records(texts: tuple[str, ...]) -> tuple[str, ...]:
    """Those TXT records that are DMARC records: v=DMARC1 comes first (RFC 9989, 4.7)."""
    return tuple(text for text in texts if re.match(r"v\s*=\s*DMARC1\s*(;|$)", text))


def names_up(domain: str) -> list[str]:
    """The domain, and those above it that are asked, the nearest first (RFC 9989, 4.10).

    >>> names_up("a.b.c.d.e.f.g.h.i.j.mail.example.com")[:2], names_up("mail.example.com")
    (['a.b.c.d.e.f.g.h.i.j.mail.example.com', 'g.h.i.j.mail.example.com'], ['mail.example.com', 'example.com', 'com'])
    """
    labels = domain.split(".")
    first = 1 if len(labels) < MOST_LABELS else len(labels) - MOST_LABELS + 1
    return [domain, *(".".join(labels[at:]) for at in range(first, len(labels)))]


def _record(name: str, ask: Ask) -> tuple[str, ...]:
    answer = ask(f"_dmarc.{name}", "TXT")
    if not answer.known:
        raise _Unanswered(name)
    return records(answer.records)


def organization(domain: str, ask: Ask) -> str:
    """The domain that an organization registered, to which this one belongs, by a walk up the tree
    (RFC 9989, 4.10.2); the domain itself where nothing above says so."""
    names, highest = names_up(domain), domain
    for at, name in enumerate(names):
        found = _record(name, ask)
        if len(found) != 1:
            continue
        psd = _said(found[0]).get("psd", "u").lower()
        if psd == "n":
            return name
        if psd == "y":  # a registry's own record: what is one label below it was registered
            return names[at - 1] if at else name
        highest = name
    return highest


def _said(text: str) -> dict[str, str]:
    try:
        return dict(tags(text))
    except ValueError:
        return {}


def points(sending: Sending, ask: Ask) -> Iterator[Point]:
    """What to know of the DMARC record that speaks for the domain."""
    try:
        name, found = sending.domain, _record(sending.domain, ask)
        if not found:
            for name in names_up(sending.domain)[1:]:
                if found := _record(name, ask):
                    break
        if len(found) == 1:
            yield from _of_record(sending, name, found[0], ask)
            return
    except _Unanswered as silent:
        yield Point("dmarc.unanswered", Grade.UNKNOWN, f"The name servers did not answer about _dmarc.{silent}, so the program can't tell whether it has a DMARC record.", "Run this again later.")  # fmt: skip
        return
    if found:
        yield Point("dmarc.two", Grade.WRONG, f"There are {len(found)} DMARC records at _dmarc.{name}, and then none of them counts.", "Leave one of them.", " | ".join(found))  # fmt: skip
        return
    yield Point(
        "dmarc.missing", Grade.WRONG, f"{sending.domain} has no DMARC record. Anybody can send email in its name, and large mailbox providers ask senders for one.",
        f"Add a TXT record at _dmarc.{sending.domain}. To begin with: v=DMARC1; p=none; rua=mailto:ADDRESS-FOR-REPORTS. Later p=quarantine, once the reports show that your own email passes.",
    )  # fmt: skip


def _of_record(sending: Sending, name: str, text: str, ask: Ask) -> Iterator[Point]:
    try:
        said = dict(tags(text))
    except ValueError as wrong:
        yield Point("dmarc.broken", Grade.WRONG, f"The DMARC record at _dmarc.{name} has “{wrong}” in it, which means nothing.", "Put it right: each tag is name=value, with ; between them.", text)  # fmt: skip
        return
    worst = [*_policy(sending, name, text, said), *_reports(name, text, said)]
    worst += _alignment(sending, text, said, ask)
    yield from worst
    if not worst:
        yield Point("dmarc.good", Grade.GOOD, f"The DMARC record at _dmarc.{name} is sound.", record=text)  # fmt: skip


def _policy(sending: Sending, name: str, text: str, said: dict[str, str]) -> Iterator[Point]:
    key = "p" if name == sending.domain or "sp" not in said else "sp"
    policy = said.get(key, "").lower()
    if policy not in POLICIES:
        told = f"has {key}={said[key][:30]}" if said.get(key) else "does not say what to do (p=)"
        yield Point("dmarc.no_policy", Grade.WRONG, f"The DMARC record at _dmarc.{name} {told}. Mail servers take it for p=none, or pass over it.", "Write p=quarantine, or p=none to begin with.", text)  # fmt: skip
    elif policy == "none":
        yield Point("dmarc.only_watched", Grade.WEAK, f"The DMARC record at _dmarc.{name} has {key}=none: email in your name that proves nothing still arrives.", f"Read the reports for some weeks. When your own email passes, change it to {key}=quarantine.", text)  # fmt: skip
    elif said.get("t", "").lower() == "y" or said.get("pct", "100").strip() != "100":
        yield Point("dmarc.partly", Grade.WEAK, f"The DMARC record at _dmarc.{name} is only tried out, or holds for part of the email.", "Take t=y and pct= out once your own email passes.", text)  # fmt: skip


def _reports(name: str, text: str, said: dict[str, str]) -> Iterator[Point]:
    if not said.get("rua"):
        yield Point("dmarc.no_reports", Grade.WEAK, f"The DMARC record at _dmarc.{name} asks for no reports, so nobody hears when your own email fails.", "Add rua=mailto:ADDRESS-FOR-REPORTS.", text)  # fmt: skip
    elif wrong := [one.strip() for one in said["rua"].split(",") if not _REPORT.fullmatch(one.strip())]:  # fmt: skip
        yield Point("dmarc.reports_lost", Grade.WEAK, f"The DMARC record at _dmarc.{name} wants reports at “{wrong[0][:60]}”, which is not an address.", "Write it as rua=mailto:reports@example.org, with commas between several.", text)  # fmt: skip


def _alignment(sending: Sending, text: str, said: dict[str, str], ask: Ask) -> Iterator[Point]:
    """Whether the address that reports come back to speaks for the sender (RFC 9989, 4.4)."""
    path = sending.path or sending.domain
    if path == sending.domain:
        return
    try:
        strict = said.get("aspf", "r").lower() == "s"
        aligned = not strict and organization(path, ask) == organization(sending.domain, ask)
    except _Unanswered as silent:
        yield Point("dmarc.alignment_unanswered", Grade.UNKNOWN, f"The name servers did not answer about _dmarc.{silent}, so the program can't tell whether {path} and {sending.domain} belong together.", "Run this again later.", text)  # fmt: skip
        return
    if not aligned:
        rest = "Only a DKIM signature counts then." if sending.selectors else "Nothing else is known to."  # fmt: skip
        yield Point("dmarc.alignment", Grade.WEAK if sending.selectors else Grade.WRONG, f"Reports come back to {path}, and your email is from {sending.domain}. So SPF proves nothing for the sender{' (aspf=s)' if strict else ''}. {rest}", f"Have reports come back to an address at {sending.domain} (bounces_to in the settings), or sign your email with DKIM.", text)  # fmt: skip
