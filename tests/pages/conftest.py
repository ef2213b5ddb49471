"""What the tests of the desk share: a co-op in memory, and somebody signed in."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import browser
import pytest
from at_desk import BASE, HOME, PORT, AtDesk, Clock
from starlette.testclient import TestClient

from onboard.desk import desking
from onboard.desk.place import Place
from onboard.office import Office
from onboard.roster import store
from onboard.settings import DeskRule, Settings

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture
def clock() -> Clock:
    """The desk's clock."""
    return Clock()


@pytest.fixture
def office(coop: Settings, clock: Clock) -> Iterator[Office]:
    """The office, with Robin at work, who may issue passwords."""
    engine = store.open_store("sqlite://")
    settings = replace(coop, desk=DeskRule(may_reissue=("Robin",)))
    yield Office(settings, engine, who="Robin", now=clock)
    engine.dispose()


@pytest.fixture
def outside(office: Office, clock: Clock) -> AtDesk:
    """A desk at which nobody is signed in."""
    place = Place.at_home(office, PORT)
    app = desking.make(place)
    return AtDesk(app, place, TestClient(app, base_url=BASE, raise_server_exceptions=False), clock)


@pytest.fixture
def desk(outside: AtDesk) -> AtDesk:
    """A desk at which Robin is signed in."""
    outside.sign_in()
    return outside


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A folder with the demo co-op's settings."""
    shutil.copy(HOME / "fixtures_demo" / "onboard.toml", tmp_path)
    return tmp_path


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A browser for all tests."""
    if not browser.CHROMIUM:
        pytest.skip("Chromium is not installed: apt-get install chromium")
    with browser.chromium() as made:
        yield made
