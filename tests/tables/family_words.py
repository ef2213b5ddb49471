"""Make onboard/tables/family_words.tsv: last names that are words too, as in "Green beans are missing".

python tests/tables/family_words.py > onboard/tables/family_words.tsv
"""

from __future__ import annotations

from importlib.metadata import version
from importlib.resources import files

from onboard.tables import rows

LISTS = (
    ("passlib", "_data/wordsets/bip39.txt"),
    ("passlib", "_data/wordsets/eff_long.txt"),
    ("passlib", "_data/wordsets/eff_short.txt"),
    ("textstat", "resources/en/easy_words.txt"),
)


# Words only because of the name, or seldom without it.
NAMES = frozenset(
    ("drew", "fanning", "ferris", "garland", "geiger", "goldsmith", "jacks", "jay", "john", "morse",
     "robin", "schilling", "sherry", "smith")
)  # fmt: skip


def main() -> None:
    words: set[str] = set()
    for package, name in LISTS:
        words |= set((files(package) / name).read_text("utf-8").split())
    print("# Last names of the 1990 US Census that are plain English words too.")
    print(
        "# Source: census_names.tsv; BIP-39 and EFF word lists as shipped in passlib "
        f"{version('passlib')}, easy words in textstat {version('textstat')} (PyPI)."
    )
    print("# Version: 2026-11-29. Licence: facts.")
    print("#word")
    names = {name for name, _, as_family in rows("census_names") if as_family != "0"}
    print("\n".join(sorted(names & words - NAMES)))


if __name__ == "__main__":
    main()
