"""Whether answers and reports reach a domain (MX: RFC 5321, 5.1, and RFC 7505)."""

from __future__ import annotations

from collections.abc import Iterator

from onboard.mail_records.kinds import Ask, Grade, Point, Sending


def points(sending: Sending, ask: Ask) -> Iterator[Point]:
    """What to know of the servers that take the mail of the sender, and of where reports come back to."""
    for domain in dict.fromkeys((sending.domain, sending.path or sending.domain)):
        yield _of(domain, ask)


def _of(domain: str, ask: Ask) -> Point:
    answer = ask(domain, "MX")
    if not answer.known:
        return Point("mx.unanswered", Grade.UNKNOWN, f"The name servers did not answer about {domain}, so the program can't tell whether it takes email.", "Run this again later.")  # fmt: skip
    hosts = [text.split()[-1] for text in answer.records]
    told = " | ".join(answer.records)
    if hosts == ["."]:
        return Point("mx.none_wanted", Grade.WRONG, f"{domain} says that it takes no email (RFC 7505). Answers and reports get lost, and many servers refuse email from it.", "Add an MX record with the server that takes your email.", told)  # fmt: skip
    if not hosts:
        return _without(domain, ask)
    answers = [(host, ask(host, "A"), ask(host, "AAAA")) for host in hosts]
    if any(four.records or six.records for _, four, six in answers):
        return Point("mx.good", Grade.GOOD, f"{domain} takes email.", record=told)
    if not all(four.known and six.known for _, four, six in answers):
        return Point("mx.unanswered", Grade.UNKNOWN, f"The name servers did not answer about {hosts[0]}, which takes the email of {domain}.", "Run this again later.", told)  # fmt: skip
    return Point("mx.nowhere", Grade.WRONG, f"The MX record of {domain} names {hosts[0]}, and there is no such server. Answers and reports get lost.", "Fix the name in the MX record.", told)  # fmt: skip


def _without(domain: str, ask: Ask) -> Point:
    four, six = ask(domain, "A"), ask(domain, "AAAA")
    if four.records or six.records:
        return Point("mx.implicit", Grade.WEAK, f"{domain} has no MX record. Email to it goes to its web server, if that takes any.", "Add an MX record with the server that takes your email.")  # fmt: skip
    if not (four.known and six.known):
        return Point("mx.unanswered", Grade.UNKNOWN, f"The name servers did not answer about {domain}, so the program can't tell whether it takes email.", "Run this again later.")  # fmt: skip
    return Point("mx.missing", Grade.WRONG, f"{domain} takes no email: it has no MX record and no address. Answers and reports get lost, and many servers refuse email from it.", f"Check how {domain} is spelled in the settings. Add an MX record at {domain} with the server that takes your email.")  # fmt: skip
