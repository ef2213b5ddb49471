"""Texts that speak of somebody, and texts that do not."""

from __future__ import annotations

import pytest

from onboard.lookup.mentions import Known, Whom
from onboard.model import Owner, Person

X = "[deleted member]"
PAT = Person(
    Owner("member:1"), "Pat", "Ann", "Lee", email="pat.lee@example.org", phone="+14195550143"
)
HANDLE = frozenset({"patlee"})


def whom(*people: Person, **more: object) -> Whom:
    return Whom(Known(people or (PAT,), HANDLE, frozenset({1}), **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("Pat Lee called", f"{X} called"),
        ("Lee, Pat asked for milk", f"{X} asked for milk"),
        ("picks up for pat … lee", f"picks up for {X}"),
        ("ask Mrs Lee (Pat) first", f"ask {X} first"),
        ("Mrs. Lee (Pat Ann) is her aunt", f"{X} is her aunt"),
        ("PAT A. LEE's neighbor", f"{X}'s neighbor"),
        ("Pat Ann Lee, the host", f"{X}, the host"),
        ("same porch as Pát Léé", f"same porch as {X}"),
        ("Patricia Lee brings her", f"{X} brings her"),
        ("P. Lee brings her", f"{X} brings her"),
        ("Lee, P brings her", f"{X} brings her"),
        ("rides with Lee", f"rides with {X}"),
        ("Pat Lee and Kim Lee share a car", f"{X} and Kim Lee share a car"),
        ("Kim Lee, Pat Lee's wife", f"Kim Lee, {X}'s wife"),
        ("Pat Lee asked for Pat Moor", f"{X} asked for Pat Moor"),
        ("Pat called for her. Lee is the last name.", f"{X} called for her. {X} is the last name."),
        ("Pat Lee called. Pat wants milk.", f"{X} called. {X} wants milk."),
        ("wrote to pat.lee@example.org twice", f"wrote to {X} twice"),
        ("wrote to Pat.Lee@gmial.com", f"wrote to {X}"),
        ("call (419) 555-0143.", f"call {X}."),
        ("call +1 419 555 0143 or 555-0143", f"call {X} or {X}"),
        ("419.555.0143 or 419•555•0143 or 1-419-555-0143", f"{X} or {X} or {X}"),
        ("call 419-555-0143 10/12", f"call {X} 10/12"),
        ("ring 555.0143 or 4 1 9 5 5 5 0 1 4 3", f"ring {X} or {X}"),
        ("Pat.Lee (at) Example dot org or pat dot lee at example.org", f"{X} or {X}"),
        ("wrote to 'pat.lee @ example.org'", f"wrote to '{X}'"),
        ("rides with Pat L. or Patsy L. or Patricia L", f"rides with {X}. or {X}. or {X}"),
        ("one person with patlee", f"one person with {X}"),
        ("asked Pat Lee (member 1), 419-555-0143", f"asked {X}"),
        ("see member 1 and member 17", f"see {X} and member 17"),
        ('{"who": "Pat Lee"}', f'{{"who": "{X}"}}'),
    ],
)
def test_a_mention_in_any_order_and_spelling_gives_way_to_a_neutral_word(
    said: str, left: str
) -> None:
    assert whom().masked(said, X)[0] == left


@pytest.mark.parametrize(
    "said",
    [
        "call 740-555-0143", "call 740 555 0143", "call 419-555-01431",
        "rides with Pat K. and Kim L.", "Pat A. Ruiz",
        "", "pat on the back", "fleece and leeks", "Patricia Moor", "call 419-555-0144",
        "Pat brings leeks for Kim", "member 12", "leeward", "Sam Leeson",
    ],
)  # fmt: skip
def test_what_speaks_of_others_stays(said: str) -> None:
    assert whom().masked(said, X) == (said, 0)
    assert whom().mentions(said) == []


GREEN = Person(Owner("member:1"), "Will", family="Green")


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("Green beans are missing", "Green beans are missing"),
        ("painted green, will dry", "painted green, will dry"),
        ("we will bring green beans", "we will bring green beans"),
        ("asked Green about it", f"asked {X} about it"),
        ("Mrs Green will call", f"{X} will call"),
        ("Will Green called", f"{X} called"),
        ("will green called", "will green called"),  # both are words: a person decides
    ],
)
def test_a_name_that_is_a_word_is_one_where_it_is_written_like_one(said: str, left: str) -> None:
    assert whom(GREEN).masked(said, X)[0] == left


def test_two_words_in_small_letters_that_may_be_a_name_are_told() -> None:
    assert [one.is_sure for one in whom(GREEN).mentions("will green called")] == [False]


@pytest.mark.parametrize("said", ["Pat Lee called", "Lee, Pat", "Mrs Lee (Pat)", "patricia lee"])
def test_where_somebody_else_has_the_name_a_person_decides(said: str) -> None:
    shared = whom(shared_name=True, shared_family=True)
    assert shared.masked(said, X) == (said, 0)
    assert [one.is_sure for one in shared.mentions(said)] == [False]
    assert shared.masked("Pat Lee (patlee)", X)[0] == f"Pat Lee ({X})"


