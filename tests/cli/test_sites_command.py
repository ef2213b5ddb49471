"""`onboard sites`: the list, the nearest, what is full."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from office import SETTINGS, onboard
from test_windows_command import today_is

MORE = """
[[site]]
name = "Cridersville Shed"
address = "3 Main St, Cridersville, OH"
zip = "45806"
group = "Lake"
host = "Lee Darby"
capacity = 12

[[site]]
name = "Old Depot"
address = "8 Rail St, Wapakoneta, OH"
zip = "45895"
group = "Lake"
host = "Kim Oster"
closed = true
"""
SITES = SETTINGS + MORE


@pytest.fixture
def enrolled(office: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Three members at Lima Grange."""
    (office / "onboard.toml").write_text(SITES)
    today_is(monkeypatch, 2026, 11, 25, 12)
    onboard("batch", "forms.csv", "--record")
    with sqlite3.connect(office / "roster.db") as connection:
        ((held,),) = connection.execute("SELECT key FROM row WHERE decision = 'hold'").fetchall()
    onboard("answer", held, "enroll")
    return office


def capacity(office: Path, most: int) -> None:
    text = SITES.replace('host = "Robin Vale"', f'host = "Robin Vale"\ncapacity = {most}')
    (office / "onboard.toml").write_text(text)


def move(office: Path, site: str) -> None:
    with sqlite3.connect(office / "roster.db") as connection:
        connection.execute("UPDATE member SET site = ? WHERE handle = 'patlee'", (site,))


def test_sites_are_listed_with_members_capacity_and_the_next_window(enrolled: Path) -> None:
    said = onboard("sites")
    assert said.code == 0
    for words in (
        "Lima Grange Lake 3 - opens on Tue, Dec 1, 2026",
        "Cridersville Shed Lake 0 12 opens on Tue, Dec 1, 2026",
        "Old Depot (closed) Lake 0 - closed",
    ):
        assert words in said.words
    assert onboard("sites", "--json").json()[:2] == [
        {"key": "Lima Grange", "group": "Lake", "zip": "45801", "members": 3, "capacity": None, "room": None,
         "closed": False, "opens": "2026-12-01T00:00:00-05:00", "closes": "2026-12-06T23:59:59-05:00"},
        {"key": "Cridersville Shed", "group": "Lake", "zip": "45806", "members": 0, "capacity": 12, "room": 12,
         "closed": False, "opens": "2026-12-01T00:00:00-05:00", "closes": "2026-12-06T23:59:59-05:00"},
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("most", "said"), [(3, "Lima Grange is full."), (2, "Lima Grange is full, with 1 more than it can serve.")]
)  # fmt: skip
def test_a_full_site_is_told_and_asks_nothing_of_a_person(
    enrolled: Path, most: int, said: str
) -> None:
    capacity(enrolled, most)
    found = onboard("sites")
    assert (found.code, said in found.words) == (0, True)
    assert "(full)" in found.words
    assert onboard("sites", "--json").json()[0]["room"] == 0


@pytest.mark.parametrize("way", [(), ("--record",)])
def test_a_batch_says_that_new_members_come_to_a_full_site(
    office: Path, monkeypatch: pytest.MonkeyPatch, way: tuple[str, ...]
) -> None:
    today_is(monkeypatch, 2026, 11, 25, 12)
    capacity(office, 1)
    said = onboard("batch", "forms.csv", *way)
    assert "Lima Grange is full: it has 2 of 1 members, more than it can serve." in said.words
    capacity(office, 30)
    assert "is full" not in onboard("batch", "forms.csv", *way).words


def test_the_nearest_come_first_with_their_distance(enrolled: Path) -> None:
    said = onboard("sites", "--near", "45806-1234")
    assert said.code == 0
    assert said.words.index("Cridersville Shed") < said.words.index("Lima Grange")
    assert "less than 1 mile" in said.words
    assert "Roads are longer." in said.words
    assert "Old Depot" not in said.words
    first, second = onboard("sites", "--near", "45806", "--json").json()
    assert (first["key"], first["miles"], first["close"]) == ("Cridersville Shed", 0, True)
    assert second["miles"] == pytest.approx(6, abs=1)
    assert not second["close"]


def test_two_that_are_both_close_are_told(enrolled: Path) -> None:
    (enrolled / "onboard.toml").write_text(SITES.replace('"45806"', '"45804"'))
    assert (
        "are both close. Ask which one is the easier drive."
        in onboard("sites", "--near", "45801").words
    )


@pytest.mark.parametrize("where", ["45800", "Nowhereville, OH", "00000"])
def test_a_place_that_nobody_knows_is_told(enrolled: Path, where: str) -> None:
    said = onboard("sites", "--near", where)
    assert said.code == 1
    assert f"We don't know where {where} is." in said.words
    assert onboard("sites", "--near", where, "--json").out == ""


def test_a_town_with_several_zip_codes_is_asked_about(enrolled: Path) -> None:
    said = onboard("sites", "--near", "Lima, OH")
    assert said.code == 1
    assert "could be in several ZIP codes" in said.words
    assert onboard("sites", "--near", "Cridersville, OH").code == 0


def test_a_town_without_a_state_is_in_a_state_where_we_have_sites(enrolled: Path) -> None:
    said = onboard("sites", "--near", "Cridersville")
    assert said.code == 0
    assert said.words.index("Cridersville Shed") < said.words.index("Lima Grange")


@pytest.mark.parametrize("where", ["Lima", "Nowhereville", "45800"])
def test_a_place_that_cannot_be_found_hides_no_sites(enrolled: Path, where: str) -> None:
    said = onboard("sites", "--near", where)
    assert said.code == 1
    assert "Cridersville Shed" in said.words
    assert "Lima Grange" in said.words


def test_no_site_within_reach_is_told(enrolled: Path) -> None:
    assert "No open drop site is within 30 miles." in onboard("sites", "--near", "99501").words


def test_members_at_a_closed_or_a_lost_site_are_something_to_do(enrolled: Path) -> None:
    move(enrolled, "Old Depot")
    said = onboard("sites")
    assert said.code == 1
    assert "1 member is still at Old Depot, which is closed." in said.words
    move(enrolled, "Vanished Barn")
    assert (
        "1 member has the drop site Vanished Barn, which is not in the settings."
        in onboard("sites").words
    )


def test_a_site_off_the_map_is_told(enrolled: Path) -> None:
    (enrolled / "onboard.toml").write_text(SITES.replace('"45806"', '"45800"'))
    assert (
        "We don't know where ZIP code 45800 of Cridersville Shed is"
        in onboard("sites", "--near", "45801").words
    )


def test_without_a_roster_nobody_is_anywhere_and_none_is_made(office: Path) -> None:
    (office / "onboard.toml").write_text(SITES)
    assert [line["members"] for line in onboard("sites", "--json").json()] == [0, 0, 0]
    assert not (office / "roster.db").exists()
