from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from onboard import intake
from onboard.errors import FileTrouble
from onboard.intake.columns import label, recognise
from onboard.intake.headings import Why, by_heading, fold

HEADINGS = [
    line.split("\t")
    for line in (Path(__file__).parent / "headings.tsv").read_text("utf-8").splitlines()
    if not line.startswith("#")
][1:]
PEOPLE = [
    ["Ana Ruiz", "ana.ruiz@example.org", "419-555-0143", "12 N Main St", "Lima", "OH", "45801"],
    ["Bo Lee", "bo@example.com", "(419) 555-0144", "9 Elm Ave", "Lima", "OH", "45804"],
    ["Cy Poe", "cy.poe@example.net", "419.555.0145", "4 Oak Ct", "Elida", "OH", "45807"],
]
NAME_EMAIL = ("Name", "Email")


def fields(found: intake.Columns) -> dict[str, str]:
    return {c.heading: c.field for c in found.columns if c.field}


def column(*cells: str) -> list[list[str]]:
    """Sample rows under Name, Email and one more column."""
    return [["Ana Ruiz", "ana@example.org", cell] for cell in cells]


@pytest.mark.parametrize(("field", "heading"), HEADINGS, ids=[h for _f, h in HEADINGS])
def test_a_heading_is_recognised_whatever_it_is_called(field: str, heading: str) -> None:
    found = recognise([heading], [], needed=())
    assert found.columns[0].field == field


def test_a_column_of_email_addresses_called_contact_is_the_email() -> None:
    found = recognise(["Name", "Contact"], [r[:2] for r in PEOPLE])
    assert fields(found) == {"Name": "full_name", "Contact": "email"}
    assert found.columns[1].why is Why.VALUES
    assert not found.questions


@pytest.mark.parametrize("needed", [("name", "handle"), ("name", "email")])
@pytest.mark.parametrize(
    "heading", ["Electronic address", "Electronic addr", "Net address", "Dirección virtual"]
)
def test_a_column_of_email_addresses_called_some_address_is_the_email(
    heading: str, needed: tuple[str, str]
) -> None:
    rows = [
        (f"Ana{n} Ruiz", f"ana{n}@example.org", f"{n} Elm St", f"ana{n}ruiz") for n in range(1, 9)
    ]
    found = recognise(["Name", heading, "Address", "Sign-in name"], rows, needed=needed)
    assert fields(found)[heading] == "email"
    assert fields(found)["Address"] == "address"
    assert not found.questions
    known = recognise(["Name", heading, "Email"], [(*r[:2], f"x{r[1]}") for r in rows])
    assert fields(known).get(heading, "") == ""


def test_each_column_says_why() -> None:
    headings = ["Full name", "Emial", "Reach you at", "Town hall", "Pledge", "Code"]
    rows = [[p[0], p[1], p[2], "x", "y", p[6]] for p in PEOPLE]
    found = recognise(headings, rows, told={"Town hall": "site"}, remembered={"Pledge": "-"})
    assert [(c.field, c.why, c.words) for c in found.columns] == [
        ("full_name", Why.ALIAS, "known heading"),
        ("email", Why.SPELLING, 'spelled nearly like "email"'),
        ("phone", Why.VALUES, "its values look like phone numbers"),
        ("site", Why.TOLD, "you said so"),
        ("", Why.REMEMBERED, "remembered"),
        ("", Why.NOTHING, "not recognized; kept with the row"),
    ]
    assert found.ignored == ("Pledge", "Code")


def test_five_digits_below_an_unknown_heading_are_no_zip_but_below_none_they_are() -> None:
    rows = [[p[0], p[1], p[6]] for p in PEOPLE]
    assert "zip" not in recognise([*NAME_EMAIL, "Order"], rows)
    assert "zip" in recognise([*NAME_EMAIL, ""], rows)


def test_numbers_that_no_phone_has_are_no_phones() -> None:
    """North American Numbering Plan: area code and exchange begin with 2 to 9."""
    assert "phone" not in recognise([*NAME_EMAIL, "Card"], column("1000000017", "4191550143"))
    assert "phone" in recognise([*NAME_EMAIL, "Reach me"], column("4195550143", "419-555-0144 x12"))


