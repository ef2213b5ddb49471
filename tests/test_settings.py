"""The settings file: what it may say, and every mistake told at once, with its line and remedy."""

from __future__ import annotations

import re
import tempfile
import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st

from onboard import passwords, settings
from onboard.errors import SettingsTrouble

DOCS = Path(__file__).parents[1] / "docs" / "settings.md"
BASE = """\
[coop]
name = "Test Growers"
ordering_page = "https://order.example.org"
shop_page = "https://shop.example.org"
sender = "hello@example.org"
reply_phone = "(419) 555-0100"
postal_address = "1 Barn Rd, Lima, OH 45801"
time_zone = "America/New_York"

[[group]]
name = "Lake"
windows = [
    { opens = 2026-12-01, closes = 2026-12-06 },
    { opens = 2027-01-05, closes = 2027-01-10 },
]

[[site]]
name = "Lima Grange"
address = "12 Elm St, Lima, OH"
zip = "45801"
group = "Lake"
host = "Robin Vale"

[[site]]
name = "Troy Lot"
address = "4 Oak St, Troy, OH"
zip = "45373"
group = "Lake"
host = "Lee Darby"
"""


def read(tmp_path: Path, text: str) -> settings.Settings:
    file = tmp_path / "onboard.toml"
    file.write_text(text, encoding="utf-8")
    return settings.read(file)


