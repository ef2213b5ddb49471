"""Every field rule against texts that nobody would write, and against very long ones.

    python tests/benchmarks/fuzz.py [MINUTES] [SEED]

Each rule must answer any text (no exception), keep what was said, find only its own kinds of
findings, and leave alone what it has cleaned. Rounds of 500 hypothesis examples a rule, seeded by
number, until the minutes are over; then long texts: ten times as long may not take much more than
ten times as long. Prints what was done; a failure ends the run with the example that shows it.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Collection

from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st

from onboard import handles
from onboard.clean import address, email, name, phone, place, row, sites
from onboard.model import Cleaned, Kind, PersonName, RawRow, Weight

EXAMPLES = 500  # a rule and round

# Pieces of every field, so that each rule also meets what belongs in another's box.
PIECES = st.sampled_from(
    """12 4B N SOUTH St ave # apt Unit PO box rr HC 2 1/2 12-14 lot, calle urb PR OH Lima 45801 -1234 county rd us
    hwy & and y attn c/o jr Dr. psc apo AE general delivery pmb St. Louis NW Canada M5V 2T6 ½ Ñ é ß
    pat Lee LEE O'Brien van der née ( ) [ ] < > " ' , ; . : / \\ | - – _ = + * ? ! @ @@ gmail.com gmial.con [at] dot
    mailto: www. http:// none n/a test asdf 419 234 5678 555 0143 +44 +1 x12 ext ;ext= 3.12E+09 .0 GO PLUMB 911
    ２ ＠ 王 а 葉 😀 Ã© ŋ ﬁ \u0301 \u200b \u202e \ud800 \ufffd \x00 \x1f \x85 \u2028 &amp; <b> {} =1+1 lima grange hall
    nearest sitio Jan""".split()  # noqa: SIM905
) | st.sampled_from(("\n", "\t", " ", "  ", "\u3000"))
TANGLES = st.lists(st.tuples(PIECES, st.sampled_from((" ", "", "\n"))), max_size=14).map(
    lambda pieces: "".join(piece + gap for piece, gap in pieces)
)
TEXTS = st.text(max_size=80) | TANGLES
FIELDS = ("full_name", "given", "middle", "family", "suffix", "email", "phone", "address", "number", "street",
          "unit", "city", "state", "zip", "last_line", "language", "consent", "site", "born")  # fmt: skip


def stays(
    cleaned: Cleaned[object], said: str, kinds: Collection[Kind], again: Cleaned[object] | None
) -> None:
    """What holds for every answer; `again` is the answer to the written form of its value."""
    assert cleaned.said == said
    assert cleaned.value is not None or cleaned.findings
    assert {f.code for f in cleaned.findings} <= {kind.code for kind in kinds}
    if again is not None:
        assert again.value == cleaned.value
        assert not [f for f in again.findings if f.weight is Weight.MENDED]


def address_rule(a: str, b: str) -> None:
    for said in (a, f"{a}\n{b}"):
        cleaned = address.clean(said)
        shown = address.show(cleaned.value) if cleaned.value else ""
        stays(cleaned, said, address.KINDS, address.clean(shown) if shown else None)


def email_rule(a: str, b: str) -> None:
    cleaned, other = email.clean(a), email.clean(b)
    stays(
        cleaned, a, email.KINDS, email.clean(email.show(cleaned.value)) if cleaned.value else None
    )
    if cleaned.value and other.value:
        one, two = cleaned.value.identity, other.value.identity
        assert email.relation(one, two) is email.relation(two, one)


def phone_rule(a: str, b: str) -> None:
    for region in ("US", "DE", b[:3]):
        cleaned = phone.clean(a, region=region, area_codes=("419",))
        again = phone.clean(phone.show(cleaned.value), region=region) if cleaned.value else None
        stays(cleaned, a, phone.KINDS, again)
        if cleaned.value:
            assert phone.read_aloud(cleaned.value)


def name_rule(a: str, b: str) -> None:
    cleaned = name.clean(a)
    stays(cleaned, a, name.KINDS, name.clean(name.show(cleaned.value)) if cleaned.value else None)
    columns = name.clean(given=a, family=b, middle=b[:9], suffix=a[:3])
    assert columns.value is not None or columns.blocked


def place_rule(a: str, b: str) -> None:
    for cleaned in (place.clean(a), place.clean(city=a, state=b, zip5=b[::-1])):
        stays(cleaned, cleaned.said, place.KINDS, None)
    place.suggestion(a, b, "OH")


def handle_rule(a: str, b: str) -> None:
    for said in (a, PersonName(a, b[:5], b, called=a[::-1])):
        cleaned = handles.clean(said)
        assert {f.code for f in cleaned.findings} <= {k.code for k in (*handles.KINDS, *name.KINDS)}
        if (handle := cleaned.value) is not None:
            assert set(handle.text) <= set("abcdefghijklmnopqrstuvwxyz0123456789")
            assert handles.free(handle, {handle.text}).text != handle.text
            handles.tell(handle, b)
    handles.skeleton(a)


def site_rule(a: str, b: str) -> None:
    here = place.clean(b).value
    cleaned = sites.clean(a, sites.EXAMPLES, here)
    stays(cleaned, a, sites.KINDS, None)


def row_rule(a: str, b: str) -> None:
    texts = (a, b, b + a, a[::-1], "")
    fields = {field: texts[(len(a) + at) % 5] for at, field in enumerate(FIELDS)}
    applicant = row.clean(RawRow("fuzz", 2, tuple(fields.items()), fields))
    assert all(f.note and f.code for f in applicant.findings)
    assert applicant.people()


RULES: tuple[Callable[[str, str], None], ...] = (
    address_rule, email_rule, phone_rule, name_rule, place_rule, handle_rule, site_rule, row_rule,
)  # fmt: skip


def try_out(
    rule: Callable[[str, str], None], number: int, tried: dict[Callable[[str, str], None], int]
) -> None:
    """One round of one rule."""

    @seed(number)
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(TEXTS, TEXTS)
    def holds(a: str, b: str) -> None:
        tried[rule] += 1
        rule(a, b)

    holds()


def fuzz(minutes: float, first: int) -> None:
    """Rounds until the time is over; each can be had again by its number."""
    ends = time.monotonic() + 60 * minutes
    number = first
    tried = dict.fromkeys(RULES, 0)
    while time.monotonic() < ends:
        for rule in RULES:
            try_out(rule, number, tried)
        number += 1
    print(f"seeds {first} to {number - 1}: {sum(tried.values()):,} examples, no failure")
    for rule, many in tried.items():
        print(f"  {rule.__name__:<14}{many:>10,}")


JUNK = ("a", "a ", "9", "9 ", "9-", "@", "a@", "a.", ".", ",", ", ", "\n", " ", "(", '"', "'", "<", "<a ", "&", "& ",
        "#", "# ", "+", "+1 ", "x", "-", "- ", "_", "?", "box ", "po box ", "apt 4 ", "n ", "st ", "12 st ", "rr 2 ",
        "and ", "née ", "c/o ", "é", "\u0301", "王", "а", "\x00", "\ud800", "\u200b", "😀", "Ã©", "{", "=", "419-234-5678 ",
        "pat@example.org ", "lima ", "oh 45801 ", "calle ", "&amp;", "1/2 ", "e", "0")  # fmt: skip


def long_texts() -> None:
    """Texts of 10,000, 100,000 and 1,000,000 characters through every rule."""
    slowest = (0.0, "", "")
    for rule in RULES:
        for junk in JUNK:
            took = []
            for length in (10_000, 100_000, 1_000_000):
                text = junk * (length // len(junk))
                before = time.process_time()
                rule(text, text[:100])
                took.append(time.process_time() - before)
            slowest = max(slowest, (took[-1], rule.__name__, junk))
            assert took[-1] < 0.1 or took[-1] < 40 * took[-2] < 1600 * took[-3] + 1, (
                rule.__name__, junk, took,
            )  # fmt: skip
    print(
        f"long texts: {len(RULES) * len(JUNK)} kinds of 10,000 to 1,000,000 characters; the slowest "
        f"took {slowest[0]:.2f} s of process time ({slowest[1]}, {slowest[2]!r})"
    )


if __name__ == "__main__":
    long_texts()
    fuzz(
        float(sys.argv[1]) if len(sys.argv) > 1 else 10,
        int(sys.argv[2]) if len(sys.argv) > 2 else 20261125,
    )