def test_columns_of_one_heading_are_told_apart_by_what_they_hold() -> None:
    """The person who answers sees two headings that are the same."""
    headings = [*NAME_EMAIL, "Phone", "Phone"]
    rows = [[*PEOPLE[0][:2], "419-555-0101", "419-555-0102"], [*PEOPLE[1][:2], "419-555-0103", ""]]
    (question,) = recognise(headings, rows).questions
    assert '"Phone" (419-555-0101, 419-555-0103), "Phone (2)" (419-555-0102).' in question.ask
    assert "--column Phone=phone or --column 'Phone (2)=phone'" in question.ask
    for told, other in (("Phone", "Phone (2)"), ("Phone (2)", "Phone")):
        found = recognise(headings, rows, told={told: "phone"})
        assert [c.heading for c in found.of("phone")] == [told]
        assert [c.heading for c in found.columns if c.second == "phone"] == [other]
        again = recognise(headings, rows, remembered={told: "phone"})
        assert [c.heading for c in again.of("phone")] == [told]
        assert not again.questions


def test_two_phones_are_a_question_and_the_answer_is_a_command() -> None:
    headings = [*NAME_EMAIL, "Home phone", "Cell phone"]
    rows = [[*p[:2], "419-555-0101", p[2]] for p in PEOPLE]
    found = recognise(headings, rows)
    assert "phone" not in found
    assert [q.ask for q in found.questions] == [
        '2 columns could be phone number: "Home phone" (419-555-0101), "Cell phone" '
        "(419-555-0143, (419) 555-0144, …). Which one is it? "
        "--column 'Home phone=phone' or --column 'Cell phone=phone' (give several to keep several)"
    ]
    told = recognise(headings, rows, told={"Cell phone": "phone"})
    assert [c.heading for c in told.of("phone")] == ["Cell phone"]
    assert not told.questions
    both = recognise(headings, rows, told={"Cell phone": "phone", "home PHONE": "phone"})
    assert [c.heading for c in both.of("phone")] == ["Home phone", "Cell phone"]


def test_an_empty_second_phone_column_asks_nothing() -> None:
    found = recognise(
        [*NAME_EMAIL, "Home phone", "Cell phone"], [[*p[:2], "", p[2]] for p in PEOPLE]
    )
    assert [c.heading for c in found.of("phone")] == ["Cell phone"]
    assert not found.questions


def test_the_same_email_typed_twice_is_one_email() -> None:
    found = recognise(["Name", "Email", "E-mail address"], [[*p[:2], p[1]] for p in PEOPLE])
    assert [c.heading for c in found.of("email")] == ["Email"]
    assert not found.questions


def test_a_location_is_whichever_of_site_and_city_is_missing() -> None:
    with_city = recognise([*NAME_EMAIL, "City", "Location"], [])
    assert fields(with_city)["Location"] == "site"
    with_site = recognise([*NAME_EMAIL, "Drop site", "Location"], [])
    assert fields(with_site)["Location"] == "city"
    alone = recognise([*NAME_EMAIL, "Location"], [])
    assert "Location" in alone.ignored
    assert [q.ask for q in alone.questions] == [
        'The column "Location" could be city or drop site. Which is it? '
        "--column Location=city or --column Location=site"
    ]


def test_address_is_the_street_where_the_city_has_a_column() -> None:
    rows = [[p[0], p[1], p[3], p[4], p[6]] for p in PEOPLE]
    found = recognise([*NAME_EMAIL, "Address", "City", "ZIP"], rows)
    assert fields(found)["Address"] == "street"


def test_address_stays_whole_where_it_holds_the_zip_itself() -> None:
    rows = [[p[0], p[1], f"{p[3]}, {p[4]} {p[5]} {p[6]}", p[6]] for p in PEOPLE]
    found = recognise([*NAME_EMAIL, "Address", "ZIP"], rows)
    assert fields(found)["Address"] == "address"


def test_name_is_the_first_name_where_the_last_name_has_a_column() -> None:
    rows = [["Ana", "Ruiz", "ana@example.org"], ["Bo", "Lee", "bo@example.org"]]
    assert fields(recognise(["Nombre", "Apellidos", "Correo"], rows)) == {
        "Nombre": "given", "Apellidos": "family", "Correo": "email",
    }  # fmt: skip
    rows = [["Ana Ruiz", "Ruiz", "ana@example.org"], ["Bo Lee", "Lee", "bo@example.org"]]
    assert fields(recognise(["Name", "Last name", "Email"], rows))["Name"] == "full_name"