def mistakes(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(SettingsTrouble) as caught:
        read(tmp_path, text)
    first, *told = str(caught.value).splitlines()
    assert first == f"The settings {tmp_path / 'onboard.toml'} need fixing:"
    return told


# ---------------------------------------------------------------- what is right


def test_what_a_file_says_is_what_the_settings_hold(tmp_path: Path) -> None:
    found = read(tmp_path, BASE)
    assert found.coop == "Test Growers"
    assert found.group("Lake") == settings.Group(
        "Lake",
        (
            settings.Window(date(2026, 12, 1), date(2026, 12, 6)),
            settings.Window(date(2027, 1, 5), date(2027, 1, 10)),
        ),
    )
    assert found.site("Troy Lot") == settings.Site(
        "Troy Lot", "4 Oak St, Troy, OH", "45373", "Lake", "Lee Darby"
    )
    assert found.site("Nowhere") is None
    assert found.group("Nowhere") is None
    assert found.password == settings.PasswordRule(words=5, valid_days=14)


def test_relative_paths_are_relative_to_the_file(tmp_path: Path) -> None:
    found = read(tmp_path, BASE + '[files]\nroster = "data/r.db"\ntemplates = "words"\n')
    assert found.store == f"sqlite:///{tmp_path / 'data/r.db'}"
    assert found.outbox == tmp_path / "outbox"
    assert found.templates == tmp_path / "words"
    url = "postgresql+psycopg://localhost/roster"
    assert read(tmp_path, BASE + f'[files]\nroster = "{url}"\n').store == url


def test_windows_are_put_in_order_of_their_days(tmp_path: Path) -> None:
    lines = BASE.splitlines(keepends=True)
    lines[12], lines[13] = lines[13], lines[12]
    assert read(tmp_path, "".join(lines)).groups == read(tmp_path, BASE).groups


def test_windows_may_be_tables_of_their_own(tmp_path: Path) -> None:
    text = re.sub(
        r"windows = \[.*?\n\]\n",
        "[[group.windows]]\nopens = 2026-12-01\ncloses = 2026-12-06\n"
        "[[group.windows]]\nopens = 2027-01-05\ncloses = 2027-01-10\n",
        BASE,
        flags=re.DOTALL,
    )
    assert read(tmp_path, text).groups == read(tmp_path, BASE).groups
    broken = text.replace("closes = 2027-01-10", "closes = 2027-01-01")
    line = broken.splitlines().index("opens = 2027-01-05")
    assert mistakes(tmp_path, broken) == [
        f"line {line}: the window closes (2027-01-01) before it opens (2027-01-05)."
    ]


def test_a_mark_of_byte_order_and_foreign_line_ends_do_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "onboard.toml"
    file.write_bytes(BASE.replace("\n", "\r\n").encode("utf-8-sig"))
    assert settings.read(file).groups == read(tmp_path, BASE).groups


# ---------------------------------------------------------------- the starter, the reference


def test_the_starter_reads_cleanly_as_it_is(tmp_path: Path) -> None:
    found = read(tmp_path, settings.starter())
    assert found.mail.host == ""
    assert found.groups[0].windows


def test_the_starter_sets_no_proxy_that_nobody_has(tmp_path: Path) -> None:
    assert read(tmp_path, settings.starter()).desk.proxy == ""


def test_the_starter_shows_every_key_there_is() -> None:
    said = tomllib.loads(settings.starter())
    said["window"] = said["group"][0]["windows"]
    # No window is moved in the starter: its note shows how one is written.
    said["moved"] = dict.fromkeys(re.findall(r"(\w+) = ", settings.KEYS["windows"]["moved"].notes))
    tables = {name: table[0] if isinstance(table, list) else table for name, table in said.items()}
    assert {name: set(table) for name, table in tables.items()} == {
        name: set(keys) for name, keys in settings.KEYS.items()
    }


def test_the_reference_has_every_key_with_what_it_is_and_what_stands_for_it() -> None:
    page = DOCS.read_text("utf-8")
    for table, keys in settings.KEYS.items():
        section = re.search(rf"^## [^\n:]*\b{table}\b.*?(?=^## |\Z)", page, re.M | re.S)
        assert section, f"docs/settings.md has no section on {table}"
        rows = re.findall(r"^\| `(\w+)` \| (.*?) \| (.*?) \|(.*?)\|$", section[0], re.M)
        assert [(name, what, note.strip()) for name, what, _, note in rows] == [
            (name, key.what, key.notes) for name, key in keys.items()
        ]
        for name, _, default, _ in rows:
            if keys[name].default is None:
                assert default == "required", f"{table}.{name}"
            else:
                said = tomllib.loads(f"it = {default.strip('`')}")["it"]
                assert said == (
                    list(keys[name].default) if isinstance(said, list) else keys[name].default
                )


# ---------------------------------------------------------------- what is wrong

WRONG = (
    # from, to, and what is told
    ('name = "Test Growers"\n', "", "line 1: [coop] lacks name: add it (text in double quotes)."),
    ('"Test Growers"', '" "', "line 2: [coop] name is empty: fill it in."),
    ('"Test Growers"', "7", "line 2: [coop] name must be text in double quotes."),
    ('"Test Growers"', '"a\\nb"', "line 2: [coop] name must be one line of plain text."),
    ("ordering_page", "orderng_page",
     "line 1: [coop] lacks ordering_page: add it (text in double quotes).\n"
     "line 3: [coop] has no orderng_page: did you mean ordering_page?"),
    ("https://order.", "http://order.",
     'line 3: [coop] ordering_page is "http://order.example.org": give the whole address of the page,'
     " beginning with https://."),
    ("https://order.example.org", "https://[broken",
     'line 3: [coop] ordering_page is "https://[broken": give the whole address of the page,'
     " beginning with https://."),
    ("https://shop.example.org", "https://Order.example.org/",
     "line 4: [coop] shop_page is the ordering page: give the page that members mistake for it."),
    ("hello@example.org", "hello at example.org",
     'line 5: [coop] sender is "hello at example.org": give just the email address that your emails come'
     " from, like hello@example.org."),
    ("(419) 555-0100", "555", 'line 6: [coop] reply_phone is "555": give a phone number with its area code.'),
    ("America/New_York", "America/NewYork",
     'line 8: [coop] time_zone "America/NewYork" is not known: did you mean America/New_York?'),
    ("America/New_York", "Eastern-ish",
     'line 8: [coop] time_zone "Eastern-ish" is not known: give a name such as "America/Chicago".'),
    ('time_zone = "America/New_York"\n', 'time_zone = "America/New_York"\nlanguages = ["en", "fr"]\n',
     'line 9: [coop] languages has "fr": there are words for en and es only.'),
    ('time_zone = "America/New_York"\n', 'time_zone = "America/New_York"\nregion = "USA"\n',
     'line 9: [coop] region is "USA": give the two capital letters of your country, such as "US".'),
    ('time_zone = "America/New_York"\n', 'time_zone = "America/New_York"\nsecurity_question = "yes"\n',
     "line 9: [coop] security_question must be true or false."),
    ("closes = 2026-12-06", "closes = 2026-11-06",
     "line 13: the window closes (2026-11-06) before it opens (2026-12-01)."),
    ("opens = 2027-01-05", "opens = 2026-12-06",
     "line 14: the window from 2026-12-06 overlaps the one from 2026-12-01 to 2026-12-06."),
    ("opens = 2027-01-05", 'opens = "2027-01-05"',
     "line 14: a window opens must be a day, written 2026-12-01."),
    ("opens = 2027-01-05", "opens = 2027-01-05T08:00:00",
     "line 14: a window opens must be a day, written 2026-12-01."),
    ("opens = 2027-01-05, ", "", "line 14: a window lacks opens: add it (a day, written 2026-12-01)."),
    ('zip = "45373"', "zip = 45373",
     'line 27: [[site]] zip must be five digits in double quotes, "45801".'),
    ('zip = "45373"', 'zip = "4537"',
     'line 27: [[site]] zip is "4537": give five digits, such as "45801".'),
    ('name = "Troy Lot"', 'name = "lima grange"',
     'line 25: there are two sites named "lima grange": give each its own name.'),
    ('group = "Lake"\nhost = "Lee Darby"', 'group = "Lakes"\nhost = "Lee Darby"',
     'line 28: there is no group "Lakes": did you mean Lake?'),
    ('host = "Lee Darby"', 'host = "Lee Darby"\nhost_phone = "ask Lee"',
     'line 30: [[site]] host_phone is "ask Lee": give it with its area code.'),
    ("[[group]]", "[first_password]\nwords = 4\n\n[[group]]",
     "line 11: [first_password] words must be from 5 to 10: fewer than 5 hold less than 50 bits of"
     " chance, which is too easy to guess."),
    ("[[group]]", "[first_password]\nvalid_days = 90\n\n[[group]]",
     "line 11: [first_password] valid_days must be from 1 to 21: what lies about for longer is read by"
     " others."),
    ("[[group]]", "[mail]\nsecurity = 'none'\n\n[[group]]",
     'line 11: [mail] security is "none": write "starttls" (port 587) or "tls" (port 465); email with'
     " a temporary password is never sent unencrypted."),
    ("[[group]]", "[male]\nhost = 'x'\n\n[[group]]", "line 10: there is no [male]: did you mean mail?"),
)  # fmt: skip


@pytest.mark.parametrize(("here", "there", "told"), WRONG)
def test_a_mistake_is_told_with_its_line_and_remedy(
    tmp_path: Path, here: str, there: str, told: str
) -> None:
    assert here in BASE
    assert mistakes(tmp_path, BASE.replace(here, there, 1)) == told.splitlines()


def test_all_mistakes_are_told_at_once_in_the_order_of_their_lines(tmp_path: Path) -> None:
    text = BASE
    wrong = [case for case in WRONG if case[0] in ('"Test Growers"', "(419) 555-0100")]
    for here, there, _ in (wrong[0], wrong[-1], ('zip = "45373"', "zip = 45373", "")):
        text = text.replace(here, there, 1)
    told = mistakes(tmp_path, text)
    assert [line.split(":")[0] for line in told] == ["line 2", "line 6", "line 27"]


def test_an_empty_file_tells_what_is_needed(tmp_path: Path) -> None:
    told = mistakes(tmp_path, "")
    assert "line 1: there is no ordering group: add a [[group]] with its windows." in told
    assert "line 1: there is no drop site: add a [[site]]." in told
    assert sum("[coop] lacks" in line for line in told) == 7


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"\xff\xfe\x00", "are not in UTF-8: save the file as UTF-8."),
        (b"zip = 05301", "are not valid TOML"),
        (b'name = "Lee', "are not valid TOML"),
        (b"name = Lee", "Put text in double quotes, and write days as 2026-12-01."),
        (b"a = 1\na = 2", "are not valid TOML"),
    ],
)
def test_a_file_that_is_no_toml_says_so(tmp_path: Path, content: bytes, told: str) -> None:
    file = tmp_path / "onboard.toml"
    file.write_bytes(content)
    with pytest.raises(SettingsTrouble, match=re.escape(told)):
        settings.read(file)


