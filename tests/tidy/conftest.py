"""A small roster to change: some members with spellings, one of them closed."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest
from cli.office import KIM, PAT, SAM, SETTINGS, onboard, write_csv
from coop_forms import NOON, form, office_of
from sqlalchemy import Engine

from onboard.model import RawRow, Signature
from onboard.roster import index, store
from onboard.settings import Settings
from onboard.tasks.process_batch import process_batch

ROBIN = Signature("Robin", NOON)
PEOPLE = (
    {"full_name": "Kim Vale", "email": "kim@example.net", "phone": "419-555-0177", "street": "7 Oak Ave"},
    {"full_name": "Ana Ruiz", "email": "ana@example.org", "phone": "419-555-0121", "street": "3 Low Rd"},
    {"full_name": "Omar Haddad", "email": "omar@example.com", "phone": "419-555-0122", "street": "88 Pine St"},
    {"full_name": "Joan Weber", "email": "joan@example.org", "phone": "419-555-0123", "street": "5 Hill Dr"},
)  # fmt: skip


@pytest.fixture
def enrolled(roster: Engine, coop: Settings, pat: Callable[..., RawRow]) -> Engine:
    """Pat Lee (1) and four others (2 to 5), each with a join form and a packet that is due."""
    town = {"city": "Lima", "state": "OH", "zip": "45801", "site": "Lima Grange"}
    rows = [pat(2), *(form(n, **(who | town)) for n, who in enumerate(PEOPLE, 3))]
    process_batch(office_of(coop, roster, ROBIN), rows, file="forms.csv", keep=True)
    with store.transaction(roster) as connection:
        index.rebuild(connection)
    return roster


# Like Pat Lee, and not sure to be: held with a question that names Pat.
LIKE_PAT = ("Patrick Lee", "", "", "12 N Main St", "Lima", "OH", "45801", "Lima Grange")


@pytest.fixture(scope="session")
def first_office(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A co-op's folder, made once: hashing passwords and setting letters take their time."""
    folder = tmp_path_factory.mktemp("first") / "our co-op"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    before, said = Path.cwd(), os.environ.pop("ONBOARD_SETTINGS", None)
    os.chdir(folder)
    onboard("batch", write_csv(folder / "forms.csv", [PAT, KIM, SAM]), "--record")
    onboard("batch", write_csv(folder / "more.csv", [LIKE_PAT]), "--record")
    os.chdir(before)
    if said is not None:
        os.environ["ONBOARD_SETTINGS"] = said
    return folder


@pytest.fixture
def office(first_office: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Pat Lee (1) and Kim Vale (2) on the roster, Sam Moor and somebody like Pat on hold."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = Path(copytree(first_office, tmp_path / "our co-op"))
    monkeypatch.chdir(folder)
    return folder
