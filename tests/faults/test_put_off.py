"""What a mail server puts off is tried again later, less and less often, and not for ever."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from coop_forms import NOON, ROBIN, office_of
from test_sending import NAMES, Place, place_at

from onboard.mail import post
from onboard.mail.envelope import token_in
from onboard.model import State
from onboard.roster import outgoing, store
from onboard.settings import Settings
from onboard.tasks.send_packets import Posted, send_packets

LATER = "451 4.7.1 Come again later"


@dataclass
class Clock:
    """A clock that is put forward by hand."""

    at: datetime = NOON

    def later(self, **by: float) -> None:
        self.at += timedelta(**by)


@pytest.fixture
def place(tmp_path: Path, coop: Settings) -> Iterator[Place]:
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, NAMES[:2]) as made:
        yield made


def send(
    place: Place, clock: Clock, only: tuple[str, ...] = (), *, really: bool = True
) -> dict[str, post.Outcome]:
    office = replace(
        office_of(place.settings, store.open_store(place.url), ROBIN), now=lambda: clock.at
    )
    posted: list[Posted] = send_packets(
        office, really=really, only=only, plain_on_loopback=True, wait=lambda seconds: None
    )
    return {one.name: one.outcome for one in posted}


def greylisted(place: Place, times: int = 1000) -> None:
    place.box.rcpt["pat@example.org"] = [LATER] * times


def test_it_waits_for_the_next_try_and_arrives_then(place: Place) -> None:
    clock = Clock()
    greylisted(place, 4)  # as often as one run tries
    first = send(place, clock)
    assert isinstance(first["patlee"], post.NotSent)
    assert isinstance(first["kimvale"], post.Sent)
    clock.later(minutes=4)
    waits = send(place, clock)["patlee"]
    assert isinstance(waits, post.Later)
    assert "451 4.7.1 Come again later" in waits.why
    assert re.search(r"next try is after Nov \d+, 2026, \d+:05 [AP]M", waits.why)
    assert place.got() == {"kim@example.org": 1}
    clock.later(minutes=1)
    assert isinstance(send(place, clock)["patlee"], post.Sent)
    assert place.got() == {"kim@example.org": 1, "pat@example.org": 1}


def test_who_is_named_is_tried_at_once(place: Place) -> None:
    clock = Clock()
    greylisted(place, 4)
    send(place, clock)
    assert isinstance(send(place, clock, ("patlee",))["patlee"], post.Sent)


def test_tries_become_rare_and_end_after_five_days(place: Place) -> None:
    clock = Clock()
    greylisted(place)
    send(place, clock)
    clock.later(hours=1)
    assert isinstance(send(place, clock)["patlee"], post.NotSent)
    clock.later(minutes=59)  # as long as it has waited, it waits again
    assert isinstance(send(place, clock)["patlee"], post.Later)
    clock.later(days=5)
    outcome = send(place, clock)["patlee"]
    assert isinstance(outcome, post.NotSent)
    assert outcome.permanent
    assert "stopped trying" in outcome.why
    assert place.packet() is State.REFUSED
    greylisted(place, 0)
    assert "patlee" not in send(place, clock)  # and never again


def test_a_preview_tells_it_and_changes_nothing(place: Place) -> None:
    clock = Clock()
    greylisted(place)
    send(place, clock)
    assert isinstance(send(place, clock, really=False)["patlee"], post.Later)


def test_each_email_has_a_return_path_that_nobody_can_guess(tmp_path: Path, coop: Settings) -> None:
    pattern = "bounce+TOKEN@growers.example.org"
    with place_at(f"sqlite:///{tmp_path / 'roster.db'}", coop, NAMES[:2]) as place:
        place.settings = replace(
            place.settings, mail=replace(place.settings.mail, bounces_to=pattern)
        )
        greylisted(place, 4)
        clock = Clock()
        send(place, clock)
        send(place, clock, ("patlee",))
        paths = [str(envelope.mail_from) for envelope in place.box.taken]
        tokens = [token_in(pattern, path) for path in paths]
        assert len(set(tokens)) == 2
        assert all(len(token) == 26 for token in tokens)
        with store.reading(store.open_store(place.url)) as connection:
            lines = outgoing.by_token(connection, tokens)
        assert {lines[t].member_id for t in tokens} == {1, 2}
        for envelope, token in zip(place.box.taken, tokens, strict=True):
            assert isinstance(envelope.content, bytes)
            assert token.encode() not in envelope.content.lower()
