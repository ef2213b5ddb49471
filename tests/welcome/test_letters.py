"""The printed letter: what a screen reader is given, and what paper shows."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pypdf
import pytest
from packets_made import COOP, PHRASE, make

from onboard.model import FirstPassword, PersonName
from onboard.settings import Settings
from onboard.welcome import Packet, letters


def pages(packets: list[Packet], settings: Settings = COOP) -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(letters.pdf(packets, settings)))


def words(reader: pypdf.PdfReader) -> str:
    """What stands on the pages, white space left out: extraction guesses it."""
    return re.sub(r"\s+", "", "".join(page.extract_text() for page in reader.pages))


def test_it_is_tagged_and_titled_and_in_a_language() -> None:
    """ISO 14289-1 (PDF/UA-1) 5, 7.1, 7.2."""
    reader = pages([make(language="es")])
    root = reader.trailer["/Root"]
    assert root["/StructTreeRoot"]["/Type"] == "/StructTreeRoot"
    assert root["/MarkInfo"]["/Marked"] == True  # noqa: E712 — a PDF boolean
    assert root["/Lang"] == "es"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712
    assert reader.metadata is not None
    assert (
        reader.metadata.title
        == "Furrow & Fen Seed Co-op: cómo entrar a su cuenta y hacer su pedido"
    )
    assert b"<pdfuaid:part>1</pdfuaid:part>" in root["/Metadata"].get_data()


def tags(node: pypdf.generic.PdfObject | None) -> list[pypdf.generic.DictionaryObject]:
    """The structure elements below a node, in reading order."""
    node = node.get_object() if node is not None else None
    if isinstance(node, list):
        return [tag for kid in node for tag in tags(kid)]
    if not isinstance(node, pypdf.generic.DictionaryObject):
        return []
    return ([node] if "/S" in node else []) + tags(node.get("/K"))


def test_headings_lists_and_the_code_are_told_to_screen_readers() -> None:
    packet = make()
    found = tags(pages([packet]).trailer["/Root"]["/StructTreeRoot"])
    kinds = [tag["/S"] for tag in found]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") == packet.text.count("\n---")
    assert kinds.count("/L") >= 5
    assert [tag["/Alt"] for tag in found if tag["/S"] == "/Figure"] == [COOP.ordering_page]


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    "name",
    ["Bo Li", "María José O'Brien-Nolan", "Maximiliana Wolfeschlegelsteinhausen-Bergerdorff"],
)
def test_a_letter_has_two_pages_at_most(name: str, language: str) -> None:
    packet = make(name, language=language)
    reader = pages([packet])
    assert len(reader.pages) <= 2
    shown = words(reader)
    assert packet.member.handle.text in shown
    assert PHRASE in shown
    assert "".join(packet.member.name.family.split()) in shown


def test_type_is_large_for_most_members() -> None:
    """14 points, which common practice calls large print; less only where two pages need it."""
    sizes: set[float] = set()

    def note(text: str, _cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if "Hello" in text:
            sizes.add(round(abs(tm[3]) * size, 1))

    pages([make("Pat Lee")]).pages[0].extract_text(visitor_text=note)
    assert sizes == {14.0}


def test_every_letter_begins_on_a_page_of_its_own() -> None:
    names = ["Pat Lee", "Ana Ruiz", "Bo Li"]
    reader = pages([make(name) for name in names])
    first = [page.extract_text() for page in reader.pages if "Hello" in page.extract_text()]
    assert [next(n for n in names if f"Hello {n.split()[0]}," in text) for text in first] == names
    for text in first:
        assert text.count("Hello") == 1


@pytest.mark.parametrize(
    "name",
    ['#panic("x")', "*bold* _it_ $x^2$ `raw` @ref <label> // no", "[a](b) \\ \\u{41} ~ --- '\"",
     "#sys.inputs.data", "= Heading", "1. one", "]) #import \"@preview/x:1.0.0\"", "\x00\x1b[31m",
     "</script>{{ 7*7 }}{% raw %}"],
)  # fmt: skip
def test_markup_in_a_name_is_printed(name: str) -> None:
    packet = make(PersonName("Pat", "", name))
    shown = words(pages([packet]))
    expected = re.sub(r"[\x00-\x1f\s]+", "", name)
    assert expected[:10] in shown


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Zoë Łukasz Ångström", "ZoëŁukaszÅngström"),
        ("Владимир", "Владимир"),
        ("Ἀλέξανδρος", "Ἀλέξανδρος"),
        ("Nguyễn", "Nguyễn"),
    ],
)
def test_foreign_names_are_printed_as_they_are(name: str, expected: str) -> None:
    assert expected in words(pages([make(PersonName("Pat", "", name))]))


def test_signs_without_a_typeface_are_printed_in_latin_letters(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(letters, "_shown", lambda sign: sign != "王")
    assert "PatWang" in words(pages([make(PersonName("Pat", "", "王"))]))


def test_a_sign_without_a_typeface_is_noticed() -> None:
    letters._shown.cache_clear()
    assert letters._shown("é")
    assert not letters._shown("\U0010fffd")  # private use: nothing has it


@pytest.mark.parametrize("phrase", ["a" * 60, "abcdefghi-" * 6 + "x"])
def test_a_long_password_stays_on_one_line(phrase: str) -> None:
    from datetime import date

    reader = pages([make(first=FirstPassword(phrase, date(2026, 12, 9)))])
    assert any(phrase in page.extract_text() for page in reader.pages)


@pytest.mark.parametrize(("region", "size"), [("US", (612, 792)), ("DE", (595, 842))])
def test_paper_is_that_of_the_region(region: str, size: tuple[int, int]) -> None:
    settings = replace(COOP, region=region)
    box = pages([make(settings=settings)], settings).pages[0].mediabox
    assert (round(box.width), round(box.height)) == size


def test_no_letters_no_trouble() -> None:
    assert letters.pdf([], COOP).startswith(b"%PDF")
