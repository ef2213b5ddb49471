"""What people write in their lists is heard: from the roster after `adopt`, and from the list as it is.

Bars: 95 % of each kind, and of clean members one in three hundred. The larger runs are made by
`python tests/audit/odd_list.py 3000 SEED`; here the list is small.
"""

from __future__ import annotations

from pathlib import Path

import odd_list
import pytest

from onboard.clean import deceased, name

COUNT = 700
LEAST, MOST = 0.95, 0.003


PARAMS = [("1", False), ("2", True), ("3", False), ("4", True), ("5", False)]


@pytest.fixture(
    scope="module",
    params=PARAMS,
    ids=["two names", "one name", "two names, others", "one name, others", "two names, more"],
)
def listed(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> odd_list.List:
    folder: Path = tmp_path_factory.mktemp("odd")
    return odd_list.make(folder, COUNT, 7, *request.param[:1], one_name=request.param[1])


@pytest.mark.parametrize("from_store", [True, False], ids=["roster", "list"])
def test_every_wording_is_heard_and_clean_members_are_left_in_peace(
    listed: odd_list.List, from_store: bool
) -> None:
    told = odd_list.measure(listed, *odd_list.audited(listed, from_store=from_store))
    assert told.found.keys() >= odd_list.CODES.keys() - {"joined", "aside"}
    low = {kind: told.missed[kind] for kind, share in told.found.items() if share < LEAST}
    assert low == {}
    assert {k: told.alarmed[k] for k, share in told.alarms.items() if share > MOST} == {}


NAMES = odd_list.wordings("names")


@pytest.mark.parametrize("kind", NAMES)
def test_names_of_nobody_are_no_persons_names(kind: str) -> None:
    missed = [
        said
        for _, said in NAMES[kind]
        if not any(f.code in odd_list.CODES[kind] for f in name.clean(said).findings)
    ]
    assert len(missed) <= (1 - LEAST) * len(NAMES[kind]), missed


def says_so(where: str, said: str) -> bool:
    said = said.format(given="Ole", family="Amdahl", local="ola", number=31)
    if where == "notes":
        return deceased.may_say_so((), (said,)) and bool(deceased.in_notes([said]))
    if where == "name":
        return deceased.may_say_so((said,)) and bool(deceased.beside(said)[1])
    return deceased.may_say_so((said,)) and bool(deceased.in_cells([said]))


NOTES = odd_list.wordings("notes")


def test_that_somebody_has_died_is_heard_in_whatever_words() -> None:
    missed = [said for said in NOTES["deceased"] if not says_so(*said)]
    assert len(missed) <= (1 - LEAST) * len(NOTES["deceased"]), missed
    alarmed = [said for said in NOTES["control"] if says_so(*said)]
    assert len(alarmed) <= 0.01 * len(NOTES["control"]), alarmed


@pytest.mark.parametrize(
    "said",
    ["The Anh Nguyen", "Frank Church", "Pat Member", "Miles Old", "Grace Temple", "Lady Bird Johnson", "Rosa Jardin",
     "Faith Circle Moore", "Neva New", "Maria Mercado", "Juan Hacienda Lopez",
     "Hoa Nguyen", "César de la Torre", "Quiteria Ruiz", "Feline Spies", "Jane Fonda Lee", "James Ngo", "Ima Null",
     "Denise Parish", "Art Farmer", "Kelly Mill", "Jayden Hall", "Mckenna Church", "Mireille Sash", "Yasmine Puff", "Sky Blue",
     "Sunny Day", "Forrest Farms", "Bishop Kitchen", "Winona Two Hearts", "Fenna Boschers", "Angel de la Casa", "Rescue Mugabe", "Zebulon Quillfeather Jr.", "Xylo Goldthread Jr", "Song Li", "Precious Moyo", "Desrae Count", "Liner, Alpha", "Lexus Juncker", "Holly Day"],
)  # fmt: skip
def test_people_with_such_words_in_their_names_are_people(said: str) -> None:
    found = {finding.code for finding in name.clean(said).findings}
    assert found.isdisjoint(("name.organisation", "name.test", "name.joke", "name.household"))
