"""The files of the guide: what is written, what is left alone, and the words in them."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path
from typing import Any

import guide_made
import pytest
from icalendar import Calendar
from plain_words import english_grade, spanish_ease, spanish_inflesz
from pypdf import PdfReader

from onboard.errors import FileTrouble, SettingsTrouble
from onboard.guide import LANGUAGES, PAGES, handout
from onboard.guide.days import days
from onboard.settings import HandleRule, PasswordRule, read
from onboard.settings.guide import GuideRule
from onboard.tables import zip_codes
from onboard.welcome import letters


@pytest.fixture(scope="module")
def guide(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The guide of the demo."""
    return guide_made.write(tmp_path_factory.mktemp("guide"), guide_made.settings())


# ---------------------------------------------------------------- files


def test_all_is_there_and_calendars_are_sound(guide: Path) -> None:
    names = {str(file.relative_to(guide)) for file in guide.rglob("*") if file.is_file()}
    assert {
        "index.html",
        "contact.vcf",
        "calendar/group-bluff.ics",
        "calendar/group-bluff-es.ics",
    } <= names
    for language in LANGUAGES:
        assert {f"{language}/{page}.html" for page in ("index", *PAGES)} <= names
        assert f"{language}/handout.pdf" in names
    for file in (guide / "calendar").glob("*.ics"):
        assert Calendar.from_ical(file.read_bytes()).events


def test_made_again_it_is_the_same(guide: Path, tmp_path: Path) -> None:
    for name in ("index.html", "en/where.html", "es/sign-in.html"):
        again = guide_made.page(tmp_path, guide_made.settings(), name)
        assert (guide / name).read_bytes() == again.read_bytes()


def test_a_file_of_somebody_else_stays_and_nothing_is_written(tmp_path: Path) -> None:
    folder = tmp_path / "guide"
    folder.mkdir()
    (folder / "index.html").write_text("<h1>Our own page</h1>")
    with pytest.raises(FileTrouble, match=r"index\.html is not a file that this program made"):
        guide_made.write(tmp_path, guide_made.settings())
    assert [file.name for file in folder.iterdir()] == ["index.html"]
    assert (folder / "index.html").read_text() == "<h1>Our own page</h1>"


def test_a_guide_is_made_over_an_older_one(tmp_path: Path) -> None:
    made = guide_made.write(tmp_path, guide_made.settings())
    guide_made.write(tmp_path, guide_made.settings(coop="Another Name"))
    for file in made.rglob("*.html"):
        assert "Another Name" in file.read_text("utf-8")


def test_settings_are_read_and_wrong_ones_told(tmp_path: Path) -> None:
    file = tmp_path / "onboard.toml"
    text = guide_made.DEMO.read_text("utf-8")
    file.write_text(
        text.replace(
            "[files]", '[guide]\npage = "https://a.example.org/help/"\nshows = ["host"]\n\n[files]'
        )
    )
    assert read(file).guide == GuideRule("https://a.example.org/help", ("host",))
    file.write_text(
        text.replace("[files]", '[guide]\npage = "a.example.org"\nshows = ["members"]\n\n[files]')
    )
    with pytest.raises(SettingsTrouble) as trouble:
        read(file)
    assert "[guide] page is" in str(trouble.value)
    assert "it knows address and host and phone only" in str(trouble.value)


# ---------------------------------------------------------------- words


class _Words(HTMLParser):
    """The text of a page, a sentence or more for each block."""

    def __init__(self) -> None:
        super().__init__()
        self.out: list[str] = [""]
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.hidden += tag in ("script", "style", "svg", "title", "nav", "table")
        if tag in ("p", "li", "h1", "h2", "h3", "summary", "label", "button", "figcaption", "div"):
            self.out.append("")

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("script", "style", "svg", "title", "nav", "table")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.out[-1] += data


def words_of(file: Path) -> str:
    """What a page says; addresses of pages and of mail, which have no sentence, as one plain word."""
    parser = _Words()
    parser.feed(file.read_text("utf-8"))
    lines = [" ".join(unescape(line).split()) for line in parser.out]
    lines = [re.sub(r"(?:https?://)?\S+@?\.example\S*", "page", line) for line in lines if line]
    return " ".join(line if line[-1] in ".?!:" else f"{line}." for line in lines)


OTHERWISE = {
    "handle": HandleRule(last_names="first"), "password": PasswordRule(set_by_member=True), "security_question": True,
    "guide": guide_made.ALL_OF_A_SITE,
}  # fmt: skip


@pytest.mark.parametrize("other", [{}, OTHERWISE], ids=("demo", "otherwise"))
def test_the_words_are_for_a_twelve_year_old(tmp_path: Path, other: dict[str, Any]) -> None:
    coop = guide_made.settings(**other)
    for page in PAGES:
        english = words_of(guide_made.page(tmp_path, coop, f"en/{page}.html"))
        assert english_grade(english) <= 6, english
        spanish = words_of(guide_made.page(tmp_path, coop, f"es/{page}.html"))
        assert spanish_ease(spanish) >= 70, spanish
        assert spanish_inflesz(spanish) >= 65, spanish


def test_every_settings_choice_is_told_in_words(tmp_path: Path) -> None:
    page = words_of(guide_made.page(tmp_path, guide_made.settings(**OTHERWISE), "en/sign-in.html"))
    assert "the first of your last names" in page
    assert "josenunez" in page
    assert "josenunezortiz" not in page
    assert "click Set a password" in page
    assert "temporary password" not in page
    assert "a question that only you can answer" in page