@pytest.mark.parametrize(
    ("headings", "asks"),
    [
        (["Email", "Remarks"], ["No column looks like the member's name. If it is one of "
          '"Remarks", say which: --column HEADING=full_name']),
        (["Name"], ["No column looks like the email address. Add it to the file."]),
        (["First name", "Email"], ["No column looks like the last name. Add it to the file."]),
    ],
)  # fmt: skip
def test_a_missing_needed_field_is_a_question(headings: list[str], asks: list[str]) -> None:
    assert [q.ask for q in recognise(headings, []).questions] == asks


def test_a_roster_may_do_without_email() -> None:
    assert not recognise(["Name", "Handle"], [], needed=("name", "handle")).questions


def test_values_that_speak_against_a_heading_are_a_question() -> None:
    found = recognise(["Name", "Email"], [[p[0], p[2]] for p in PEOPLE])
    assert [q.ask for q in found.questions] == [
        'The column "Email" is named like email address, but holds what looks like phone '
        "numbers. Which is it? --column Email=email or --column Email=phone"
    ]


def test_a_single_word_inside_a_heading_counts_only_if_the_values_agree() -> None:
    long = "Which phone shall we try on delivery day"
    assert fields(recognise([*NAME_EMAIL, long], column("419-555-0101")))[long] == "phone"
    assert long in recognise([*NAME_EMAIL, long], column("the red one")).ignored


def test_a_column_of_the_coops_own_is_an_extra() -> None:
    question = "How did you hear of us?"
    found = recognise([*NAME_EMAIL, "how did you hear of us"], [], extra_questions=[question])
    assert fields(found)["how did you hear of us"] == f"extra:{question}"


def test_headings_are_told_apart() -> None:
    assert label(["A", "", "A", " ", "A (2)", "A"]) == (
        "A", "column 2", "A (2)", "column 4", "A (2) (2)", "A (3)",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("told", "trouble"),
    [
        ({"Shoe": "phone"}, '--column Shoe=phone: the file has no column "Shoe". Its columns '
                            "are: Name, Email."),
        ({"Name": "shoe"}, '--column Name=shoe: there is no field "shoe". The fields are '),
    ],
)  # fmt: skip
def test_what_was_told_wrongly_is_trouble(told: dict[str, str], trouble: str) -> None:
    with pytest.raises(FileTrouble) as raised:
        recognise(NAME_EMAIL, [], told=told)
    assert str(raised.value).startswith(trouble)


def test_columns_are_remembered_in_a_file_to_edit_by_hand(tmp_path: Path) -> None:
    file = tmp_path / "columns.toml"
    assert intake.recall(file) == {}
    headings = [*NAME_EMAIL, 'The "best" phone', "Remarks"]
    told = {'The "best" phone': "phone", "Remarks": "-"}
    intake.remember(file, recognise(headings, [], told=told))
    assert intake.recall(file) == {
        "Name": "full_name", "Email": "email", 'The "best" phone': "phone", "Remarks": "-",
    }  # fmt: skip
    text = file.read_text("utf-8")
    assert text.startswith("# Which column of a join form is which field")
    file.write_text(text + "# my own remark\n'Old heading' = 'site'\n", "utf-8")
    intake.remember(file, recognise(["Name", "Mail"], []))
    assert "# my own remark" in file.read_text("utf-8")
    again = tomllib.loads(file.read_text("utf-8"))["columns"]
    assert again["Old heading"] == "site"
    assert again["Mail"] == "email"
    found = recognise(headings, [], remembered=intake.recall(file))
    assert found.columns[2].why is Why.REMEMBERED


@pytest.mark.parametrize(
    ("text", "trouble"),
    [
        ("[columns", "Can.t read"),
        ('[columns]\nA = "shoe"\n', "there is no such field"),
        ("columns = 3\n", "must be a table"),
        ("[columns]\nA = 3\n", "there is no such field"),
    ],
)
def test_a_memory_edited_badly_is_trouble(tmp_path: Path, text: str, trouble: str) -> None:
    file = tmp_path / "columns.toml"
    file.write_text(text, "utf-8")
    with pytest.raises(FileTrouble, match=trouble):
        intake.recall(file)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.text(max_size=40), max_size=8),
    st.lists(st.lists(st.text(max_size=30), max_size=9), max_size=5),
)
def test_no_headings_and_no_values_make_it_raise(
    headings: list[str], rows: list[list[str]]
) -> None:
    found = recognise(headings, rows)
    assert len(found.columns) == len(headings)
    assert len(set(found.headings)) == len(headings)
    taken = [c.field for c in found.columns if c.field]
    assert len(taken) == len(set(taken))


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60))
def test_folding_twice_changes_nothing(heading: str) -> None:
    assert fold(fold(heading)) == fold(heading)


