"""What callers tell besides who they are: it hides nobody, and is heard where it speaks of somebody else."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.lookup.said import read
from onboard.lookup.sentence import tokens
from onboard.office import Office
from onboard.tasks.look_up import look_up

MEMBERS = """Handle,First name,Last name,Phone,Address,City,State,ZIP,Drop site
miroslawgrabowski,Mirosław,Grabowski,507-555-0101,12 Elm St,Odessa,MN,56276,Odessa Mill
odessaquick,Odessa,Quick,507-555-0102,14 Elm St,Boone,IA,50036,Odessa Mill
odessavoss,Odessa,Voss,507-555-0103,16 Elm St,Boone,IA,50036,Odessa Mill
andrzejwojtowicz,Andrzej,Wójtowicz,507-555-0105,18 Elm St,Boone,IA,50036,Odessa Mill
stcolmansparishkitchen,St. Colman's Parish Kitchen,,507-555-0106,20 Elm St,Boone,IA,50036,Odessa Mill
ourladyofthelakechurch,Our Lady of the Lake Church,,507-555-0107,22 Elm St,Boone,IA,50036,Odessa Mill
colemanbratt,Coleman,Bratt,507-555-0108,24 Elm St,Boone,IA,50036,Odessa Mill
nilssundby,Nils,Sundby,507-555-0109,26 Elm St,Boone,IA,50036,Odessa Mill
peterjohnlarue,Peter John,Larue Sr,507-555-0110,28 Elm St,Boone,IA,50036,Odessa Mill
peterjohnlarue2,Peter John,Larue Jr,507-555-0111,30 Elm St,Boone,IA,50036,Odessa Mill
idapettibone,Ida,Pettibone,507-555-0112,32 Elm St,Boone,IA,50036,Odessa Mill
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A co-op of eleven, with a town that is a first name too."""
    settings = SETTINGS.replace("Lima Grange", "Odessa Mill")
    with taken_over(tmp_path_factory.mktemp("odessa"), settings, MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("This is Miro Graboffski from Odessa, it won't let me in", "miroslawgrabowski"),
        ("Andy Voytovich, Boone, says my account is not recognized", "andrzejwojtowicz"),
        ("St Colman's kitchen calling, we can't order for Sunday", "stcolmansparishkitchen"),
        ("P J Larue the son", "peterjohnlarue2"),
        ("It's P. J. Larue, the father, good morning", "peterjohnlarue"),
    ],
)
def test_what_is_told_besides_hides_nobody(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert finds.found[0].handle == who
    assert finds.found[0].confidence > 0.9


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Our Lady of the Lake Church", "ourladyofthelakechurch"),
        ("The lady at the store told me to call. This is Ida Pettibone, Boone", "idapettibone"),
        ("Monday the man down at the mill gave me your number. I'm Ida Pettibone.", "idapettibone"),
    ],
)
def test_who_speaks_for_themselves_has_one_clear_match(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.safe_to_open, finds.for_another) == (who, True, False)


@pytest.mark.parametrize(
    "said",
    ["The mister threw the paper away. {}", "Mister can't get in. {}", "The hubs lost his password. {}",
     "My missis can't see the page. {}", "Our lady can't get in. {}"],
)  # fmt: skip
def test_who_speaks_of_somebody_of_theirs_has_none(desk: Office, said: str) -> None:
    finds = look_up(desk, said.format("Ida Pettibone, Boone"))
    assert finds.found[0].handle == "idapettibone"
    assert not finds.safe_to_open


@pytest.mark.parametrize("said", ["Mister Ida Pettibone", "I'm Mister Nils Sundby, hello"])
def test_a_title_speaks_of_nobody_else(desk: Office, said: str) -> None:
    (told,) = {one.told for one in read(said) if one.told} or {()}
    assert all(not token.is_name for token in told if token.word == "mister")
    if "I'm" in said:
        assert look_up(desk, said).safe_to_open


def test_days_and_months_are_no_names_but_where_a_name_stands() -> None:
    weights = {t.word: t.weight for t in tokens("I ordered on Sunday, in October, this is Ida Pettibone")}  # fmt: skip
    assert weights["sunday"] == weights["october"] == 0
    named = {t.word: t.weight for t in tokens("my name is Sunday Pettibone, in Boone")}
    assert named["sunday"] > 0


@pytest.mark.parametrize("said", ["Delphine Archer, Odessa", "This is Delphine Archer from the mill"])  # fmt: skip
def test_a_drop_site_that_was_given_is_not_asked_for_where_nobody_fits(
    desk: Office, said: str
) -> None:
    assert look_up(desk, said).ask not in ("site", "")


def test_nor_is_that_of_the_town_it_is_named_for(desk: Office) -> None:
    finds = look_up(desk, "Miro Grabowsky in Odessa, I get my cheese every month")
    assert finds.found[0].handle == "miroslawgrabowski"
    assert finds.ask not in ("site", "")
