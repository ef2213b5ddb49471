"""Drop sites as people write them, and the distances between them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import place, sites
from onboard.model import Kind, Weight
from onboard.settings import Site

LIMA, TROY, ATHENS = "Lima Grange Hall", "Troy Church Lot", "Athens Feed Barn"
SITES = (
    *sites.EXAMPLES,
    Site("Columbus East Garage", "8 Fir St, Columbus, OH", "43205", "Hill", "Ana Ruiz"),
    Site("Columbus West Shed", "5 Yew St, Columbus, OH", "43204", "Hill", "Jo Park"),
)

SAID = (
    # as written, the site meant ("" if none or several), codes
    (LIMA, LIMA, []),
    ("  lima GRANGE hall ", LIMA, []),
    ("Lima Grange", LIMA, ["site.misspelt"]),
    ("lima grnge hall", LIMA, ["site.misspelt"]),
    ("LimaGrangeHall", LIMA, ["site.misspelt"]),
    ("Lima Grg Hl", LIMA, ["site.misspelt"]),
    ("Lima", LIMA, ["site.misspelt"]),
    ("Lima, OH", LIMA, ["site.misspelt"]),
    ("45801", LIMA, ["site.misspelt"]),
    ("Robin Vale's", LIMA, ["site.misspelt"]),
    ("12 Elm St", LIMA, ["site.misspelt"]),
    ("the grange at Lima", LIMA, ["site.misspelt"]),
    ("wapakonetta", "Wapakoneta Depot", ["site.misspelt"]),
    ("Wapakoneta depo", "Wapakoneta Depot", ["site.misspelt"]),
    ("Athns barn", ATHENS, ["site.misspelt"]),
    ("Columbus", "", ["site.ambiguous"]),
    ("Columbus East", "Columbus East Garage", ["site.misspelt"]),
    ("Hill", "", ["site.ambiguous"]),
    ("Lima or Athens", "", ["site.ambiguous"]),
    ("Troy Church Lot", "", ["site.closed"]),
    ("troy", "", ["site.closed"]),
    ("", "", ["site.missing"]),
    ("n/a", "", ["site.missing"]),
    ("don't know", "", ["site.missing"]),
    ("closest one", "", ["site.missing"]),
    ("the old mill", "", ["site.unknown"]),
    ("Nowhere Hall", "", ["site.unknown"]),  # we have a hall, and it is another
    ("Toledo barn", "", ["site.unknown"]),
    ("=1+1", "", ["site.unknown"]),
    ("Springfield", "", ["site.unknown"]),
)


@pytest.mark.parametrize("said", ["Old Granary", "Old Barn", "North Schoolhouse", "north chapel"])
def test_old_or_north_alone_points_at_no_site(said: str) -> None:
    ours = (
        Site('Rye\'s "Old" Mill', "14 Dam St, Keene, NH", "03431", "Brook", "Rob"),
        Site("North Depot", "1 Main St, Swanzey, NH", "03446", "Brook", "Sal"),
    )
    cleaned = sites.clean(said, ours)
    assert cleaned.value is None
    assert [finding.code for finding in cleaned.findings] == ["site.unknown"]
    assert sites.clean("the old mill", ours).value == ours[0].name
    assert sites.clean("North depo", ours).value == "North Depot"


def test_what_people_call_a_site_is_understood_where_the_settings_say_so() -> None:
    site = Site(
        "Lima Grange Hall",
        "12 Elm St, Lima, OH",
        "45801",
        "Lake",
        "Robin Vale",
        also=("LGX", "Ol’ Barn 9"),
    )
    assert sites.clean("LGX", (replace(site, also=()),)).value is None
    for said in ("LGX", "lgx", "LGX please", "ol' barn 9"):
        assert sites.clean(said, (site,)).value == site.name
    other = replace(site, name="Lima East Depot", host="Kim Oster", also=("LGX",))
    assert [f.code for f in sites.clean("LGX", (site, other)).findings] == ["site.ambiguous"]


BEND = (
    Site("River Bend Barn", "88 Bend Rd, Saint Cloud, MN", "56301", "Brook", "Amos Field"),
    Site("Clock Tower Lot", "3 Monroe Ave, Grand Rapids, MI", "49503", "Brook", "Delia Marsh"),
    Site("Fort Wayne Trolley Depot", "7 Rail St, Fort Wayne, IN", "46802", "Lake", "Gus Weaver"),
)


@pytest.mark.parametrize(
    "said",
    ["River Road Grange", "Bend Over Cafe", "Clock Shop", "Tower Records", "Trolley Stop Diner", "Marsh Landing",
     "Field House Gym", "Saint Mary Hall", "Fort Knox", "Old Clock Corner"],
)  # fmt: skip
def test_one_word_that_a_site_shares_with_another_place_points_at_no_site(said: str) -> None:
    cleaned = sites.clean(said, BEND)
    assert (cleaned.value, [f.code for f in cleaned.findings]) == (None, ["site.unknown"])


@pytest.mark.parametrize(
    "said",
    ["Grand Rapids Library", "St Cloud church", "Fort Wayne Farmers Market", "the library in Grand Rapids", "Saint Cloud Middle School",
     "iglesia de Grand Rapids", "River Bend Church", "Amos Chapel", "Biblioteca Fort Wayne"],
)  # fmt: skip
def test_another_place_in_the_town_of_a_site_is_not_that_site(said: str) -> None:
    cleaned = sites.clean(said, BEND)
    assert (cleaned.value, [f.code for f in cleaned.findings]) == (None, ["site.unknown"])


@pytest.mark.parametrize(
    ("said", "meant"),
    [("River Bend", 0), ("river bend, the red one", 0), ("St Cloud, by the bridge", 0), ("Amos's place", 0),
     ("Clock", 1), ("clock tower parking", 1), ("Grand Rapids downtown", 1), ("Wayne depo", 2),
     ("the depot with Gus", 2)],
)  # fmt: skip
def test_the_town_the_host_or_two_words_tell_a_site(said: str, meant: int) -> None:
    assert sites.clean(said, BEND).value == BEND[meant].name


@pytest.mark.parametrize(("said", "meant", "codes"), SAID)
def test_the_site_is_recognised_as_people_write_it(said: str, meant: str, codes: list[str]) -> None:
    cleaned = sites.clean(said, SITES)
    assert (cleaned.value or "", [f.code for f in cleaned.findings]) == (
        meant,
        codes,
    )
    assert cleaned.said == said


@pytest.mark.parametrize("kind", sites.KINDS, ids=lambda kind: kind.code)
def test_each_kind_is_found_in_its_wrong_and_not_in_its_right(kind: Kind) -> None:
    where = place.find(kind.context.get("zip5", ""))
    wrong = sites.clean(kind.wrong, sites.EXAMPLES, where)
    assert kind.code in [f.code for f in wrong.findings]
    assert not sites.clean(kind.right, sites.EXAMPLES, where).findings


def test_nothing_about_a_site_keeps_a_member_out() -> None:
    assert {kind.weight for kind in sites.KINDS} == {Weight.MENDED, Weight.DOUBTFUL}


def test_the_nearest_open_site_is_named_with_its_miles() -> None:
    athens = place.find("45701")
    note = sites.clean("the old mill", SITES, athens).findings[0].note
    assert note == (
        "We have no drop site 'the old mill'. The closest open one is Athens Feed Barn, in the same "
        "ZIP code. Ask which one."
    )
    sidney = place.find("45365")  # Troy, 10 miles off, is closed
    note = sites.clean("Troy", SITES, sidney).findings[0].note
    assert note == (
        "Troy Church Lot is closed. The closest open one is Wapakoneta Depot, about 19 miles from "
        "ZIP 45365 in a straight line. Ask which one."
    )


def test_a_place_without_a_zip_code_is_called_by_its_town() -> None:
    troy = place.find("45373")._replace(zip5="")
    assert (
        "about 19 miles from Troy in a straight line"
        in sites.clean("Troy", SITES, place.find("45365")._replace(zip5="", city="TROY"))
        .findings[0]
        .note
    )
    assert "closer to Troy than Athens" in sites.clean(ATHENS, SITES, troy).findings[0].note


def test_a_much_nearer_site_is_asked_about() -> None:
    cleaned = sites.clean(ATHENS, SITES, place.find("45801"))
    assert cleaned.value == ATHENS
    assert [f.note for f in cleaned.findings] == [
        "Lima Grange Hall is about 145 miles closer to ZIP 45801 than Athens Feed Barn, in a straight "
        "line. Ask if they really mean it."
    ]
    assert not sites.clean(LIMA, SITES, place.find("45801")).findings
    assert not sites.clean(ATHENS, SITES, place.Place("", "", "OH")).findings


def test_nearest_leaves_out_what_is_closed_or_nowhere() -> None:
    lima = place.find("45801")
    assert lima is not None
    nowhere = Site("Nowhere", "1 Void Rd", "00000", "Hill", "Nobody")
    found = sites.nearest((*SITES, nowhere), lima)
    names = [site.name for site, _ in found]
    assert names[0] == LIMA
    assert not {TROY, "Nowhere"} & set(names)
    assert [miles for _, miles in found] == sorted(miles for _, miles in found)


# Great-circle miles between the middles of the towns, from the coordinates that the US Census
# Gazetteer gives for them (from memory, to the mile or two that a ZIP's middle differs).
def test_miles_are_those_of_the_map() -> None:
    columbus = place.find("43215")
    assert columbus is not None
    miles = {site.name: far for site, far in sites.nearest(SITES, columbus)}
    assert miles[LIMA] == pytest.approx(78, abs=3)
    assert miles[ATHENS] == pytest.approx(66, abs=4)


@given(st.text(max_size=60))
@settings(max_examples=150, deadline=None)
def test_no_text_makes_the_rule_raise_and_cleaning_twice_changes_nothing(said: str) -> None:
    first = sites.clean(said, SITES)
    if first.value is not None:
        again = sites.clean(sites.show(first.value), SITES)
        assert again.value == first.value
        assert again.findings == ()


@pytest.mark.parametrize(
    "said", ["x" * 10_000_000, "\ud800", "\x00\x01", "a " * 100_000, "é" * 999]
)
def test_junk_is_unknown_not_trouble(said: str) -> None:
    assert sites.clean(said, SITES).value is None


@given(st.sampled_from([s.name for s in SITES if not s.closed]), st.data())
@settings(max_examples=150, deadline=None)
def test_one_slip_in_a_whole_name_never_points_at_another_site(
    name: str, data: st.DataObject
) -> None:
    at = data.draw(st.integers(0, len(name) - 2))
    kind = data.draw(st.sampled_from(("lost", "swapped", "doubled")))
    slipped = {
        "lost": name[:at] + name[at + 1 :],
        "swapped": name[:at] + name[at + 1] + name[at] + name[at + 2 :],
        "doubled": name[:at] + name[at] + name[at:],
    }[kind]
    assert sites.clean(slipped, SITES).value == name


def test_two_sites_with_a_word_between_are_both_named_also_one_that_is_closed() -> None:
    three = tuple(
        Site(name, "", zip5, "Lake", host, closed=closed)
        for name, zip5, host, closed in (
            ("Taos Mercantile Shed", "87571", "Bo Quill", False),
            ("Trinidad Opera Annex", "81082", "Al Rusk", False),
            ("Questa Firehouse", "87556", "", True),
        )
    )
    for said in ("Taos or Questa", "taos and Questa", "Taos o Questa"):
        (finding,) = sites.clean(said, three).findings
        assert finding.code == "site.ambiguous"
        assert "could be Taos Mercantile Shed or Questa Firehouse (closed). Ask" in finding.note
    (finding,) = sites.clean("Taos or Trinidad", three).findings
    assert "could be Taos Mercantile Shed or Trinidad Opera Annex. Ask" in finding.note
