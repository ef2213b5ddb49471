"""What stands where a last name does is one, whatever word it is; and a street needs no number."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.lookup.sentence import tokens
from onboard.office import Office
from onboard.tasks.look_up import look_up

MEMBERS = """Handle,First name,Last name,Phone,Address,City,State,ZIP,Drop site
torvaldmaki,Torvald,Maki,608-555-0101,12 Hall St,Lodi,WI,53555,Creekside Barn
beatricepaz,Beatrice,Paz,608-555-0102,1201 Union St,Lodi,WI,53555,Creekside Barn
xeeher,Xee,Her,608-555-0103,9 Oak Rd,Lodi,WI,53555,Creekside Barn
minhdo,Minh,Do,608-555-0104,31 Carroll Ave,Lodi,WI,53555,Creekside Barn
ottoweir,Otto,Weir,608-555-0105,31 Orchard Rd,Lodi,WI,53555,Creekside Barn
ottoweir2,Otto,Weir,608-555-0106,8 Elm Ct,Lodi,WI,53555,Creekside Barn
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    folder = tmp_path_factory.mktemp("lodi")
    with taken_over(folder, SETTINGS.replace("Lima Grange", "Creekside Barn"), MEMBERS) as office:
        yield office


# Last names of the 2020 Census that are words of everyday talk, of the trade, or of places.
WORDS = [
    "Her",
    "Le",
    "Do",
    "So",
    "Su",
    "To",
    "Ha",
    "Law",
    "Page",
    "Link",
    "Will",
    "Hall",
    "Pass",
    "Driver",
    "Call",
    "Hey",
    "Pastor",
    "Cousin",
    "You",
]


@pytest.mark.parametrize("word", WORDS)
def test_an_everyday_word_behind_a_first_name_is_another_last_name(desk: Office, word: str) -> None:
    for said in (
        "Torvald {} from Lodi", "Hi, this is Torvald {} in Lodi", "My name is Torvald {}, Lodi, it won't let me in",
        "Torvald {} from Creekside Barn", "Torvald J. {}, Lodi", "hi this is torvald {} in lodi",
        "Torvald {}, 608-555-0101", "This is Torvald {}",
    ):  # fmt: skip
        finds = look_up(desk, said.format(word.lower() if said.startswith("hi ") else word))
        assert not finds.safe_to_open, said


def test_the_name_of_a_state_may_be_a_last_name(desk: Office) -> None:
    assert not look_up(desk, "Beatrice Washington, Lodi").safe_to_open
    assert look_up(desk, "Beatrice Paz, Lodi, Washington").found[0].handle == "beatricepaz"


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Xee Her, Lodi", "xeeher"),
        ("Minh Do from Lodi", "minhdo"),
        ("hi this is minh do in lodi", "minhdo"),
        ("This is Torvald Maki over in Lodi", "torvaldmaki"),
        ("Hi This Is Torvald Maki From Lodi", "torvaldmaki"),
        ("Torvald Maki here, Lodi", "torvaldmaki"),
    ],
)
def test_who_has_the_last_name_is_one_clear_match(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.safe_to_open) == (who, True)


@pytest.mark.parametrize(
    "said", ["{} Union Street", "{} Union St", "{} Union", "{} I live on Union Street"]
)
def test_a_street_without_its_number_agrees(desk: Office, said: str) -> None:
    finds = look_up(desk, said.format("Beatrice Paz,"))
    assert (finds.found[0].handle, finds.safe_to_open) == ("beatricepaz", True)
    assert all(clue.agrees for clue in finds.found[0].clues)


def test_a_street_tells_two_of_one_name_apart(desk: Office) -> None:
    one, other, *_ = look_up(desk, "Otto Weir from Orchard Road").found
    assert (one.handle, other.handle) == ("ottoweir", "ottoweir2")
    assert one.confidence > 5 * other.confidence
    assert look_up(desk, "Minh Do, Carroll Avenue").safe_to_open


def test_a_word_that_ends_no_name_is_none() -> None:
    for said in ("Hi This Is Ana From Lima", "this is ana from lima", "ana again, in lima", "Ana Calling From Lima"):  # fmt: skip
        names = [token.word for token in tokens(said) if token.is_name]
        assert names == ["ana", "lima"], said
