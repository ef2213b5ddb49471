"""Addresses: what each kind of line becomes, what is said about it, and the laws that hold for all."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.clean import address
from onboard.model import Weight
from onboard.tables import rows

MISSING_LAST = {"address.no_city", "address.no_state", "address.no_zip"}


def shown(said: str) -> str:
    value = address.clean(said).value
    return " | ".join(address.show(value).splitlines()) if value else ""


def codes(said: str) -> set[str]:
    return {finding.code for finding in address.clean(said).findings}


# ---------------------------------------------------------------- lines

# said, as it is to be written, findings besides a missing last line; common practice unless cited
CASES = [
    # the last line on the same line as the street
    ("12 n main st apt 4 lima ohio 45801", "12 N MAIN ST APT 4 | LIMA OH 45801", ""),
    ("12 Main St Lima OH 45801-1234", "12 MAIN ST | LIMA OH 45801-1234", ""),
    ("12 Main St Apt 4 Lima OH", "12 MAIN ST APT 4 | LIMA OH", ""),
    ("12 Main St Lima", "12 MAIN ST | LIMA", ""),
    ("12 Main St, Lima", "12 MAIN ST | LIMA", ""),
    ("12 Elm St New York 10001", "12 ELM ST | NEW YORK NY 10001", ""),
    ("465 Peck Lane Cheshire CT", "465 PECK LN | CHESHIRE CT", ""),
    ("12 Maple CT", "12 MAPLE CT", ""),
    ("9 Elm St\nKey West FL 33040", "9 ELM ST | KEY WEST FL 33040", ""),
    ("9 Elm St, Upper Marlboro, MD", "9 ELM ST | UPPER MARLBORO MD", ""),
    ("9 Elm St\nLima\nOhio\n45801", "9 ELM ST | LIMA OH 45801", ""),
    ("9 Elm St, Lima, OH 45801, USA", "9 ELM ST | LIMA OH 45801", ""),
    ("9 Elm St, Lima, Ohio, OH 45801", "9 ELM ST | LIMA OH 45801", ""),
    ("9 Elm St\nSpringfield MA 1103", "9 ELM ST | SPRINGFIELD MA 01103", "lost_zero other_form"),
    ("9 Elm St\nFlushing NY 1135", "9 ELM ST | FLUSHING NY", "bad_zip"),
    ("9 Elm St\nLima OH 458011", "9 ELM ST | LIMA OH", "bad_zip"),
    # ST or SAINT, PT for POINT or PORT: the ZIP code's own name decides
    ("9 Elm St\nSt. Louis MO 63101", "9 ELM ST | SAINT LOUIS MO 63101", "other_form"),
    ("9 Elm St\nSt. Louis MO", "9 ELM ST | ST LOUIS MO", "other_reading"),
    ("9 Elm St\nO'Fallon MO", "9 ELM ST | OFALLON MO", "other_reading other_form"),
    ("9 Elm St\nOswego NY", "9 ELM ST | OSWEGO NY", ""),
    ("9 Elm St\nPt Arthur TX 77640", "9 ELM ST | PORT ARTHUR TX 77640", ""),
    ("9 Elm St\nPt Pleasant NJ 08742", "9 ELM ST | POINT PLEASANT NJ 08742", ""),
    # directions after a comma
    ("1800 M Street, NW, Washington, DC 20036", "1800 M ST NW | WASHINGTON DC 20036", ""),
    ("871 Old Mill Road, N.W. Norcross, GA 30043", "871 OLD MILL RD NW | NORCROSS GA 30043", ""),
    ("972 Elm Ave., S. W. # 2 Atlanta, GA 30310", "972 ELM AVE SW # 2 | ATLANTA GA 30310", ""),
    # numbers
    ("123½ Main St", "123 1/2 MAIN ST", "other_form"),
    ("N6 W23001 Bluemound Rd", "N6W23001 BLUEMOUND RD", "other_form"),
    ("39.2 Elm Rd", "39.2 ELM RD", ""),  # 354
    ("# 2 Turner Rd", "2 TURNER RD", ""),
    ("One Main Street", "ONE MAIN ST", "other_reading"),
    ("123, Main St", "123 MAIN ST", ""),
    # units
    ("12 Main St, third floor", "12 MAIN ST FL 3", "other_form"),
    ("12 Main St, 2nd Floor", "12 MAIN ST FL 2", "other_form"),
    ("219 South Dearborn Second Floor", "219 S DEARBORN FL 2", "other_form"),
    ("12 Main St Apt", "12 MAIN ST APT", "unit_number"),
    ("12 Main St 4B", "12 MAIN ST # 4B", "unit_guessed"),
    ("111 W. Monroe, 12C, Chicago, IL 60603", "111 W MONROE # 12C | CHICAGO IL 60603", ""),
    ("12 Main St\nB\nLima OH 45801", "12 MAIN ST # B | LIMA OH 45801", ""),
    ("12 Main St\n4\nLima OH 45801", "12 MAIN ST # 4 | LIMA OH 45801", ""),
    ("Lima", "LIMA", "no_street"),
    ("10 Main St Ste 11 # 234", "10 MAIN ST STE 11 # 234", "mailbox other_reading"),
    ("PMB 234\n10 Main St, Ste 11", "10 MAIN ST STE 11 PMB 234", ""),  # 285
    ("12 Oak St, Ste A & B", "12 OAK ST STE A & B", ""),
    ("12 Mill Rd # 5", "12 MILL RD # 5", ""),
    ("9 Front Street Front", "9 FRONT ST FRNT", ""),
    ("7 Lower Lake Rd", "7 LOWER LAKE RD", ""),
    ("99 Unit Rd", "99 UNIT RD", ""),
    ("bldg. 15, suite 100", "BLDG 15 STE 100", "no_street"),
    # two lines that mail could go to: the one above the last line (215)
    ("PO Box 9\n12 Main St\nLima OH 45801", "12 MAIN ST | LIMA OH 45801", "kept_aside"),
    ("mail code 5021 p o box 66 dallas tx 75266", "PO BOX 66 | DALLAS TX 75266", "kept_aside"),
    ("271 Spring St attn: front desk", "271 SPRING ST", "kept_aside"),
    ("Elm House 4859 S. Wabash", "4859 S WABASH", "kept_aside"),
    ("c/o Pat Roe, Jr.\n9 Elm St", "9 ELM ST", "kept_aside"),
    # routes
    ("Box 152, RR 2", "RR 2 BOX 152", ""),
    ("rr 4, box 164 a", "RR 4 BOX 164A", ""),
    ("Star Route 3 Box 19", "HC 3 BOX 19", "old_name"),
    ("RR 2", "RR 2", "no_box other_reading"),
    ("CMR 411 box 3568\nAPO AE 09112", "CPR 411 BOX 3568 | APO AE 09112", "old_name other_reading"),
    ("psc 3 bx 44\nAPO AE 09112", "PSC 3 BOX 44 | APO AE 09112", ""),
    ("USS Elm\nFPO AP 96615", "USS ELM | FPO AP 96615", ""),
    # roads with numbers
    ("3665 Anderson County Rd 312", "3665 ANDERSON COUNTY ROAD 312", ""),
    ("2104 State Highway No 70", "2104 STATE HIGHWAY 70", ""),
    ("1331 COUNTY ROAD AA NE", "1331 COUNTY ROAD AA NE", ""),
    ("E5050 County Road 300 N", "E5050 COUNTY ROAD 300 N", ""),
    ("1 Box Elder Rd", "1 BOX ELDER RD", ""),
    ("100 Star Route Rd", "100 STAR ROUTE RD", ""),
    # other readings (pub28_doubtful)
    ("12 First Street", "12 FIRST ST", "other_reading"),
    ("12 St Charles Ave", "12 ST CHARLES AVE", "other_reading"),
    ("123 N Avenue", "123 NORTH AVE", "other_reading"),
    ("12 Bay E Drive", "12 BAY EAST DR", "other_reading"),
    ("52 N W Holly Road", "52 NW HOLLY RD", "other_reading"),
    ("9 Maple Ct East West", "9 MAPLE CT EAST WEST", "other_reading"),
    ("9 SR 220", "9 STATE ROAD 220", "other_reading"),
    ("Route 2 Box 152", "RR 2 BOX 152", "old_name other_reading"),
    # no street, or none that mail can go to
    ("5th and High St", "5TH AND HIGH ST", "corner other_reading"),
    ("Main Street", "MAIN ST", "no_number"),
    ("Lima, OH 45801", "LIMA OH 45801", "no_street"),
    # elsewhere: kept as written
    ("12 Oak St.\nToronto, ON  M5V 2T6", "12 OAK ST. | TORONTO, ON M5V 2T6", "abroad"),
    ("10 Elm Road, London SW1A 2AA, UK", "10 ELM ROAD, LONDON SW1A 2AA, UK", "abroad"),
    ("Calle 5 12, Guadalajara, Jalisco, Mexico", "CALLE 5 12, GUADALAJARA, JALISCO, MEXICO", "abroad"),
    ("東京都千代田区\n丸の内1-1", "東京都千代田区 | 丸の内1-1", "abroad"),
    ("ул. Ленина 5, Москва", "УЛ. ЛЕНИНА 5, МОСКВА", "abroad"),
    ("12 Elm St, Mexico, MO 65265", "12 ELM ST | MEXICO MO 65265", ""),
    ("12 Elm St, Lebanon, Ohio", "12 ELM ST | LEBANON OH", ""),
    # Puerto Rico without a comma between
    ("URB LAS FLORES CALLE 5 D-12 PONCE PR 00730", "URB LAS FLORES | D12 CALLE 5 | PONCE PR 00730", ""),
    ("Calle 5 #12, Urb Las Flores, Ponce PR 00730", "URB LAS FLORES | 12 CALLE 5 | PONCE PR 00730", ""),
    ("BLOQUE 2 #15 CALLE 4\nSan Juan PR 00926", "2-15 CALLE 4 | SAN JUAN PR 00926", ""),
    ("Urb Villa Rica\nBlq A Casa 5 Calle 4\nSan Juan PR 00926",
     "VILLA RICA | A5 CALLE 4 | SAN JUAN PR 00926", "other_form"),
    ("HC 3 Bzn 1050\nBo Caonillas\nUtuado PR 00641", "HC 3 BOX 1050 | UTUADO PR 00641", "kept_aside other_form"),
    ("9 Calle Sol\nRio Piedras PR 00925", "9 CALLE SOL | SAN JUAN PR 00925", "other_form"),  # I51.8
]  # fmt: skip


@pytest.mark.parametrize(("said", "expected", "found"), CASES)
def test_a_line_is_written_by_the_book_and_what_is_odd_is_said(
    said: str, expected: str, found: str
) -> None:
    assert shown(said) == expected
    assert codes(said) - MISSING_LAST == {f"address.{code}" for code in found.split()}


def test_parts_of_a_street_are_told_apart() -> None:
    value = address.clean("1005 1/2 N. Mill Creek Rd SW, Apt 4\nLima OH 45801-1234").value
    assert value is not None
    assert (value.kind, value.number, value.predirectional, value.street) == (
        "street", "1005 1/2", "N", "MILL CREEK",
    )  # fmt: skip
    assert (value.suffix, value.postdirectional, value.unit) == ("RD", "SW", "APT 4")
    assert (value.city, value.state, value.zip5, value.zip4) == ("LIMA", "OH", "45801", "1234")
    assert {"Pub 28 D4", "Pub 28 233.21", "Pub 28 233.22", "Pub 28 213"} <= set(value.rules)


def test_nothing_that_was_said_is_lost() -> None:
    value = address.clean("Attn: Pat Roe\nElm House\n12 Oak St\nPO Box 9\nLima OH 45801").value
    assert value is not None
    assert value.lines == ("PO BOX 9",)
    assert set(value.aside) == {"ATTN PAT ROE", "ELM HOUSE", "12 OAK ST"}


def test_other_readings_are_whole_lines_and_lower_confidence() -> None:
    value = address.clean("12 St Charles Ave Apt 4\nLima OH 45801").value
    assert value is not None
    assert value.readings == ("12 SAINT CHARLES AVE APT 4",)
    assert value.confidence < 1.0


@pytest.mark.parametrize("said", ["", " ", "\n,|;", "n/a", "None", "same", "."])
def test_no_address_is_doubtful_and_never_blocking(said: str) -> None:
    cleaned = address.clean(said)
    assert cleaned.value is None
    assert [f.code for f in cleaned.findings] == ["address.missing"]
    assert not cleaned.blocked


@pytest.mark.parametrize("kind", address.KINDS, ids=lambda kind: kind.code)
def test_every_kind_of_finding_is_found_in_its_wrong_example_only(kind) -> None:  # type: ignore[no-untyped-def]
    assert kind.code in codes(kind.wrong)
    assert kind.code not in codes(kind.right)


def test_an_ordinary_address_has_nothing_to_be_said_about_it() -> None:
    assert codes("12 north main street, apartment #4\nlima, ohio 45801") == set()


# said, other forms: the same address, which the standard would have in two ways or does not speak of
FORMS = [
    ("12 Elm St #1204", ("12 ELM ST PMB 1204", "12 ELM ST UNIT 1204")),  # 284, 285
    ("12 Elm St Unit A-3", ("12 ELM ST UNIT A3",)),  # A1, 354
    ("12 Elm St, third floor", ("12 ELM ST FL THIRD",)),  # appendix C2
    ("12 Elm St, Hangar 2", ("12 ELM ST HANGAR 2",)),
    ("12 Elm St No. 9", ("12 ELM ST UNIT 9",)),  # 213.2
    ("Unit 9\n12 Elm St", ("UNIT 9 | 12 ELM ST",)),  # 213, 213.3
    ("7 Georgia Pine Way", ("7 GA PINE WAY",)),  # 358, appendix F
    ("7 Avenue of the Oaks", ("7 AVE OF THE OAKS",)),  # 234
    ("7 FM Road 12", ("7 FM ROAD 12",)),  # appendix F
    ("W9 N77 Elm Rd", ("W9 N77 ELM RD",)),  # D3
    ("7¾ Elm Rd", ("7¾ ELM RD",)),  # D4
    ("Postal Box 7", ("PMB 7",)),  # 281
    ("Calle Sol 7\nPonce PR 00730", ("7 SOL",)),  # 295.4
    ("Parcelas Nuevas\n7 Calle 2\nPonce PR 00730", ("PARCELAS NUEVAS",)),  # 293
    ("7 Calle Sol\nMayagüez PR 00680", ("MAYAGÜEZ PR",)),  # I21.2
    ("7 Elm St\nHart's Grove OH 45801", ("HART'S GROVE OH",)),  # 222, 354
    ("7 Elm St\nLima OH  45801", ("LIMA OH  45801",)),  # 224
    ("7 Elm St\nSt Paul, Minn", ("SAINT PAUL MN", "ST PAUL MINN")),  # appendix B
]  # fmt: skip


@pytest.mark.parametrize(("said", "forms"), FORMS)
def test_another_written_form_is_named_and_nobody_is_asked(said: str, forms: tuple[str]) -> None:
    cleaned = address.clean(said)
    assert cleaned.value is not None
    assert cleaned.value.readings == forms
    (found,) = [f for f in cleaned.findings if f.code == "address.other_form"]
    assert found.weight is Weight.MENDED
    assert all(form in found.note for form in forms if not form.startswith("SAINT"))


@pytest.mark.parametrize(
    "said",
    ["12 N Main St", "PO Box 5", "12 Elm St Apt 4", "12 Elm St #4", "12 Elm St # 204", "12 Elm St Fl 2",
     "9 Georgia Ave", "9 CR 12", "RR 2 Box 12", "N6W23001 Elm Rd", "1 1/2 Elm St", "345 Avenue B", "12 Villa Ct",
     "150 Calle Sol\nPonce PR 00730", "12 O'Neill St\nLima OH 45801", "9 Elm St\nBoston Mass 02108"],
)  # fmt: skip
def test_an_ordinary_address_has_one_form(said: str) -> None:
    cleaned = address.clean(said)
    assert cleaned.value is not None
    assert cleaned.value.readings == ()
    assert cleaned.value.confidence == 1.0


# ---------------------------------------------------------------- laws

WORDS = st.sampled_from(
    ["12", "4B", "N", "SOUTH", "EAST", "WEST", "main", "ST", "oak", "Avenue", "apt", "#", "unit", "po", "box", "rr", "hc", "2", "lot,", "\n", "|", "calle", "urb", "PR", "OH", "Lima", "45801", "45801-1234", "county", "rd", "us", "hwy", "and", "&", "1/2", "fl", "3rd", "floor", "attn", "c/o", "jr", "psc", "cmr", "apo", "AE", "general", "delivery", "N6W23001", "12-14", "B-2", "pmb", "St.", "Louis", "NW", ",", "Canada", "M5V", "2T6", "state", "route", "sr", "220", "mm", "the", "of", "park", "general", "blq", "casa", "edif", "00926", "San", "Juan", "ave.", "no", "number", "st", "saint", "first", "e", "f", "g"]
)  # fmt: skip
ADDRESSES = st.lists(WORDS, max_size=12).map(" ".join)
ANY_TEXT = st.text(max_size=80) | ADDRESSES


@given(ANY_TEXT)
@settings(max_examples=400, deadline=None)
def test_no_text_makes_the_rule_raise(said: str) -> None:
    cleaned = address.clean(said)
    assert cleaned.said == said
    assert cleaned.value is not None or cleaned.findings
    assert not cleaned.blocked


@given(ADDRESSES)
@settings(max_examples=600, deadline=None, derandomize=True)
def test_cleaning_what_was_cleaned_changes_nothing_and_repairs_nothing(said: str) -> None:
    first = address.clean(said).value
    if first is None or not address.show(first):
        return
    again = address.clean(address.show(first))
    assert again.value == first
    assert not [f for f in again.findings if f.weight is Weight.MENDED]


@given(st.permutations(["12 Elm St", "Apt 4", "Attn: Pat Roe"]), st.sampled_from(["\n", ", "]))
def test_lines_of_different_kinds_may_stand_in_any_order(lines: list[str], between: str) -> None:
    """A unit and an attention line belong to the one street, wherever they stand (213, 214)."""
    value = address.clean(between.join(lines) + "\nLima, OH 45801").value
    assert value is not None
    assert value.lines == ("12 ELM ST APT 4",)
    assert value.aside == ("ATTN PAT ROE",)


@given(ADDRESSES)
@settings(max_examples=300, deadline=None)
def test_every_number_that_was_said_is_somewhere_in_the_result(said: str) -> None:
    value = address.clean(said).value
    if value is None:
        return
    there = re.sub(r"[^A-Z0-9]", "", " ".join((address.show(value), *value.aside)))
    for number in re.findall(r"[0-9]{2,}", said):
        assert number.lstrip("0") in there


@given(st.text(max_size=60))
@settings(max_examples=200, deadline=None)
def test_a_shown_address_has_capitals_and_no_marks_but_those_of_the_standard(said: str) -> None:
    value = address.clean(said).value
    if value is not None and value.kind != "other":
        assert re.fullmatch(r"[A-Z0-9 #&/.\n-]*", address.show(value))


@pytest.mark.parametrize(
    "junk",
    ["12 Main St\udcff", "\x00\x0112 Main St", "12 Main St " * 2000, "," * 100_000, "9" * 100_000,
     "A" * 100_000, "<b>12 Main St</b>", "=12+1 Main St", "#" * 5000, "BOX " * 3000, "1-" * 5000],
    ids=range(11),
)  # fmt: skip
def test_junk_is_answered_with_a_word(junk: str) -> None:
    cleaned = address.clean(junk)
    assert cleaned.value is not None or cleaned.findings


# ---------------------------------------------------------------- whole tables

SUFFIX_FORMS = [
    (form, standard)
    for standard, word, variants, practice in rows("address_suffixes")
    for form in (standard, word, *variants.split(), *practice.split())
]


@pytest.mark.parametrize("tail", ["", "\nLima, OH 45801", ", Lima, OH 45801", " Lima OH 45801"])
def test_every_written_form_of_a_suffix_becomes_the_standard_one(tail: str) -> None:
    """Appendix C1: every form, wherever the last line stands."""
    assert len({standard for _, standard in SUFFIX_FORMS}) >= 200
    wrong = [
        (form, shown(f"12 juniper {form.lower()}{tail}"))
        for form, standard in SUFFIX_FORMS
        if shown(f"12 juniper {form.lower()}{tail}").partition(" | ")[0] != f"12 JUNIPER {standard}"
    ]
    assert wrong == []


@pytest.mark.parametrize("between", [" ", ", ", "\n"])
def test_every_unit_designator_becomes_the_standard_one(between: str) -> None:
    """Appendix C2: every form, with a number where one must follow, by itself where none must."""
    wrong = []
    for standard, word, numbered, practice in rows("address_units"):
        for form in (standard, word, *practice.split()):
            names = ("5", "12B", "C", "#7") if numbered == "yes" else ("",)
            for name in names:
                said = f"12 oak ave{between}{form.lower()} {name}".rstrip() + "\nLima OH 45801"
                want = f"12 OAK AVE {standard} {name.lstrip('#')}".rstrip() + " | LIMA OH 45801"
                if shown(said) != want:
                    wrong.append((said, shown(said)))
    assert wrong == []


@pytest.mark.parametrize(
    "form", ["Someville, {} 55555", "Someville {} 55555-1234", "Someville, {}"]
)
def test_every_name_of_a_state_becomes_two_letters(form: str) -> None:
    """Appendix B and 225.1: names, letters, and the abbreviations people still write."""
    wrong = []
    for code, name, practice in rows("address_states"):
        for written in (code, name, *filter(None, practice.split(","))):
            value = address.clean("597 Primrose St\n" + form.format(written)).value
            if value is None or (value.city, value.state) != ("SOMEVILLE", code):
                wrong.append((written, value))
    assert wrong == []


def test_every_written_form_of_a_numbered_road_is_spelled_out() -> None:
    """237, appendix F."""
    wrong = []
    for written, *forms in rows("address_highways"):
        for form in ",".join(forms).split(","):
            said = f"54 {form.lower()} 441"
            if shown(said) != f"54 {written} 441":
                wrong.append((said, shown(said)))
    assert wrong == []
