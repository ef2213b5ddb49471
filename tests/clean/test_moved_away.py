"""One address and a later one of the same member: moved, or only written otherwise."""

from __future__ import annotations

import pytest

from onboard.clean import address
from onboard.clean.address.moved import is_elsewhere
from onboard.model import Address


def _read(said: str) -> Address:
    value = address.clean(said).value
    assert value is not None
    return value


@pytest.mark.parametrize(
    ("on_file", "said"),
    [
        ("12 N Main St, Lima OH 45801", "14 N Main St, Lima OH 45801"),
        ("12 N Main St, Lima OH 45801", "12 Elm St, Lima OH 45801"),
        ("12 N Main St, Lima OH 45801", "12 N Main St Apt 3, Lima OH 45801"),
        ("PO Box 17, Lima OH 45801", "12 N Main St, Lima OH 45801"),
        ("RR 2 Box 14, Lima OH 45801", "RR 2 Box 15, Lima OH 45801"),
        ("12 N Main St, Lima OH 45801", "12 N Main St, Athens OH 45701"),
    ],
)
def test_another_door_is_another_place(on_file: str, said: str) -> None:
    assert is_elsewhere(_read(on_file), _read(said))


@pytest.mark.parametrize(
    ("on_file", "said"),
    [
        ("12 N Main St, Lima OH 45801", "12 north main street, LIMA, Ohio 45801-1234"),
        ("12 N Main St Apt 3, Lima OH 45801", "12 N Main St, Lima OH 45801"),
        ("12 N Main St, Lima OH 45801", "12 N Mian St, Lima OH"),
        ("RR 2 Box 14, Lima OH 45801", "R.R. #2, Box 14, Lima, OH"),
        ("12 N Main St, Lima OH 45801", "12 Main St, Lima OH 45801"),
    ],
)
def test_the_same_door_written_otherwise_is_the_same_place(on_file: str, said: str) -> None:
    assert not is_elsewhere(_read(on_file), _read(said))
