"""The co-op's settings at the desk: changed part by part, judged as the file is, never over somebody else's change."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from at_desk import AtDesk, new_page, see_that_it_is_kind, served, settings_text
from playwright.sync_api import expect

from onboard.desk.rooms.settings import PARTS
from onboard.roster import journal
from onboard.settings import read
from onboard.tasks.change_settings import KEPT

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from onboard.office import Office

NOTE = "# Call Ana before you change this.\n"


@pytest.fixture
def file(desk: AtDesk) -> Path:
    """The settings file of the desk's co-op, with a note in it."""
    made = desk.place.office.settings.file
    made.write_text(settings_text().replace("[desk]", f"{NOTE}[desk]"), "utf-8")
    return made


def form_of(desk: AtDesk, path: str) -> dict[str, str | list[str]]:
    """The fields of a page's form as they stand."""
    page = desk.client.get(path).text.partition("<main")[2].partition("</main>")[0]
    found: dict[str, str | list[str]] = {}
    for tag in re.findall(r"<input[^>]*>", page):
        said = {k: html.unescape(v) for k, v in re.findall(r'([\w-]+)="([^"]*)"', tag)}
        if said.get("type") in ("radio", "checkbox") and " checked" not in tag:
            continue
        if said.get("type") == "checkbox":
            earlier = found.setdefault(said["name"], [])
            assert isinstance(earlier, list)
            earlier.append(said["value"])
            continue
        found[said["name"]] = said.get("value", "")
    for name, inside in re.findall(
        r'<textarea[^>]*name="([^"]+)"[^>]*>\n?(.*?)</textarea>', page, re.DOTALL
    ):
        found[name] = html.unescape(inside)
    for name, inside in re.findall(
        r'<select[^>]*name="([^"]+)"[^>]*>(.*?)</select>', page, re.DOTALL
    ):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        found[name] = html.unescape(chosen[1]) if chosen else ""
    found.pop("csrf", None)
    return found


def send(desk: AtDesk, path: str, form: dict[str, str | list[str]], **more: str):  # type: ignore[no-untyped-def]
    return desk.post(path.partition("?")[0], **(form | more))


@pytest.mark.parametrize("part", [*PARTS, "group?of=Lake", "site?of=Lima+Grange", "site", "group"])
def test_every_part_is_shown_and_unchanged_says_so(desk: AtDesk, file: Path, part: str) -> None:
    path = f"/settings/part/{part}"
    before = file.read_bytes()
    form = form_of(desk, path)
    answer = send(desk, path, form)
    assert answer.status_code == 422
    if part not in ("site", "group"):
        assert "Nothing is different from what the file says." in answer.text
    assert file.read_bytes() == before


def test_a_change_is_previewed_then_saved_and_every_other_line_stays(
    desk: AtDesk, file: Path
) -> None:
    before = file.read_text("utf-8")
    form = form_of(desk, "/settings/part/coop") | {"f-name": 'Fen & "Furrow" Co-op'}
    preview = send(desk, "/settings/part/coop", form)
    assert preview.status_code == 200
    assert "Nothing is saved yet." in preview.text
    assert 'name = "Test Growers Co-op"' in html.unescape(preview.text)
    assert file.read_text("utf-8") == before
    saved = send(desk, "/settings/part/coop", form, do="save")
    assert "The settings are saved." in saved.text
    after = file.read_text("utf-8")
    assert after == before.replace('"Test Growers Co-op"', '"Fen & \\"Furrow\\" Co-op"')
    assert NOTE in after
    assert (file.parent / KEPT).read_text("utf-8") == before
    assert "Fen &amp; &#34;Furrow&#34; Co-op" in desk.client.get("/").text
    with desk.place.office.reading() as connection:
        (line,) = journal.read(connection, "roster")
    assert line[1:3] == ("Robin", "settings changed")
    assert line[4] == "[coop] name"