def test_a_coop_without_a_shop_page_or_windows_has_a_guide(tmp_path: Path) -> None:
    coop = guide_made.settings(shop_page="")
    bare = replace(coop, groups=tuple(replace(group, windows=()) for group in coop.groups))
    folder = guide_made.write(tmp_path, bare)
    assert "It is our shop" not in words_of(folder / "en" / "sign-in.html")
    assert "No days are set yet." in words_of(folder / "en" / "when.html")
    assert not list((folder / "calendar").glob("*.ics"))


def test_markup_in_the_settings_is_shown_as_text(tmp_path: Path) -> None:
    odd = '</script><b onclick="x">&amp;'
    coop = guide_made.settings(coop=odd)
    site = replace(coop.sites[0], name=odd, host=odd, pickup_hours=odd)
    folder = guide_made.write(
        tmp_path, replace(coop, sites=(site, *coop.sites[1:]), guide=guide_made.ALL_OF_A_SITE)
    )
    for file in folder.rglob("*.html"):
        assert odd not in file.read_text("utf-8")


@pytest.mark.parametrize("many", [1, 36, 37, 50, 60, 70])
def test_sites_all_over_the_country_fit_on_a_page(tmp_path: Path, many: int) -> None:
    coop = guide_made.settings(guide=guide_made.ALL_OF_A_SITE)
    zips = [line.split("\t") for line in zip_codes.lines().values()][:: 42_000 // many][:many]
    sites = tuple(
        replace(
            coop.sites[0], name=f"{town.title()} Community Hall", zip5=zip5, group=coop.groups[n % 4].name,
            address=f"{n} Long Meadow Road, {town.title()}, {state}",
        )
        for n, (zip5, town, state, *_) in enumerate(zips)
    )  # fmt: skip
    page = guide_made.page(tmp_path, replace(coop, sites=sites), "es/where.html")
    assert page.stat().st_size <= 60_000
    text = page.read_text("utf-8")
    assert text.count("<h3>") == many
    assert text.count('class="label"') > min(many, 40) // 2  # some labels name two
    (near,) = re.findall(r'"near":"([^"]*)"', text)
    assert near.count("|") > 150  # the towns next to them


def test_sites_of_two_clocks_are_told_apart_and_those_of_one_are_not() -> None:
    coop = guide_made.settings()
    first, second, third, *others = (one for one in coop.sites if not one.closed)
    group = coop.groups[0].name

    def titles(language: str, *zones: str) -> dict[str, set[str]]:
        three = zip((first, second, third), zones, strict=True)
        moved = [replace(one, group=group, time_zone=zone) for one, zone in three]
        rest = (replace(one, group=coop.groups[1].name) for one in others)
        found = days(replace(coop, sites=(*moved, *rest)), guide_made.NOW, language)
        return {
            one.title: {site.name for site in one.sites} for one in found if one.group.name == group
        }

    # In Arizona clocks stay in summer. (tzdata, America/Phoenix).
    apart = titles("en", "America/Phoenix", "America/Denver", "America/Boise")
    assert apart == {
        f"{group} (Mountain Standard Time)": {first.name},
        f"{group} (Mountain Time)": {second.name, third.name},
    }
    spanish = titles("es", "Pacific/Honolulu", "America/Puerto_Rico", "America/Puerto_Rico")
    assert list(spanish) == [f"{group} (hora de Hawái)", f"{group} (hora estándar del Atlántico)"]
    alike = titles("en", "America/Detroit", "America/New_York", "America/Indiana/Indianapolis")
    assert alike == {group: {first.name, second.name, third.name}}
    moved = replace(
        coop,
        sites=(
            replace(first, time_zone="America/Phoenix"),
            replace(first, name="Barn", time_zone="America/Denver"),
        ),
    )
    found = tuple(days(moved, guide_made.NOW, "en"))
    data = handout.data(moved, found, guide_made.NOW, "en")
    named = {row["group"] for row in data["rows"]}  # type: ignore[attr-defined]
    assert {f"{first.group} (Mountain Time)", f"{first.group} (Mountain Standard Time)"} <= named


# ---------------------------------------------------------------- hand-out


@pytest.mark.parametrize("many", [1, 4, 40])
def test_the_handout_has_two_sides_and_is_for_everybody(many: int) -> None:
    coop = guide_made.settings()
    groups = tuple(replace(coop.groups[1], name=f"Group {n}") for n in range(many))
    sites = tuple(
        replace(coop.sites[0], name=f"Site number {n}", group=f"Group {n % many}")
        for n in range(3 * many)
    )
    coop = replace(coop, groups=groups, sites=sites)
    for language, title in (("en", "When can I order?"), ("es", "¿Cuándo puedo pedir?")):
        found = tuple(days(coop, guide_made.NOW, language))
        data = handout.data(coop, found, guide_made.NOW, language)
        pdf = PdfReader(BytesIO(letters.handout(data, coop)))
        assert len(pdf.pages) == 2
        assert title in pdf.pages[1].extract_text()
        assert pdf.trailer["/Root"]["/Lang"].startswith(language)
        assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]
        assert "pdfuaid:part" in pdf.trailer["/Root"]["/Metadata"].get_data().decode()
