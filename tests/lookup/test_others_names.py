"""Another person's name is no slip: who says a name that people bear, and not the one on file, is asked."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.office import Office
from onboard.tasks.look_up import look_up

MEMBERS = """Handle,First name,Last name,Phone,Address,City,State,ZIP,Drop site
joanackroyd,Joan,Ackroyd,608-555-0110,,Lodi,WI,53555,Creekside Barn
claudemercier,Claude,Mercier,608-555-0101,12 Hall St,Lodi,WI,53555,Creekside Barn
tuanpham,Tuan,Pham,608-555-0102,,Lodi,WI,53555,Creekside Barn
husseinabdi,Hussein,Abdi,608-555-0103,,Lodi,WI,53555,Creekside Barn
hilariosoto,Hilario,Soto,608-555-0104,,Lodi,WI,53555,Creekside Barn
maryannfarr,Mary Ann,Farr,608-555-0105,,Lodi,WI,53555,Creekside Barn
kirstennightingale,Kirsten,Nightingale,608-555-0106,,Lodi,WI,53555,Creekside Barn
elisabethzorn,Elisabeth,Zorn,608-555-0107,,Lodi,WI,53555,Creekside Barn
sarahwexler,Sarah,Wexler,608-555-0108,,Lodi,WI,53555,Creekside Barn
rosemarieklug,Rosemarie S.,Klug,608-555-0109,,Lodi,WI,53555,Creekside Barn
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    folder = tmp_path_factory.mktemp("lodi")
    with taken_over(folder, SETTINGS.replace("Lima Grange", "Creekside Barn"), MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("Claudia Mercier", "claudemercier"), ("John Ackroyd", "joanackroyd"), ("Claudette Mercier", "claudemercier"), ("Tuan Phan", "tuanpham"),
        ("Hassan Abdi", "husseinabdi"), ("Hilaria Soto", "hilariosoto"), ("Anna Farr", "maryannfarr"),
        ("Bee Nightingale", "kirstennightingale"), ("Jay Nightingale", "kirstennightingale"),
        ("Will Nightingale", "kirstennightingale"), ("Elisa Zorn", "elisabethzorn"),
        ("Sally Wechsler", "sarahwexler"), ("Marie Farr", "maryannfarr"),
    ],
)  # fmt: skip
def test_another_ones_name_is_no_clear_match(desk: Office, name: str, near: str) -> None:
    phone = next(
        found.facts.phones[0] for found in look_up(desk, near).found if found.handle == near
    )
    for said in ("{}, Lodi", "Hi, this is {} from Lodi, it won't let me in", f"{{}}, my phone is {phone}", "{} at the Creekside Barn",
                 name.replace(" ", "").lower() + ", Creekside Barn"):  # fmt: skip
        assert not look_up(desk, said.format(name)).safe_to_open, said


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Beth Zorn, Lodi", "elisabethzorn"),
        ("Elizabeth Zorn, Lodi", "elisabethzorn"),
        ("Sara Wexler from Lodi", "sarahwexler"),
        ("Tuan Phsm, Lodi", "tuanpham"),
        ("Mary Farr, Lodi", "maryannfarr"),
        ("Hussein Abdi, Lodi", "husseinabdi"),
        ("This is Rosemarie S. Klug, Lodi", "rosemarieklug"),
    ],
)
def test_a_short_form_another_spelling_and_a_slip_are_clear(
    desk: Office, said: str, who: str
) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.safe_to_open) == (who, True)


def test_who_has_the_same_of_something_is_not_meant(desk: Office) -> None:
    finds = look_up(desk, "Tuan Pham, Lodi, I have the same mail as Hussein")
    assert finds.found[0].handle == "tuanpham"
    assert finds.found[0].confidence > 0.95
