"""The printed letter: what a screen reader is given, and what paper shows."""

from __future__ import annotations

import io
import json
import re
from dataclasses import replace

import pypdf
import pytest
import typst
from packets_made import COOP, PHRASE, make, member

from onboard.model import FirstPassword, PersonName
from onboard.settings import Settings
from onboard.welcome import Packet, letters, printed


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
    # No mail server is set here: the letter has no section on the co-op's emails.
    assert kinds.count("/H2") == packet.text.count("\n---") - 1
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
    """14 points, which common practice calls large print, for who gets the letter alone; less only
    where two pages need it."""
    sizes: set[float] = set()

    def note(text: str, _cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if "Hello" in text:
            sizes.add(round(abs(tm[3]) * size, 1))

    pages([make("Pat Lee", email="")]).pages[0].extract_text(visitor_text=note)
    assert sizes == {14.0}


def test_every_letter_begins_on_a_page_of_its_own() -> None:
    names = ["Pat Lee", "Ana Ruiz", "Bo Li"]
    reader = pages([make(name) for name in names])
    first = [page.extract_text() for page in reader.pages if "Hello" in page.extract_text()]
    assert [next(n for n in names if f"Hello {n.split()[0]}," in text) for text in first] == names
    for text in first:
        assert text.count("Hello") == 1


Placed = tuple[float, float, str]  # inches from the left and from the top, and a piece of text


def placed(page: pypdf.PageObject) -> list[Placed]:
    """The pieces of text on a page, each where it begins."""
    found: list[Placed] = []

    def note(text: str, cm: list[float], tm: list[float], _font: object, _size: float) -> None:
        if text.strip():
            down = float(page.mediabox.height) - (tm[5] * cm[3] + cm[5])
            found.append(((tm[4] * cm[0] + cm[4]) / 72, down / 72, text))

    page.extract_text(visitor_text=note)
    return found


# Where the window of a #10 envelope shows the letter that is folded in three: 4.5 by 1.125 inches, 7/8
# from the left and 1/2 from the bottom. In the envelope there is room for the letter to slip.
SLIPS = [(dx, dy) for dx in (0.02, 0.5, 0.98) for dy in (0.02, 0.23, 0.44)]
ADDRESSES = [
    ("12 N MAIN ST APT 4", "LIMA OH 45801"),
    ("12345 N MARTIN LUTHER KING JUNIOR BLVD APT 1204", "URB LAS GLADIOLAS", "SAN JUAN PR 00926-1234"),
    ("C/O NORTHWEST OHIO MIGRANT MINISTRIES", "COND VISTA VERDE", "1 CALLE A APT 2", "PONCE PR 00716"),
    (),
]  # fmt: skip


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.parametrize("name", ["Bo Li", "Maximiliana Wolfeschlegelsteinhausen-Bergerdorff"])
def test_the_window_of_an_envelope_shows_the_address_and_nothing_else(
    name: str, address: tuple[str, ...]
) -> None:
    packet = make(name, address=address, email="")
    first = placed(pages([packet]).pages[0])
    (_, _, from_whom), *_ = first
    assert from_whom.startswith(COOP.coop)
    lines = ["".join(line.split()) for line in (name, *address)]
    for dx, dy in SLIPS:
        left, top = 0.875 - dx, 11 / 3 + dy - 0.5 - 1.125
        seen = [
            (across, down, "".join(text.split()))
            for across, down, text in first
            if across < left + 4.5 and top < down < top + 1.125 + 0.15
        ]
        assert "".join(text for _, _, text in seen) == "".join(lines)
        assert min(across for across, _, _ in seen) >= left + 0.125
        assert min(down for _, down, _ in seen) >= top + 0.075 + 0.04  # capitals of 8 points
        assert max(down for _, down, _ in seen) <= top + 1.125 - 0.04


def test_above_the_first_fold_stands_no_secret() -> None:
    packet = make("Pat Lee", email="")
    above = "".join(text for _, down, text in placed(pages([packet]).pages[0]) if down < 11 / 3)
    assert "Pat Lee" in above
    assert PHRASE not in above
    assert "patlee" not in above


@pytest.mark.parametrize(("language", "foot"), [("en", "Page {} of 2"), ("es", "Página {} de 2")])
def test_every_page_says_whose_it_is_and_which_of_how_many(language: str, foot: str) -> None:
    names = ["Pat Lee", "Ana Ruiz", "Bo Li"]
    reader = pages([make(name, language=language) for name in names])
    assert len(reader.pages) == 6
    for number, page in enumerate(reader.pages):
        last = " ".join(page.extract_text().split())
        assert last.endswith(f"{names[number // 2]} {foot.format(number % 2 + 1)}")


def test_bookmarks_are_names_and_each_letter_is_found_by_its_sign_in_name() -> None:
    reader = pages([make(name, id=n) for n, name in enumerate(["Pat Lee", "María Ruiz", "Bo Li"])])
    marks = [mark for mark in reader.outline if isinstance(mark, pypdf.generic.Destination)]
    assert [(m.title, reader.get_destination_page_number(m)) for m in marks] == [
        ("Pat Lee", 0), ("María Ruiz", 2), ("Bo Li", 4),
    ]  # fmt: skip
    assert {
        name: reader.get_destination_page_number(mark)
        for name, mark in reader.named_destinations.items()
    } == {"to-patlee": 0, "to-mariaruiz": 2, "to-boli": 4}


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("email", ["", "maria@example.com"])
@pytest.mark.parametrize(
    "name",
    ["Bo Li", "Ana Li Ro", "Sol O'Neill-Rosalba", "María José O'Brien-Nolan", "Bernvood Clovis Rn-Vv Oll",
     "Maximiliana Wolfeschlegelsteinhausen-Bergerdorff"],
)  # fmt: skip
def test_nobody_turns_the_page_while_they_type_the_password(
    name: str, email: str, language: str
) -> None:
    reader = pages([make(name, language=language, email=email)])
    assert len(reader.pages) <= 2
    texts = [re.sub(r"\s+", "", page.extract_text()) for page in reader.pages]
    heading, last = {
        "en": ("3.Typeyourtemporarypassword", "saynoandcallus."),
        "es": ("3.Escribasucontraseñatemporal", "digaquenoyllámenos."),
    }[language]
    (there,) = [text for text in texts if heading in text]
    assert PHRASE in there
    assert last in there


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
    monkeypatch.setattr(printed, "_shown", lambda sign: sign != "王")
    assert "PatWang" in words(pages([make(PersonName("Pat", "", "王"))]))


@pytest.mark.parametrize(
    "name", ["Grain Co-op \U0001f33e", "Grain \U0001f469\u200d\U0001f33e\ufe0f Co-op"]
)
def test_a_picture_in_a_name_is_left_out_of_a_letter(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printed, "_shown", str.isalpha)
    assert printed.showable({"title": f"{name}: how to sign in"}) == {
        "title": "Grain Co-op: how to sign in"
    }


def test_a_sign_without_a_typeface_is_noticed() -> None:
    printed._shown.cache_clear()
    assert printed._shown("é")
    assert not printed._shown("\U0010fffd")  # private use: nothing has it


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


# ---------------------------------------------------------------- labels


def test_labels_lie_where_a_sheet_of_thirty_has_them() -> None:
    """Letter size, three across and ten down, 2 5/8 by 1 inch; 3/16 inch from the left, 1/2 from the
    top; 2 3/4 inches from one to the next."""
    members = [member("Pat Lee", address=(f"{n} N MAIN ST", "LIMA OH 45801")) for n in range(31)]
    reader = pypdf.PdfReader(io.BytesIO(letters.labels(members, COOP)))
    assert [tuple(map(float, page.mediabox[2:])) for page in reader.pages] == [(612, 792)] * 2
    for number in range(31):
        row, column = divmod(number % 30, 3)
        left, top = 3 / 16 + column * 2.75, 0.5 + row
        here = [
            (across, down, text)
            for across, down, text in placed(reader.pages[number // 30])
            if left <= across < left + 2.625 and top <= down < top + 1
        ]
        assert (
            "".join("".join(text.split()) for _, _, text in here)
            == f"PatLee{number}NMAINSTLIMAOH45801"
        )
        assert all(left + 0.12 <= across for across, _, _ in here)
        assert all(top + 0.2 <= down <= top + 0.88 for _, down, _ in here)


def test_a_long_address_stays_on_its_label() -> None:
    long = (
        "12345 N MARTIN LUTHER KING JUNIOR BLVD APT 1204",
        "URB LAS GLADIOLAS",
        "SAN JUAN PR 00926-1234",
    )
    name = "Maximiliana Wolfeschlegelsteinhausen-Bergerdorff"
    reader = pypdf.PdfReader(io.BytesIO(letters.labels([member(name, address=long)], COOP)))
    there = placed(reader.pages[0])
    assert "".join("".join(text.split()) for _, _, text in there) == "".join(
        "".join((name, *long)).split()
    )
    assert max(down for _, down, _ in there) <= 0.5 + 0.95


SIGNS = """
#set text(font: "Libertinus Serif", size: 100pt, hyphenate: false)
#context [#metadata(json(bytes(sys.inputs.signs)).map(it =>
  ("regular", "bold").map(weight => measure(text(weight: weight, it)).width.pt())
)) <wide>]
"""


def reckoned(said: str, *, strong: bool = False) -> float:
    return printed._width([{"text": said, "strong": strong}])


def test_no_line_is_wider_than_is_reckoned() -> None:
    signs = [chr(code) for code in range(0x20, 0x2027) if reckoned(chr(code))]
    assert len(signs) > 300
    inputs = {"signs": json.dumps(signs)}
    told = typst.query(SIGNS.encode(), "<wide>", field="value", one=True, sys_inputs=inputs)
    for sign, (regular, bold) in zip(signs, json.loads(told), strict=True):
        assert regular <= 100 * reckoned(sign) + 0.01, sign
        assert bold <= 100 * reckoned(sign, strong=True) + 0.01, sign


def test_a_line_that_needs_measuring_is_not_reckoned() -> None:
    assert reckoned("Pat\nLee") == reckoned("Мария") == 0
    told = printed._piece("paragraph", [{"text": "Мария", "strong": False}])
    assert told["wide"] == 0


def test_letters_together_are_set_as_large_as_each_alone() -> None:
    """What is measured once for all is as high in each."""
    names = (
        "Bo Li",
        "Wilhelmina Christabel Featherstonehaugh-Abernathy",
        "Ana Ruiz",
        "Мария Иванова",
    )
    packets = [make(name, language=lang) for name in names for lang in ("en", "es")]
    alone = [set(sizes(pages([one]))) for one in packets]
    together = pages(packets)
    assert all(alone)
    starts = range(len(packets))
    assert [set(sizes(together, 2 * n, 2 * n + 2)) for n in starts] == alone


def sizes(reader: pypdf.PdfReader, first: int = 0, end: int = 2) -> list[float]:
    """The sizes of the type on these pages."""
    found = []
    for page in reader.pages[first:end]:
        said = page.get_contents()
        assert said is not None
        found += [float(n) for n in re.findall(rb"/f\d+ ([\d.]+) Tf", said.get_data())]
    return found