def test_what_a_household_shares_is_not_theirs_alone() -> None:
    shared = whom(shared=frozenset({"+14195550143"}))
    assert shared.masked("call 419-555-0143", X) == ("call 419-555-0143", 0)
    assert shared.reaches_others("call 555 0143")
    assert not whom().reaches_others("call 555 0143")


def test_the_end_of_a_phone_that_others_phones_have_too_is_not_sure() -> None:
    shared = whom(shared=frozenset({"+17405550143"}))
    assert shared.masked("419-555-0143, or 555-0143", X)[0] == f"{X}, or 555-0143"
    assert shared.reaches_others("555-0143")
    assert not shared.reaches_others("419-555-0143")


def test_a_short_form_with_a_letter_is_sure_unless_another_member_could_be_meant() -> None:
    thad = Person(Owner("member:1"), "Thaddeus", family="Wrenfield")
    said = "rides with Thad W. on Fridays"
    assert whom(thad).masked(said, X)[0] == f"rides with {X}. on Fridays"
    for other in ("thad w", "thaddeus w", "thaddy w"):
        shared = whom(thad, lettered=frozenset({other}))
        assert shared.masked(said, X) == (said, 0)
        assert [one.is_sure for one in shared.mentions(said)] == [False]
    assert whom(thad, lettered=frozenset({"thad k"})).masked(said, X)[1] == 1


def test_a_last_name_alone_is_not_sure_where_others_have_it() -> None:
    shared = whom(shared_family=True)
    assert shared.masked("Mrs Lee called, not Pat Lee", X)[0] == f"Mrs Lee called, not {X}"
    assert shared.masked("Mrs Lee called", X) == ("Mrs Lee called", 0)
    assert [one.is_sure for one in shared.mentions("Mrs Lee called")] == [False]


@pytest.mark.parametrize(
    ("person", "said"),
    [
        (Person(Owner("member:1"), "José", family="García Márquez"), "Garcia Marquez, Jose"),
        (Person(Owner("member:1"), "José", family="García Márquez"), "José García"),
        (Person(Owner("member:1"), "Siobhán", family="O’Brien"), "Mrs OBrien (Siobhan)"),
        (Person(Owner("member:1"), "Siobhán", family="O’Brien"), "o'brien, siobhan"),
        (Person(Owner("member:1"), "Jörg", family="Müller"), "Joerg Mueller"),
        (Person(Owner("member:1"), "Jörg", family="Müller"), "MULLER JORG"),
        (Person(Owner("member:1"), "Mary-Ann", family="Van der Berg"), "mary ann vanderberg"),
        (Person(Owner("member:1"), "Mary-Ann", family="Van der Berg"), "Berg, Mary"),
        (Person(Owner("member:1"), "伟", family="李"), "李伟"),
        (Person(Owner("member:1"), "Thị Mai", family="Nguyễn"), "Mai Nguyen"),
        (Person(Owner("member:1"), "Gwen", family="Hay-Smythe"), "G. Hay-Smythe"),
        (Person(Owner("member:1"), "John", family="Smith"), "smith, john"),
        (Person(Owner("member:1"), "Ana", family="Moor", former="Soto"), "Ana Soto"),
        (Person(Owner("member:1"), "Rob", family="Quill", joint=("Lou",)), "Lou Quill"),
        (Person(Owner("member:1"), "Madonna"), "Madonna"),
    ],
)
def test_names_of_all_kinds_are_found(person: Person, said: str) -> None:
    assert whom(person).masked(f"asked {said} today", X)[0] == f"asked {X} today"


def test_a_form_of_the_first_name_is_theirs_unless_a_relative_may_be_called_so() -> None:
    otto = Person(Owner("member:1"), "Ottoline", family="Quill")
    said = "Otto Quill and Ottoline Q. and Mr Tom Quill and Sue Quill"
    alone = whom(otto, relatives=frozenset({"tom"}), shared_family=True)
    assert alone.masked(said, X)[0] == f"{X} and {X}. and Mr Tom Quill and Sue Quill"
    assert [one.is_sure for one in alone.mentions("Mr Tom Quill")] == []
    assert [one.is_sure for one in alone.mentions("Sue Quill")] == [False]
    related = whom(otto, relatives=frozenset({"otto"}), shared_family=True)
    assert related.masked("Otto Quill", X) == ("Otto Quill", 0)
    lettered = whom(otto, lettered=frozenset({"otto q", "ottoline q"}))
    assert [one.is_sure for one in lettered.mentions("Ottoline Q.")] == [False]
    assert whom().mentions("pat l. and Pat lost it") == []


def test_of_two_of_one_last_name_only_the_one_is_meant() -> None:
    shared = whom(shared_family=True)
    said = "Pat Lee's car; Kim Lee, her wife; then Pat called"
    assert shared.masked(said, X)[0] == f"{X}'s car; Kim Lee, her wife; then {X} called"


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("the Quills came", f"the {X} came"),
        ("Rob's mother, Mrs. Quill-Moor", f"{X}'s mother, {X}-Moor"),
        ("QUILL ROB", X),
    ],
)
def test_a_rare_last_name_is_enough(said: str, left: str) -> None:
    assert whom(Person(Owner("member:1"), "Rob", family="Quill")).masked(said, X)[0] == left
