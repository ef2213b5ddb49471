"""Makes mail_throwaway.tsv and top_level_domains.tsv again.

pip install disposable-email-domains publicsuffixlist
python tests/tables/mail_tables.py
"""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path

TABLES = Path(__file__).parents[2] / "onboard" / "tables"


def throwaway() -> list[str]:
    """The domains of the block list."""
    return sorted(import_module("disposable_email_domains").blocklist)


def top_level_domains() -> list[str]:
    """The last label of every rule in the ICANN section, as A-labels (RFC 5890, 2.3.2.1)."""
    text = (files("publicsuffixlist") / "public_suffix_list.dat").read_text("utf-8")
    section = text.partition("===BEGIN PRIVATE DOMAINS===")[0]
    rules = (line.strip() for line in section.splitlines())
    labels = {rule.rsplit(".", 1)[-1] for rule in rules if rule and not rule.startswith("//")}
    return sorted(
        label if label.isascii() else "xn--" + label.encode("punycode").decode() for label in labels
    )


def write(name: str, about: str, rows: Iterable[str]) -> None:
    (TABLES / name).write_text(f"{about}#domain\n" + "\n".join(rows) + "\n", "utf-8")


if __name__ == "__main__":
    write(
        "mail_throwaway.tsv",
        "# Domains of mail services whose mailboxes are thrown away after minutes or days.\n"
        "# Source: disposable-email-domains (PyPI,"
        " https://pypi.org/project/disposable-email-domains/), its block list.\n"
        f"# Version: {version('disposable-email-domains')}. Licence: MIT."
        " Made by tests/tables/mail_tables.py.\n",
        throwaway(),
    )
    write(
        "top_level_domains.tsv",
        "# Top-level domains, in A-label form.\n"
        "# Source: the last labels in the ICANN section of the Public Suffix List, as shipped in"
        " publicsuffixlist (PyPI); they are those of the IANA root zone.\n"
        f"# Version: {version('publicsuffixlist')}. Licence: the list is MPL-2.0; names of domains"
        " are facts. Made by tests/tables/mail_tables.py.\n",
        top_level_domains(),
    )
