"""How fast emails and phones are cleaned, beside the bare libraries in the same run.

    python tests/benchmarks/contacts.py [ROWS]

Prints rates in rows a second of process time, and the ratio to the library. The people are
invented; domains are shared out as on a mailing list, a few great ones and many small.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterable

import phonenumbers
from email_validator import EmailNotValidError, validate_email

from onboard.clean import email, phone

GREAT = ("gmail.com", "yahoo.com", "hotmail.com", "aol.com", "icloud.com", "comcast.net")
AREAS = ("419", "567", "614", "312", "773", "212", "206", "303", "512", "787")
UNTIDY_EMAILS = (
    "Pat Lee <{}>", " {} ", "mailto:{}", "{} (home)", "{}, other@example.net", "{}.", "no email",
    "pat at example dot org", "{0}{0}", "<a href='mailto:{0}'>{0}</a>",
)  # fmt: skip
UNTIDY_PHONES = (
    "h: {}", "{} cell", "{} ext. 12", "{} or 614-234-9999", "{}.0", "call {} after 5pm", "n/a",
    "234-5678", "+44 20 7946 0018", "3122345678 3122345678",
)  # fmt: skip


def rate(work: Callable[[str], object], texts: Iterable[str]) -> float:
    """Texts a second of process time, the best of three rounds."""
    texts = list(texts)
    best = float("inf")
    for _ in range(3):
        before = time.process_time()
        for text in texts:
            work(text)
        best = min(best, time.process_time() - before)
    return len(texts) / best


def validated(text: str) -> object:
    try:
        return validate_email(text, check_deliverability=False)
    except EmailNotValidError as wrong:
        return wrong


def parsed(text: str) -> object:
    try:
        return phonenumbers.parse(text, "US")
    except phonenumbers.NumberParseException as wrong:
        return wrong


def parsed_and_judged(text: str) -> object:
    number = parsed(text)
    return isinstance(number, phonenumbers.PhoneNumber) and phonenumbers.is_valid_number(number)


def main(rows: int) -> None:
    chance = random.Random(20261125)
    small = [f"farm{n}.example.org" for n in range(rows // 50)]
    emails = [
        f"{chance.choice('abcdefghjklmnprst')}.lee{n}@"
        + chance.choice(GREAT if chance.random() < 0.8 else small)
        for n in range(rows)
    ]
    phones = [
        f"({chance.choice(AREAS)}) {chance.randrange(222, 910)}-{chance.randrange(10_000):04}"
        for _ in range(rows)
    ]
    untidy_emails = [chance.choice(UNTIDY_EMAILS).format(text) for text in emails]
    untidy_phones = [chance.choice(UNTIDY_PHONES).format(text) for text in phones]
    new_domains = [f"pat@{chance.randrange(10**9)}.example.org" for _ in range(rows // 10)]

    def line(name: str, ours: float, theirs: float, library: str) -> None:
        print(f"{name:<28}{ours:>10,.0f}/s {ours / theirs:>8.2f} x {library} ({theirs:,.0f}/s)")

    line("emails, plain", rate(email.clean, emails), rate(validated, emails), "validate_email")
    line("emails, untidy", rate(email.clean, untidy_emails), rate(validated, untidy_emails),
         "validate_email")  # fmt: skip
    first = time.process_time()
    for text in new_domains:  # once only: a second round would find the domains remembered
        email.clean(text)
    line("emails, every domain new", len(new_domains) / (time.process_time() - first),
         rate(validated, new_domains), "validate_email")  # fmt: skip
    ours = rate(phone.clean, phones)
    line("phones, plain", ours, rate(parsed, phones), "parse")
    line("phones, plain", ours, rate(parsed_and_judged, phones),
         "parse and is_valid_number")  # fmt: skip
    line("phones, untidy", rate(phone.clean, untidy_phones), rate(parsed, untidy_phones), "parse")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
