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


@pytest.mark.parametrize(
    "note",
    [
        "estate - call son",
        "Estate",
        "in memoriam",
        "In loving memory",
        "estate pending",
        "the estate (see file)",
    ],
)
def test_an_estate_and_a_memory_are_of_whoever_has_died(note: str) -> None:
    assert [f.code for f in deceased.in_notes([note])] == ["notes.deceased"]


@pytest.mark.parametrize(
    "note",
    [
        "real estate agent",
        "estate sale helper",
        "in memory care at St. Vincent",
        "memory loss, call twice",
    ],
)
def test_other_estates_and_memories_are_not(note: str) -> None:
    assert deceased.in_notes([note]) == ()


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


KINDLY = (
    "went to be with Jesus in April",
    "his heart gave out in March",
    "we buried him last week",
    "no longer among the living",
    "passed from this life 2/3/25",
    "called home by God",
    "she is survived by two daughters",
    "lost him in the flood",
    "now deceased - see letter from atty",
    "had a fatal stroke",
    "left this world in May",
    "widower says she's gone since June",
    "she passed in her sleep Tuesday",
    "Mr Quill is deceased as of last fall",
    "got word he died in a car wreck",
    "member passed, wife keeps share",
    "gone to glory 1/2025",
    "ret'd mail - DECEASED stamp",
    "obit in Sunday paper",
    "services held at Wesley chapel 5/3, RIP",
    "lost his fight w/ ALS",
    "she didn't make it after surgery",
    "no longer alive per son",
    "hospice called, he's passed",
    "joined her late husband in heaven",
    "USPS returned: addressee deceased",
    "died suddenly; refund deposit",
    "Family asked to close, she is no longer living",
    "drowned at the lake in July",
    "was killed on Route 9",
    "murió el domingo",
    "ya está con Dios",
    "se nos adelantó en mayo",
    "que en paz descanse",
    "covid took her in 2021",
    "cancer took him",
    "we attended his memorial",
)
IN_CELLS = (
    "deceased",
    "DECEASED - do not mail",
    "passed away",
    "Estate of Pat Quill, 12 Main St, Lima OH 45801",
    "c/o executor, 12 Main St, Lima, OH 45801",
    "in heaven",
    "RIP",
    "died 2023",
    "Fallecido",
    "no address - died",
    "cemetery",
    "(deceased) 12 Main St, Lima OH 45801",
    "Deceased 4/22",
    "moved to heaven",
    "est of P Quill, 12 Main St, Lima OH 45801",
    "12 Main St (deceased), Lima OH 45801",
    "DEC'D",
    "passed",
    "Difunto",
    "died - return to sender",
    "no mail - deceased",
    "deceased, see notes",
    "n/a - died",
    "passed away 2022",
    "dead",
    "none (deceased)",
    "fallecida",
    "deceased@deceased.com",
    "died",
    "estate - use son's",
    "no email, he passed",
    "died in 2021",
    "(passed away)",
    "R.I.P.",
    "none - dec'd",
    "decd",
    "fallecido 2020",
    "use daughter's - mom died",
)
BESIDE = (
    "Pat Quill (now deceased)",
    "Pat Quill - dcsd",
    "Pat Quill [RIP]",
    "Pat Quill, dec. 2024",
    "late Pat Quill",
    "Pat Quill *dead*",
    "Pat Quill -- died 5/22",
    "Pat Quill (d. 2021)",
    "Estate: Pat Quill",
    "Pat Quill (QEPD)",
    "Pat Quill (finado)",
    "Pat Quill - passed 6/23",
    "Pat Quill - DECEASED 2/24",
    "(dec) Pat Quill",
    "Pat Quill [deceased]",
    "Pat Quill; died 2020",
    "Pat Quill dec'd.",
    "Late Mrs Pat Quill",
    "The Estate of Pat Quill",
    "Pat Quill - RIP 2023",
    "Pat Quill (muerto)",
    "Pat Quill/deceased",
    "Pat Quill †2022",
    "Pat Quill <deceased>",
    "Pat Quill, deceased Jan 2025",
    "Pat Quill ~ passed away",
)
OF_NOBODY = (
    "her heart is in the farm",
    "we lost him on the way, he came late",
    "home by 5",
    "gave up dairy",
    "survived the storm fine",
    "called from home",
    "widower, eats light",
    "God bless her eggs",
    "left the state in May",
    "gone fishing till June",
    "buried in work, call evenings",
    "his late order came",
    "died laughing at the meeting",
    "dead end road, last house",
    "passes the church on the left",
    "heaven's gate farm road",
    "late pickup ok",
    "his cat passed away",
    "estate sale helper",
    "executor for his mom's will; wants 2 shares",
    "her husband was buried in May; she keeps the share",
    "went to be with her sister in Ohio",
    "left this group in May",
    "the freezer died",
    "his late mother was a founder",
    "took over for her late uncle",
    "passed the hat",
    "passed her driving test",
    "has passed on leading the group",
    "pass away from the barn door",
    "Dead Man's Hill Rd",
    "works at the cemetery",
    "undertaker by trade",
    "Grim Reaper costume contest winner",
    "killing it with sourdough",
    "to die for pies",
    "dying wool workshop",
    "Heart surgery in May, doing fine",
    "called away to work at 5",
    "asleep in the mornings, night shift",
    "partial share",
    "partió leña para todos",
    "la vida buena farm",
    "Señor Lopez is her neighbor",
    "gone since noon",
    "away June to August",
    "lost the key",
    "she lost him at the fair, found later",
    "departed early from meeting",
    "crossed over to the Keene group",
    "slipped on ice, careful",
    "ashes for the garden please",
    "wants wood ashes",
    "loves her maker's market",
    "coroner's office employee",
    "in a better place on the route now",
    "new baby survived by miracle",
    "grave concerns about price",
    "kicked the bucket over, bring another",
    "murder mystery night host",
    "survived by humor",
    "bereavement group leader",
    "funeral director",
    "teaches death and dying course",
)


def codes(**fields: str) -> set[str]:
    return {f.code for f in row.clean(form(**fields)).findings}


def test_it_is_heard_in_kinder_words() -> None:
    assert [said for said in KINDLY if "notes.deceased" not in codes(notes=said)] == []


@pytest.mark.parametrize("field", ["address", "email"])
def test_it_is_heard_in_a_cell_for_something_else(field: str) -> None:
    assert [said for said in IN_CELLS if "notes.deceased" not in codes(**{field: said})] == []


def test_it_is_heard_beside_a_name_however_it_is_set_off() -> None:
    heard = {"name.deceased", "notes.deceased"}
    assert [said for said in BESIDE if heard.isdisjoint(codes(full_name=said))] == []


def test_what_is_said_of_something_else_is_nobodys_death() -> None:
    assert [said for said in OF_NOBODY if "notes.deceased" in codes(notes=said)] == []
