"""The notice about a drop site: its words, as an email and as a letter."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from packets_made import COOP, member
from plain_words import english_grade, spanish_ease
from test_packet import prose

from onboard.model import PersonName, SiteNews, ToldSite
from onboard.settings import Group, Site, Window
from onboard.welcome import letters
from onboard.welcome.notice import Notice
from onboard.welcome.site_news import about, site_news
from onboard.windows import follow

NOW = datetime(2026, 11, 25, 15, tzinfo=UTC)
OLD = Site("Lima Grange Hall", "12 Elm Street, Lima, OH", "45801", "Lake", "Robin Vale")
NEW = Site(
    "Cridersville Shed", "3 Main Street, Cridersville, OH", "45806", "Hill", "Lee Darby", "(419) 555-0104",
    pickup_day="Saturday", pickup_hours="9 to 11 a.m.",
)  # fmt: skip
SAME = replace(NEW, group="Lake")
GROUPS = (
    Group("Lake", (Window(date(2026, 12, 1), date(2026, 12, 6)),)),
    Group("Hill", (Window(date(2026, 12, 8), date(2026, 12, 13)), Window(date(2027, 2, 1), date(2027, 2, 6)))),
)  # fmt: skip
CLOSES = ToldSite(SiteNews.CLOSES, OLD.name, date(2027, 1, 15), NEW.name)
EACH = {
    "closes": CLOSES,
    "closes, no day": replace(CLOSES, on=None),
    "closes, nowhere to go": replace(CLOSES, instead=""),
    "moved": ToldSite(SiteNews.MOVED, OLD.name, date(2027, 1, 15)),
    "opens": ToldSite(SiteNews.OPENS, NEW.name),
    "now": ToldSite(SiteNews.NOW, NEW.name),
}


def notice(
    told: ToldSite, language: str = "en", *, by_email: bool = True, new: Site = NEW, **who: object
) -> Notice:
    coop = replace(COOP, sites=(OLD, new), groups=GROUPS)
    whom = replace(
        member(language=language), site=OLD.name, address=("40 OAK ST", "LIMA OH 45806"), **who
    )  # type: ignore[arg-type]
    what = about(whom, told, coop, follow((), coop, NOW), NOW)
    return site_news(whom, what, coop, NOW, by_email=by_email)


def words(told: ToldSite, language: str = "en", **other: object) -> str:
    return " ".join(notice(told, language, **other).text.split())  # type: ignore[arg-type]


def test_a_site_that_closes_is_told_with_its_last_day_and_where_to_go() -> None:
    said = words(CLOSES)
    assert (
        "Your drop site, Lima Grange Hall, will close. The last day is Friday, January 15, 2027."
        in said
    )
    assert "After that, you can pick up your orders here, less than 1 mile from you:" in said
    for fact in ("Cridersville Shed, 3 Main Street, Cridersville, OH", "Host: Lee Darby, (419) 555-0104",
                 "Pickup: Saturday, 9 to 11 a.m.", "The road is longer."):  # fmt: skip
        assert fact in said
    assert "From Tuesday, December 8, 2026 through Sunday, December 13, 2026" in said
    assert "A calendar file comes with this email." in said


def test_within_a_group_the_days_stay_the_same() -> None:
    one = notice(CLOSES, new=SAME)
    assert "Your ordering days stay the same." in " ".join(one.text.split())
    assert b"text/calendar" not in one.message


def test_where_nobody_knows_a_site_the_member_is_asked_to_call() -> None:
    said = words(EACH["closes, nowhere to go"])
    assert "We want to find a new site with you. Please call us." in said
    assert "ordering days stay" not in said
    assert "road" not in said


def test_a_new_site_is_asked_about_and_moves_nobody() -> None:
    one = notice(EACH["opens"])
    said = " ".join(one.text.split())
    assert "You pick up at Lima Grange Hall now. That is about 6 miles from you." in said
    assert (
        "Do you want to pick up at the new site? Then tell us. If you do nothing, nothing changes."
        in said
    )
    assert "The new site has its own ordering days:" in said
    assert b"text/calendar" not in one.message


def test_whose_zip_code_is_not_known_hears_no_miles() -> None:
    said = words(EACH["opens"], new=replace(NEW, zip5="45800"))
    assert "mile" not in said
    assert "road" not in said


@pytest.mark.parametrize("name", EACH)
@pytest.mark.parametrize("language", ["en", "es"])
def test_it_is_an_email_or_a_letter_and_says_nothing_odd(name: str, language: str) -> None:
    by_email, by_letter = notice(EACH[name], language), notice(EACH[name], language, by_email=False)
    assert by_email.message
    assert not by_email.letter
    assert not by_letter.message
    assert "calendar" not in by_letter.text
    assert letters.pdf([by_letter], COOP).startswith(b"%PDF")
    for text in (by_email.text, by_letter.text):
        said = " ".join(text.split())
        assert ".." not in said
        assert " ," not in said
        assert " ." not in said
        assert "**" not in said
        assert "None" not in said
    last = " ".join(by_email.text.split())
    assert ("tell us" if language == "en" else "díganos") in last


@pytest.mark.parametrize("name", EACH)
def test_english_is_for_a_twelve_year_old_and_spanish_as_plain(name: str) -> None:
    bare = {
        language: re.sub(r"https?://\S+|\S+@\S+", "it", prose(notice(EACH[name], language).text))
        for language in ("en", "es")
    }
    assert english_grade(bare["en"]) <= 6
    assert spanish_ease(bare["es"]) >= 70


@pytest.mark.parametrize(("language", "greeting"), [("en", "Hello,"), ("es", "Hola:")])
def test_who_has_no_name_on_file_is_greeted_without_one(language: str, greeting: str) -> None:
    assert greeting in notice(CLOSES, language, name=PersonName("")).text.splitlines()
