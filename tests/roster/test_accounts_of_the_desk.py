"""Accounts, sessions and wrong tries of the desk, in a file and on a server alike."""

from __future__ import annotations

from datetime import timedelta

import pytest
from coop_forms import NOON
from sqlalchemy import Engine

from onboard import codes
from onboard.errors import NotDone
from onboard.model import Role
from onboard.office import Office
from onboard.roster import journal, sessions, staff
from onboard.settings import Settings
from onboard.tasks import code_keys, desk_sessions, note_refused, own_account, staff_sign_in
from onboard.tasks import staff as task
from onboard.tasks.staff_sign_in import Came

GOOD = "tomatoes on sunday morning"
HOME = Came("192.0.2.1", "Firefox, Windows")


@pytest.fixture
def office(roster: Engine, coop: Settings) -> Office:
    """The office, with the roster in memory or on a server."""
    return Office(coop, roster, who="Robin", now=lambda: NOON)


def test_a_whole_account_from_its_link_to_its_end(office: Office) -> None:
    link = task.invite(office, "Sam Moor", "owner")
    from passlib.totp import TOTP

    app = TOTP(key=code_keys.opened(office, link.account).code_key)
    (recovery, *rest) = own_account.accept(
        office, link.token, GOOD, app.generate(int(NOON.timestamp())).token
    )
    assert len(rest) == codes.RECOVERY_CODES - 1
    with pytest.raises(NotDone):
        own_account.invited(office, link.token)
    token = staff_sign_in.sign_in(office, "SAM  moor", GOOD, recovery, HOME)
    with pytest.raises(NotDone):
        staff_sign_in.sign_in(office, "Sam Moor", GOOD, recovery, HOME)
    found = desk_sessions.session(office, token)
    assert found
    assert (found.who, found.role) == ("Sam Moor", Role.OWNER)
    number = found.staff_id or 0
    assert [one.browser for one in task.sessions_of(office, number)] == ["Firefox, Windows"]
    with pytest.raises(NotDone, match="last owner"):
        task.close_account(office, number)
    task.sign_out(office, number)
    assert desk_sessions.session(office, token) is None
    note_refused.note_refused(office, "GET /staff", "192.0.2.1")
    with office.reading() as connection:
        said = [what for _, _, what, _, _ in journal.read(connection, "roster")]
    assert {"staff invited", staff_sign_in.FAILED, "staff signed out", note_refused.REFUSED} <= set(
        said
    )


def test_conditional_steps_are_taken_once(office: Office) -> None:
    with office.transaction() as connection:
        number = staff.add(connection, "Ana Fir", Role.READER, "ABCD", NOON)
        assert [staff.use_code(connection, number, step) for step in (5, 5, 4, 6)] == [
            True,
            False,
            False,
            True,
        ]
        staff.put(connection, number, link="x" * 64, link_until="")
        assert [staff.use_link(connection, "x" * 64) for _ in range(2)] == [True, False]
        assert not staff.reseal(connection, number, "other", "sealed")
        sessions.begin(connection, "one", "Ana Fir", NOON, staff_id=number)
        sessions.begin(connection, "two", "Ana Fir", NOON - timedelta(days=2), staff_id=number)
        sessions.end_older(connection, NOON - timedelta(days=1), NOON - timedelta(days=1))
        assert [one.digest for one in sessions.all_of(connection, "Ana Fir", number)] == ["one"]
        assert sessions.end_all_of(connection, "Ana Fir", number) == 1
    assert code_keys.seal_all(office) == 1
    assert code_keys.seal_all(office) == 0


def test_waits_of_wrong_tries_grow(office: Office) -> None:
    for _ in range(5):
        with pytest.raises(NotDone, match="not right"):
            staff_sign_in.sign_in(office, "Nobody", "x", "", HOME)
    with pytest.raises(NotDone, match="too many wrong tries"):
        staff_sign_in.sign_in(office, "Nobody", "x", "", HOME)
