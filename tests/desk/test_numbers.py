"""`onboard numbers`: counted right, and nobody to be made out; on a roster made by the commands."""

from __future__ import annotations

import csv
import itertools
import json
import sqlite3
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from cli.office import HEADINGS, SETTINGS, onboard, today_is, write_csv
from hypothesis import HealthCheck, given
from hypothesis import settings as effort
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from onboard.reports.small_cells import HIDDEN, LEAST, OTHERS, grouped, is_small, shown

# Drawn the same each time, however busy the machine is.
DRAWN = effort(derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
SITES = ("Lima Grange", "Ada Hall", "Kenton Barn", "Troy Shed")
PEOPLE = (17, 12, 3, 2)  # at each of the sites
GIVEN = ("Ada", "Bruno", "Carla", "Dario", "Edith", "Farid", "Greta", "Hugo", "Ines", "Jonas", "Kira", "Lars",
         "Mona", "Nils", "Olga", "Piet", "Quin", "Rosa", "Sven", "Tilda", "Ugo", "Vera", "Wim", "Xenia", "Yara",
         "Zeno", "Alma", "Boris", "Celia", "Denis", "Elsa", "Fritz", "Gilda", "Hanno")  # fmt: skip
MORE = "".join(
    f'\n[[site]]\nname = "{site}"\naddress = "{n} Oak St, Lima OH"\nzip = "45801"\ngroup = "Lake"\nhost = "Robin Vale"\n'
    for n, site in enumerate(SITES[1:], 3)
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("numbers")


@pytest.fixture(scope="module")
def counted(folder: Path) -> Path:
    """Thirty-four members of four sites, with their letters mailed, a list of the ordering page, and calls."""
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("ONBOARD_SETTINGS", raising=False)
        patch.chdir(folder)
        (folder / "onboard.toml").write_text(SETTINGS + MORE, encoding="utf-8")
        at = list(itertools.chain.from_iterable([site] * n for site, n in zip(SITES, PEOPLE, strict=True)))  # fmt: skip
        rows = [
            (f"{given} {family(n)}", f"{given.lower()}@example.org", f"419-555-01{n:02}", f"{n + 1} Elm St", "Lima", "OH", "45801", at[n])
            for n, given in enumerate(GIVEN)
        ]  # fmt: skip
        today_is(patch, 2026, 11, 25, 17)
        assert onboard("batch", write_csv(folder / "forms.csv", rows), "--record").code == 0
        onboard("packets", "--write")
        assert onboard("packets", "--mailed", "--really").code == 0
        with sqlite3.connect("roster.db") as roster:
            handles = [one for (one,) in roster.execute("SELECT handle FROM member ORDER BY id")]
        today_is(patch, 2026, 12, 10, 17)
        # Twenty signed in before the window closed, six later, eight never; ten ordered.
        with (folder / "page.csv").open("w", newline="") as out:
            csv.writer(out).writerows(
                [("Handle", "Last sign in", "Last order")]
                + [
                    (handle, "2026-12-03" if n < 20 else "", "2026-12-04" if n < 10 else "")
                    for n, handle in enumerate(handles)
                ]
            )
        assert onboard("activity", "page.csv", "--record", "--as-of", "2026-12-08").code in (0, 1)
        for n, handle in enumerate(handles[:9]):
            cause = "typed.email" if n < 7 else "page.shop"
            onboard("call", handle, "--cause", cause, "--ended", "helped")
    return folder


def family(n: int) -> str:
    return ("Abel", "Brandt", "Castro", "Dunne", "Ekberg", "Falk")[n % 6] + ("son", "feld", "mark", "wood", "ford", "holm")[n // 6]  # fmt: skip


@pytest.fixture
def office(counted: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(counted)
    today_is(monkeypatch, 2026, 12, 20, 17)
    return counted


def lines(*words: str) -> list[dict[str, Any]]:
    said = onboard("numbers", "--json", *words)
    assert said.code == 0, said.words
    return said.json()


def test_all_who_joined_are_counted(office: Path) -> None:
    (whole,) = (line for line in lines() if line.get("by") == "all")
    assert whole == {
        "by": "all", "group": "", "joined": 34, "arrived": 34, "arrived_of": 34, "signed_in": 20, "signed_in_of": 34,
        "ordered": 10, "ordered_of": 34, "called": 9, "called_of": 34,
    }  # fmt: skip


def test_small_groups_are_counted_with_others_and_nothing_can_be_taken_from_the_whole(
    office: Path,
) -> None:
    sites = {line["group"]: line for line in lines() if line.get("by") == "site"}
    assert {name: line["joined"] for name, line in sites.items()} == {
        "Lima Grange": 17, "Ada Hall": 12, OTHERS: 5,
    }  # fmt: skip
    # Three of Ada Hall signed in in time: that is hidden, and with it another, or the whole would tell it.
    assert [line["signed_in"] for line in sites.values()] == [17, None, None]
    assert [line["called"] for line in sites.values()] == [9, 0, 0]


def test_nobody_is_named(office: Path) -> None:
    said = onboard("numbers").out + json.dumps(lines())
    assert not any(given in said for given in (*GIVEN, "example.org") if given != "Ada")


def test_what_few_called_about_is_told_with_others_or_not_at_all(office: Path) -> None:
    matters = [line for line in lines() if "cause" in line and "calls" in line]
    assert [(one["cause"], one["members"], one["calls"]) for one in matters] == [("", 9, 9)]


def test_a_month_of_nobody_is_told_in_words(office: Path) -> None:
    assert "Nobody joined from Mar 1, 2026 to Mar 31, 2026" in onboard("numbers", "--since", "2026-03", "--until", "2026-03").words  # fmt: skip
    assert onboard("numbers", "--since", "2026-13").code == 2
    assert onboard("numbers", "--since", "2026-12", "--until", "2026-11").code == 2


def test_before_the_window_closed_nobody_can_know(
    office: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with sqlite3.connect(office / "roster.db") as roster:
        assert roster.execute("SELECT count(*) FROM outgoing WHERE words <> ''").fetchone() == (34,)
        assert roster.execute("SELECT count(*) FROM packet_words").fetchone() == (1,)
    today_is(monkeypatch, 2026, 12, 5, 17)
    (whole,) = (line for line in lines() if line.get("by") == "all")
    assert (whole["signed_in"], whole["signed_in_of"]) == (20, 20)


def test_the_page_and_the_workbook_say_the_same_and_fetch_nothing(
    office: Path, tmp_path: Path
) -> None:
    said = onboard("numbers", "--to", tmp_path / "out")
    assert said.out.count("Wrote") == 2
    page = (tmp_path / "out" / "numbers.html").read_text("utf-8")
    assert "20 of 34" in page
    assert "20 yes · 14 no" in page
    assert "<script" not in page
    assert "src=" not in page
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "").replace("http-equiv", "")
    sheet = CalamineWorkbook.from_path(str(tmp_path / "out" / "numbers.xlsx")).get_sheet_by_name("Members")  # fmt: skip
    rows = sheet.to_python()
    assert rows[1][:5] == ["all", "all", 34, 34, 34]
    assert ["drop site", OTHERS, 5] in [row[:3] for row in rows]


def test_a_sentence_is_compared_before_and_after_it_was_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(tmp_path)
    settings = tmp_path / "onboard.toml"
    settings.write_text(SETTINGS, encoding="utf-8")

    def join(name: str, people: Sequence[str], offset: int) -> None:
        rows = [
            (f"{given} {family(n + offset)}", f"{given.lower()}@example.org", f"419-555-01{n + offset:02}", f"{n + offset + 1} Elm St",
             "Lima", "OH", "45801", "Lima Grange")
            for n, given in enumerate(people)
        ]  # fmt: skip
        assert onboard("batch", write_csv(tmp_path / name, rows, HEADINGS), "--record").code == 0
        onboard("packets", "--write")
        onboard("packets", "--mailed", "--really")
        with sqlite3.connect("roster.db") as roster:
            (last,) = roster.execute("SELECT max(id) FROM member").fetchone()
        callers = range(last - len(people) + 1, last - len(people) + 1 + (8 if not offset else 0))
        for number in callers:
            onboard("call", str(number), "--cause", "typed.email", "--ended", "helped")

    today_is(monkeypatch, 2026, 10, 5, 17)
    join("first.csv", GIVEN[:14], 0)
    onboard("packets", "--words-to", "words")
    (mine,) = (tmp_path / "words").rglob("en/packet.md.j2")
    text = mine.read_text("utf-8")
    mine.write_text(text.replace("Your sign-in name is **not** your email address.", "Do **not** type your email."), encoding="utf-8")  # fmt: skip
    settings.write_text(SETTINGS + '\n[files]\ntemplates = "words"\n', encoding="utf-8")
    today_is(monkeypatch, 2026, 11, 5, 17)
    join("second.csv", GIVEN[14:29], 14)
    told = [line for line in lines() if "sentence" in line]
    assert [(one["sentence"], one["since"], one["called"], one["called_of"]) for one in told] == [
        ("Your sign-in name is not your email address.", "2026-10-05", 8, 14),
        ("Do not type your email.", "2026-11-05", 0, 15),
    ]
    assert {one["section"] for one in told} == {"2. Type your sign-in name"}


# ---------------------------------------------------------------- small cells, drawn


@DRAWN
@given(st.dictionaries(st.sampled_from("abcdefgh"), st.integers(0, 30), max_size=8))
def test_every_group_that_is_shown_has_five_and_all_add_up(sizes: dict[str, int]) -> None:
    made = grouped({name: range(size) for name, size in sizes.items()})
    assert all(len(some) >= LEAST for _, some in made)
    if made:
        assert sum(len(some) for _, some in made) == sum(sizes.values())
        assert len(made) > 1


@DRAWN
@given(st.lists(st.tuples(st.integers(0, 30), st.integers(0, 30)).map(lambda t: (min(t), max(t))), min_size=2, max_size=8))  # fmt: skip
def test_no_small_number_is_shown_and_none_is_the_only_one_left_out(
    cells: list[tuple[int, int]],
) -> None:
    made = shown(cells)
    for cell, real in zip(made, cells, strict=True):
        assert cell == HIDDEN or (cell.count, cell.of) == real
        assert cell == HIDDEN or not is_small(*real)
    assert made.count(HIDDEN) != 1
