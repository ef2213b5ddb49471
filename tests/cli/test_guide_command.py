"""`onboard guide`: what it says, what a program gets, and how packets point to it."""

from __future__ import annotations

from pathlib import Path

import pytest
from office import SETTINGS, onboard

from onboard import open_office, publish_guide
from onboard.tasks import publish_guide as task


def test_the_command_says_what_it_wrote_and_what_comes_next(office: Path) -> None:
    said = onboard("guide", "--to", "web")
    assert said.code == 0
    for words in (
        "Wrote 11 pages", "No member’s data is in it. Everybody can read the address of each drop site.",
        "Then say where it is: page, under [guide] in the settings.",
    ):  # fmt: skip
        assert words in said.words
    lines = onboard("guide", "--to", "web", "--json").json()
    assert {line["what"] for line in lines} == {"page", "other"}
    assert all(Path(line["file"]).is_file() for line in lines)


def test_a_page_that_is_heavy_on_a_slow_line_is_named(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "60 kB" not in onboard("guide", "--to", "web").words
    monkeypatch.setattr(task, "HEAVIEST", (office / "web" / "en" / "where.html").stat().st_size - 1)
    said = onboard("guide", "--to", "web").words
    assert "where.html: more than 60 kB, so on a slow line" in said.replace("/ ", "/")


def test_a_program_makes_it(office: Path) -> None:
    done = publish_guide(open_office(), Path("out"))
    assert done.index == Path("out/index.html")
    assert len(done.pages) == 11


def test_it_is_not_written_where_members_data_lies(office: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    (office / "hosts").mkdir()
    (office / "hosts" / "lima.xlsx").touch()
    for folder in (".", "hosts"):
        said = onboard("guide", "--to", folder)
        assert said.code == 2
        assert "which don't belong on the web" in said.words
    assert not (office / "index.html").exists()


@pytest.mark.parametrize("page", ["", "https://growers.example.org/help"])
def test_packets_point_to_it_if_the_settings_say_where_it_is(office: Path, page: str) -> None:
    (office / "onboard.toml").write_text(
        SETTINGS.replace("[[group]]", f'[guide]\npage = "{page}"\n\n[[group]]', 1)
    )
    onboard("batch", "forms.csv", "--record")
    onboard("packets", "--write")
    emails = [file.read_text() for file in (office / "outbox").rglob("*.eml")]
    assert emails
    for text in emails:
        assert ("https://growers.example.org/help/en/index.html" in text) is bool(page)
