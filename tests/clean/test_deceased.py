"""That somebody has died, as old lists say it."""

from __future__ import annotations

from pathlib import Path

import pytest
from coop_forms import form

from onboard.clean import deceased, name, row


@pytest.mark.parametrize(
    ("said", "rest"),
    [
        ("Obie Marsh (deceased)", "Obie Marsh"), ("Obie Marsh (Deceased 2019)", "Obie Marsh"),
        ("Obie Marsh - deceased", "Obie Marsh"), ("Marsh, Obie [dec.]", "Marsh, Obie"),
        ("OBIE MARSH DECEASED", "OBIE MARSH"), ("The late Obie Marsh", "Obie Marsh"),
        ("Estate of Obie Marsh", "Obie Marsh"), ("Obie Marsh †", "Obie Marsh"),
        ("José Ruiz (fallecido)", "José Ruiz"), ("Ana Soto (Q.E.P.D.)", "Ana Soto"),
        ("Obie Marsh (d. 5/2018)", "Obie Marsh"), ("Obie Marsh, passed away 2020", "Obie Marsh"),
    ],
)  # fmt: skip
def test_it_is_found_beside_a_name(said: str, rest: str) -> None:
    found = row.clean(form(full_name=said))
    assert "name.deceased" in {f.code for f in found.name.findings}
    assert found.name.blocked
    assert found.name.said == said
    assert found.name.value == name.clean(rest).value


@pytest.mark.parametrize(
    "said",
    ["Rip Torn", "Dec Lee", "Desiree Late", "Pat Lee (Dee)", "Ripley Dean", "Dead Horse", "Pat (DC) Lee",
     "Decatur Moss", "Kim D. Lee", "Estates Manor"],
)  # fmt: skip
def test_it_is_not_found_in_a_name(said: str) -> None:
    assert deceased.beside(said) == (said, "")


def test_it_is_found_in_a_column_of_a_name_and_in_notes() -> None:
    found = row.clean(form(given="Obie (deceased)", family="Marsh"))
    assert [f.said for f in found.findings if f.code == "name.deceased"] == [
        "Obie (deceased) Marsh"
    ]
    assert found.name.value == name.clean(given="Obie", family="Marsh").value
    told = row.clean(
        form(full_name="Pat Lee", notes="Died in 2021, says Kim", **{"aside:Status": "DECEASED"})
    )
    assert [f.said for f in told.findings if f.code == "notes.deceased"] == [
        "Died in 2021, says Kim", "DECEASED",
    ]  # fmt: skip
    assert not told.name.blocked


def test_whoever_says_so_aloud_uses_a_word_that_is_looked_for_first() -> None:
    folder = Path(__file__).parents[1]
    said = [
        line
        for file in ("facts/voices_calls.tsv", "facts/callers.csv", "audit/wordings.tsv")
        for line in (folder / file).read_text("utf-8").splitlines()
        if deceased._ALOUD.search(line)
    ]
    assert len(said) > 40
    assert [line for line in said if not deceased.may_say_so([line])] == []


@pytest.mark.parametrize(
    "said",
    [
        "Selmer Crane *RIP*",
        "Selmer Crane *rip*",
        "RIP Selmer Crane",
        "R.I.P. Selmer Crane",
        "Selmer Crane QEPD",
        "Selmer Crane, q.e.p.d.",
    ],
)
def test_letters_for_rest_in_peace_are_no_last_name(said: str) -> None:
    understood = row.clean(form(full_name=said)).name
    assert understood.value is not None
    assert (understood.value.given, understood.value.family) == ("Selmer", "Crane")
    assert "name.deceased" in [f.code for f in understood.findings]


@pytest.mark.parametrize(
    "said", ["Rip Van Winkle", "RIP VAN WINKLE", "Rip Torn", "Ripley Crane", "J R I Pell"]
)
def test_a_name_like_those_letters_is_one(said: str) -> None:
    assert "name.deceased" not in [f.code for f in row.clean(form(full_name=said)).findings]
