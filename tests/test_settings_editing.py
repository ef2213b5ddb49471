"""A value of the settings file changed in its text: all other lines stay, and the file says what was asked."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from difflib import ndiff
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.errors import SettingsTrouble
from onboard.settings import starter
from onboard.settings.editing import Added, Edit, Removed, edited, written

HOME = Path(__file__).parents[1]
ODD = '''\
# Ours. Do not lose: [coop] name = "no"
[coop]  # who we are
  name   =  'Our "own" Co-op'   # in single quotes
  postal_address = """
12 Barn Road # not a note
[handle]
Lima, OH""" # on paper
languages = [ "en",   # first
  # a note between
  "es" ]   # both

# About sign-in names.
[handle]

# Nothing there yet.
[[group]]
name = "Lake"
windows = [
    { opens = 2026-12-01, closes = 2026-12-06 },  # the first
    # the truck is late in January
    { opens = 2027-01-05, closes = 2027-01-10}
]

[[group]]
name = "Hill"
windows = [{opens=2026-12-08,closes=2026-12-13}, { opens = 2027-01-12, closes = 2027-01-17 }]  # two

# Where people go.
[[site]]
name = "Lima, # 1"
zip = "45801"
# The last words.'''
TEXTS = {
    "starter": starter(),
    "demo": (HOME / "fixtures_demo" / "onboard.toml").read_text("utf-8"),
    "odd": ODD,
    "windows": ODD.replace("\n", "\r\n"),
    "mixed": ODD.replace(" Lima", "\r\n Lima").replace("zip", "\r\nzip"),
}
DAYS = st.dates(date(2026, 1, 1), date(2028, 1, 1))
WINDOWS = st.builds(
    lambda day, long: {"opens": day, "closes": day + timedelta(long)}, DAYS, st.integers(0, 9)
)
LINES = st.text(max_size=30).map(lambda text: text.replace("\r", ""))
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": LINES,
    "texts": st.lists(LINES, max_size=4),
    "windows": st.lists(WINDOWS, max_size=4),
    "number": st.integers(),
    "yes or no": st.booleans(),
}
KEYS = {
    ("coop", "name", 0): "text",
    ("coop", "postal_address", 0): "text",
    ("coop", "languages", 0): "texts",
    ("coop", "extra_questions", 0): "texts",
    ("handle", "longest", 0): "number",
    ("first_password", "set_by_member", 0): "yes or no",
    ("mail", "host", 0): "text",
    ("group", "windows", 0): "windows",
    ("site", "address", 0): "text",
    ("site", "closed", 0): "yes or no",
}


def of(text: str, edit: Edit) -> Any:
    table = tomllib.loads(text).get(edit.table, {})
    return (table[edit.number] if isinstance(table, list) else table).get(edit.key)


@st.composite
def edits(draw: st.DrawFn) -> tuple[str, Edit]:
    text = TEXTS[draw(st.sampled_from(sorted(TEXTS)))]
    table, key, number = draw(st.sampled_from(sorted(KEYS)))
    kind = KEYS[table, key, number]
    old = of(text, Edit(table, key, None, number))
    value = draw(VALUES[kind])
    if isinstance(old, list) and draw(st.booleans()):  # much as it was
        value = list(old)
        for _ in range(draw(st.integers(1, 2))):
            at = draw(st.integers(0, len(value)))
            item = draw(WINDOWS if kind == "windows" else LINES)
            value[at : at + draw(st.integers(0, 1))] = draw(st.sampled_from(([item], [])))
    return text, Edit(table, key, value, number)


def span(text: str, edit: Edit) -> list[str]:
    """The lines of a key, as a person would count them: from its own to before the next key, head or note."""
    from onboard.settings.layout import Layout

    found = Layout(text).block(edit.table, edit.number)
    if not (found and edit.key in found.values):
        return []
    line = Layout(text).line_of(found.values[edit.key])
    return text[line.start : line.end].splitlines()


@settings(max_examples=600, derandomize=True, deadline=None)
@given(edits())
def test_an_edit_says_what_was_asked_and_leaves_every_other_line(both: tuple[str, Edit]) -> None:
    text, edit = both
    made = edited(text, [edit])
    assert of(made, edit) == edit.value
    before, after = text.replace("\r\n", "\n"), made.replace("\r\n", "\n")
    gone = [line[2:] for line in ndiff(before.split("\n"), after.split("\n")) if line[0] == "-"]
    own = span(before, edit)
    assert [line for line in gone if line not in own] == []
    if "\n" not in text.replace("\r\n", ""):
        assert "\n" not in made.replace("\r\n", "")
    # What was there comes back, line for line, with what it said.
    old = of(text, edit)
    if old is not None:
        assert of(edited(made, [Edit(edit.table, edit.key, old, edit.number)]), edit) == old


@settings(max_examples=300, derandomize=True, deadline=None)
@given(st.sampled_from(sorted(TEXTS)), st.data())
def test_one_window_changed_changes_one_line(name: str, data: st.DataObject) -> None:
    text = TEXTS[name].replace("\r\n", "\n")
    windows = tomllib.loads(text)["group"][0]["windows"]
    at = data.draw(st.integers(0, len(windows) - 1))
    what = data.draw(st.sampled_from(("moved", "taken out", "added")))
    new = list(windows)
    day = {"opens": date(2029, 1, 1), "closes": date(2029, 1, 9)}
    new[at : at + (what != "added")] = [day] if what != "taken out" else []
    made = edited(text, [Edit("group", "windows", new)])
    said = [line for line in ndiff(text.split("\n"), made.split("\n")) if line[0] in "+-"]
    gone, come = ([one for one in said if one[0] == sign] for sign in "-+")
    assert all("opens" in one for one in said)
    if what == "moved":
        assert (len(gone), len(come)) == (1, 1)
    if what == "taken out":
        assert (len(gone), len(come)) == (1, 0)
    if what == "added":  # the line before may get a comma
        assert len(come) - len(gone) == 1


def test_notes_stay_beside_what_they_are_about() -> None:
    made = edited(
        ODD,
        [
            Edit("coop", "name", "Fen"),
            Edit("coop", "reply_phone", "608-555-0100"),
            Edit("coop", "languages", ["es"]),
            Edit("handle", "longest", 20),
            Edit("mail", "port", 465),
            Added("site", {"name": "Barn", "zip": "45701"}),
        ],
    )
    assert made.startswith(
        '''\
# Ours. Do not lose: [coop] name = "no"
[coop]  # who we are
  name   =  "Fen"   # in single quotes
  postal_address = """
