"""What the tests of the desk share: a co-op in memory, and somebody signed in."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import browser
import pytest
from at_desk import BASE, HOME, PORT, AtDesk, Clock, coop_in, fill
from audit import decay
from starlette.testclient import TestClient

from onboard.desk import desking
from onboard.desk.place import Place
from onboard.office import Office
from onboard.roster import store

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.fixture
def clock() -> Clock:
    """The desk's clock."""
    return Clock()


@pytest.fixture(scope="session")
def enrolled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the roster and outbox of Pat Lee (1) and Kim Vale (2); the form of another Kim Vale is on hold."""
    return fill(tmp_path_factory.mktemp("enrolled"))


@pytest.fixture(scope="session")
def decayed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a roster of 160 in which known things are out of date, made once."""
    folder = tmp_path_factory.mktemp("decayed")
    decay.make(folder, 160, 3)
    return folder


@pytest.fixture
def members(enrolled: Path, tmp_path: Path, clock: Clock) -> Iterator[Office]:
    """The office with these members, and Robin at work, who may issue passwords."""
    shutil.copytree(enrolled, tmp_path, dirs_exist_ok=True)
    office = Office(coop_in(tmp_path), who="Robin", now=clock)
    yield office
    office.close()


@pytest.fixture
def office(clock: Clock, tmp_path: Path) -> Iterator[Office]:
    """The office with nobody on the roster, and Robin at work."""
    engine = store.open_store("sqlite://")
    yield Office(coop_in(tmp_path), engine, who="Robin", now=clock)
    engine.dispose()


@pytest.fixture
def outside(request: pytest.FixtureRequest, clock: Clock) -> AtDesk:
    """A desk at which nobody is signed in: with the members, where a test asks for them."""
    office: Office = request.getfixturevalue(
        "members" if "members" in request.fixturenames else "office"
    )
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