def test_all_mistakes_are_told_at_once_each_beside_its_field(desk: AtDesk, file: Path) -> None:
    before = file.read_bytes()
    form = form_of(desk, "/settings/part/coop") | {
        "f-name": "", "f-ordering_page": "order.example.org", "f-sender": "hello@", "f-time_zone": "America/Chicagoo",
    }  # fmt: skip
    answer = send(desk, "/settings/part/coop", form, do="save")
    assert answer.status_code == 422
    for field, words in (
        ("f-name", "is empty: fill it in."), ("f-ordering_page", "beginning with https://"),
        ("f-sender", "give just the email address"), ("f-time_zone", "did you mean America/Chicago?"),
    ):  # fmt: skip
        at_field = re.search(rf'id="{field}-error">(.*?)</p>', answer.text, re.DOTALL)
        assert at_field
        assert words in html.unescape(at_field[1])
        assert f'<a href="#{field}">' in answer.text
    assert 'value="order.example.org"' in answer.text
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    ("part", "field", "said"),
    [
        ("handle", "f-longest", "many"), ("handle", "f-longest", "9" * 30), ("handle", "f-longest", "-1"),
        ("windows", "f-holidays", "XX-1"), ("windows", "f-rotation", "Nobody"), ("look", "f-color", "yellow"),
        ("mail", "f-security", "none"), ("mail", "f-port", "0"), ("coop", "f-name", "a\x00b"), ("coop", "f-name", "a\nb"),
        ("coop", "f-name", "x" * 600), ("desk", "f-may_reissue", "Zoe"), ("group?of=Lake", "f-windows-0-closes", "2026-11-01"),
        ("group?of=Lake", "f-windows-1-opens", "soon"), ("site?of=Lima+Grange", "f-zip", "123"),
        ("site?of=Lima+Grange", "f-group", "Moon"), ("reminders", "f-way_question", "How?"),
    ],
)  # fmt: skip
def test_what_the_file_may_not_say_the_page_may_not_either(
    desk: AtDesk, file: Path, part: str, field: str, said: str
) -> None:
    before = file.read_bytes()
    if part == "desk":
        file.write_bytes(
            before := before.replace(b"may_reissue", b'may_look_up = ["Robin"]\nmay_reissue')
        )
    form = form_of(desk, f"/settings/part/{part}") | {field: said}
    answer = send(desk, f"/settings/part/{part}", form, do="save")
    assert answer.status_code == 422, answer.text
    assert "There is a problem" in answer.text
    assert file.read_bytes() == before


@pytest.mark.parametrize(
    "said",
    [
        '"""',
        "'''",
        'a"\nname = "b',
        "\\",
        "<script>alert(1)</script>",
        "{{ 7*7 }}",
        "# no note",
        "]]",
        "ñ😀",
        "a\tb",
    ],
)
def test_odd_text_is_written_as_text_and_shown_as_text(desk: AtDesk, file: Path, said: str) -> None:
    form = form_of(desk, "/settings/part/coop") | {"f-postal_address": f"1 Barn Road\r\n{said}"}
    answer = send(desk, "/settings/part/coop", form, do="save")
    assert answer.status_code == 200, answer.text
    assert read(file).postal_address == f"1 Barn Road\n{said}".strip()
    shown = desk.client.get("/settings/part/coop").text
    assert "<script>alert" not in shown
    assert (
        form_of(desk, "/settings/part/coop")["f-postal_address"] == f"1 Barn Road\n{said}".strip()
    )


def test_windows_are_moved_taken_out_and_added(desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/group?of=Lake") | {
        "f-windows-0-closes": "2026-12-07", "f-windows-1-opens": "2027-01-05", "f-windows-1-closes": "2027-01-10",
    }  # fmt: skip
    assert send(desk, "/settings/part/group", form, do="save").status_code == 200
    assert (
        "{ opens = 2026-12-01, closes = 2026-12-07 }, { opens = 2027-01-05, closes = 2027-01-10 }"
        in file.read_text()
    )
    form = form_of(desk, "/settings/part/group?of=Lake") | {
        "f-windows-0-opens": "",
        "f-windows-0-closes": "",
    }
    assert send(desk, "/settings/part/group", form, do="save").status_code == 200
    assert "windows = [{ opens = 2027-01-05, closes = 2027-01-10 }]" in file.read_text()


