"""Makes password_words.tsv: the words that first passwords are drawn from.

    python tests/tables/password_words.py > onboard/tables/password_words.tsv

passlib has the list among its own files; its public door to it, `passlib.pwd`, no longer opens, as
it needs the part of setuptools that was taken out.
"""

from __future__ import annotations

from importlib.metadata import version
from importlib.resources import files

HEAD = f"""\
# Short words that are easy to say and to type, three to five letters each, for passphrases.
# Source: Electronic Frontier Foundation, "EFF's Short Wordlist 1" (Joseph Bonneau, 2016), as shipped in passlib {version("passlib")}. Unchanged.
# Licence: Creative Commons Attribution 3.0 US (https://creativecommons.org/licenses/by/3.0/us/). Made by tests/tables/password_words.py.
#word"""


def main() -> None:
    listed = (files("passlib") / "_data" / "wordsets" / "eff_short.txt").read_text("ascii")
    print(HEAD)
    print("\n".join(listed.split()))


if __name__ == "__main__":
    main()
