"""Templates: ours, the co-op's own, and broken ones."""

from __future__ import annotations

import stat
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from packets_made import COOP, make, member

from onboard import welcome
from onboard.errors import FileTrouble, SettingsTrouble
from onboard.model import Handle
from onboard.settings import Settings
from onboard.welcome import blocks, letters, words

Write = Callable[[str, "str | bytes"], Settings]


@pytest.fixture
def templates(tmp_path: Path) -> Write:
    """Writes a template of the co-op's own; gives the settings that use it."""

    def write(name: str, content: str | bytes) -> Settings:
        file = tmp_path / "words" / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content.encode() if isinstance(content, str) else content)
        return replace(COOP, templates=tmp_path / "words")

    return write


def test_a_file_of_the_same_name_replaces_ours(templates: Write) -> None:
    settings = templates("en/packet.md.j2", "# Hi {{ name }}\n\n> {{ handle }}\n")
    packet = make("Pat Lee", settings=settings)
    assert packet.subject == "Hi Pat"
    assert packet.text == "Hi Pat\n======\n\n    patlee\n"
    assert make("Pat Lee", settings=settings, language="es").subject.startswith("Furrow & Fen")


def test_a_folder_for_a_language_adds_it(templates: Write) -> None:
    settings = templates("fr/packet.md.j2", "# Bonjour {{ name }}\n\n{{ expires }}\n")
    settings = templates(
        "fr/calendar.md.j2", "# Commander\n\nOui.\n\n- Premier jour\n- Dernier jour\n"
    )
    packet = make("Pat Lee", settings=settings, language="fr")
    assert packet.text == "Bonjour Pat\n===========\n\nmercredi 9 décembre 2026\n"
    assert '<html lang="fr"' in packet.html
    assert b"SUMMARY:Commander" in packet.calendar


BROKEN = [
    ("en/packet.md.j2", "# Hi\n\n{% if %}\n", "en/packet.md.j2, line 3: Expected an expression"),
    ("en/packet.md.j2", "# Hi\n\n\n{{ nmae }}\n", "en/packet.md.j2, line 4: 'nmae' is undefined."),
    ("en/packet.md.j2", "# Hi\n{{ site.nothing }}\n", "line 2: 'dict object' has no attribute"),
    ("en/packet.md.j2", "# Hi\n{{ 1 / 0 }}\n", "line 2: division by zero."),
    ("en/packet.md.j2", "# Hi\n{{ ''.__class__.__mro__ }}\n", "line 2: access to attribute '__class__'"),
    ("en/packet.md.j2", "# Hi\n{% include 'x.j2' %}\n", "there is no template “x.j2”."),
    ("en/packet.md.j2", b"# Hi \xff\n", "the file is not in UTF-8. Save it as UTF-8."),
    ("en/packet.md.j2", "Hi {{ name }}\n", "the subject is missing. Begin it with a line “# subject”"),
    ("en/packet.md.j2", "", "the subject is missing."),
    ("en/calendar.md.j2", "# Order\n\n- One reminder\n", "en/calendar.md.j2: it needs a title"),
    ("mail.html.j2", "<p>\n{{ nothing }}\n", "mail.html.j2, line 2: 'nothing' is undefined."),
    ("mail-block.html.j2", "<p>\n{{ nothing }}\n", "mail-block.html.j2, line 2: 'nothing' is undefined."),
    ("letter.typ", "#let a = 1\n#nothing\n", "letter.typ: line 2: unknown variable: nothing."),
    ("letter.typ", "#let a = {\n", "letter.typ: line 1: unclosed delimiter."),
]  # fmt: skip


@pytest.mark.parametrize(("name", "content", "message"), BROKEN)
def test_a_broken_template_is_told_with_file_line_and_remedy(
    templates: Write, name: str, content: str | bytes, message: str
) -> None:
    settings = templates(name, content)
    with pytest.raises(SettingsTrouble) as trouble:
        letters.pdf([make(settings=settings)], settings)
    assert message in str(trouble.value)
    assert str(settings.templates) in str(trouble.value) or "x.j2" in message
    assert "delete the file" in str(trouble.value)


