"""What is odd about settings that read cleanly: told before a packet shows it to a member."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from coop_forms import PAT, ROBIN, form, office_of
from sqlalchemy import Engine

from onboard import settings
from onboard.errors import SettingsTrouble
from onboard.reports.decisions import Seen
from onboard.roster import store
from onboard.settings import Settings
from onboard.tasks.enroll_batch import enroll_batch
from onboard.tasks.settings_doubts import doubts
from onboard.tasks.write_packets import write_packets

DEMO = Path(__file__).parents[1] / "fixtures_demo" / "onboard.toml"


@pytest.fixture
def engine() -> Engine:
    return store.open_store("sqlite://")


@pytest.fixture
def starter(tmp_path: Path) -> Settings:
    file = tmp_path / "onboard.toml"
    file.write_text(settings.starter())
    return settings.read(file)


def test_settings_that_nobody_filled_in_make_no_packets(
    starter: Settings, engine: Engine, tmp_path: Path
) -> None:
    office = office_of(starter, engine, ROBIN)
    forms = [form(**PAT | {"site": "Lima Grange Hall"})]
    with pytest.raises(SettingsTrouble) as trouble:
        enroll_batch(office, forms, Seen(tmp_path / "forms.csv"), keep=True)
    for key in ("name", "ordering_page", "shop_page", "sender", "reply_phone", "postal_address"):
        assert f"[coop] {key} is still the sample" in str(trouble.value)
    for key in ("address", "host phone"):
        assert f"[[site]] Lima Grange Hall: the {key} is still the sample" in str(trouble.value)
    with pytest.raises(SettingsTrouble, match="still has sample values"):
        write_packets(office)
    assert not list(starter.outbox.glob("*"))


def test_a_zone_without_summer_time_and_a_guide_that_is_nobodys_are_told(tmp_path: Path) -> None:
    file = tmp_path / "onboard.toml"
    text = DEMO.read_text("utf-8")
    file.write_text(text.replace("America/Chicago", "EST", 1), "utf-8")
    own = settings.read(file)
    told = "Your time zone EST has no daylight saving time."
    assert [one for one in doubts(own) if told in one]
    assert not [one for one in doubts(settings.read(DEMO)) if "daylight" in one]
    page = "https://our-coop.example.org/guide"
    sample = replace(own, guide=replace(own.guide, page=page))
    assert [one for one in doubts(sample) if "[guide] page is still the sample" in one]


def test_a_preview_says_which_values_are_still_samples(
    starter: Settings, engine: Engine, tmp_path: Path
) -> None:
    office = office_of(starter, engine, ROBIN)
    forms = [form(**PAT | {"site": "Lima Grange Hall"})]
    done = enroll_batch(office, forms, Seen(tmp_path / "forms.csv"), keep=False)
    assert done.sums.rows == 1
    assert "[coop] reply_phone is still the sample “(555) 555-0100”. Fill it in." in done.sums.notes


@pytest.mark.parametrize("key", ["ordering_page", "sender", "reply_phone", "postal_address"])
def test_one_value_left_as_it_was_is_enough(
    coop: Settings, starter: Settings, engine: Engine, key: str
) -> None:
    office = office_of(replace(coop, **{key: getattr(starter, key)}), engine, ROBIN)
    with pytest.raises(SettingsTrouble, match=f"{key} is still the sample"):
        write_packets(office)


def test_the_demo_has_values_of_its_own(coop: Settings) -> None:
    """Its pages and phones are invented too."""
    assert doubts(settings.read(DEMO)) == ()
    assert doubts(coop) == ()


@pytest.mark.parametrize(
    ("where", "zip5", "told"),
    [
        ("12 Elm St, Lima OH", "10001",
         "ZIP code 10001 is in New York, NY, but the address says Lima, OH."),
        ("9 Ash St, Athens, Ohio", "19103",
         "ZIP code 19103 is in Philadelphia, PA, but the address says Athens, OH."),
        ("12 Elm St, Lima OH", "00001", "we don't know ZIP code 00001."),
    ],
)  # fmt: skip
def test_a_zip_code_that_is_not_where_its_site_is_told(
    coop: Settings, engine: Engine, tmp_path: Path, where: str, zip5: str, told: str
) -> None:
    there = replace(coop.sites[0], address=where, zip5=zip5)
    odd = replace(coop, sites=(there, coop.sites[1]))
    words = f"Drop site Lima Grange: {told} Fix it in the settings."
    assert doubts(odd) == (words,)
    done = enroll_batch(
        office_of(odd, engine, ROBIN), [form(**PAT)], Seen(tmp_path / "forms.csv"), keep=False
    )
    assert words in done.sums.notes


@pytest.mark.parametrize(
    ("where", "zip5"),
    [
        ("the barn behind the church, Viroqua WI", "54665"),
        ("12 Elm St", "45801"),
        ("12 Elm St, Shawnee Township, OH", "45806"),
        ("Salón Comunal, Calle 5, Ponce PR 00730", "00730"),
    ],
)
def test_an_address_that_says_little_is_left_in_peace(
    coop: Settings, where: str, zip5: str
) -> None:
    assert doubts(replace(coop, sites=(replace(coop.sites[0], address=where, zip5=zip5),))) == ()


@pytest.mark.parametrize("said", ["555-0143", "5550143", "419-555", "x"])
@pytest.mark.parametrize("key", ["reply_phone", "host_phone"])
def test_a_phone_without_its_area_code_is_a_mistake(tmp_path: Path, key: str, said: str) -> None:
    file = tmp_path / "onboard.toml"
    sample = {"reply_phone": "(555) 555-0100", "host_phone": "(419) 555-0101"}[key]
    file.write_text(settings.starter().replace(f'{key} = "{sample}"', f'{key} = "{said}"'))
    with pytest.raises(SettingsTrouble, match="with its area code"):
        settings.read(file)
