"""Members are found by the town that they say they live in, whatever the post office calls it; and more
that callers of small places say."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.lookup import contacts
from onboard.office import Office
from onboard.roster import index_check
from onboard.tasks.look_up import look_up

# Vesper, Rudolph and Arpin: their ZIP codes here are those of other towns, as on many a form.
MEMBERS = """Handle,First name,Last name,Phone,Address,City,State,ZIP,Drop site
mavisrudd,Mavis,Rudd,715-555-0101,12 Elm St,Rudolph,WI,54481,Prairie Net Loft
mavisrudd2,Mavis,Rudd,715-555-0102,40 Oak St,Arpin,WI,54481,Prairie Net Loft
mavisrudd3,Mavis,Rudd,715-555-0103,9 Ash St,Stevens Point,WI,54481,Prairie Net Loft
florencerobichaud,Florence,Robichaud,715-555-0104,8 Ash St,Stevens Point,WI,54481,Prairie Net Loft
ghyslainboudreau,Ghyslain,Boudreau,715-555-0105,7 Ash St,Stevens Point,WI,54481,Prairie Net Loft
hortenseabel,Hortense,Abel,715-555-0106,6 Ash St,Stevens Point,WI,54481,Prairie Net Loft
orenvick,Oren,Vick,715-555-0107,5 Ash St,Stevens Point,WI,54481,Prairie Net Loft
verlavick,Verla,Vick,715-555-0107,5 Ash St,Stevens Point,WI,54481,Prairie Net Loft
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A co-op of eight, three of one name in three towns of one ZIP code."""
    folder = tmp_path_factory.mktemp("net")
    settings = SETTINGS.replace("Lima Grange", "Prairie Net Loft")
    with taken_over(folder, settings, MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("hello it's Mavis Rudd, out in Rudolph, the page is stuck", "mavisrudd"),
        ("hello it's Mavis Rudd, out in Arpin, the page is stuck", "mavisrudd2"),
        ("hello it's Mavis Rudd, here in Stevens Point, the page is stuck", "mavisrudd3"),
        ("hi, Hortense Abel at the net loft, Stevens Point", "hortenseabel"),
        ("Flo Robishow, good morning", "florencerobichaud"),
        ("Jislan Boodro, can you hear me", "ghyslainboudreau"),
        ("my son came with his two dogs and anyway this is Oren Vick", "orenvick"),
    ],
)
def test_whoever_is_meant_is_first(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert finds.found[0].handle == who
    assert not finds.for_another


def test_a_town_that_only_the_form_names_is_told_as_theirs(desk: Office) -> None:
    finds = look_up(desk, "this is Mavis Rudd in Arpin")
    assert finds.lead > 0
    assert any(clue.kind == "town" and clue.known == "arpin" for clue in finds.found[0].clues)


def test_the_index_is_as_the_roster_is(desk: Office) -> None:
    with desk.reading() as connection:
        assert index_check.check(connection) == []


@pytest.mark.parametrize("said", ["it is ana ruiz at the net loft", "i get it at my biz barn"])
def test_a_place_is_no_mailbox(said: str) -> None:
    assert all(emails == () for _, emails in contacts.mailboxes(f" {said} "))


def test_a_mailbox_behind_a_place_is_one() -> None:
    said = " i am at the net loft, write to ana at example dot org "
    assert ("ana", "example.org") in {
        one for _, emails in contacts.mailboxes(said) for one in emails
    }