@pytest.mark.parametrize(
    "text", ["coop = 1", "group = 1", "[group]\nname='x'", "site = [1]", "[[coop]]"]
)
def test_tables_of_the_wrong_kind_are_told(tmp_path: Path, text: str) -> None:
    assert mistakes(tmp_path, text)


def test_the_least_number_of_words_is_that_of_the_bits() -> None:
    least = next(n for n in range(1, 11) if passwords.bits(settings.PasswordRule(n)) >= 50)
    assert least == 5, "settings refuse fewer than five: keep both together"


NOISE = st.sampled_from(
    ("", "# a note", "# [[site]]", '# zip = "x"', "   ", "# it's { odd } [", '# """', "# '''")
)


@given(data=st.data(), key=st.sampled_from(("zip = ", "closes = 2027", "reply_phone = ")))
@effort(max_examples=60, deadline=None)
def test_the_line_is_right_whatever_notes_and_blank_lines_stand_around(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject, key: str
) -> None:
    lines: list[str] = []
    wanted = 0
    for line in BASE.splitlines():
        lines += data.draw(st.lists(NOISE, max_size=2))
        if key in line and not wanted:
            line = re.sub(f"{key}[^}}]*", f"{key.split('=')[0]}= true ", line)
            wanted = len(lines) + 1
        lines.append(line + data.draw(st.sampled_from(("", "  # so", '  # "'))))
        if line.startswith("postal_address"):
            lines[-1] = 'postal_address = """\n[[site]]\nzip = "1"\n# no note\n"""'
            lines[-1:] = lines[-1].split("\n")
    told = mistakes(tmp_path_factory.mktemp("lines"), "\n".join(lines))
    assert [line.split(":")[0] for line in told] == [f"line {wanted}"]


