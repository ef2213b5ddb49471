"""Who is meant where a caller names others: the one who needs something, not whoever is only named beside them."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS

from onboard.office import Office
from onboard.tasks.look_up import look_up

MEMBERS = """Handle,First name,Last name,Email,Phone,Address,City,State,ZIP,Drop site
sigridmoe,Sigrid,Moe,moes@example.org,503-555-0101,12 Elm St,Lodi,WI,53555,Creekside Barn
ketilmoe,Ketil,Moe,moes@example.org,503-555-0101,12 Elm St,Lodi,WI,53555,Creekside Barn
ansgarvik,Ansgar,Vik Sr,av@example.org,503-555-0102,14 Elm St,Lodi,WI,53555,Creekside Barn
ansgarvik2,Ansgar,Vik,av2@example.org,503-555-0103,14 Elm St,Lodi,WI,53555,Creekside Barn
willpage,Will,Page,wp@example.org,503-555-0104,16 Elm St,Lodi,WI,53555,Creekside Barn
sthyacinthskitchen,St. Hyacinth's Kitchen,,sh@example.org,503-555-0105,18 Elm St,Lodi,WI,53555,Creekside Barn
hyacintharoy,Hyacintha,Roy,hr@example.org,503-555-0106,20 Elm St,Lodi,WI,53555,Creekside Barn
theogenedoucet,Théogène,Doucet,td@example.org,503-555-0107,22 Elm St,Lodi,WI,53555,Creekside Barn
theresedoucet,Thérèse,Doucet,thd@example.org,503-555-0108,24 Elm St,Lodi,WI,53555,Creekside Barn
abdulquaderi,Abdul,Quaderi,aq@example.org,503-555-0109,26 Elm St,Lodi,WI,53555,Creekside Barn
prudenciobaca,Prudencio,Baca,pb@example.org,503-555-0110,28 Parkway Dr,Boone,IA,50036,Creekside Barn
nancydelarosa,Nancy,De La Rosa,nr@example.org,503-555-0111,30 Elm St,Lodi,WI,53555,Creekside Barn
yusufrahim,Yusuf,Rahim,yr@example.org,503-555-0112,32 Elm St,Lodi,WI,53555,Creekside Barn
yusufrahim2,Yusuf,Rahim,yr2@example.org,503-555-0113,34 Elm St,Boone,IA,50036,Creekside Barn
hollowbirchfarm,Hollow Birch Farm,,hb@example.org,503-555-0114,36 Elm St,Lodi,WI,53555,Creekside Barn
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A co-op of fifteen."""
    settings = SETTINGS.replace("Lima Grange", "Creekside Barn")
    with taken_over(tmp_path_factory.mktemp("lodi"), settings, MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("This is Sigrid Moe, it's Ketil who can't get in, not me", "ketilmoe"),
        ("Ketil Moe here. Sigrid's the one who lost it, though.", "sigridmoe"),
        ("Sigrid Moe, it's about Ketil's password", "ketilmoe"),
        ("I'm Sigrid Moe and it's Ketil's that's broken", "ketilmoe"),
        ("Ketil Moe. Sigrid can't find her letter.", "sigridmoe"),
        ("Hi, I'm Dana, there's a gentleman at the desk, Abdul Quaderi, who needs a new password", "abdulquaderi"),
        ("Soy Jorge Villa y llamo por Nancy De La Rosa", "nancydelarosa"),
    ],
)  # fmt: skip
def test_whoever_needs_something_is_meant(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.for_another, finds.safe_to_open) == (who, True, False)


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Sigrid Moe, Ketil is my husband, mine is a separate account", "sigridmoe"),
        ("Buenas, soy Sigrid Moe, comparto el correo con Ketil", "sigridmoe"),
        ("Ansgar Vik, the daddy not the boy", "ansgarvik"),
        ("Ansgar Vik, I'm the young one", "ansgarvik2"),
        ("Ketil Moe, no soy Sigrid, soy de Lodi", "ketilmoe"),
        ("The neighbor across the road told me you could help, I'm Will Page", "willpage"),
        ("The fellow at the hall gave me this number. I'm Will Page, Lodi", "willpage"),
        ("Mornin', this is Will Page", "willpage"),
        ("Yes ma'am, Ketil Moe, Lodi, I share the mailbox with my sister", "ketilmoe"),
        ("Ansgar Vik senior, Lodi, the page is blank", "ansgarvik"),
        ("Yusuf Rahim in Lodi, not the one in Boone", "yusufrahim"),
        ("Will Page from Lodi, morning", "willpage"),
        ("Hei, Prudencio Baca from Boone, I lost the paper with the word on it", "prudenciobaca"),
        ("Buenos días, soy don Prudencio Baca de Boone, no me deja entrar", "prudenciobaca"),
        ("Prudencio Baca, Parkway Drive", "prudenciobaca"),
        ("Bonjour, it's Tay-o-jen Doucet, I can't get in", "theogenedoucet"),
        ("Saint Hyacinth's kitchen, it won't load", "sthyacinthskitchen"),
    ],
)
def test_who_names_others_speaks_for_themselves(desk: Office, said: str, who: str) -> None:
    finds = look_up(desk, said)
    assert (finds.found[0].handle, finds.for_another) == (who, False)
    assert finds.found[0].confidence > 0.7


@pytest.mark.parametrize(
    "said",
    ["I share it with my wife and she can't get in, Ketil Moe, Lodi", "My name is Hollow, Birch Street", "Ketil Moe is my husband, Lodi", "It's Ketil Moe who can't get in"],
)  # fmt: skip
def test_a_name_that_is_not_the_callers_makes_nobody_one_clear_match(
    desk: Office, said: str
) -> None:
    assert not look_up(desk, said).safe_to_open


def test_a_name_that_only_may_be_on_the_screen_is_not_meant(desk: Office) -> None:
    finds = look_up(desk, "Sigrid Moe, and if it's Ketil's account you see, that's the wrong one")
    assert finds.found[0].handle == "sigridmoe"
    assert not finds.safe_to_open
