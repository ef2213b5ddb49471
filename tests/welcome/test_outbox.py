"""The outbox: private, and never half written."""

from __future__ import annotations

import os
import resource
import socket
import stat
import subprocess
import sys
from errno import ENOSPC
from pathlib import Path

import pytest
from packets_made import PHRASE, make

from onboard import unfinished
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


OURS = b"%PDF-1.7 /Creator(Typst 0.15.1)"


def test_letters_of_a_crash_are_swept_away(tmp_path: Path) -> None:
    for name in ("letters-1-9.pdf", "letters-10-12.pdf", "notice-3-20261125120000.pdf"):
        (tmp_path / name).write_bytes(OURS)
    for name in ("patlee.eml", "kimvale.eml", "notes.txt"):
        (tmp_path / name).write_bytes(b"x")
    swept = outbox.sweep(tmp_path, keep=["letters-1-9.pdf"], gone=["kimvale.eml"])
    assert [file.name for file in swept] == [
        "kimvale.eml", "letters-10-12.pdf", "notice-3-20261125120000.pdf",
    ]  # fmt: skip
    assert sorted(f.name for f in tmp_path.iterdir()) == [
        "letters-1-9.pdf", "notes.txt", "patlee.eml",
    ]  # fmt: skip
    assert outbox.sweep(tmp_path / "none", keep=[]) == ()


# Files of other people and programs, some of them named much like ours.
OTHERS = {
    "flyer.pdf": OURS, "letters.pdf": OURS, "letters-2024-25.pdf": OURS, "letters-1-31.pdf": b"%PDF",
    "letters-1-3 signed.pdf": OURS, "notice-board.pdf": OURS, "notice-1.pdf": OURS, "film.mkv.part": b"x",
    "tmpabcd1234": b"x", "photo.part": b"x", ".onboard-notes.part": b"x", ".hidden": b"x", "old.eml": b"x",
    "onboard.toml": b"x", "roster.db": b"x", "forms.csv": b"x", "forms-questions.xlsx": b"x",
}  # fmt: skip


def test_what_is_not_ours_is_never_taken_away(tmp_path: Path) -> None:
    for name, content in OTHERS.items():
        (tmp_path / name).write_bytes(content)
    (tmp_path / "letters-5-6.pdf").mkdir()
    assert outbox.sweep(tmp_path, keep=[]) == ()
    assert {f.name: f.read_bytes() for f in tmp_path.iterdir() if f.is_file()} == OTHERS


def test_letters_never_take_the_place_of_somebody_elses_file(tmp_path: Path) -> None:
    (tmp_path / "letters-1-3.pdf").write_bytes(b"%PDF of mine")
    (tmp_path / "letters-1-2.pdf").write_bytes(OURS)
    assert outbox.others_letters(tmp_path) == ["letters-1-3.pdf"]


def test_what_a_killed_writer_left_is_known_and_goes_at_the_next_start(tmp_path: Path) -> None:
    code = (
        "import os, signal, sys; from pathlib import Path\n"
        "from onboard.mail import outbox\n"
        "os.fsync = lambda _: os.kill(os.getpid(), signal.SIGKILL)\n"
        f"outbox.write(Path({str(tmp_path)!r}), {{'patlee.eml': b'secret'}})\n"
    )
    subprocess.run([sys.executable, "-c", code], check=False)
    (left,) = tmp_path.iterdir()
    assert left.name.startswith(".onboard-")
    assert left.name.endswith(".part")
    # Somebody on another computer, and one who runs, may still be writing theirs.
    elsewhere = tmp_path / ".onboard-elsewhere-17-abc.part"
    running = tmp_path / f".onboard-{socket.gethostname()}-{os.getppid()}-abc.part"
    elsewhere.write_bytes(b"x")
    running.write_bytes(b"x")
    unfinished.sweep(tmp_path)
    assert sorted(tmp_path.iterdir()) == sorted([elsewhere, running])
    yesterday = elsewhere.stat().st_mtime - 2 * unfinished.A_DAY
    os.utime(elsewhere, (yesterday, yesterday))
    unfinished.sweep(tmp_path)
    assert list(tmp_path.iterdir()) == [running]
