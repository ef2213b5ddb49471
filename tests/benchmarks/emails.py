"""What becomes of email addresses with one key too many, too few, wrong or out of order.

    python tests/benchmarks/emails.py [HOW_MANY] [SEED]

Mutates 200,000 addresses, four in five of great providers, and counts what the email rule makes of
each. "half" is the one that must stay at 0: an address taken that is only a piece of what was
written, or that email-validator refuses. Prints two examples of each count.
"""

from __future__ import annotations

import random
import re
import sys
from collections import defaultdict

from email_validator import EmailNotValidError, validate_email

from onboard.clean import email
from onboard.clean.email.slips import targets

GREAT = [p.domain for p in targets().values() if p.reach >= 3] + ["msn.com", "live.com", "me.com"]
OWN = "parish.org greenfields.net corner.store st.marys.org k12.oh.us harvest.farm".split()  # noqa: SIM905
NAMES = "pat pat.lee patlee7 p_lee robin.lee+coop lee-ann mjones1962".split()  # noqa: SIM905
SIGNS = ",;:'\"/\\ |<>()[]{}!?*&%$#=+~`^-_."
KEYS = SIGNS + "abcdefghijklmnopqrstuvwxyz0123456789"


def mutated(address: str, chance: random.Random) -> str:
    at, key, which = chance.randrange(len(address)), chance.choice(KEYS), chance.random()
    if which < 0.5:
        return address[:at] + key + address[at:]
    if which < 0.75:
        return address[:at] + key + address[at + 1 :]
    if which < 0.9:
        return address[:at] + address[at + 1 :]
    return address[:at] + address[at + 1 : at + 2] + address[at] + address[at + 2 :]


def became(typed: str, meant: str) -> str:
    """What the rule made of `typed`, in a few words."""
    cleaned = email.clean(typed)
    codes = {finding.code.removeprefix("email.") for finding in cleaned.findings}
    named = meant.lower() in " ".join(finding.note for finding in cleaned.findings).lower()
    if cleaned.value is None:
        return "asked, naming the right one" if named else "asked"
    address = cleaned.value.address
    if address.lower() == meant.lower():
        return "right"
    try:
        validate_email(address, check_deliverability=False)
    except EmailNotValidError:
        return "half: email-validator refuses it"
    if "words" in codes or ("spelling" in codes and len(address) < len(meant) - 2):
        return "half"
    if named:
        return "taken, with a question naming the right one"
    if codes:
        return f"taken, with a question ({', '.join(sorted(codes))})"
    sign = re.search(r"[^\w.+\-@]", typed)
    return "taken as typed, with a sign in it" if sign else "taken as typed"


def main() -> None:
    how_many, seed = (int(n) for n in [*sys.argv[1:], *("200000", "1")[len(sys.argv) - 1 :]])
    chance = random.Random(seed)
    counts: defaultdict[str, list[str]] = defaultdict(list)
    for _ in range(how_many):
        domain = chance.choice(GREAT if chance.random() < 0.8 else OWN)
        meant = f"{chance.choice(NAMES)}@{domain}"
        typed = mutated(meant, chance)
        if typed != meant:
            counts[became(typed, meant)].append(typed)
    for what, typed in sorted(counts.items(), key=lambda item: -len(item[1])):
        print(
            f"{len(typed):8,} {what}: {', '.join(map(repr, chance.sample(typed, min(2, len(typed)))))}"
        )


if __name__ == "__main__":
    main()
