"""What strangers type into a form, through the whole path: it comes out as text, and harms nobody."""

from __future__ import annotations

import csv
import email
import json
import sys
from email.policy import default
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from office import HEADINGS, KIM, PAT, SETTINGS, onboard, write_csv
from pypdf import PdfReader
from python_calamine import CalamineWorkbook

# OWASP, "CSV Injection": what a spreadsheet program may take for a formula.
LIVE = ("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20")
FORMULAS = ("=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\uff1d1+1", " =1+1")
HARM = {
    "script": "<script>alert(1)</script> Lee",
    "jinja": "Pat {{ 7*7 }}{% include 'x' %} Lee",
    "typst": 'Pat #import "x.typ" *bold* _it_ $x$ Lee',
    "backslash": "Pat \\u{41}\\ %s %n Lee",
    "escape": "Pat \x1b[31m\x1b]0;x\x07 Lee",
    "bidi": "Pat \u202e\u2066eeL Lee",
    "nul": "Pat\x00 Lee",
    "header": "Pat\r\nBcc: all@example.net Lee",
    "rich": "Pat [bold red]x[/bold red] [/] Lee",
}


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with settings in it."""
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "coop"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    monkeypatch.chdir(folder)
    return folder


def harmless_on_screen(said: str) -> bool:
    return all(c.isprintable() or c == "\n" for c in said)


def every_cell(folder: Path) -> list[tuple[str, str]]:
    """(file, text) of every cell of the spreadsheets that we write."""
    found = []
    for file in folder.glob("accounts*.csv"):
        with file.open(encoding="utf-8", newline="") as stream:
            found += [(file.name, cell) for line in csv.reader(stream) for cell in line]
    return found


def enrolled_anyway(folder: Path) -> None:
    """Whoever is on hold is enrolled by a ruling, so that what they typed goes all the way."""
    *rows, _ = onboard("batch", "forms.csv", "--json").json()
    for key in {row["row"] for row in rows if row["verdict"] == "on hold"}:
        onboard("answer", key, "enrol")
    written = onboard("packets", "--write")
    assert written.code == (" wait" in written.out)  # an answer is needed
    for name in ("accounts.csv", "accounts.json"):
        assert onboard("export", name).code == 0


def test_a_formula_in_any_field_is_live_nowhere(office: Path) -> None:
    rows = []
    for number, formula in enumerate(FORMULAS):
        for place in range(len(HEADINGS)):
            row = [f"Ann{chr(97 + number)} Oak{chr(97 + place)}", f"a{number}x{place}@example.org",
                   "", f"{number}{place} Elm St", *PAT[4:]]  # fmt: skip
            row[place] = formula
            rows.append(row)
    write_csv(office / "forms.csv", rows, tuple(HEADINGS))
    assert onboard("batch", "forms.csv", "--record").code == 1
    book = CalamineWorkbook.from_path(str(office / "forms-questions.xlsx"))
    assert any("1+1" in str(c) for line in book.get_sheet_by_index(0).to_python() for c in line)
    import zipfile

    with zipfile.ZipFile(office / "forms-questions.xlsx") as parts:
        sheets = [n for n in parts.namelist() if n.startswith("xl/worksheets/sheet")]
        assert sheets
        # ECMA-376 part 1, 18.3.1.40: a formula stands in an element f.
        assert not [n for n in sheets if b"<f>" in parts.read(n) or b"<f " in parts.read(n)]
    enrolled_anyway(office)
    cells = every_cell(office)
    assert len(cells) > 100
    assert [c for c in cells if c[1].lstrip(" ").startswith(LIVE)] == []


@pytest.mark.parametrize("what", HARM)
def test_markup_and_control_signs_come_out_as_text(office: Path, what: str) -> None:
    text = HARM[what]
    write_csv(office / "forms.csv", [(text, *PAT[1:]), (KIM[0], *KIM[1:3], text, *KIM[4:])])
    for words in (("batch", "forms.csv", "--all"), ("batch", "forms.csv", "--record"), ("answer",)):
        said = onboard(*words)
        assert said.code in (0, 1), said.err
        assert harmless_on_screen(said.out + said.err)
    enrolled_anyway(office)
    mails = sorted((office / "outbox").glob("*.eml"))
    assert mails
    for file in mails:
        message = email.message_from_bytes(file.read_bytes(), policy=default)
        assert message.defects == []
        assert len(message.get_all("To")) == len(message["To"].addresses) == 1
        assert message["Bcc"] is message["Cc"] is None
        page = message.get_body(("html",))
        plain = message.get_body(("plain",))
        assert page is not None
        assert plain is not None
        assert "<script>alert" not in page.get_content()
        assert "49" not in plain.get_content().splitlines()[0], "nothing typed is worked out"
    for pdf in (office / "outbox").glob("*.pdf"):
        assert len(PdfReader(pdf).pages) >= 2
    json.loads((office / "accounts.json").read_bytes())


@pytest.mark.parametrize(
    "address",
    [
        "pat@example.org\r\nBcc: all@example.net",
        "pat@example.org\nSubject: x",
        "a@example.org, b@example.net",
    ],
)
def test_an_address_adds_no_header_and_no_recipient(office: Path, address: str) -> None:
    write_csv(office / "forms.csv", [(PAT[0], address, *PAT[2:])])
    onboard("batch", "forms.csv", "--record")
    enrolled_anyway(office)
    for file in (office / "outbox").glob("*.eml"):
        message = email.message_from_bytes(file.read_bytes(), policy=default)
        assert len(message["To"].addresses) == 1
        assert message["Bcc"] is None
        assert len(message.get_all("Subject")) == 1


@pytest.mark.parametrize("place", [0, 1, 3])
def test_ten_million_letters_in_a_cell_are_kept_and_harm_nothing(office: Path, place: int) -> None:
    row = list(PAT)
    row[place] = "x" * 10_000_000
    write_csv(office / "forms.csv", [row, KIM])
    said = onboard("batch", "forms.csv", "--record")
    assert said.code in (0, 1), said.err[:500]
    assert len(said.out) < 20_000
    assert "2 rows" in said.out
    assert (office / "outbox" / "kimvale.eml").exists()
    assert (office / "roster.db").stat().st_size > 10_000_000, "the row keeps what was typed"


def test_five_thousand_columns(office: Path) -> None:
    more = tuple(f"q{n}" for n in range(5000))
    write_csv(office / "forms.csv", [(*PAT, *("",) * 5000)], (*HEADINGS, *more))
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 0, said.err[:500]


def test_a_heading_steers_no_terminal(office: Path) -> None:
    file = write_csv(office / "[bold]f[x.csv", [(*PAT, "x")], (*HEADINGS, "\x1b[2J\u202eodd"))
    said = onboard("batch", file)
    assert said.code == 0
    assert "Columns of [bold]f[x.csv" in said.out
    assert harmless_on_screen(said.out + said.err)
