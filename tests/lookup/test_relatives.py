"""Relatives in what a caller says: who is meant, who comes up by the way, and who is found at home."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.lookup.said import read
from onboard.office import Office
from onboard.tasks.look_up import look_up

MEMBERS = """Handle,First name,Last name,Phone,Address,City,State,ZIP,Drop site
bramvisser,Bram,Visser,,12 Elm St,Lodi,WI,53555,Creekside Barn
nellvisser,Nell,Visser,,12 Elm Street,Lodi,WI,53555,Creekside Barn
isabelbell,Isabel,Bell,608-555-0101,9 Oak Rd,Lodi,WI,53555,Creekside Barn
alanbell,Alan,Bell,608-555-0101,,,,,Creekside Barn
robindiaz,Robin,Diaz,608-555-0102,,,,,Creekside Barn
davidmoor,David,Moor,608-555-0103,31 Elm St,Lodi,WI,53555,Creekside Barn
wkeane,Winnifred,Keane,608-555-0104,14 Elm St,Lodi,WI,53555,Creekside Barn
okeane,Otto,Keane,608-555-0105,16 Elm St,Lodi,WI,53555,Creekside Barn
pybarra,Perpetua,Ybarra,608-555-0106,,,,,Creekside Barn
hsoto,Horacio,Soto,608-555-0107,,,,,Creekside Barn
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A co-op with two couples and two who live alone."""
    folder = tmp_path_factory.mktemp("rye")
    with taken_over(folder, SETTINGS.replace("Lima Grange", "Creekside Barn"), MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Bram Visser here, my wife Nell usually orders", "bramvisser"),
        ("This is Nell Visser, my daughter signed me up", "nellvisser"),
        ("My cousin told me about it, I'm David Moor in Lodi", "davidmoor"),
        ("David Moor. Lodi. I'm on my son's phone.", "davidmoor"),
        ("mi hija me inscribió, soy David Moor", "davidmoor"),
        ("I am David Moor and my wife died", "davidmoor"),
        ("Mrs. Robin Diaz", "robindiaz"),
        ("Hiya, Nell Visser in Lodi. My grandson typed all of it in for me.", "nellvisser"),
        ("David Moor. Lodi. My wife normally takes care of this.", "davidmoor"),
        ("I live with my mother, this is David Moor in Lodi", "davidmoor"),
        ("I'm David Moor from Lodi, my brother recommended you", "davidmoor"),
        ("Hello, can you he- it's Nell Visser in Lodi", "nellvisser"),
    ],
)
def test_who_speaks_of_a_relative_by_the_way_speaks_for_themselves(
    desk: Office, said: str, who: str
) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.for_another, finds.says_died) == (who, False, False)
    assert finds.safe_to_open


@pytest.mark.parametrize(
    ("said", "who", "caller"),
    [
        ("my wife can't get in, this is Bram Visser", "nellvisser", "bramvisser"),
        ("This is Bram Visser. My wife Nell can't get in.", "nellvisser", "bramvisser"),
        ("I'm Isabel Bell in Lodi, my husband forgot his password", "alanbell", "isabelbell"),
        ("Isabel Bell, it's my husband who is locked out", "alanbell", "isabelbell"),
        ("Mi esposo no puede entrar, soy Isabel Bell", "alanbell", "isabelbell"),
        ("I am Isabel Bell and my husband died", "alanbell", "isabelbell"),
        ("Mrs. Alan Bell, Lodi", "isabelbell", "alanbell"),
        ("Mr. Isabel Bell", "alanbell", "isabelbell"),
    ],
)
def test_a_relative_whom_nobody_names_is_found_at_home(
    desk: Office, said: str, who: str, caller: str
) -> None:
    finds = look_up(desk, said)
    assert [one.handle for one in finds.found[:2]] == [who, caller]
    assert finds.found[0].clues[0].kind == "household"
    assert finds.for_another
    assert not finds.safe_to_open
    assert finds.says_died is ("died" in said)


@pytest.mark.parametrize(
    "said",
    ["my wife can't get in, this is David Moor", "My brother can't get in. Isabel Bell, Lodi.",
     "my wife died, this is David Moor, please close her account", "Mrs. David Moor"],
)  # fmt: skip
def test_where_the_household_has_nobody_who_fits_the_caller_is_shown_and_never_safe(
    desk: Office, said: str
) -> None:
    finds = look_up(desk, said)
    assert finds.found[0].handle in ("davidmoor", "isabelbell")
    assert (finds.safe_to_open, finds.for_another, finds.says_died) == (False, True, False)


@pytest.mark.parametrize("said", ["Creekside", "creekside barn", "at the Creekside barn"])
def test_a_drop_site_that_was_said_is_not_asked_for(desk: Office, said: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found, finds.ask, finds.more) == ((), "family name", True)


def test_what_is_another_ones_town_is_not_theirs(desk: Office) -> None:
    (told,) = {one.told for one in read("It's Pat Lee, but not the Lodi one, I'm in Boone") if one.told}  # fmt: skip
    weights = {token.word: token.weight for token in told}
    assert weights["lodi"] < weights["boone"]


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("llamo por mi vecina doña Winnifred, la viuda de Keane", "wkeane"),
        ("llamo por Perpetua Ybarra, viuda de Soto", "pybarra"),
        ("ayudo a doña Perpetua Ybarra, vda. de Soto", "pybarra"),
        ("le hablo de parte de Perpetua Ybarra, la viuda de don Horacio Soto", "pybarra"),
        ("calling about my neighbor Perpetua Ybarra, the widow of Soto", "pybarra"),
        ("I'm calling for Perpetua Ybarra, widow of Horacio Soto", "pybarra"),
        ("calling for my neighbor Winnifred, the widow of Otto Keane", "wkeane"),
        ("calling about Winifred Keane, the widow of Otto Keane", "wkeane"),
        ("I'm calling for the widow of Keane", "wkeane"),
    ],
)
def test_a_widow_who_is_meant_is_alive_and_somebody_calls_for_her(
    desk: Office, said: str, who: str
) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.says_died) == (who, False)
    assert finds.for_another
    assert not finds.safe_to_open


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("I'm the widow of Otto Keane", "okeane"),
        ("the widow of Otto Keane here", "okeane"),
        ("soy la viuda de Otto Keane", "okeane"),
        ("I'm the widower of Winnifred Keane", "wkeane"),
        ("the widow of Horacio Soto speaking", "hsoto"),
        ("this is the widow of Soto", "hsoto"),
        ("calling for my aunt Perpetua Ybarra, widow of Soto, she died last week", "pybarra"),
    ],
)
def test_who_left_a_widow_has_died(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.says_died, finds.for_another) == (who, True, True)
    assert not finds.safe_to_open


@pytest.mark.parametrize(
    "said", ["I'm Perpetua Ybarra, the widow of Soto", "Perpetua Ybarra, es viuda"]
)
def test_a_widow_who_calls_is_no_death(desk: Office, said: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.says_died, finds.for_another) == ("pybarra", False, False)


@pytest.mark.parametrize(
    "said",
    [
        "The wife can't get in. {}", "Wife's account is locked. {}", "wifes login is broken. {}", "Husband's password expired. {}",
        "Gram can't get in. {}", "Meemaw's locked out. {}", "The missus forgot hers. {}", "{} The old lady can't sign in.",
        "It's not for me. {}", "This isn't for me. {}", "They can't get in. {}", "Their account is locked. {}", "It won't let them in. {}",
        "Neighbor needs a new password. {}", "A friend can't get in. {}", "The in-laws can't order. {}", "My ex wife can't get in. {}",
        "La señora no puede entrar. {}", "Mi señora no puede entrar. {}", "El marido no puede entrar. {}", "Él no puede entrar. {}",
        "No es para mí. {}", "This call isn't about me. {}", "The better half can't log on. {}", "It's the neighbor lady's account. {}",
        "The lad down the road forgot his password. {}", "A la vecina no le llega la carta. {}", "Se le perdió la contraseña. {}", "No puede entrar. {}", "La abuela perdió su contraseña. {}", "Se le olvidó la contraseña. {}",
        "The ladies next door can't order. {}", "Our treasurer lost the letter. {}", "A man from church can't sign in. {}",
        "One of our drivers can't sign in. {}", "I'm not the member. {}", "Ellos no pueden entrar. {}", "A él no le funciona. {}",
        "La vecina de arriba no puede ordenar. {}", "Una amiga perdió la clave. {}",
    ],
)  # fmt: skip
def test_who_speaks_of_somebody_without_a_word_for_whose_they_are_is_no_clear_match(
    desk: Office, said: str
) -> None:
    for name in ("David Moor.", "Perpetua Ybarra."):
        finds = look_up(desk, said.format(name))
        assert finds.for_another, said
        assert not finds.safe_to_open, said


@pytest.mark.parametrize(
    "said",
    [
        "Buenas tardes señora, soy Perpetua Ybarra", "Habla la señora Perpetua Ybarra", "They won't let me in. Perpetua Ybarra",
        "This is Perpetua Ybarra, the neighbor told me about you", "This is Perpetua Ybarra, the kids usually do this for me",
        "Perpetua Ybarra. They changed the page.", "Perpetua Ybarra, half of my order is gone",
    ],
)  # fmt: skip
def test_who_is_called_so_or_speaks_of_others_by_the_way_speaks_for_themselves(
    desk: Office, said: str
) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.for_another) == ("pybarra", False)
    assert finds.safe_to_open


@pytest.mark.parametrize(
    "said",
    [
        "The page won't load. {}", "The site needs my password. {}", "A box needs something in it. {}", "The email never came. {}",
        "La clave no sirve. {}", "The last page needs a code. {}", "One of the boxes can't be filled in. {}",
    ],
)  # fmt: skip
def test_who_speaks_of_a_thing_of_the_page_speaks_for_themselves(desk: Office, said: str) -> None:
    finds = look_up(desk, said.format("Perpetua Ybarra."))
    assert not finds.for_another
    assert finds.safe_to_open
