"""A program that is killed as it writes leaves nothing that is not known for ours, and the next one takes it away."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from cli.office import KIM, PAT, SETTINGS, Said, listing, onboard, write_csv

from onboard.roster import page, store


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A co-op whose outbox is its own folder, with other people's files in it."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "our co-op"
    folder.mkdir()
    settings = SETTINGS + '\n[files]\noutbox = "."\n'
    (folder / "onboard.toml").write_text(settings, encoding="utf-8")
    write_csv(folder / "forms.csv", [PAT, KIM])
    for name in ("flyer.pdf", "letters to the members.pdf", "film.part", "old.eml", "minutes.docx"):
        (folder / name).write_bytes(b"somebody else's")
    (folder / "pictures").mkdir()
    (folder / "pictures" / "barn.jpg").write_bytes(b"somebody else's")
    monkeypatch.chdir(folder)
    return folder


def killed(folder: Path, where: str, *words: str) -> None:
    """The command, killed by the system as it comes to this place in it."""
    module, _, name = where.rpartition(".")
    code = (
        f"import importlib, os, signal, sys\n"
        f"sys.argv = ['onboard', *{list(words)!r}]\n"
        "from onboard import cli\n"
        f"module = importlib.import_module({module!r})\n"
        f"def kill(*_, **__): os.kill(os.getpid(), signal.SIGKILL)\n"
        f"setattr(module, {name!r}, kill)\n"
        "cli.main()\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=folder, capture_output=True, check=False
    )
    assert done.returncode == -9, done.stderr


def theirs(folder: Path) -> dict[str, bytes | None]:
    ours = (".db", ".db-wal", ".db-shm", ".toml", ".csv")
    return {
        name: content
        for name, content in listing(folder).items()
        if not name.endswith(ours) and content in (None, b"somebody else's")
    }


def marked() -> int:
    with store.reading(store.open_store("sqlite:///roster.db", to_write=False)) as connection:
        return len(page.marks(connection, [1, 2]))


def test_an_outbox_that_is_full_of_other_peoples_files_keeps_them(folder: Path) -> None:
    before = theirs(folder)
    assert len(before) == 7
    for words in (
        ("batch", "forms.csv", "--record"), ("packets", "--write"), ("packets", "--again", "patlee"),
        ("packets", "--again", "patlee", "--again", "kimvale"), ("packets", "--send"),
        ("export", "accounts.csv", "--record"), ("close", "kimvale", "--record"), ("packets", "--write"),
        ("forget", "patlee", "--record"),
    ):  # fmt: skip
        said = onboard(*words)
        assert said.code in (0, 1), said.words
        assert theirs(folder) == before, words


@pytest.mark.parametrize(
    "words", [("accounts.csv",), ("accounts.json",), ("changes.csv", "--changed")]
)
def test_accounts_are_marked_as_told_only_once_their_file_is_in_place(
    folder: Path, words: tuple[str, ...]
) -> None:
    onboard("batch", "forms.csv", "--record")
    killed(folder, "os.fsync", "export", *words, "--record")
    assert not (folder / words[0]).exists()
    assert marked() == 0
    assert [name for name in listing(folder) if name.startswith("tmp")] == []
    (left,) = (name for name in listing(folder) if name.endswith(".part") and name != "film.part")
    assert left.startswith(".onboard-")
    assert onboard("export", *words, "--record").code == 0
    assert marked() == 2
    assert left not in listing(folder)


def test_a_file_that_cannot_be_put_in_its_place_is_not_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    onboard("batch", "forms.csv", "--record")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "replace", full)
        said: Said = onboard("export", "accounts.csv", "--record")
    assert said.code == 2
    assert marked() == 0
    assert not (folder / "accounts.csv").exists()


def test_what_a_killed_export_left_goes_when_somebody_next_saves_something(folder: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    killed(folder, "os.fsync", "export", "accounts.csv")
    assert (
        sum(name.startswith(".onboard-") and ".lock" not in name for name in listing(folder)) == 1
    )
    onboard("call", "patlee", "--about", "typed.site", "--record")
    onboard("packets", "--write")
    assert (
        sum(name.startswith(".onboard-") and ".lock" not in name for name in listing(folder)) == 0
    )
