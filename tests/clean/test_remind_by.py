"""How members want to be reminded, as they write it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from onboard.clean.remind_by import clean
from onboard.model import Way


@pytest.mark.parametrize(
    ("said", "way"),
    [
        ("Email", Way.EMAIL), ("e-mail please", Way.EMAIL), ("by E-Mail", Way.EMAIL), ("correo electrónico", Way.EMAIL),
        ("Correo", Way.EMAIL), ("Text", Way.TEXT), ("SMS", Way.TEXT), ("text message to my cell", Way.TEXT),
        ("mensaje de texto", Way.TEXT), ("Un texto, por favor", Way.TEXT), ("postcard", Way.LETTER), ("post card", Way.LETTER),
        ("a letter", Way.LETTER), ("U.S. Mail", Way.LETTER), ("mail", Way.LETTER), ("correo postal", Way.LETTER),
        ("por carta", Way.LETTER), ("Tarjeta postal", Way.LETTER), ("email or text", Way.EMAIL), ("text or postcard", Way.TEXT),
        ("none", False), ("No, thanks", False), ("Ninguno", False), ("No quiero", False), ("N/A", False), ("no", False),
        ("", None), ("call me", None), ("email but no texts", None), ("not by text", None), ("?", None),
    ],
)  # fmt: skip
def test_a_way_is_read_as_people_write_it(said: str, way: Way | bool | None) -> None:
    assert clean(said) is way


@given(st.text())
def test_no_text_makes_it_raise(said: str) -> None:
    clean(said)
