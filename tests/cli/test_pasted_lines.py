"""The line that a preview names, pasted into a shell, does what was previewed."""

from __future__ import annotations

import csv
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from cli.office import KIM, PAT, SETTINGS, listing, program, write_csv

from onboard.cli import common
from onboard.cli.common import _with_whole_lines

DESK = '\n[desk]\nmay_reissue = ["Robin O\'Vale"]\nmay_look_up = ["Robin O\'Vale"]\n'
BY = ("--by", "Robin O'Vale")


@pytest.fixture(scope="module")
def before_anybody(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose settings are not where commands look, with odd file names."""
    folder = tmp_path_factory.mktemp("pasted") / "our co-op"
    folder.mkdir()
    (folder / "co-op's.toml").write_text(SETTINGS + DESK, encoding="utf-8")
    write_csv(folder / "new forms.csv", [PAT, KIM])
    with (folder / "$HOME's members.csv").open("w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows([
            ("Name", "Sign-in", "Mail; second", "Tel"),
            ("Ana Ruiz", "anaruiz", "ana@example.org", "419-555-0155"),
        ])  # fmt: skip
    return folder


@pytest.fixture(scope="module")
def enrolled(before_anybody: Path) -> Path:
    """The same, with two members."""
    folder = before_anybody.with_name("enrolled")
    shutil.copytree(before_anybody, folder)
    with pytest.MonkeyPatch.context() as patched:
        patched.delenv("ONBOARD_SETTINGS", raising=False)
        assert program(*ENROLLED, cwd=folder).code in (0, 1)
    return folder


@pytest.fixture
def folder(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy, with the members unless a case says otherwise."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    of = request.getfixturevalue(getattr(request, "param", "enrolled"))
    shutil.copytree(of, tmp_path / "our co-op")
    return tmp_path / "our co-op"


PLACE = ("--settings", "co-op's.toml", *BY)
ENROLLED = ("batch", "new forms.csv", "--record", *PLACE)
# Which folder it begins with, what was done there, the preview, and a word of what the pasted line says.
CASES = [
    ("before_anybody", (), ("batch", "new forms.csv", "--column", "Drop site=site", "--all", *PLACE), "Saved in"),
    (
        "before_anybody", (),
        (
            "adopt", "$HOME's members.csv", "--column", "Mail; second=email", "--column",
            "Sign-in=handle", *PLACE,
        ),
        "1 member brought in",
    ),
    ("enrolled", (), ("correct", "patlee", "--phone", "(419) 555-0199", "--why", "it's new", *PLACE), "Saved as"),
    ("enrolled", (), ("correct", "patlee", "--name", "Pat O'Moor-Quist", "--new-handle", *PLACE), "Saved as"),
    ("enrolled", (), ("reissue", "patlee", "--checked", "call-back", *PLACE), "is ready"),
    ("enrolled", (), ("merge", "patlee", "kimvale", "--stays", "patlee", *PLACE), "Saved as"),
    ("enrolled", (), ("close", "patlee", "--why", "moved; asked", *PLACE), "1 account closed"),
    ("enrolled", (), ("forget", "patlee", *PLACE), "eleted"),
    ("enrolled", (), ("export", "the page's accounts.csv", *PLACE), "Wrote 2 accounts"),
    (
        "enrolled", (("correct", "patlee", "--phone", "419-555-0199", "--record", *PLACE),),
        ("undo", "1", *PLACE),
        "1 row undone",
    ),
]  # fmt: skip


@pytest.mark.parametrize(
    ("folder", "before", "preview", "told"),
    CASES,
    indirect=["folder"],
    ids=[c[2][0] for c in CASES],
)
def test_the_line_of_a_preview_is_whole(
    folder: Path, before: tuple[tuple[str, ...], ...], preview: tuple[str, ...], told: str
) -> None:
    for words in before:
        assert program(*words, cwd=folder).code in (0, 1)
    said = program(*preview, cwd=folder)
    assert said.code in (0, 1), said.words
    (line,) = re.findall(r": (onboard .*--record)$", said.out, re.MULTILINE)
    done = pasted(line, folder)
    assert told in " ".join(done.split()), done
    assert "This was a preview" not in done


def pasted(line: str, folder: Path) -> str:
    """What a shell makes of the line."""
    own = f"onboard() {{ '{sys.executable}' -m onboard \"$@\"; }}\n{line}\n"
    done = subprocess.run(
        ["bash", "-c", own], cwd=folder, capture_output=True, text=True, check=False
    )
    assert done.returncode in (0, 1), done.stdout + done.stderr
    return done.stdout + done.stderr


def test_write_and_send_do_both(folder: Path) -> None:
    program("packets", "--again", "patlee", *PLACE, cwd=folder)
    (folder / "outbox" / "kimvale.eml").unlink()
    said = program("packets", "--write", "--send", "--again", "kimvale", *PLACE, cwd=folder)
    assert "Made 1 letter to print" in said.out  # no mail server is set
    assert "kimvale: to kim@example.net." in said.out
    assert "patlee: to pat.lee@example.org." in said.out
    assert "--write --send --again kimvale" in said.out
    assert "kimvale.eml" in {Path(name).name for name in listing(folder)}
    alone = program("packets", "--really", *PLACE, cwd=folder)
    assert alone.code == 2
    assert "--really goes with --send." in alone.err


@pytest.mark.parametrize("typed_before", [[], ["--ruled", "pairs.csv"]])
def test_a_line_to_type_is_whole_and_says_nothing_twice(
    monkeypatch: pytest.MonkeyPatch, typed_before: list[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["onboard", "duplicates", "m.csv", *typed_before])
    words = "Write same in pairs.csv, and run the same line with --ruled pairs.csv."
    assert _with_whole_lines(words) == (
        "Write same in pairs.csv. Then type: onboard duplicates m.csv --ruled pairs.csv"
    )


def test_lines_to_type_name_the_settings_and_who_is_at_work(folder: Path) -> None:
    said = program("close", "patlee", "--record", *PLACE, cwd=folder)
    end = "--settings 'co-op'\"'\"'s.toml' --by 'Robin O'\"'\"'Vale'"
    for line in (
        "onboard undo 1 --record",
        "onboard export changes.csv --changed --record",
        "onboard forget patlee",
    ):
        assert f": {line} {end}" in said.out, said.out
    assert "Closed" not in pasted(f"onboard undo 1 --record {end}", folder)
    wrong = program("answer", "zzzz", "drop", *PLACE, cwd=folder)
    assert f"To see the keys: onboard answer {end}" in wrong.err


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("To undo it: onboard undo 3 --record", "To undo it: onboard undo 3 --record --by kim"),
        ("Find them (onboard find), then go on.", "Find them (onboard find --by kim), then go on."),
        ("A code that onboard why lists.", "A code that onboard why lists."),
        ("1. Tell it: onboard export a.csv --by lou\n2. Or: onboard undo",
         "1. Tell it: onboard export a.csv --by lou\n2. Or: onboard undo --by kim"),
        ("It is right: onboard answer 'o'\"'\"'b. c' right. Then go.",
         "It is right: onboard answer 'o'\"'\"'b. c' right --by kim. Then go."),
        ("Make them: onboard start", "Make them: onboard start"),
        ("Wrote it to onboard.toml: onboard packets --letters letters.pdf, or print it.",
         "Wrote it to onboard.toml: onboard packets --letters letters.pdf --by kim, or print it."),
    ],
)  # fmt: skip
def test_only_a_line_to_type_says_more(
    monkeypatch: pytest.MonkeyPatch, words: str, shown: str
) -> None:
    monkeypatch.setattr(common, "_named", [" --by kim"])
    assert common._with_place(words) == shown
