"""How fast each field rule is, beside the bare library on the same strings in the same run.

    python tests/benchmarks/rules.py [ROWS] [FOLDER]

Prints, for each kind of strings, rates of this process's own time (the best of five rounds taken in
turn) and their ratio. What a rule remembers of the strings before is forgotten before each round.
The library does less than the rule, which reads, judges and explains: usaddress labels words,
nameparser splits, validate_email and phonenumbers.parse raise at the first doubt. FOLDER is a
checkout of github.com/datamade/usaddress, for more real addresses than the 129 in tests/facts.
"""

from __future__ import annotations

import csv
import random
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import addresses
import phonenumbers
import usaddress
from email_validator import EmailNotValidError, validate_email
from nameparser import HumanName

from onboard import handles
from onboard.clean import address, email, name, phone
from onboard.clean.address import likelihood
from onboard.clean.email import address as email_address
from onboard.clean.email import slips
from onboard.tables import rows

Tool = Callable[..., object]
FACTS = Path(__file__).parents[1] / "facts"
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
UNTIDY_NAMES = (
    "{1}, {0}", "Dr. {0} Q. {1} Jr.", "{0} & Robin {1}", "{0} {1} (born Diaz)", "{0}\u200b {1}",
    "José {1}", "{0} O’{1}", "{0} {1}, RN", "{0} van der {1}", "{0} {1} {0}@example.org",
)  # fmt: skip


def forget() -> None:
    """Empties what grows with the strings seen, so that no round profits from the one before."""
    for kept in (likelihood.labels, email_address.domain_of, slips.suggestion):
        kept.cache_clear()


def compare(what: str, rule: Tool, library: Tool, texts: Sequence[tuple[str, ...]]) -> None:
    """Prints the rates of rule and library on these strings."""
    best = [float("inf")] * 2
    for _ in range(5):
        for at, tool in enumerate((rule, library)):
            forget()
            began = time.process_time()
            for text in texts:
                tool(*text)
            best[at] = min(best[at], time.process_time() - began)
    ours, theirs = (len(texts) / took for took in best)
    bare = getattr(library, "__name__", "")
    print(f"{what:<40}{ours:>9,.0f} /s {ours / theirs:>6.2f} x {bare} ({theirs:,.0f} /s)")


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


def tagged(text: str) -> object:
    try:
        return usaddress.tag(text)
    except usaddress.RepeatedLabelError as wrong:
        return wrong


validated.__name__, parsed.__name__, tagged.__name__ = "validate_email", "phonenumbers.parse", "usaddress.tag"  # fmt: skip


def singly(texts: Sequence[str]) -> list[tuple[str, ...]]:
    return [(text,) for text in texts]


def drawn(column: int, count: int, chance: random.Random) -> list[str]:
    """First (1) or last names (2), as often as people bear them (1990 Census)."""
    table = rows("census_names")
    weights = [int(row[column]) for row in table]
    return chance.choices([row[0].title() for row in table], weights, k=count)


def compare_addresses(folder: str | None) -> None:
    ordinary = addresses.ordinary()
    with (FACTS / "pub28.csv").open(encoding="utf-8", newline="") as file:
        published = [row["raw"] for row in csv.DictReader(file)]
    files = [Path(folder) / each for each in addresses.SETS] if folder else []
    real = [
        addresses.said(row)
        for file in files or [FACTS / "usaddress_labeled.xml"]
        for row in addresses.read(file.read_text("utf-8"))[:1500]
    ]
    mixed = ordinary[:500] + published + random.Random(1).sample(real, min(500, len(real)))
    for what, texts in (
        ("ordinary", ordinary),
        ("strings of Publication 28", published),
        ("real strings, many without commas", real),
        ("mixed: a third of each", mixed),
    ):
        compare(f"address, {what}", address.clean, tagged, singly(texts))


def compare_contacts(count: int, chance: random.Random) -> None:
    small = [f"farm{n}.example.org" for n in range(count // 50)]
    emails = [
        f"{chance.choice('abcdefghjklmnprst')}.lee{n}@"
        + chance.choice(GREAT if chance.random() < 0.8 else small)
        for n in range(count)
    ]
    phones = [
        f"({chance.choice(AREAS)}) {chance.randrange(222, 910)}-{chance.randrange(10_000):04}"
        for _ in range(count)
    ]
    for what, rule, library, texts, untidy in (
        ("email", email.clean, validated, emails, UNTIDY_EMAILS),
        ("phone", phone.clean, parsed, phones, UNTIDY_PHONES),
    ):
        compare(f"{what}, plain", rule, library, singly(texts))
        mixed = [
            untidy[n // 10 % 10].format(text) if n % 10 == 0 else text
            for n, text in enumerate(texts)
        ]
        compare(f"{what}, one in ten untidy", rule, library, singly(mixed))
        all_untidy = [untidy[n % 10].format(text) for n, text in enumerate(texts)]
        compare(f"{what}, untidy", rule, library, singly(all_untidy))
    new = [f"pat@{chance.randrange(10**9)}.example.org" for _ in range(count // 10)]
    compare("email, every domain new", email.clean, validated, singly(new))


def compare_names(count: int, chance: random.Random) -> None:
    people = list(zip(drawn(1, count, chance), drawn(2, count, chance), strict=True))
    tidy = [" ".join(pair) for pair in people]
    untidy = [UNTIDY_NAMES[n % 10].format(*pair) for n, pair in enumerate(people)]
    mixed = [
        UNTIDY_NAMES[n // 10 % 10].format(*people[n]) if n % 10 == 0 else tidy[n]
        for n in range(count)
    ]

    def by_columns(first: str, last: str = "") -> object:
        return name.clean(given=first, family=last)

    def split(*parts: str) -> object:
        return HumanName(" ".join(parts))

    split.__name__ = "nameparser"
    for what, texts in (
        ("as written", tidy),
        ("all capitals", [text.upper() for text in tidy]),
        ("one in ten untidy", mixed),
        ("untidy", untidy),
    ):
        compare(f"name, {what}", name.clean, split, singly(texts))
    compare("name, first and last in columns", by_columns, split, people)
    compare("handle of a name, one in ten untidy", handles.clean, split, singly(mixed))


def main(count: int, folder: str | None) -> None:
    chance = random.Random(20261125)
    compare_addresses(folder)
    compare_contacts(count, chance)
    compare_names(count, chance)


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 5_000,
        sys.argv[2] if len(sys.argv) > 2 else None,
    )
