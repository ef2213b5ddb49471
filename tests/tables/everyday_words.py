"""Make onboard/tables/everyday_words.tsv: words of ordinary talk, and which of them are names too.

    pip install wordfreq && python tests/tables/everyday_words.py > onboard/tables/everyday_words.tsv

A word is of ordinary talk if people use it often. Lists of frequent words hold names as well, so a
name or a town is left out, unless a dictionary has it: then it is both.
"""

from __future__ import annotations

from importlib.metadata import version
from importlib.resources import files

from anyascii import anyascii
from wordfreq import top_n_list

from onboard.tables import rows, zip_codes

MOST = {"en": 26_000, "es": 6_000}
DICTIONARIES = (
    ("passlib", "_data/wordsets/bip39.txt"),
    ("passlib", "_data/wordsets/eff_long.txt"),
    ("textstat", "resources/en/easy_words.txt"),
)
# On the lists of given names only by the way, and never written there in earnest.
SHORT = 2


def main() -> None:
    dictionary = {
        word for package, name in DICTIONARIES for word in (files(package) / name).read_text("utf-8").split()
    }  # fmt: skip
    names = {name for name, *_ in rows("census_names")} | {name for name, *_ in rows("given_names")}
    names |= {name for name, *_ in rows("spanish_names")}
    towns = {word.lower() for city in zip_codes.cities() for word in city.split()}
    found: dict[str, str] = {}
    for language, most in MOST.items():
        for word in top_n_list(language, most):
            folded = anyascii(word).lower().replace("'", "")
            if not folded.isalpha() or len(folded) < SHORT:
                continue
            is_name = folded in names or folded in towns
            if not is_name:
                found[folded] = "word"
            elif folded in dictionary or _is_inflected(folded, dictionary):
                found.setdefault(folded, "both")
    print(
        "# Words of ordinary talk, English and Spanish: those that are no name, and those that are a name or a town too."
    )
    print(
        f"# Source: frequent words of wordfreq {version('wordfreq')} (Apache-2.0; its data CC BY-SA 4.0), less names"
    )
    print(
        "# and towns (census_names.tsv, given_names.tsv, spanish_names.tsv, zip_codes.tsv) that no word list of passlib or textstat has."
    )
    print("# Version: 2026-11-29. Licence: facts. Made by tests/tables/everyday_words.py.")
    print("#word\tkind")
    print("\n".join(f"{word}\t{kind}" for word, kind in sorted(found.items())))


def _is_inflected(word: str, dictionary: set[str]) -> bool:
    return any(
        word.endswith(end) and (word.removesuffix(end) in dictionary or word.removesuffix(end) + "e" in dictionary)
        for end in ("s", "es", "ed", "ing")
    )  # fmt: skip


if __name__ == "__main__":
    main()
