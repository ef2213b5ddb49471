"""The whole job with the roster on a PostgreSQL server: what is said is what a file says."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from office import KIM, PAT, SAM, SETTINGS, onboard, write_csv
from sqlalchemy import create_engine, text

from onboard.model import Change, Proposal
from onboard.reports import changes
from onboard.roster.store import name_of, open_store

LIKE_PAT = ("Patrick Lee", "", "", "12 N Main St", "Lima", "OH", "45801", "Lima Grange")
DESK = '\n[desk]\nmay_reissue = ["robin"]\n'
ROBIN = ("--by", "Robin")
JOB = (
    ("batch", "forms.csv", "--record", *ROBIN),
    ("batch", "forms.csv"),
    ("answer",),
    ("packets",),
    ("find", "pat lea lima grange", "--json"),
    ("find", "0177", "--json"),
    ("find", "kimvael"),
    ("why", "Pat.Lee@example.org", "--member", "patlee", "--json"),
    ("correct", "patlee", "--email", "pat@example.org", "--record", *ROBIN),
    ("correct", "kimvale", "--name", "Kim Moor", "--record", *ROBIN),
    ("find", "kim moor", "--json"),
    ("call", "patlee", "--cause", "typed.email", "--ended", "helped", *ROBIN),
    ("calls",),
    ("audit", "--to", "report"),
    ("tidy", "review.csv", "--record", *ROBIN),
    ("undo",),
    ("undo", "3", "--record", *ROBIN),
    ("undo",),
    ("merge", "1", "2", "--record", *ROBIN),
    ("find", "kim vale", "--json"),
    (
        "tidy",
        "review.csv",
    ),  # after all that is numbered: a server skips a number where a look was taken back
    ("disclose", "1", "--to", "told.json"),
    ("export", "accounts.csv", "--record", *ROBIN),
    ("close", "1", "--why", "moved away", "--record", *ROBIN),
    ("close", "patlee", "--record", *ROBIN),
    ("reopen", "patlee", "--record", *ROBIN),
    ("forget", "1", "--record", *ROBIN),
    ("find", "pat lee", "--json"),
    ("audit", "--to", "later"),
)


# A time of day as a table and as a file's name say it.
TIME = re.compile(
    r"20\d{2}-?\d\d-?\d\d ?[\d:]{5,}|[A-Z][a-z]{2} \d{1,2}, 20\d{2}, \d{1,2}:\d\d [AP]M"
)

# What is said of a server alone: what deleting leaves on its disk is its keeper's to see to.
KEEPER = "- The roster is on a database server."


@pytest.fixture
def served(server: str) -> Iterator[str]:
    """An address in a database of its own."""
    admin = create_engine(server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text("CREATE DATABASE job"))
    yield server.replace("/postgres?", "/job?")
    with admin.connect() as connection:
        connection.execute(text("DROP DATABASE job WITH (FORCE)"))
    admin.dispose()


def work(folder: Path, store: str) -> list[tuple[int, list[str]]]:
    """What each command of a working day says, in a co-op's folder of its own."""
    folder.mkdir()
    os.chdir(folder)
    settings = f'{SETTINGS}{DESK}\n[files]\nroster = "{store}"\n'
    (folder / "onboard.toml").write_text(settings, encoding="utf-8")
    write_csv(folder / "forms.csv", [PAT, KIM, SAM, LIKE_PAT])
    moved = Change(2, "phone", "tel:+14195550177", "tel:+14195550178", "said so by phone")
    changes.write(folder / "review.csv", [Proposal(moved, "kimvale", "Kim Vale", "moved")])
    review = (folder / "review.csv").read_text("utf-8-sig").replace('\n"",', '\n"yes",')
    (folder / "review.csv").write_text(review, encoding="utf-8")
    open_store(store).dispose()  # as `start` makes it; that there is none is told of a file alone
    said = []
    for words in JOB:
        done = onboard(*words, "--settings", folder / "onboard.toml")
        plain = TIME.sub("TIME", done.out + done.err)
        plain = re.sub(" {2,}", "  ", plain)  # a column is as wide as the longest time in it
        plain = plain.replace(name_of(store), "ROSTER").replace(str(folder), "")
        said.append(
            (done.code, [line for line in plain.splitlines() if not line.startswith(KEEPER)])
        )
    return said


def test_every_command_says_the_same(
    tmp_path: Path, served: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    in_a_file = work(tmp_path / "file", f"sqlite:///{tmp_path / 'file' / 'roster.db'}")
    on_a_server = work(tmp_path / "server", served)
    for words, one, other in zip(JOB, in_a_file, on_a_server, strict=True):
        assert one[0] < 2, (words, one)
        assert one[1] == other[1], words
        assert one[0] == other[0], words