def test_ours_can_be_copied_and_changed(tmp_path: Path) -> None:
    folder = tmp_path / "ours"
    copied = welcome.copy_templates(folder)
    assert {str(file.relative_to(folder)) for file in copied} == {
        *(f"{language}/{name}.j2" for language in ("en", "es") for name in (
            "packet.md", "calendar.md", "notice.md", "moved.md", "site.md", "reminder.md", "postcard.md", "text.txt",
        )),
        "mail.html.j2", "mail-block.html.j2", "letter.typ", "labels.typ", "windows.typ", "handout.typ", "host.typ", "postcards.typ",
    }  # fmt: skip
    settings = replace(COOP, templates=folder)
    assert make(settings=settings).text == make().text
    assert letters.pdf([make(settings=settings)], settings).startswith(b"%PDF")
    file = folder / "en/packet.md.j2"
    file.write_text(file.read_text("utf-8").replace("Welcome to", "Good day from"), "utf-8")
    assert "Good day from Furrow & Fen" in make(settings=settings).text
    assert welcome.copy_templates(folder) == ()  # what a co-op wrote is left alone
    assert "Good day from" in file.read_text("utf-8")


def test_templates_that_cannot_be_written_are_told(tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(FileTrouble, match="Choose a folder of your own"):
        welcome.copy_templates(tmp_path / "taken")


# ---------------------------------------------------------------- Markdown


@given(st.text())
def test_a_value_is_nothing_but_text(value: str) -> None:
    """CommonMark 0.31, 2.4: any ASCII punctuation may be escaped by a backslash."""
    shown = " ".join(value.replace("\x00", "\ufffd").split())
    read = blocks.read(f"x{words._as_markdown(value)}x")
    assert [block.kind for block in read] == ["paragraph"]
    joined = f"x{' '.join(value.split())}x".replace("\x00", "\ufffd")
    assert read[0].text == joined
    assert all(not span.strong and not span.url for span in read[0].lines[0]), shown


def test_markdown_is_read_into_blocks_and_text() -> None:
    said = blocks.read(
        "# A **title**\n\nOne\ntwo  \nthree [four](https://a.example/) [b@c.example](mailto:b@c.example)\n\n"
        "1. one\n2. two\n   - nested\n\n> shown-as it is\n\n![Scan me](code)\n\n<b>no</b>\n\n"
        "[x](javascript:alert(1))\n"
    )
    assert [block.kind for block in said] == [
        "title", "paragraph", "steps", "shown", "code", "paragraph", "paragraph",
    ]  # fmt: skip
    assert blocks.as_text(said) == (
        "A title\n=======\n\nOne two\nthree four (https://a.example/) b@c.example\n\n"
        "1. one\n2. two\n3. nested\n\n    shown-as it is\n\n<b>no</b>\n\n[x](javascript:alert(1))\n"
    )
    assert not any(
        span.url.startswith("javascript") for b in said for line in b.lines for span in line
    )


def test_a_template_gets_no_more_than_it_is_told_of() -> None:
    """docs/packets.md lists every value that a template may use."""
    from onboard.welcome.packet import _values

    page = Path(__file__).parents[2] / "docs" / "packets.md"
    told = page.read_text("utf-8")
    from packets_made import FIRST, TODAY

    values = _values(member(), FIRST, COOP, TODAY, (), "en")
    assert [name for name in values if f"`{name}`" not in told] == []
    assert stat.S_ISREG(page.stat().st_mode)


def test_a_letter_alone_says_nothing_that_only_holds_on_the_day_or_for_emails() -> None:
    """It is read a week later; and who gets no email is not asked about emails."""
    mail, letter = (
        " ".join(make("Pat Lee", email=to).text.split()) for to in ("pat@example.org", "")
    )
    assert "(open now)" in mail
    assert "If you do not want emails from us" in mail
    assert "(open now)" not in letter
    assert "emails from us" not in letter
    assert "or click it in our email" not in letter
    assert "Type it into the bar at the top of your web browser." in letter


@pytest.mark.parametrize(
    ("handle", "words"),
    [("patlee", "Type these letters,"), ("patlee2", "Type these letters and numbers,")],
)
def test_numbers_in_a_sign_in_name_are_spoken_of(handle: str, words: str) -> None:
    assert words in make(handle=Handle(handle)).text
