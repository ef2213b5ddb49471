"""Members are found by a last name whose particles the caller leaves out."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from adopted import taken_over
from cli.office import SETTINGS
from coop_forms import PAT, form

from onboard.office import Office
from onboard.tasks.look_up import look_up
from onboard.tasks.process_batch import process_batch

MEMBERS = """Handle,First name,Last name,Phone,Drop site
fcruz,Fermín,de la Cruz,608-555-0110,Lima Grange
mcruz,María del Carmen,de la Cruz,608-555-0111,Lima Grange
dbaca,Dolores,C. de Baca,608-555-0112,Lima Grange
cortiz,Carmela,Zúñiga de Ortiz,608-555-0113,Lima Grange
lruiz,Leocadia,Montaño vda. de Ruiz,608-555-0114,Lima Grange
ano,Anselmo,de la O,608-555-0115,Lima Grange
evalle,Eulalia,Rentería viuda de Valle,608-555-0119,Lima Grange
gberg,Griet,van der Berg,608-555-0116,Lima Grange
hrio,Higinio,del Río,608-555-0117,Lima Grange
mjohn,Mabel,St. John,608-555-0118,Lima Grange
"""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A co-op of members whose last names have particles."""
    folder = tmp_path_factory.mktemp("particles")
    with taken_over(folder, SETTINGS, MEMBERS) as office:
        yield office


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Fermin Cruz", "fcruz"),
        ("Cruz, Fermin", "fcruz"),
        ("fermincruz", "fcruz"),
        ("This is Fermin Cruz, I can't get in", "fcruz"),
        ("Fermin de la Cruz", "fcruz"),
        ("Carmen Cruz", "mcruz"),
        ("Dolores Baca", "dbaca"),
        ("Dolores C. de Baca", "dbaca"),
        ("Carmela Ortiz", "cortiz"),
        ("Carmela Zuniga", "cortiz"),
        ("Leocadia Ruiz", "lruiz"),
        ("Eulalia Valle", "evalle"),
        ("soy Leocadia Ruiz y no puedo entrar", "lruiz"),
        ("soy Anselmo de la O", "ano"),
        ("Griet Berg", "gberg"),
        ("Higinio Rio", "hrio"),
    ],
)
def test_a_last_name_without_its_particles_finds_its_member(
    desk: Office, said: str, who: str
) -> None:
    finds = look_up(desk, said)
    assert [one.handle for one in finds.found] == [who]
    assert finds.safe_to_open


def test_who_said_a_last_name_of_particles_alone_is_not_asked_for_it(desk: Office) -> None:
    finds = look_up(desk, "Anselmo de la O")
    assert [one.handle for one in finds.found] == ["ano"]
    assert finds.ask != "family name"


def test_saint_is_no_particle_that_is_left_out(desk: Office) -> None:
    assert not look_up(desk, "Mabel John").safe_to_open
    assert look_up(desk, "Mabel St John").found[0].handle == "mjohn"


def test_a_join_form_on_hold_does_not_hide_a_member_with_particles(desk: Office) -> None:
    row = form(3, **(PAT | {"full_name": "Leocadia Ruiz", "email": "", "phone": "", "street": ""}))
    process_batch(desk, [row], file="forms.csv", keep=True)
    finds = look_up(desk, "Leocadia Ruiz")
    assert {(one.handle, one.standing) for one in finds.found} == {("", "hold"), ("lruiz", "open")}
    assert not finds.safe_to_open
