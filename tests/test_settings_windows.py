"""The rule for ordering windows in the settings: what it may say, and each mistake with its line and remedy."""

from __future__ import annotations

from datetime import date, time
from pathlib import Path

import pytest
from test_settings import BASE, mistakes, read

from onboard.settings import Moved, Window

RULE = """
[[group]]
name = "Hill"

[windows]
rotation = ["Lake", "Hill"]
starts = "2027-02"
rest = ["July"]
opens = "first Monday"
closes = "6 days later"
opens_at = "8:00 AM"
closes_at = "9 pm"
holidays = "US-OH"
left_out = ["2027-05"]
moved = [
    { month = "2027-03", opens = 2027-03-08, closes = 2027-03-14 },
    { month = "April 2027", opens = 2027-04-12, closes = 2027-04-18 },
]
"""
TEXT = BASE.replace('[[site]]\nname = "Lima', f'{RULE}\n[[site]]\nname = "Lima')


def line(key: str) -> int:
    return next(n for n, text in enumerate(TEXT.splitlines(), 1) if text.strip().startswith(key))


def test_what_the_rule_says_is_what_the_settings_hold(tmp_path: Path) -> None:
    found = read(tmp_path, TEXT)
    lake, hill = found.groups
    assert lake.rule is hill.rule is found.windows
    assert found.windows.moved[1] == Moved("April 2027", date(2027, 4, 12), date(2027, 4, 18))
    # Its times hold for the windows that are written out, too.
    assert lake.windows[0] == Window(date(2026, 12, 1), date(2026, 12, 6), time(8), time(21))
    assert hill.windows == ()


def test_without_a_rule_all_is_as_it_was(tmp_path: Path) -> None:
    (lake,) = read(tmp_path, BASE).groups
    assert lake.rule is None
    assert lake.windows[0] == Window(date(2026, 12, 1), date(2026, 12, 6))


def test_a_group_that_is_not_in_the_rotation_has_no_turns(tmp_path: Path) -> None:
    lake, hill = read(tmp_path, TEXT.replace('["Lake", "Hill"]', '["Hill"]')).groups
    assert lake.rule is None
    assert hill.rule is not None


def test_a_site_may_have_a_time_zone_of_its_own(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        TEXT.replace('host = "Lee Darby"', 'host = "Lee Darby"\ntime_zone = "America/Phoenix"'),
    )
    assert [found.zone(site).key for site in found.sites] == ["America/New_York", "America/Phoenix"]
    assert found.zone().key == "America/New_York"