12 Barn Road # not a note
[handle]
Lima, OH""" # on paper
languages = [ "es" ]   # both
reply_phone = "608-555-0100"

# About sign-in names.
[handle]
longest = 20

# Nothing there yet.
'''
    )
    assert made.endswith(
        """\
name = "Lima, # 1"
zip = "45801"

[[site]]
name = "Barn"
zip = "45701"
# The last words.

[mail]
port = 465
"""
    )


def test_what_is_written_otherwise_is_refused_and_not_broken() -> None:
    for text, edit in (
        ('coop.name = "a"\n', Edit("coop", "name", "b")),
        ('coop = { name = "a" }\n', Edit("coop", "name", "b")),
        (
            'group = [{ name = "a", windows = [] }]\n',
            Edit("group", "windows", [{"opens": date(2027, 1, 1)}]),
        ),
    ):
        with pytest.raises(SettingsTrouble, match="in the file itself"):
            edited(text, [edit])


@given(st.text())
def test_any_text_is_written_so_that_it_is_read_back(text: str) -> None:
    assert tomllib.loads(f"x = {written(text)}")["x"] == text


# ---------------------------------------------------------------- lists in tables, and tables taken out

IN_TABLES = """\
# Ours.
[[group]]
name = "Lake"

# Spring.
[[group.windows]]
opens = 2026-12-01  # the first
closes = 2026-12-06

[[group.windows]]  # the truck is late
closes = 2027-01-10
opens = 2027-01-05

# The hills.
[[group]]
name = "Hill"
[[group.windows]]
opens = 2026-12-08
closes = 2026-12-13

[[site]]
name = "Lima"
group = "Lake"

[windows]
rotation = ["Lake"]
[[windows.moved]]
month = "2027-01"
opens = 2027-01-11
closes = 2027-01-17
"""


@settings(max_examples=200, derandomize=True, deadline=None)
@given(st.integers(0, 1), st.lists(WINDOWS, max_size=4), st.data())
def test_windows_in_tables_of_their_own_are_changed_there(
    group: int, drawn: list[Any], data: st.DataObject
) -> None:
    old = tomllib.loads(IN_TABLES)["group"][group]["windows"]
    kept = data.draw(st.lists(st.sampled_from(old), max_size=2, unique_by=str))
    new = kept + drawn if data.draw(st.booleans()) else drawn + kept
    made = edited(IN_TABLES, [Edit("group", "windows", new, group)])
    said = tomllib.loads(IN_TABLES)
    said["group"][group]["windows"] = new
    assert tomllib.loads(made) == said
    notes = [line for line in IN_TABLES.splitlines() if line.startswith("#")]
    assert [line for line in made.splitlines() if line.startswith("#")] == notes


def test_a_window_in_a_table_changes_its_own_lines_only() -> None:
    lake = tomllib.loads(IN_TABLES)["group"][0]["windows"]
    moved = [lake[0], {"opens": date(2027, 1, 5), "closes": date(2027, 1, 11)}]
    made = edited(IN_TABLES, [Edit("group", "windows", moved)])
    assert made == IN_TABLES.replace("2027-01-10", "2027-01-11")
    more = [*lake, {"opens": date(2027, 2, 2), "closes": date(2027, 2, 7)}]
    made = edited(IN_TABLES, [Edit("group", "windows", more)])
    table = "\n[[group.windows]]\nopens = 2027-02-02\ncloses = 2027-02-07\n"
    assert made == IN_TABLES.replace("opens = 2027-01-05\n", f"opens = 2027-01-05\n{table}")
    fair = [{"month": "2027-01", "opens": date(2027, 1, 12), "closes": date(2027, 1, 17)}]
    made = edited(IN_TABLES, [Edit("windows", "moved", fair)])
    assert made == IN_TABLES.replace("opens = 2027-01-11", "opens = 2027-01-12")


@pytest.mark.parametrize("name", [*TEXTS, "in tables"])
def test_a_table_is_taken_out_with_what_is_below_it_and_no_other_line(name: str) -> None:
    text = (TEXTS | {"in tables": IN_TABLES})[name]
    for table in ("group", "site"):
        many = len(tomllib.loads(text).get(table, []))
        for number in range(many):
            made = edited(text, [Removed(table, number)])
            said = tomllib.loads(text)
            del said[table][number]
            assert tomllib.loads(made) == {name: of for name, of in said.items() if of != []}
            plain, after = text.replace("\r\n", "\n"), made.replace("\r\n", "\n")
            lines = list(ndiff(plain.split("\n"), after.split("\n")))
            assert not [line for line in lines if line[0] == "+"]
            heads = [line for line in lines if line[:3] == "- ["]
            assert heads[0].startswith(f"- [[{table}]]")
            assert all(head.startswith(f"- [[{table}.") for head in heads[1:])