def test_a_heading_of_ten_megabytes_is_read_quickly() -> None:
    assert by_heading("(" * 10_000_000).why is Why.NOTHING


def _forms(tmp_path: Path, heading: str, *emails: tuple[str, str]) -> list[str]:
    file = tmp_path / "forms.csv"
    rows = [f"Pat Lee{n},{first},{second}" for n, (first, second) in enumerate(emails)]
    file.write_text("\n".join([f"Name,Email,{heading}", *rows, ""]))
    return [row.fields["email"] for row in intake.open_rows(file).rows()]


@pytest.mark.parametrize("heading", ["Alternate email", "Email 2", "Backup email"])
def test_a_second_email_is_heard_where_the_first_may_be_wrong(tmp_path: Path, heading: str) -> None:
    said = _forms(
        tmp_path, heading,
        ("pat@gmail.con", "pat.lee@gmail.com"), ("none@none.com", "kim@example.org"),
        ("ana@example.org", "ana@example.net"), ("", "bo@example.org"), ("kim@yaho.com", ""),
    )  # fmt: skip
    assert said == [
        "pat@gmail.con\npat.lee@gmail.com",  # the rule takes the one without a doubt, and asks
        "none@none.com\nkim@example.org",
        "ana@example.org",  # nobody is asked where nothing is in doubt
        "bo@example.org",  # in the wrong box, and told so
        "kim@yaho.com",
    ]


def test_the_columns_say_when_a_second_email_is_used() -> None:
    people = [["Ana", "ana@example.org", "a@example.net"], ["Bo", "bo@example.org", ""]]
    found = recognise(["Name", "Email", "Alternate email"], people)
    assert [(c.field, c.words) for c in found.columns][2] == (
        "", 'only where the one under "Email" may be wrong',
    )  # fmt: skip


def test_a_second_phone_column_is_kept_beside_the_first(tmp_path: Path) -> None:
    file = tmp_path / "roster.csv"
    file.write_text(
        "Name,Email,Home,Cell\n"
        "Ana Ruiz,ana@example.org,419-555-0143,\n"
        "Bo Lee,bo@example.org,419-555-0144,419-555-0154\n"
        "Cy Poe,cy@example.org,419-555-0145,419-555-0145\n"
    )
    sheet = intake.open_rows(file)
    assert [row.fields["phone"] for row in sheet.rows()] == [
        "419-555-0143", "419-555-0154\n419-555-0144", "419-555-0145",
    ]  # fmt: skip
    assert (
        sheet.columns.columns[2].words == 'another phone number, kept beside the one under "Cell"'
    )


@pytest.mark.parametrize("heading", ["Email?", "¿Correos?", "E-mails"])
def test_a_word_about_email_that_is_answered_by_yes_and_no_asks(heading: str) -> None:
    cells = [["Ana", "ana@example.org", "Sí"], ["Bo", "bo@example.org", "N"]]
    assert fields(recognise(["Name", "E-mail", heading], cells))[heading] == "consent"
    addresses = [["Ana", "ok@example.org"], ["Bo", "yes@example.org"]]
    assert fields(recognise(["Name", heading], addresses, needed=())).get(heading) != "consent"


def test_a_column_of_days_that_a_list_of_members_has_is_named_with_what_it_may_be() -> None:
    days = [["ana", "Ana", "3/14/2019"], ["bo", "Bo", "2/1/2020"], ["cy", "Cy", "5/5/2021"]]
    found = recognise(["Login", "Name", "Orientation"], days, needed=("name", "handle"))
    assert found.columns[2].words == (
        "not recognized; kept with the row. It has days in it. If they joined then: --column "
        "Orientation=submitted. Else: =born, =last_sign_in or =last_order"
    )
