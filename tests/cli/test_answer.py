"""One form on hold answered: what becomes of it, and of another form that is like it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cli.office import onboard, write_csv

HOME = ("14 Alder Lane", "Lima", "OH", "45801", "Lima Grange")
JOINT = ("Owen & Lark Dunmore", "owen.dunmore@example.org", "419-555-0142", *HOME)
LARK = ("Lark Dunmore", "lark.dunmore@example.org", "419-555-0142", *HOME)


@pytest.fixture
def keys(office: Path) -> dict[str, str]:
    """The keys of two forms on hold, by name: one of a couple, and one of one of the two."""
    write_csv(office / "two.csv", [JOINT, LARK])
    onboard("batch", "two.csv", "--record")
    held = {name: key for key, name in re.findall(r"(\w{6}) +\d +(\w+) Dunmore", _listed())}
    assert held.keys() == {"Owen", "Lark"}
    return held


def _listed() -> str:
    return onboard("answer").out


@pytest.mark.parametrize(
    ("words", "members"),
    [
        (("enroll", "--correct", "full_name=Owen Dunmore"), 1),
        (("enroll", "--correct", "full_name=Wren Castellan"), 1),
        (("drop",), 0),
    ],
)
def test_an_answer_enrolls_nobody_but_whom_it_is_about(
    keys: dict[str, str], words: tuple[str, ...], members: int
) -> None:
    said = onboard("answer", keys["Owen"], *words, "--by", "Robin")
    assert said.code == 1, "Lark's form waits for its own answer"
    assert "1 form still on hold." in said.out
    assert "Lark Dunmore:" not in said.out
    packets = onboard("packets").out
    assert packets.count("Mail a letter instead") == members, "a form on hold has this mailbox too"
    assert "0 to make" in packets
    # A batch judges the forms on hold again, and enrolls her no more than the answer did.
    sums = onboard("batch", "two.csv", "--record", "--json").json()[-1]["sums"]
    assert (sums["enrolled"], sums["on hold"]) == (0, 1)
    assert f"{keys['Lark']}    3  Lark Dunmore" in _listed()
    own = onboard("answer", keys["Lark"], "enroll", "--by", "Robin")
    assert own.out.startswith("Lark Dunmore: new member. Robin decided: a new person\n")
    # Her form, while it was on hold, might have been a change of his email: his packet waited for it.
    assert f"{members + 1} to make" in onboard("packets").out


def test_a_form_of_whoever_was_enrolled_by_an_answer_is_theirs(keys: dict[str, str]) -> None:
    said = onboard("answer", keys["Owen"], "enroll", "--correct", "name=Lark Dunmore")
    other = next(one for one in said.out.splitlines() if "already a member" in one)
    assert re.match(r"Lark Dunmore: already a member\. \d+% sure: same first name", other)
    assert "given before" not in said.out
    assert "(larkdunmore): owen.dunmore@example.org" in onboard("packets").out, "two emails: asked"


@pytest.mark.parametrize("field", ["name", "full_name", "Full name"])
def test_a_correction_is_called_by_plain_words(keys: dict[str, str], field: str) -> None:
    said = onboard(
        "answer", keys["Owen"], "enroll", "--correct", f"{field}=Owen Dunmore",
        "--correct", "email address=owen@example.net", "--correct", "drop site=Lima Grange",
    )  # fmt: skip
    assert "Owen Dunmore: new member." in said.out


def test_of_a_word_that_is_no_field_the_usual_ones_are_told(keys: dict[str, str]) -> None:
    said = onboard("answer", keys["Owen"], "enroll", "--correct", "nickel=x")
    assert (said.code, said.err) == (
        2,
        "There is no field nickel to correct. You can correct name, first name, last name, email, "
        "phone, address, city, state, zip or site.\n",
    )


def test_a_form_of_two_people_comes_with_the_line_to_type(keys: dict[str, str]) -> None:
    line = f"onboard answer {keys['Owen']} enroll --correct 'name=Owen Dunmore'"
    assert f"For Owen Dunmore: {line}\n" in _listed()
