"""The co-op's own look in its email: a logo and a color."""

from __future__ import annotations

import email
import re
import struct
import zlib
from dataclasses import replace
from email import policy
from email.message import EmailMessage
from pathlib import Path

import pytest
from packets_made import COOP, TODAY, make, member

from onboard.errors import SettingsTrouble
from onboard.settings import Look, Settings, read, starter
from onboard.welcome.notice import notice

SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 50"><rect width="200" height="50" fill="#1b5e20"/></svg>'


def png(wide: int, high: int, more: bytes = b"") -> bytes:
    """A gray picture."""

    def chunk(kind: bytes, content: bytes) -> bytes:
        return (
            struct.pack(">I", len(content))
            + kind
            + content
            + struct.pack(">I", zlib.crc32(kind + content))
        )

    rows = (b"\0" + b"\x80" * wide) * high
    head = struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"teXt", more) + chunk(b"IEND", b"")  # fmt: skip


def with_logo(folder: Path, name: str, content: bytes, **look: str) -> Settings:
    (folder / name).write_bytes(content)
    return replace(COOP, look=Look(logo=str(folder / name), **look))


def parts(message: bytes) -> dict[str, EmailMessage]:
    mail = email.message_from_bytes(message, policy=policy.default)
    return {part.get_content_type(): part for part in mail.walk()}  # type: ignore[misc]


@pytest.mark.parametrize(
    ("name", "content", "shown"),
    [
        ("logo.png", png(600, 100), (240, 40)),
        ("logo.PNG", png(40, 40), (40, 40)),
        ("tall.png", png(100, 400), (20, 80)),
        ("logo.svg", SVG.encode(), (240, 60)),
    ],
)
def test_the_logo_travels_in_the_mail_and_says_its_words(
    tmp_path: Path, name: str, content: bytes, shown: tuple[int, int]
) -> None:
    packet = make(settings=with_logo(tmp_path, name, content, logo_words='Furrow "& Fen"'))
    found = parts(packet.message)
    assert list(found) == [
        "multipart/mixed", "multipart/alternative", "text/plain", "multipart/related", "text/html",
        "image/png", "text/vcard", "text/calendar",
    ]  # fmt: skip
    image = found["image/png"]
    (tag,) = re.findall(r"<img [^>]*>", packet.html)
    assert f'src="cid:{str(image["Content-ID"]).strip("<>")}"' in tag
    assert 'alt="Furrow &#34;&amp; Fen&#34;"' in tag
    assert f'width="{shown[0]}" height="{shown[1]}"' in tag
    assert image.get_content_disposition() == "inline"
    assert image.get_content().startswith(b"\x89PNG")
    assert not re.search(r"src=\"http|url\(|@import", packet.html)
    assert packet.text == make().text  # nothing is said by a picture alone


def test_without_words_of_its_own_a_logo_says_the_co_op_s_name(tmp_path: Path) -> None:
    packet = make(settings=with_logo(tmp_path, "logo.png", png(10, 10)))
    assert 'alt="Furrow &amp; Fen Seed Co-op"' in packet.html


def test_a_notice_has_the_same_look(tmp_path: Path) -> None:
    settings = with_logo(tmp_path, "logo.png", png(10, 10), color="#1b5e20")
    told = notice(member(), ("email",), settings, TODAY, email="old@example.com")
    assert b"image/png" in told.message
    assert b"1b5e20" in told.message


def test_a_mail_without_a_look_is_as_it_was() -> None:
    packet = make()
    assert "<img" not in packet.html
    assert "image/png" not in parts(packet.message)


def test_the_color_is_that_of_the_headings() -> None:
    packet = make(settings=replace(COOP, look=Look(color="#8a1c1c")))
    headings = re.findall(r"<h[12] [^>]*>", packet.html)
    assert headings
    assert all("color:#8a1c1c" in heading for heading in headings)


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("none.png", b"", "can't be read (No such file or directory)"),
        ("big.png", png(20, 20, b"x" * 100_000), "is too large, 100 kB. Make it smaller than 100 kB"),
        ("photo.png", b"\xff\xd8\xff\xe0 a JPEG by its nature", "is not a PNG picture. Save it as PNG"),
        ("cut.png", b"\x89PNG\r\n\x1a\n", "is not a PNG picture"),
        ("odd.svg", b"<svg", "can't be drawn. Save it as PNG"),
    ],
)  # fmt: skip
def test_a_logo_that_cannot_be_shown_is_told(
    tmp_path: Path, name: str, content: bytes, told: str
) -> None:
    settings = with_logo(tmp_path, name, content)
    if not content:
        (tmp_path / name).unlink()
    with pytest.raises(SettingsTrouble) as trouble:
        make(settings=settings)
    assert told in str(trouble.value)
    assert "leave logo empty, under [look]" in str(trouble.value)


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ('color = "#ffcc00"', "[look] color is #ffcc00: its contrast with white is 1.51 to 1, too little"),
        ('color = "#777777"', "its contrast with white is 4.48 to 1, too little to read"),
        ('color = "green"', '[look] color is "green": write it with six digits, like "#1b5e20".'),
        ('logo = "logo.gif"', '[look] logo is "logo.gif": give a PNG or an SVG file.'),
    ],
)  # fmt: skip
def test_a_color_that_cannot_be_read_and_a_picture_that_is_not_shown_are_refused(
    tmp_path: Path, line: str, told: str
) -> None:
    file = tmp_path / "onboard.toml"
    key = line.partition(" ")[0]
    file.write_text(re.sub(rf"(?m)^{key} = .*$", line, starter()), "utf-8")
    with pytest.raises(SettingsTrouble) as trouble:
        read(file)
    assert told in str(trouble.value)


@pytest.mark.parametrize("color", ["#767676", "#1b5e20", "#000000", "#B00020", ""])
def test_a_color_that_can_be_read_is_taken(tmp_path: Path, color: str) -> None:
    file = tmp_path / "onboard.toml"
    text = re.sub(r"(?m)^color = .*$", f'color = "{color}"', starter())
    file.write_text(re.sub(r"(?m)^logo = .*$", 'logo = "our/logo.svg"', text), "utf-8")
    look = read(file).look
    assert look.color == color
    assert look.logo == str(tmp_path.resolve() / "our" / "logo.svg")
