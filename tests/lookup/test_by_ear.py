"""Names as a listener writes them are near the names as they stand, and other names are not."""

from __future__ import annotations

import pytest

from onboard.lookup.by_ear import MOST, by_ear


@pytest.mark.parametrize(
    ("said", "known"),
    [
        ("eenez", "ines"), ("himena", "ximena"), ("hezoos", "jesus"), ("giyermo", "guillermo"), ("kovalsky", "kowalski"),
        ("novak", "nowak"), ("lashonce", "lachance"), ("bowshomp", "beauchamp"), ("neev", "niamh"), ("tao", "thao"),
        ("fam", "pham"), ("nootson", "knutson"), ("byork", "bjork"), ("zastro", "zastrow"), ("ooliveea", "olivia"),
        ("rassmussen", "rasmussen"), ("vail", "vale"), ("greeta", "greta"), ("doll", "dahl"), ("shmit", "schmidt"),
    ],
)  # fmt: skip
def test_a_name_as_it_is_heard_is_near(said: str, known: str) -> None:
    assert by_ear(said, known) <= MOST


@pytest.mark.parametrize(
    ("said", "known"),
    [("walter", "wendell"), ("smith", "stark"), ("ines", "oscar"), ("nowak", "nygaard"), ("gail", "greta"),
     ("pham", "pratt"), ("", "ines"), ("i", "ines")],
)  # fmt: skip
def test_another_name_is_not(said: str, known: str) -> None:
    assert by_ear(said, known) > MOST