@given(st.text(max_size=200))
@effort(max_examples=100, deadline=None)
def test_no_text_makes_anything_but_trouble(text: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "onboard.toml"
        file.write_bytes(text.encode("utf-8", "surrogatepass"))
        with pytest.raises(SettingsTrouble):
            settings.read(file)


# ---------------------------------------------------------------- where it is


def test_the_file_is_found_here_or_beside_what_is_worked_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    monkeypatch.chdir(here)
    with pytest.raises(SettingsTrouble) as caught:
        settings.find(there / "forms.csv")
    assert str(caught.value) == (
        f"There is no onboard.toml in {here} and {there}: make one with `onboard start`, or name it "
        "with --settings."
    )
    (there / "onboard.toml").write_text(BASE)
    assert settings.find(there / "forms.csv") == there / "onboard.toml"
    (here / "onboard.toml").write_text(BASE)
    assert settings.find(there / "forms.csv") == here / "onboard.toml"
    monkeypatch.setenv("ONBOARD_SETTINGS", str(there / "onboard.toml"))
    assert settings.find() == there / "onboard.toml"


def test_a_file_that_is_not_there_is_trouble_in_words(tmp_path: Path) -> None:
    with pytest.raises(SettingsTrouble, match=r"can't be read \(No such file or directory\)"):
        settings.read(tmp_path / "none.toml")
    with pytest.raises(SettingsTrouble, match="can't be read"):
        settings.read(tmp_path)


def test_a_closed_site_may_have_no_host(tmp_path: Path) -> None:
    no_host = BASE.replace('host = "Lee Darby"', 'host = ""')
    assert mistakes(tmp_path, no_host) == ["line 29: [[site]] host is empty: fill it in."]
    troy = read(tmp_path, f"{no_host}closed = true\n").site("Troy Lot")
    assert troy
    assert (troy.host, troy.closed) == ("", True)
    other = no_host.replace('host = "Robin Vale"', 'host = "Robin Vale"\nclosed = true')
    assert mistakes(tmp_path, other) == ["line 30: [[site]] host is empty: fill it in."]
