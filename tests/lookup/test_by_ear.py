"""Names as a listener writes them are near the names as they stand, and other names are not."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from functools import cache
from itertools import product
from pathlib import Path

import pytest
from called_members import coop, load, read
from sqlalchemy import Connection

from onboard import tables
from onboard.lookup import by_ear as module
from onboard.lookup.by_ear import DOUBLE, LETTERS, MOST, SIMPLE, VOWEL, by_ear, heard
from onboard.lookup.slips import word
from onboard.roster import store
from onboard.tasks.look_up import meant_by

ROOT = Path(__file__).parents[2]
HEARD = list(read(ROOT / "tests" / "facts" / "heard_names.tsv", "\t"))
SITES = ("Feed Barn", "Town Shed", "Grange Hall", "Seed Library", "Fair Barn", "Mill", "Greenhouse")


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


@pytest.mark.parametrize(
    ("said", "known"),
    [("shivon", "siobhan"), ("eeva", "aoife"), ("shevalyay", "chevalier"), ("vishnefsky", "wisniewski"), ("chew", "qiu"),
     ("win", "nguyen")],
)  # fmt: skip
def test_a_name_sounds_as_its_own_language_reads_it(said: str, known: str) -> None:
    assert heard(said, known) < MOST + 3
    assert heard(said, "walter") > MOST + 3


@cache
def written() -> dict[tuple[str, str], float]:
    rows = tables.rows("by_ear")
    return {(known, "" if said == "-" else said): float(bits) for known, said, bits in rows}


def least(said: str, known: str) -> float:
    """The bits of writing one for the other by every way there is, from the first letter of both to the last."""
    found = {(0, 0): 0.0}
    for i, j in product(range(len(known) + 1), range(len(said) + 1)):
        here = found.get((i, j), 99.0)
        one, other = known[i : i + 1], said[j : j + 1]
        vowels = one in tuple("aeiouy") and other in tuple("aeiouy")
        ways = [
            (1, 1, (0.0 if one == other else VOWEL if vowels else SIMPLE) if one and other else 99.0),
            (1, 0, DOUBLE if i and known[i - 1] == one else SIMPLE),
            (0, 1, DOUBLE if j and said[j - 1] == other else SIMPLE),
            *((m, n, written().get((known[i : i + m], said[j : j + n]), 99.0))
              for m in range(1, LETTERS + 1) for n in range(LETTERS + 1)),
        ]  # fmt: skip
        for m, n, bits in ways:
            to = i + m, j + n
            found[to] = min(found.get(to, 99.0), here + bits)
    return found[len(known), len(said)] + module.HEARD


def test_names_that_begin_alike_are_each_as_near_as_alone() -> None:
    """Whatever was held against what was said before, and however soon a name is given up."""
    names = [one["first"].lower() for one in HEARD]
    for one in HEARD[::9]:
        said = one["heard first"].lower()
        for known in (one["first"].lower(), said, *names[:30]):
            bits = least(said, known)
            near = abs(len(said) - len(known)) <= 4 and module._skeletons_meet(said, known)
            expected = bits if near and bits <= MOST else float("inf")
            assert by_ear(said, known) == pytest.approx(expected), (said, known)


def test_remembered_pairs_of_names_are_not_looked_through_for_garbage() -> None:
    for at in range(3000):
        heard(f"said{at}", "known")
        word(f"said{at}", "known")
    gc.collect()
    heard("shivon", "wendell")
    word("shivon", "wendell")
    assert not [
        one for one in gc.get_objects(generation=0) if isinstance(one, dict) and len(one) >= 3000
    ]


@pytest.fixture(scope="module")
def roster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Connection]:
    """The demo's members, and those with names of many languages, at sites by turns."""
    nobody = {"middle": "", "former": "", "email": "", "phone": "", "site": "Depot"}
    demo = read(ROOT / "fixtures_demo" / "members.csv")
    names = [(one["First name"], one["Last name"], one["Handle"]) for one in demo]
    names += [(one["first"], one["last"], f"heard{at}") for at, one in enumerate(HEARD)]
    lines = [
        nobody | {"id": str(at + 1), "first": first, "last": last, "handle": handle,
                  "site": SITES[at % len(SITES)]}
        for at, (first, last, handle) in enumerate(names)
    ]  # fmt: skip
    engine = store.open_store(f"sqlite:///{tmp_path_factory.mktemp('heard') / 'roster.db'}")
    load(engine, lines)
    with store.reading(engine) as connection:
        yield connection
    engine.dispose()


def test_who_has_a_name_of_another_language_is_found_by_how_it_sounds(roster: Connection) -> None:
    first = 0
    for at, one in enumerate(HEARD):
        finds = meant_by(roster, coop(SITES), f"{one['heard first']} {one['heard last']}")
        first += finds.found[:1] != () and finds.found[0].handle == f"heard{at}"
        assert not finds.safe_to_open
    assert first >= 0.8 * len(HEARD)
