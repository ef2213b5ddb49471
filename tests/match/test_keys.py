"""Who could be alike: whatever one field does to a form, it shares a key with the form before."""

from __future__ import annotations

import pytest

from onboard.match import keys, many
from onboard.match.folds import Folded
from onboard.match.keys import RULES, of
from onboard.model import Person

WHOLE = Person(
    "row:1", given="Ana", middle="Q", family="Quillfeather", suffix="", email="ana7@example.org",
    phone="+12025550143", street="12 N MAIN ST", unit="APT 4", city="LIMA", state="OH",
    zip5="45801", born="1971-02-03",
)  # fmt: skip
STORED = """\
a:12 n main st a
a:12 n main st b
a:12 n main st n
b:1971-02-03 a
b:1971-02-03 b
b:1971-02-03 n
d:1971-02-03 oko
d:1971-02-03 qui
e:ana.quill@example.org
f:12 45801 ok
f:12 45801 qu
g:12 n main st ok
g:12 n main st qu
h:12 45801 a
h:12 45801 b
h:12 45801 n
k:1971 12 n main st
l:12 n main st 4
m:ana.quill
n:ana okonjo
n:ana quill
n:bo okonjo
n:bo quill
n:nan okonjo
n:nan quill
o:1971-02-03 45801
o:1971-02-03 lima
p:2025550143
q:an ok 02-03
q:an qu 02-03
q:bo ok 02-03
q:bo qu 02-03
q:na ok 02-03
q:na qu 02-03
s:n main st 45801 ok
s:n main st 45801 qu
t:ana oko 45801
t:ana qui 45801
t:bo oko 45801
t:bo qui 45801
t:nan oko 45801
t:nan qui 45801
u:ana 1971-02
u:bo 1971-02
u:nan 1971-02
x:okonjo 1971-02
x:quill 1971-02
y:an ok 1971
y:an qu 1971
y:bo ok 1971
y:bo qu 1971
y:na ok 1971
y:na qu 1971
z:a okonjo 45801
z:a quill 45801
z:b okonjo 45801
z:b quill 45801
z:n okonjo 45801
z:n quill 45801
"""
FIELDS = ("given", "family", "email", "phone", "street", "zip5", "born")


@pytest.mark.parametrize("field", FIELDS)
def test_any_one_field_may_be_missing_or_another(field: str) -> None:
    for said in ("", "9 Zzyzx"):
        assert of(WHOLE) & of(WHOLE._replace(**{field: said}))


@pytest.mark.parametrize("first", FIELDS)
@pytest.mark.parametrize("second", FIELDS)
def test_any_two_fields_may_be_missing(first: str, second: str) -> None:
    assert of(WHOLE) & of(WHOLE._replace(**{first: "", second: ""}))


@pytest.mark.parametrize(
    ("said", "again"),
    [
        ({"given": "Quillfeather", "family": "Ana"}, "names in each other's place"),
        ({"family": "Quillfeather-Okonjo"}, "a family name with a part more"),
        ({"given": "ANA", "family": "quillfeather"}, "capitals"),
        ({"given": "Ána"}, "an accent"),
        ({"given": "Anna"}, "a slip"),
    ],
)
def test_names_alone_are_enough_however_they_are_written(said: dict[str, str], again: str) -> None:
    bare = Person("row:1", given="Ana", family="Quillfeather", zip5="45801")
    assert of(bare) & of(bare._replace(**said)), again


def test_every_key_says_what_is_shared() -> None:
    kinds = {key.partition(":")[0] for key in of(WHOLE)}
    assert kinds == set("epnzahfgslbdokuxyqwt")
    # "m" is for long mailboxes only.
    assert {RULES[at][0] for at in many.folded([WHOLE]).keys} == kinds
    assert of(Person("row:1")) == frozenset()


def test_keys_are_written_as_the_store_holds_them() -> None:
    """Were one written otherwise, nobody in a roster that is there would be found by it."""
    person = WHOLE._replace(
        called="Nan", family="Quill-Okonjo", email="ana.quill@example.org", joint=("Bo",)
    )
    assert sorted(of(person)) == STORED.splitlines()
    assert of(Person("", given="Ana", zip5="45801", street="12 Elm", born="soon", city="Lima")) == {
        "a:12 elm a",
        "b:soon a",
        "h:12 45801 a",
        "k:soon 12 elm",
        "l:12 elm 45801",
        "o:soon 45801",
        "o:soon lima",
        "u:ana soon",
    }
    assert keys.of_folded(Folded(personal="1234567x")) == ["i:1234567x"]


def test_a_name_in_a_mailbox_is_a_name() -> None:
    """Married and moved: the one form has the old name in its mailbox only."""
    before = Person("row:1", given="Ana", family="Quillfeather", phone="+12025550143", zip5="45801")
    after = Person("row:2", given="Ana", family="Soto", email="ana_quillfeather59@example.org")
    assert of(before) & of(after) == {"w:anaquillfeather"}
    few = after._replace(email="ana@example.org"), before._replace(family="Lee")
    assert not of(few[0]) & of(few[1])


def test_a_first_letter_that_is_wrong_leaves_the_end_of_the_name() -> None:
    bare = Person("row:1", given="Alfred", family="Quillfeather", zip5="45801")
    assert of(bare) & of(bare._replace(given="Fred", family="Quilfeather")) == {"t:red qui 45801"}


def test_a_text_with_a_line_break_is_no_mailbox_and_breaks_no_key() -> None:
    odd = WHOLE._replace(email="ana\nb:1971@example.org", city="LI\nMA")
    assert of(odd) == of(WHOLE._replace(email=""))


def test_keys_are_not_longer_than_the_store_holds() -> None:
    junk = Person("row:1", **dict.fromkeys(FIELDS, "x1 " * 5000))
    assert max(map(len, of(junk)), default=0) <= 400
