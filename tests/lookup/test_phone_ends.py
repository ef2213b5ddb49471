"""The end of a phone, which a hundred have on a large roster: beside a name and a drop site it finds one, not all."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from called_members import coop, load
from sqlalchemy import Connection

from onboard.lookup.facts import place
from onboard.lookup.said import read
from onboard.model import Owner
from onboard.roster import candidates, store
from onboard.tasks.look_up import meant_by

PEOPLE = [
    ("1", "Nils", "Sundby", "+15075550101", "Boone Mill"),
    ("2", "Ida", "Quick", "+15085550101", "Lodi Barn"),
    ("3", "Nils", "Voss", "+15095550101", "Lodi Barn"),
    ("4", "Otto", "Bratt", "+15105550101", "Lodi Barn"),
    ("5", "Otto", "Larue", "+15105550199", "Boone Mill"),
]
SETTINGS = coop({"Boone Mill", "Lodi Barn"})


@pytest.fixture
def connection() -> Iterator[Connection]:
    """Five members, four with phones that end alike."""
    engine = store.open_store("sqlite://")
    columns = ("id", "first", "last", "phone", "site")
    lines = [
        dict.fromkeys(("middle", "former", "email"), "")
        | dict(zip(columns, one, strict=True))
        | {"handle": (one[1] + one[2]).lower()}
        for one in PEOPLE
    ]
    load(engine, lines)
    with store.reading(engine) as reading:
        yield reading
    engine.dispose()


def weighed(connection: Connection, said: str, site: str) -> set[int]:
    sites = {place(site.name) for site in SETTINGS.sites}
    found = candidates.gather(connection, read(said, sites, site=place(site)))
    return {doc // 2 for doc in found.facts}


def first(connection: Connection, said: str, site: str) -> Owner:
    return meant_by(connection, SETTINGS, said, site=site).found[0].owner


def test_who_is_elsewhere_and_has_none_of_the_names_is_not_weighed_beside_who_is_there(
    connection: Connection,
) -> None:
    # The other Nils may be meant, at a drop site that was said wrongly.
    assert weighed(connection, "Nils Brevik 0101", "Boone Mill") == {1, 3}
    assert first(connection, "Nils Brevik 0101", "Boone Mill") == "member:1"


@pytest.mark.parametrize(
    ("said", "site", "who"),
    [("Otto Bratt 0101", "Boone Mill", "member:4"), ("Aida Kwik 0101", "Boone Mill", "member:2"),
     ("Nils 0101", "", "member:1"), ("Ida 0101", "Lodi Barn", "member:2")],
)  # fmt: skip
def test_who_said_the_wrong_drop_site_or_none_is_found_by_the_end(
    connection: Connection, said: str, site: str, who: str
) -> None:
    found = meant_by(connection, SETTINGS, said, site=site).found
    assert who in {one.owner for one in found[:2]}
