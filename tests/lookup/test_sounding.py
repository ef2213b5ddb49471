"""Names are read in every language by the longest rule from each letter on, as if it were done letter by letter."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from onboard.lookup import sounding

LETTERS = st.text("abcdefghijklmnopqrstuvwxyzñéüß", max_size=14)
NAMES = ["siobhan", "xochitl", "krzysztof", "saoirse", "nguyen", "wojciech", "thibault", "szczepanski", "a", "hh", ""]  # fmt: skip


def letter_by_letter(name: str, language: str) -> set[str]:
    rules = sounding._rules()[language]
    ways, at = [""], 0
    while at < len(name):
        for end in range(len(name), at, -1):
            some = name[at:end]
            found = (
                (at == 0 and rules.get(f"^{some}"))
                or (end == len(name) and rules.get(f"{some}$"))
                or rules.get(some)
            )
            if found:
                break
        else:
            found, end = (".",), at + 1
        ways = [way + sound for sound in found for way in ways][: sounding.MOST]
        at = end
    return {sound for way in ways if (sound := sounding._plain(way))}


@settings(
    derandomize=True, deadline=None, max_examples=150, suppress_health_check=[HealthCheck.too_slow]
)
@given(st.one_of(st.sampled_from(NAMES), LETTERS))
def test_a_name_is_read_by_the_longest_rule(name: str) -> None:
    for language in sounding._rules():
        assert sounding._read(name, language) == letter_by_letter(name, language), language
