"""The office that every task is given: its roster, its clock, and who may do what."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from coop_forms import NOON, PAT, form
from sqlalchemy import Engine

from onboard import process_batch
from onboard.errors import SettingsTrouble
from onboard.model.role import MAY
from onboard.office import IN_WORDS, Act, Office, Role
from onboard.settings import DeskRule, Settings
from onboard.tasks.audit_roster import count_accounts

HOME = Path(__file__).parent.parent


@pytest.fixture
def ours(coop: Settings) -> Office:
    """An office whose roster is a file that is not there yet."""
    return Office(replace(coop, store=""), who="Robin", now=lambda: NOON)


def enrol(office: Office, *, keep: bool) -> None:
    assert process_batch(office, [form(2, **PAT)], file="f.csv", keep=keep).enrolled == 1


def test_looking_makes_no_roster_and_sees_one_that_is_made_meanwhile(
    ours: Office, tmp_path: Path
) -> None:
    enrol(ours, keep=False)
    assert count_accounts(ours) == 0
    assert list(tmp_path.iterdir()) == []
    enrol(Office(ours.settings, now=ours.now), keep=True)
    assert count_accounts(ours) == 1
    assert ours.roster_name == str(tmp_path / "roster.db")
    ours.close()


def test_the_roster_is_opened_once_for_everybody_at_work(ours: Office) -> None:
    kim = replace(ours, who="Kim")
    assert ours.to_write() is ours.to_write() is kim.to_write()
    assert (ours.signature().who, kim.signature().who) == ("Robin", "Kim")
    ours.close()


def test_a_roster_that_is_open_already_is_used_and_stays_open(ours: Office, roster: Engine) -> None:
    office = replace(ours, engine=roster)
    enrol(office, keep=True)
    office.close()
    assert count_accounts(office) == 1
    assert office.to_look() is office.to_write() is roster


def test_a_roster_in_memory_is_there_for_the_office_that_wrote_it(ours: Office) -> None:
    office = replace(ours, settings=replace(ours.settings, store="sqlite://"))
    enrol(office, keep=True)
    assert count_accounts(office) == 1
    office.close()


@pytest.mark.parametrize("name", ["robin", " ROBIN "])
@pytest.mark.parametrize("act", [Act.LOOK_UP, Act.REISSUE])
def test_who_may_is_whom_the_settings_name(ours: Office, act: Act, name: str) -> None:
    rule = replace(DeskRule(may_reissue=("robin",)), **{f"may_{act}": (name,)})
    office = replace(ours, settings=replace(ours.settings, desk=rule))
    assert office.may(act)
    office.see_that_one_may(act)
    other = replace(office, who="Lou")
    assert not other.may(act)
    with pytest.raises(
        SettingsTrouble, match=rf"^Lou is not allowed to {IN_WORDS[act]}\. .* may_{act}, "
    ):
        other.see_that_one_may(act)


@pytest.mark.parametrize("role", Role)
def test_whoever_has_a_role_may_what_it_says_whatever_the_settings_say(
    ours: Office, role: Role
) -> None:
    rule = DeskRule(may_look_up=("Kim",), may_reissue=("Lou",))
    office = replace(ours, settings=replace(ours.settings, desk=rule), who="Lou", role=role)
    assert {act for act in Act if office.may(act)} == MAY[role]
    for act in set(Act) - MAY[role]:
        with pytest.raises(SettingsTrouble) as trouble:
            office.see_that_one_may(act)
        assert str(trouble.value) == (
            f"Lou is not allowed to {IN_WORDS[act]}. The role is {role}. An owner can change it, under Staff."
        )


@pytest.mark.parametrize("work", sorted(set(Act) - {Act.LOOK_UP}))
def test_contact_info_is_shown_to_whoever_may_find_members_and_do_the_work(
    ours: Office, work: Act, monkeypatch: pytest.MonkeyPatch
) -> None:
    reader = replace(ours, role=Role.READER)
    for acts, sees in (({work}, False), ({Act.LOOK_UP}, False), ({Act.LOOK_UP, work}, True)):
        monkeypatch.setitem(MAY, Role.READER, frozenset(acts))
        assert reader.sees_contacts(work) is sees
    assert not reader.sees_contacts(*set(Act) - {Act.LOOK_UP, work})


def test_the_computer_itself_is_the_owners(ours: Office) -> None:
    assert {act for act in Act if ours.may(act)} == set(Act) - {Act.REISSUE}


def test_a_seat_is_taken_to_another_process_whole(ours: Office, tmp_path: Path) -> None:
    (tmp_path / "onboard.toml").write_text((HOME / "fixtures_demo" / "onboard.toml").read_text())
    there = replace(ours, role=Role.READER).seat.office()
    assert (there.who, there.role, there.may(Act.LOOK_UP)) == ("Robin", Role.READER, False)