LIKE = '"first Monday", "the 5th", "last day", or "the 5th, or the next working day"'
WRONG = (
    # from, to, the key whose line it is, and what is told
    ('"first Monday"', '"frist Monday"', "opens =", f'[windows] opens is "frist Monday": write it as {LIKE}.'),
    ('"first Monday"', '"fifth Tuesday"', "opens =",
     '[windows] opens is "fifth Tuesday": not every month has a fifth one: write "last Tuesday".'),
    ('"first Monday"', '"the 30th"', "opens =",
     '[windows] opens is "the 30th": not every month has that day: use the 1st to the 28th, or "last day".'),
    ('"first Monday"', '"the 3rd of the next month"', "opens =",
     '[windows] opens is "the 3rd of the next month": a window opens in the month of its turn: leave the next'
     " month out."),
    ('"first Monday"', "1", "opens =", "[windows] opens must be text in double quotes."),
    ('"6 days later"', '"6 dayz"', "closes =",
     '[windows] closes is "6 dayz": write it as "6 days later", "the next Sunday", "the 12th", or "last day, or'
     ' the working day before".'),
    ('"6 days later"', '"9 weeks later"', "closes =",
     '[windows] closes is "9 weeks later": use at most 31 days later.'),
    ('"6 days later"', '"the 3rd"', "[windows]",
     '[windows] closes is "the 3rd": in April 2027 the window would close (2027-04-03) before it opens'
     " (2027-04-05)."),
    ('"8:00 AM"', '"8"', "opens_at", '[windows] opens_at is "8": write the time as "8:00 AM".'),
    ('"8:00 AM"', '"13 AM"', "opens_at", '[windows] opens_at is "13 AM": there is no such time: write it as "8:00 AM".'),
    ('"9 pm"', '"Midnight"', "closes_at",
     "[windows] closes_at is midnight: leave it out. Without it, the whole last day belongs to the window."),
    ('"9 pm"', '"0:00"', "closes_at",
     "[windows] closes_at is midnight, when the last day begins: leave it out. Without it, the whole last day"
     " belongs to the window."),
    ('"2027-02"\nrest', '"Feb 27"\nrest', "starts", '[windows] starts is "Feb 27": write the month as "2026-12".'),
    ('starts = "2027-02"\n', "", "[windows]",
     '[windows] lacks starts: add the month of the first turn, starts = "2026-12".'),
    ('["July"]', '["Jully"]', "rest",
     '[windows] rest has "Jully": write a month as "July", or for one year only "2027-07".'),
    ('["Lake", "Hill"]', '["Lake", "Hil"]', "rotation",
     '[windows] rotation is wrong: there is no group "Hil": did you mean Hill?'),
    ('["Lake", "Hill"]', '["Lake", "Lake"]', "rotation",
     '[windows] rotation is wrong: "Lake" is there twice: name each group once.'),
    ('"US-OH"', '"USA"', "holidays",
     '[windows] holidays is "USA": give a country as "US", or a state as "US-OH".'),
    ('"US-OH"', '"US-ZZ"', "holidays", '[windows] holidays is "US-ZZ": no part "ZZ" of US is known. Try "US".'),
    ('["2027-05"]', '["2027-01"]', "[windows]",
     "[windows] left_out has January 2027, before the first turn: take it out."),
    ('["2027-05"]', '["2027-07"]', "[windows]", "[windows] left_out has July 2027, a month of rest: take it out."),
    ('["2027-05"]', '["2027-03"]', "[windows]",
     "[windows] moved and left_out both have March 2027: keep one of the two."),
    ("closes = 2027-04-18", "closes = 2027-04-08", '{ month = "April',
     "the moved window closes (2027-04-08) before it opens (2027-04-12)."),
    ('"April 2027"', '"2027-03"', '{ month = "April', "the window of March 2027 is moved twice: keep one of the two."),
    ('month = "April 2027", ', "", '{ month = "April',
     "a moved window lacks month: add it (text in double quotes)."),
    ("opens = 2027-04-12", 'opens = "2027-04-12"', '{ month = "April',
     "a moved window opens must be a day, written 2026-12-01."),
    ("left_out", "leftout", "left_out", "[windows] has no leftout: did you mean left_out?"),
)  # fmt: skip


@pytest.mark.parametrize(("here", "there", "key", "told"), WRONG)
def test_a_mistake_is_told_with_its_line_and_remedy(
    tmp_path: Path, here: str, there: str, key: str, told: str
) -> None:
    assert here in TEXT
    number = line(key)
    assert mistakes(tmp_path, TEXT.replace(here, there, 1)) == [f"line {number}: {told}"]


def test_all_mistakes_are_told_at_once(tmp_path: Path) -> None:
    text = TEXT
    for here, there in (('"first Monday"', '"soon"'), ('"9 pm"', '"late"'), ('"2027-03",', '"x",')):
        text = text.replace(here, there, 1)
    told = mistakes(tmp_path, text)
    assert [one.split(":")[0] for one in told] == [
        f"line {line(key)}" for key in ("opens =", "closes_at", '{ month = "2027-03"')
    ]


@pytest.mark.parametrize(
    "closes", ["2 weeks later", "31 days later", "last day, or the next working day"]
)
def test_a_group_alone_must_close_before_it_opens_again(tmp_path: Path, closes: str) -> None:
    text = TEXT.replace('["Lake", "Hill"]', '["Hill"]').replace('"6 days later"', f'"{closes}"')
    text = text.replace('"first Monday"', '"the 1st"')
    if closes == "2 weeks later":
        assert read(tmp_path, text)
    else:
        (told,) = mistakes(tmp_path, text)
        assert "would still be open" in told


def test_times_must_leave_some_of_a_window_that_is_a_day_long(tmp_path: Path) -> None:
    text = TEXT.replace("closes = 2026-12-06", "closes = 2026-12-01").replace('"9 pm"', '"7 AM"')
    assert mistakes(tmp_path, text) == [
        f"line {line('[windows]')}: [windows] closes_at (7 AM) is not after opens_at (8:00 AM), and a window of Lake"
        " opens and closes on one day, 2026-12-01: change one of them."
    ]
