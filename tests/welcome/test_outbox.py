"""The outbox: private, and never half written."""

from __future__ import annotations

import os
import resource
import stat
import subprocess
import sys
from errno import ENOSPC
from pathlib import Path

import pytest
from packets_made import PHRASE, make

from onboard.errors import FileTrouble
from onboard.mail import outbox


def mode(file: Path) -> int:
    return stat.S_IMODE(file.stat().st_mode)


def test_messages_are_private_and_whole(tmp_path: Path) -> None:
    folder = tmp_path / "out" / "box"
    packet = make("Pat Lee")
    (file,) = outbox.write(folder, {"patlee.eml": packet.message})
    assert file == folder / "patlee.eml"
    assert file.read_bytes() == packet.message
    assert (mode(folder), mode(file)) == (0o700, 0o600)
    assert [f.name for f in folder.iterdir()] == ["patlee.eml"]


def test_a_folder_that_others_could_read_is_closed(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    outbox.write_letters(tmp_path, "letters.pdf", b"%PDF")
    assert mode(tmp_path) == 0o700


def test_a_packet_made_anew_takes_the_place_of_the_old(tmp_path: Path) -> None:
    outbox.write(tmp_path, {"patlee.eml": b"old"})
    outbox.write(tmp_path, {"patlee.eml": b"new"})
    assert (tmp_path / "patlee.eml").read_bytes() == b"new"


def test_a_full_disk_is_told_and_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    outbox.write_letters(tmp_path, "letters.pdf", b"old")

    def full(_: int) -> None:
        raise OSError(ENOSPC, os.strerror(ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileTrouble, match=r"No space left on device.*Make room") as trouble:
        outbox.write_letters(tmp_path, "letters.pdf", b"new")
    assert "letters.pdf" in str(trouble.value)
    assert (tmp_path / "letters.pdf").read_bytes() == b"old"
    assert [f.name for f in tmp_path.iterdir()] == ["letters.pdf"]


def test_a_real_limit_leaves_nothing_half_written(tmp_path: Path) -> None:
    """The system itself refuses to write more than 4 kB to a file."""
    code = (
        "import resource, signal; from pathlib import Path; from onboard.mail import outbox\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        f"resource.setrlimit(resource.RLIMIT_FSIZE, (4096, {resource.RLIM_INFINITY}))\n"
        f"outbox.write_letters(Path({str(tmp_path)!r}), 'letters.pdf', b'x' * 100_000)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert "FileTrouble" in done.stderr
    assert "File too large" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "box").write_text("")
    with pytest.raises(FileTrouble, match="Can't write") as trouble:
        outbox.write(tmp_path / "box", {"patlee.eml": make("Pat Lee").message})
    assert PHRASE not in str(trouble.value)


@pytest.mark.parametrize("name", ["../x.pdf", "a/b.pdf", ".hidden", ""])
def test_nothing_is_written_elsewhere(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileTrouble):
        outbox.write_letters(tmp_path / "box", name, b"%PDF")
    assert list(tmp_path.iterdir()) == []


def test_letters_of_a_crash_are_swept_away(tmp_path: Path) -> None:
    for name in ("letters-1-9.pdf", "letters-10-12.pdf", "patlee.eml", "tmpx1.part", "notes.txt"):
        (tmp_path / name).write_bytes(b"x")
    (tmp_path / "kimvale.eml").write_bytes(b"x")
    swept = outbox.sweep(tmp_path, keep=["letters-1-9.pdf"], gone=["kimvale.eml"])
    assert [file.name for file in swept] == ["kimvale.eml", "letters-10-12.pdf", "tmpx1.part"]
    assert sorted(f.name for f in tmp_path.iterdir()) == [
        "letters-1-9.pdf", "notes.txt", "patlee.eml",
    ]  # fmt: skip
    assert outbox.sweep(tmp_path / "none", keep=[]) == ()
