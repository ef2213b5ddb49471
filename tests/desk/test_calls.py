"""`onboard call` and `onboard calls`: noted, counted, and the sentence to improve."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cli.office import onboard
from coop_forms import office_of
from desk.roster_seen import journaled
from hypothesis import given
from hypothesis import settings as effort
from hypothesis import strategies as st

from onboard import settings, welcome
from onboard.model import Signature
from onboard.office import open_office
from onboard.roster import store
from onboard.signin import KINDS
from onboard.tasks.calls import Ended, count_calls, note_call
from onboard.welcome.words import sentences

TEMPLATES = Path(welcome.__file__).parent / "templates"
START = datetime(2026, 9, 1, 16, tzinfo=UTC)  # noon at the co-op
# Causes that no word of a packet can help with: what is amiss is on our side, or nobody's words.
BEYOND_WORDS = {
    "account.hold", "account.closed", "account.merged", "packet.due", "packet.barred",
    "packet.returned", "password.page",
    "page.down", "page.disabled",
    "page.session",
    "page.locked", "password.replaced", "site.closed", "site.none", "site.unknown", "typed.other_handle",
    "unexplained",
}  # fmt: skip


def note(office: Path, *calls: tuple[str, datetime]) -> None:
    """Calls of Pat Lee, each with its cause and day."""
    place = open_office(office / "onboard.toml", who="kim")
    for cause, when in calls:
        note_call(replace(place, now=lambda when=when: when), "patlee", [cause], Ended.HELPED)


def test_a_call_is_noted_with_its_causes_and_how_it_ended(office: Path) -> None:
    said = onboard(
        "call", "patlee", "--cause", "typed.email", "--cause", "page.shop", "--ended", "passed-on",
        "--note", "calls again on Monday",
    )  # fmt: skip
    assert (said.code, said.out) == (0, "Saved as call 1.\n")
    assert journaled(office)[-1] == "call noted"
    told = onboard("calls", "--json").json()
    assert [(t["cause"], t["calls"], t["by_site"]) for t in told[:-1]] == [
        ("page.shop", 1, [["Lima Grange", 1]]),
        ("typed.email", 1, [["Lima Grange", 1]]),
    ]
    assert told[-1] == {"calls": 1, "ended": {"passed-on": 1}}


def test_causes_are_counted_by_month_and_the_most_frequent_comes_first(office: Path) -> None:
    days = [0, 1, 40]
    note(office, *(("typed.spaces", START + timedelta(days=d)) for d in days))
    note(office, ("page.shop", START))
    told = onboard("calls", "--since", "2026-09-01", "--json").json()
    assert told[0]["cause"] == "typed.spaces"
    assert told[0]["calls"] == 3
    assert told[0]["by_month"] == [["2026-09", 2], ["2026-10", 1]]
    assert told[1]["cause"] == "page.shop"


def test_the_month_is_that_of_the_co_op(office: Path) -> None:
    note(office, ("typed.slip", datetime(2026, 10, 1, 2, tzinfo=UTC)))  # the evening before there
    told = onboard("calls", "--since", "2026-09-01", "--json").json()
    assert told[0]["by_month"] == [["2026-09", 1]]


def test_only_the_days_asked_for_are_counted_and_both_belong_to_it(office: Path) -> None:
    note(
        office,
        *(
            (f"typed.{c}", START + timedelta(days=d))
            for d, c in enumerate(("email", "spaces", "slip"))
        ),
    )
    told = onboard("calls", "--since", "2026-09-02", "--until", "2026-09-03", "--json").json()
    assert {t["cause"] for t in told[:-1]} == {"typed.spaces", "typed.slip"}
    assert told[-1]["calls"] == 2


def test_each_cause_points_to_the_sentence_to_improve(office: Path) -> None:
    note(office, ("typed.capitals", START), ("page.shop", START), ("unexplained", START))
    said = onboard("calls", "--since", "2026-09-01")
    sentence = "It is one word: no spaces, no capitals."
    lines = (TEMPLATES / "en" / "packet.md.j2").read_text("utf-8").splitlines()
    at = next(number for number, line in enumerate(lines, 1) if sentence in line)
    assert f"“{sentence}” (en/packet.md.j2, line {at})" in said.words
    assert "“This is not the page: [shop_page].”" in said.words
    assert "unexplained (1): nothing in the welcome packet can help with that." in said.words
    spanish = onboard("calls", "--since", "2026-09-01", "--language", "es")
    assert "“Es una sola palabra, sin espacios y sin mayúsculas.”" in spanish.words


def test_the_sentence_is_that_of_the_words_of_ones_own(office: Path) -> None:
    onboard("packets", "--words-to", "words")
    file = office / "words" / "en" / "packet.md.j2"
    text = file.read_text("utf-8")
    file.write_text(text.replace("This is **not** the page", "Do not go to the page"), "utf-8")
    conf = office / "onboard.toml"
    conf.write_text(conf.read_text() + '\n[files]\ntemplates = "words"\n')
    note(office, ("page.shop", START))
    said = onboard("calls", "--since", "2026-09-01")
    assert "“Do not go to the page: [shop_page].”" in said.words
    assert str(file) in said.words


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_cause_that_words_can_help_with_has_a_sentence(office: Path, language: str) -> None:
    found = sentences(language, settings.read(office / "onboard.toml"))
    assert {kind.code for kind in KINDS} - found.keys() == BEYOND_WORDS
    assert found.keys() <= {kind.code for kind in KINDS}
    assert all(sentence.text and "{" not in sentence.text for sentence in found.values())


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("call", "patlee", "--cause", "typed.emial", "--ended", "helped"),
         "There is no cause 'typed.emial'. Use one of these: typed.accents"),
        (("call", "nobody", "--cause", "typed.email", "--ended", "helped"), "Nobody here has"),
        (("call", "row:zz", "--cause", "typed.email", "--ended", "helped"), "No form on hold has a key that starts with zz."),
        (("calls", "--since", "September"), "--since 'September' is not a date. Write it as 2026-11-01."),
        (("calls", "--since", "2026-11-02", "--until", "2026-11-01"), "--until is before --since. Swap them."),
    ],
)  # fmt: skip
def test_what_cannot_be_says_why(office: Path, words: tuple[str, ...], told: str) -> None:
    said = onboard(*words)
    assert said.code == 2
    assert told in said.words
    assert onboard("calls", "--json").json()[-1]["calls"] == 0


def test_a_roster_without_calls_says_so(office: Path) -> None:
    assert onboard("calls").out == "0 calls.\n"


def test_only_those_whom_the_settings_name_may_note_or_count(office: Path) -> None:
    file = office / "onboard.toml"
    file.write_text(file.read_text().replace("[desk]", '[desk]\nmay_look_up = ["robin"]'))
    assert onboard("calls", "--by", "lou").code == 2
    words = ("call", "1", "--cause", "typed.email", "--ended", "helped")
    assert onboard(*words, "--by", "lou").code == 2
    assert onboard(*words, "--by", "Robin").code == 0


@given(
    st.lists(
        st.tuples(
            st.sets(st.sampled_from([kind.code for kind in KINDS]), min_size=1, max_size=3),
            st.integers(0, 90),
            st.sampled_from(Ended),
        ),
        max_size=8,
    )
)
@effort(max_examples=20, deadline=None)
def test_counts_by_site_and_by_month_come_to_the_calls_of_each_cause(
    enrolled: Path, said: list[tuple[set[str], int, Ended]]
) -> None:
    coop = settings.read(enrolled / "onboard.toml")
    engine = store.open_store("sqlite://")
    members = store.open_store(coop.store)
    with store.transaction(members, keep=False) as there, store.transaction(engine) as here:
        from onboard.roster import tables

        for line in there.execute(tables.member.select()):
            here.execute(tables.member.insert(), dict(line._mapping))
    for causes, day, ended in said:
        when = START + timedelta(days=day)
        note_call(office_of(coop, engine, Signature("kim", when)), "1", sorted(causes), ended)
    found = count_calls(office_of(coop, engine), START, START + timedelta(days=91))
    assert found.calls == len(said)
    assert sum(t.calls for t in found.causes) == sum(len(causes) for causes, _, _ in said)
    for told in found.causes:
        assert sum(n for _, n in told.by_site) == sum(n for _, n in told.by_month) == told.calls
    assert [t.calls for t in found.causes] == sorted((t.calls for t in found.causes), reverse=True)


def test_a_day_to_come_is_refused_for_what_it_is(office: Path) -> None:
    said = onboard("calls", "--since", "2100-01-01")
    assert said.code == 2
    assert "--since 2100-01-01 is a day to come" in said.words
    both = onboard("calls", "--since", "2026-03-01", "--until", "2026-02-01")
    assert "--until is before --since. Swap them." in both.words


def test_a_note_with_a_password_is_not_kept(office: Path) -> None:
    said = onboard("call", "patlee", "--cause", "typed.spaces", "--ended", "helped",
                   "--note", "her password is Tulip42!")  # fmt: skip
    assert said.code == 2
    assert "The note seems to hold a password, so nothing was saved." in said.words
    assert "Tulip" not in said.words
    assert b"Tulip" not in b"".join(file.read_bytes() for file in office.glob("roster.db*"))
    assert "call noted" not in journaled(office)
