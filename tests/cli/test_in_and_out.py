"""What comes in by a list or a form is heard, and shown to nobody whom it does not concern."""

from __future__ import annotations

from pathlib import Path

from office import HEADINGS, KIM, SAM, onboard, write_csv

from onboard.intake.sheet import tables_of


def sheet_text(file: Path) -> str:
    return "\n".join(
        cell for table in tables_of(file) for line in table.lines() for cell in line.cells
    )


def test_a_password_in_a_remark_is_in_no_sheet_and_in_no_preview(office: Path) -> None:
    heads = (*HEADINGS, "Notes", "Anything else?", "Choose a password")
    sam = (*SAM, "Likes figs. My password is Mango77", "clave: girasol. I bake.", "fluffy")
    kim = (*KIM, "No emails please, password mango#77", "", "Kitty")
    forms = write_csv(office / "secrets.csv", [sam, kim], heads)
    shown = onboard("batch", forms).words + onboard("batch", forms, "--json").words
    shown += onboard("batch", forms, "--record").words
    shown += sheet_text(office / "secrets-questions.xlsx")
    for said in ("mango77", "girasol", "fluffy", "mango#77", "kitty"):
        assert said not in shown.casefold(), shown[max(0, shown.casefold().find(said) - 150) :][
            :200
        ]
    for said in ("Likes figs.", "I bake.", "No emails please"):
        assert said in shown