def test_a_site_is_added_with_its_group(desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/site") | {
        "f-name": 'Ada "Mill" / East', "f-address": "1 Mill Road, Ada, OH", "f-zip": "45810", "f-group": "Hill", "f-host": "Kit Stone",
    }  # fmt: skip
    refused = send(desk, "/settings/part/site", form | {"f-name": "lima grange"}, do="save")
    assert "There are two sites named" in html.unescape(refused.text)
    assert send(desk, "/settings/part/site", form, do="save").status_code == 200
    (site,) = [one for one in read(file).sites if one.group == "Hill" and one.zip5 == "45810"]
    assert site.name == 'Ada "Mill" / East'
    link = re.search(
        r'href="(/settings/part/site\?of=Ada[^"]*)"', desk.client.get("/settings").text
    )
    assert link
    assert "Kit Stone" in desk.client.get(html.unescape(link[1])).text
    assert desk.client.get("/settings/part/site?of=Nowhere").status_code == 404


def test_somebody_elses_change_meanwhile_is_told_and_stays(desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/coop")
    in_editor = (
        file.read_text().replace("hello@growers", "office@growers").replace("Test Growers", "Ours")
    )
    file.write_text(in_editor)
    for do in ("look", "save"):
        mine = form | {"f-name": "Mine", "f-shop_page": "https://mine.example.com"}
        answer = send(desk, "/settings/part/coop", mine, do=do)
        assert answer.status_code == 422
        assert "Somebody else has changed the settings file" in answer.text
        assert file.read_text() == in_editor
    page = html.unescape(answer.text)
    assert 'value="Ours Co-op"' in page  # both changed it: what the file says, and what was typed
    assert '<strong class="lines">Mine</strong>' in page
    assert 'value="office@growers.example.org"' in page  # only they changed it
    assert 'value="https://mine.example.com"' in page  # only I changed it
    assert page.count("You typed:") == 1


def test_a_change_between_preview_and_save_is_not_overwritten(
    desk: AtDesk, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from onboard.tasks import change_settings as task

    form = form_of(desk, "/settings/part/handle") | {"f-longest": "20"}
    theirs = file.read_text() + "# theirs\n"
    seen = task.written_settings(desk.place.office)
    monkeypatch.setattr("onboard.desk.rooms.settings.written_settings", lambda _: seen)
    file.write_text(theirs)
    answer = send(desk, "/settings/part/handle", form, do="save")
    assert "Somebody else has changed the settings file" in answer.text
    assert file.read_text() == theirs


def test_two_at_once_lose_nothing(desk: AtDesk, file: Path) -> None:
    from concurrent.futures import ThreadPoolExecutor

    from onboard.errors import ChangedMeanwhile
    from onboard.settings.editing import Edit
    from onboard.tasks.change_settings import change_settings, written_settings

    office = desk.place.office
    version = written_settings(office).version

    def save(longest: int) -> int:
        try:
            change_settings(office, [Edit("handle", "longest", longest)], version, keep=True)
        except ChangedMeanwhile:
            return 0
        return longest

    with ThreadPoolExecutor(4) as four:
        saved = [longest for longest in four.map(save, range(20, 28)) if longest]
    assert len(saved) == 1
    assert read(file).handle.longest == saved[0]


def test_a_full_disk_leaves_the_file_as_it_was(
    desk: AtDesk, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    before = file.read_bytes()
    form = form_of(desk, "/settings/part/handle") | {"f-longest": "20"}
    monkeypatch.setattr("onboard.tasks.change_settings.os.fsync", full)
    answer = send(desk, "/settings/part/handle", form, do="save")
    assert answer.status_code == 422
    assert "No space left on device" in answer.text
    assert file.read_bytes() == before
    with desk.place.office.reading() as connection:
        assert journal.read(connection, "roster") == []
    assert not list(file.parent.glob("*.part"))


def test_no_secret_and_no_place_of_a_secret_is_on_a_page_or_taken_from_one(
    desk: AtDesk, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ONBOARD_MAIL_SECRET", "hunter-of-secrets")
    roster = file.parent / "roster.db"
    file.write_text(
        file.read_text() + f'\n[files]\nroster = "{roster}"\noutbox = "outbox-of-ours"\n'
    )
    for part in ("mail", "mailbox"):
        page = desk.client.get(f"/settings/part/{part}").text
        assert "hunter-of-secrets" not in page
        assert "secret_from" not in page
        assert "secret_file" not in page
    assert desk.client.get("/settings/part/files").status_code == 404
    form = form_of(desk, "/settings/part/mail") | {
        "f-secret_from": "PATH",
        "f-secret_file": "/etc/passwd",
        "f-dkim_key": "/etc/passwd",
        "f-port": "465",
    }
    assert send(desk, "/settings/part/mail", form, do="save").status_code == 200
    assert "PATH" not in file.read_text()
    assert "passwd" not in file.read_text()
    assert "port = 465" in file.read_text()


def test_whoever_may_not_look_members_up_may_not_change_who_may(desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/desk")
    file.write_text(
        file.read_text()
        .replace("may_reissue", 'may_look_up = ["Ana"]\nmay_reissue')
        .replace('["Robin"]', '["Ana"]')
    )
    before = file.read_bytes()
    assert desk.client.get("/settings/part/desk").status_code == 403
    answer = send(desk, "/settings/part/desk", form | {"f-may_look_up": "Robin"}, do="save")
    assert answer.status_code == 403
    assert "not allowed to look up members" in answer.text
    assert file.read_bytes() == before
    assert "You may not change the settings." in desk.client.get("/settings").text


@pytest.mark.parametrize(
    "was", ["", "[]", "null", "{", '{"name": {"a": 1}}', "9" * 5000, "[" * 5000]
)
def test_what_a_page_carried_is_not_trusted(desk: AtDesk, file: Path, was: str) -> None:
    form = form_of(desk, "/settings/part/coop") | {"was": was, "version": "x", "f-name": "Mine"}
    assert send(desk, "/settings/part/coop", form).status_code == 422


def test_the_form_carries_what_it_started_from(desk: AtDesk, file: Path) -> None:
    was = json.loads(str(form_of(desk, "/settings/part/group?of=Lake")["was"]))
    assert was == {"windows": [{"opens": "2026-12-01", "closes": "2026-12-06"}]}


# ---------------------------------------------------------------- taken out, and windows in tables


def test_a_group_and_a_site_are_taken_out_once_nobody_is_left_behind(
    desk: AtDesk, file: Path
) -> None:
    file.write_text(
        file.read_text()
        + """
# The fair ground.
[[site]]
name = "Ada Mill"
address = "1 Mill Road, Ada, OH"
zip = "45810"
group = "Hill"
host = "Kit Stone"
"""
    )
    before = file.read_text()

    def without(kind: str, of: str, **more: str):  # type: ignore[no-untyped-def]
        version = form_of(desk, f"/settings/part/{kind}?of={of}")["version"]
        return desk.post(f"/settings/remove/{kind}", of=of, version=version, **more)

    refused = html.unescape(without("group", "Hill", do="save").text)
    assert (
        "“Hill” still has drop sites: Athens Barn, Ada Mill. First give each of them another group."
        in refused
    )
    preview = without("site", "Ada Mill")
    assert preview.status_code == 200
    gone = html.unescape(" ".join(re.findall(r"<del>(.*?)</del>", preview.text)))
    assert gone.startswith('[[site]] name = "Ada Mill" ')
    assert "Nothing is saved yet." in preview.text
    assert file.read_text() == before
    assert "The settings are saved." in without("site", "Ada Mill", do="save").text
    after = file.read_text()
    assert [site.name for site in read(file).sites] == ["Lima Grange", "Athens Barn"]
    assert after.strip().endswith("# The fair ground.")
    assert (file.parent / KEPT).read_text() == before
    barn = form_of(desk, "/settings/part/site?of=Athens Barn") | {"f-group": "Lake"}
    send(desk, "/settings/part/site", barn, do="save")
    assert "The settings are saved." in without("group", "Hill", do="save").text
    assert [group.name for group in read(file).groups] == ["Lake"]
    last = html.unescape(without("group", "Lake", do="save").text)
    assert "still has drop sites" in last
    assert desk.post("/settings/remove/site", of="Nowhere").status_code == 404
    assert desk.post("/settings/remove/coop", of="x").status_code == 404
    log = html.unescape(desk.client.get("/settings/change-log").text)
    for words in (
        "[[site]] “Ada Mill” taken out",
        "[site] group of “Athens Barn”",
        "[[group]] “Hill” taken out",
    ):
        assert words in log
    old = desk.post("/settings/remove/site", of="Athens Barn", version="x", do="save")
    assert "Somebody else has changed the settings file" in old.text


def test_the_lines_of_a_group_that_goes_are_its_own(desk: AtDesk, file: Path) -> None:
    windows = "windows = [\n    { opens = 2026-12-01, closes = 2026-12-06 },\n]"
    groups = "".join(
        f'[[group]]\nname = "{name}"\n{windows}\n\n' for name in ("Fen", "Bog", "Moor")
    )
    file.write_text(file.read_text().replace("[[group]]", f"{groups}[[group]]", 1))
    for name in ("Moor", "Fen", "Bog"):
        version = str(form_of(desk, f"/settings/part/group?of={name}")["version"])
        preview = desk.post("/settings/remove/group", of=name, version=version)
        gone = html.unescape("\n".join(re.findall(r"<del>(.*?)</del>", preview.text)))
        assert gone.strip() == f'[[group]]\nname = "{name}"\n{windows}'
        assert "<ins>" not in preview.text


def test_a_group_that_is_added_is_named_in_the_change_log(desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/group") | {"f-name": "Tarn"}
    preview = send(desk, "/settings/part/group", form)
    come = html.unescape("\n".join(re.findall(r"<ins>(.*?)</ins>", preview.text))).strip()
    assert come.startswith('[[group]]\nname = "Tarn"')
    assert send(desk, "/settings/part/group", form, do="save").status_code == 200
    assert "[[group]] “Tarn” added" in html.unescape(desk.client.get("/settings/change-log").text)


def test_a_site_with_members_is_not_taken_out(members: Office, desk: AtDesk, file: Path) -> None:
    form = form_of(desk, "/settings/part/site?of=Athens Barn")
    before = file.read_bytes()
    for do in ("", "save"):
        answer = desk.post(
            "/settings/remove/site", of="Lima Grange", version=str(form["version"]), do=do
        )
        assert answer.status_code == 422
        assert "“Lima Grange” is the drop site of 2 members" in html.unescape(answer.text)
    assert file.read_bytes() == before


def test_windows_that_the_file_writes_in_tables_are_changed_on_the_page(
    desk: AtDesk, file: Path
) -> None:
    lake = "windows = [{ opens = 2026-12-01, closes = 2026-12-06 }]"
    tables = """
# The first.
[[group.windows]]
opens = 2026-12-01
closes = 2026-12-06
"""
    before = file.read_text().replace(lake, tables)
    file.write_text(before)
    form = form_of(desk, "/settings/part/group?of=Lake")
    said = {
        "f-windows-0-closes": "Dec 7, 2026",
        "f-windows-1-opens": "Jan 5, 2027",
        "f-windows-1-closes": "1/10/2027",
    }
    assert send(desk, "/settings/part/group", form | said, do="save").status_code == 200
    assert file.read_text() == before.replace(
        "closes = 2026-12-06\n",
        "closes = 2026-12-07\n\n[[group.windows]]\nopens = 2027-01-05\ncloses = 2027-01-10\n",
    )


# ---------------------------------------------------------------- as people write it

RULE = """
[windows]
rotation = ["Lake", "Hill"]  # Ana's order
starts = "December 2026"
rest = ["July", "August 2027"]
opens = "First monday"
closes = "2 weeks later"
opens_at = "8 AM"
left_out = ["2027-04"]  # the barn is being painted
moved = [
    { month = "January 2027", opens = 2027-01-11, closes = 2027-01-20 },  # the fair
]
"""


@pytest.mark.parametrize("language", ["en", "es"])
def test_dates_and_rules_are_shown_and_taken_as_people_write_them(
    desk: AtDesk, file: Path, language: str
) -> None:
    before = file.read_text() + RULE
    file.write_text(before)
    desk.post("/language", language=language)
    path = "/settings/part/windows"
    shown = form_of(desk, path)
    page = desk.client.get(path).text.partition("<main")[2].partition('name="was"')
    page = page[0] + page[2].partition(">")[2]  # but for what the form started from
    assert not re.search(r"20\d\d-\d\d|[{] month", page)
    if language == "en":
        assert shown["f-starts"] == "December 2026"
        assert shown["f-moved-0-opens"] == "Jan 11, 2027"
        said = {
            "f-left_out": "April 2027\nJune 2027",
            "f-moved-0-closes": "1/21/2027",
            "f-opens": "second Monday",
        }
    else:
        assert shown["f-starts"] == "diciembre de 2026"
        assert shown["f-rest"] == "julio\nagosto de 2027"
        assert shown["f-opens"] == "primer lunes"
        assert shown["f-closes"] == "14 días después"
        assert shown["f-moved-0-opens"] == "11 ene 2027"
        assert "primer lunes" in desk.client.get(path).text.partition("f-opens-hint")[2][:300]
        said = {
            "f-left_out": "abril de 2027\njunio 2027",
            "f-moved-0-closes": "21 de enero de 2027",
            "f-opens": "El segundo lunes",
        }
    assert send(desk, path, shown).status_code == 422  # nothing is different
    preview = html.unescape(send(desk, path, shown | said).text)
    for words in (
        ("Jan 21, 2027", "June 2027")
        if language == "en"
        else ("21 ene 2027", "junio de 2027", "segundo lunes")
    ):
        assert words in preview.partition("<details>")[0]
    assert send(desk, path, shown | said, do="save").status_code == 200
    assert file.read_text() == (
        before.replace('["2027-04"]', '["2027-04", "2027-06"]')
        .replace("2027-01-20", "2027-01-21").replace("First monday", "second Monday")
    )  # fmt: skip


@pytest.mark.parametrize(
    ("part", "said", "told"),
    [
        ("group?of=Lake", {"f-windows-1-opens": "12/8/2026", "f-windows-1-closes": "Nov 7, 2026"}, "closes (Nov 7, 2026) before it opens (Dec 8, 2026)"),
        ("group?of=Lake", {"f-windows-1-opens": "soon", "f-windows-1-closes": "Jan 8, 2027"}, "First day 2 must be a day, written Dec 1, 2026."),
        ("windows", {"f-rotation": "Lake"}, "This is empty: fill it in."),
        ("windows", {"f-rotation": "Lake", "f-starts": "when we are ready"}, 'write the month as "December 2026"'),
        ("coop", {"f-name": ""}, "This is empty: fill it in."),
    ],
)  # fmt: skip
def test_a_mistake_at_its_field_does_not_repeat_the_label_and_has_days_as_people_write_them(
    desk: AtDesk, file: Path, part: str, said: dict[str, str], told: str
) -> None:
    path = f"/settings/part/{part}"
    page = html.unescape(send(desk, path, form_of(desk, path) | said).text)
    at_field = re.findall(r'<p class="error"[^>]*>(.*?)</p>', page, re.DOTALL)
    assert [told in one for one in at_field] == [True]
    assert "“" not in at_field[0]
    (link,) = re.findall(
        r'<a href="#([^"]+)">', page.partition('role="alert"')[2].partition("</div>")[0]
    )
    assert f'id="{link}-error"' in page


def test_the_change_log_takes_a_day_as_people_write_it(desk: AtDesk, file: Path) -> None:
    send(
        desk,
        "/settings/part/coop",
        form_of(desk, "/settings/part/coop") | {"f-name": "Ours"},
        do="save",
    )
    log = "/settings/change-log"
    for day in ("12/2/2026", "Dec 2, 2026", "2026-12-02"):
        assert (
            "settings changed"
            in desk.client.get(log, params={"day": day}).text.partition("<table")[2]
        )
    assert (
        "settings changed"
        not in desk.client.get(log, params={"day": "12/3/2026"}).text.partition("<table")[2]
    )
    assert "Write the day as Dec 1, 2026." in desk.client.get(log, params={"day": "soon"}).text


# ---------------------------------------------------------------- in a browser


def test_a_setting_is_changed_by_keyboard_and_every_state_is_for_everybody(
    tmp_path: Path, chromium: Browser
) -> None:
    file = tmp_path / "onboard.toml"
    file.write_text(settings_text(), "utf-8")
    with served(tmp_path, "--by", "Robin") as desk, new_page(chromium) as page:
        page.goto(desk.link)
        page.get_by_role("link", name="Settings and people").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Settings and people")
        see_that_it_is_kind(page)
        for part in (*PARTS, "group", "site"):
            page.goto(f"{desk.base}/settings/part/{part}")
            see_that_it_is_kind(page)
        page.goto(f"{desk.base}/settings")
        page.get_by_role("link", name="Lake").press("Enter")
        see_that_it_is_kind(page)
        page.get_by_label("Last day 1").fill("2026-11-30")
        page.get_by_role("button", name="Preview the change").press("Enter")
        expect(page.get_by_role("alert")).to_be_focused()
        expect(page.get_by_role("alert")).to_contain_text("closes (Nov 30, 2026) before it opens")
        see_that_it_is_kind(page)
        page.get_by_role("alert").get_by_role("link").press("Enter")
        expect(page.get_by_label("Last day 1")).to_be_focused()
        page.get_by_label("Last day 1").fill("2026-12-07")
        page.get_by_role("button", name="Preview the change").press("Enter")
        expect(page.get_by_role("heading", level=1)).to_have_text("Preview of the change")
        expect(page.get_by_role("cell", name="Dec 1, 2026 – Dec 7, 2026")).to_be_visible()
        page.get_by_text("The lines of the settings file").press("Enter")
        expect(page.get_by_text("closes = 2026-12-07")).to_be_visible()
        see_that_it_is_kind(page)
        page.get_by_role("button", name="Change it again").press("Enter")
        expect(page.get_by_label("Last day 1")).to_have_value("Dec 7, 2026")
        page.get_by_role("button", name="Preview the change").press("Enter")
        page.get_by_role("button", name="Save it").press("Enter")
        expect(page.get_by_role("status")).to_contain_text("The settings are saved.")
        expect(page.get_by_role("heading", level=1)).to_have_text("Windows and sites")
        assert file.read_text("utf-8") == settings_text().replace("2026-12-06", "2026-12-07")
        page.get_by_role("button", name="Español").press("Enter")
        page.goto(f"{desk.base}/settings/part/mail")
        see_that_it_is_kind(page)
