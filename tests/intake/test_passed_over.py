"""Lines of a file that hold nobody: sums below the list, and another table below the first."""

from __future__ import annotations

from pathlib import Path

import pytest

from onboard import intake

HEADS = "Login,Name,E-mail,Phone,Zip,Remarks\n"
PEOPLE = "ana,Ana Ruiz,ana@example.org,419-555-0143,45801,\nbo,Bo Lee,bo@example.org,419-555-0144,45801,\n"


def _read(folder: Path, text: str) -> tuple[list[str], tuple[str, ...]]:
    file = folder / "roster.csv"
    file.write_text(HEADS + PEOPLE + text)
    sheet = intake.open_rows(file, needed=("name", "handle"))
    names = [row.fields["full_name"] for row in sheet.rows()]
    return names, sheet.passed_over.words()


@pytest.mark.parametrize(
    "sums",
    ["70,Total members:,,,,", ",Total members:,70,,,", ",Active:,,,61,", "Total members: 70,,,,,", "Active: 61,,,,,",
     ",TOTAL,,,,2", "Number of households,,,,1,204,", "Socios activos: 12,,,,,", "Total de socios,12,,,,"],
)  # fmt: skip
def test_sums_below_a_list_are_nobody(tmp_path: Path, sums: str) -> None:
    if sums.startswith("70"):
        sums = "Total members:,70,,,,"
    names, words = _read(tmp_path, f"{sums}\n")
    assert names == ["Ana Ruiz", "Bo Lee"]
    assert words == ("1 row is totals: 4.",)


@pytest.mark.parametrize(
    "row",
    [
        "tw,Total Wine,tw@example.org,,,",
        "total,Total Ruiz,,419-555-0150,,",
        "cy,Count Basil,,4195550150,45801,",
        "Al:,Al Poe,,,,",
    ],
)
def test_somebody_whose_name_is_like_a_sum_is_somebody(tmp_path: Path, row: str) -> None:
    assert len(_read(tmp_path, f"{row}\n")[0]) == 3


OTHER = "FORMER MEMBERS,,,,,\n#,Name,Phone,E-mail,Town,Left\n1,Marv Kettner,419-555-0147,marv@example.org,Lima,2019\n"


@pytest.mark.parametrize("apart", [",,,,,\n", "", "\n\n"])
def test_another_table_below_the_first_is_not_read_under_its_headings(
    tmp_path: Path, apart: str
) -> None:
    names, words = _read(tmp_path, apart + OTHER)
    assert names == ["Ana Ruiz", "Bo Lee"]
    at = 4 + apart.count("\n")
    where = f"{at}, {at + 1}, {at + 2}"
    told = (
        f"3 rows are in another table, which has its headings in row {at + 1}. "
        f"Give it as a file of its own: {where}."
    )
    assert told in words


@pytest.mark.parametrize(
    "heads",
    ["Punto,Anfitrión,Teléfono,Correo,,", "Site,Who,Phone,Email,,", "Name,Town,Why they left,,,"],
)
def test_a_short_table_of_hosts_makes_nobody_a_member(tmp_path: Path, heads: str) -> None:
    below = f",,,,,\n{heads}\nTaos Feed Barn,Al Dray,505-555-0192,al@example.org,,\n"
    assert _read(tmp_path, below)[0] == ["Ana Ruiz", "Bo Lee"]


def test_a_member_below_a_blank_line_is_one(tmp_path: Path) -> None:
    below = ",,,,,\nkc,Kim First,,,,inactive\ncy,Cy Poe,cy@example.org,,,\n"
    assert _read(tmp_path, below)[0][2:] == ["Kim First", "Cy Poe"]


def test_a_trial_of_a_form_that_repeats_its_questions_hides_nobody_below_it(tmp_path: Path) -> None:
    names, words = _read(
        tmp_path, "Login,First and last name,Email,Phone,Zip,\ncy,Cy Poe,,,45801,\n"
    )
    assert names[-1] == "Cy Poe"
    assert not any("another table" in line for line in words)
