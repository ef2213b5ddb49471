"""The audit that the roster keeps: its findings are worked through, and the next audit knows what became of them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from coop_forms import NOON, office_of
from sqlalchemy import Engine, select, update

from onboard.errors import ChangedMeanwhile, FileTrouble, NotAllowed
from onboard.model import Handled, Owner, Signature
from onboard.office import Office
from onboard.reports import audit_kept
from onboard.roster import audits, store, tables
from onboard.roster.audits import Found, Part
from onboard.settings import DeskRule, Settings
from onboard.tasks import findings
from onboard.tasks.approve_findings import NONE, approve_findings, proposed
from onboard.tasks.close_members import close_members
from onboard.tasks.forget_member import forget_member
from onboard.tasks.keep_audit import keep_audit
from onboard.tasks.merge_members import AS_SHOWN, merge_members
from onboard.tasks.undo import undo

ANY = tuple(Handled)


@pytest.fixture
def office(enrolled: Engine, coop: Settings) -> Office:
    """Kim's site is written in capitals and Ana has none; Omar's phone is for movies, as everybody's here."""
    member = tables.member
    with store.transaction(enrolled) as connection:
        for number, values in (
            (2, {"site": "LIMA GRANGE"}),
            (3, {"site": ""}),
            (4, {"address": ["88 pine st", "lima oh 45801"]}),
        ):
            connection.execute(update(member).where(member.c.id == number).values(values))
    return office_of(coop, enrolled)


def all_of(office: Office, code: str, *states: Handled) -> list[Found]:
    """The findings of a kind in the last audit."""
    last = findings.last_audit(office)
    assert last
    return findings.list_findings(office, last.number, code, Part(states or ANY))


def with_change(office: Office) -> list[Found]:
    """All findings that propose a change."""
    last = findings.last_audit(office)
    assert last
    return [one for code in last.told.proposed for one in all_of(office, code) if one.change]


def test_an_audit_is_kept_whole_and_compared_with_the_one_before(office: Office) -> None:
    assert findings.last_audit(office) is None
    report = keep_audit(office)
    last = findings.last_audit(office)
    assert last
    assert (last.told.report.open, last.told.report.before, last.told.since) == (5, "", "")
    assert {k.code: k.count for k in last.told.report.kinds} == {
        k.code: k.count for k in report.kinds
    }
    assert [call for call, _ in last.told.calls] == list(report.calls)
    assert (
        audit_kept.of_kept(audit_kept.as_kept(report, last.told.calls, {})).calls == last.told.calls
    )
    later = replace(office, now=lambda: NOON + timedelta(days=3))
    [ana] = all_of(office, "site.missing")
    assert ana.name == "Ana Ruiz"
    with office.transaction() as connection:
        member = tables.member
        connection.execute(update(member).where(member.c.id == 3).values(site="Lima Grange"))
    keep_audit(later)
    again = findings.last_audit(later)
    assert again
    assert again.told.since == "2026-11-25T12:00:00+00:00"
    gone = again.told.kind("site.missing")
    assert gone
    assert (gone.before, gone.count, gone.gone) == (1, 0, 1)
    assert not all_of(later, "site.missing")
    with office.reading() as connection:  # of the one before nothing is left
        assert connection.execute(select(tables.audit.c.id)).scalars().all() == [again.number]
        assert set(connection.execute(select(tables.audit_finding.c.audit_id)).scalars()) == {
            again.number
        }
    with pytest.raises(FileTrouble, match="an earlier audit"):
        findings.open_finding(office, ana.number)


def test_what_is_left_for_a_reason_stays_left_and_what_was_done_is_asked_again(
    office: Office,
) -> None:
    keep_audit(office)
    [ana] = all_of(office, "site.missing")
    with pytest.raises(FileTrouble, match="Say why"):
        findings.handle_finding(office, ana.number, 0, Handled.LEFT, why=" ")
    findings.handle_finding(office, ana.number, 0, Handled.LEFT, why="moves in May")
    phones = all_of(office, "phone.fictional")
    findings.handle_finding(office, phones[0].number, 0, Handled.DONE)
    keep_audit(office)
    [ana] = all_of(office, "site.missing")
    assert (ana.step.state, ana.step.why, ana.step.who) == (
        Handled.LEFT,
        "moves in May",
        office.who,
    )
    assert not all_of(office, "site.missing", Handled.OPEN, Handled.ASKED)
    last = findings.last_audit(office)
    assert last
    assert (
        last.in_state("site.missing", Handled.LEFT),
        last.in_state("site.missing", Handled.OPEN),
    ) == (1, 0)
    assert all(one.step.state is Handled.OPEN for one in all_of(office, "phone.fictional"))
    assert not [
        call for call, owners in last.told.calls if ana.owner in owners and "drop site" in str(call)
    ]


def test_who_comes_second_is_told_and_nothing_is_overwritten(office: Office) -> None:
    keep_audit(office)
    [ana] = all_of(office, "site.missing")
    findings.handle_finding(office, ana.number, ana.version, Handled.ASKED, why="left a message")
    with pytest.raises(ChangedMeanwhile):
        findings.handle_finding(office, ana.number, ana.version, Handled.DONE)
    at_hand = findings.open_finding(office, ana.number)
    assert (at_hand.found.step.state, at_hand.found.step.why) == (Handled.ASKED, "left a message")
    assert at_hand.ask
    assert [one.id for one in at_hand.members] == [3]


def test_approved_changes_are_applied_once_and_undone(office: Office) -> None:
    keep_audit(office)
    found = with_change(office)
    assert {one.owner.member_id for one in found} >= {2, 4}
    numbers = [one.number for one in found]
    preview = approve_findings(office, numbers, keep=False)
    assert (preview.number, len(preview.applied)) == (0, len(numbers))
    assert with_change(office) == found
    done = approve_findings(office, numbers, keep=True)
    assert done.applied == set(numbers)
    assert all(
        (one.step.state, one.applied) == (Handled.DONE, done.number) for one in with_change(office)
    )
    with pytest.raises(FileTrouble, match=NONE):
        approve_findings(office, numbers, keep=True)
    with pytest.raises(FileTrouble, match="undo it"):
        findings.handle_finding(office, numbers[0], 1, Handled.OPEN)
    undo(office, done.number, keep=True, lines=numbers[:1])
    states = {one.number: one.step.state for one in with_change(office)}
    assert [number for number, state in states.items() if state is Handled.OPEN] == numbers[:1]
    undo(office, done.number, keep=True)
    assert {one.step.state for one in with_change(office)} == {Handled.OPEN}


def test_what_somebody_changed_since_the_audit_is_left_as_it_is(office: Office) -> None:
    keep_audit(office)
    found = {one.owner.member_id: one for one in with_change(office)}
    kim, omar = found[2], found[4]
    assert kim.change
    with office.transaction() as connection:
        member = tables.member
        connection.execute(update(member).where(member.c.id == 2).values(site="Athens Barn"))
        connection.execute(update(member).where(member.c.id == 4).values(address=omar.change.after))
    assert findings.open_finding(office, kim.number).is_changed
    done = approve_findings(office, [kim.number, omar.number], keep=True)
    assert (done.number, [left.is_so_already for left in done.left_out]) == (0, [False, True])
    with office.reading() as connection:
        assert connection.scalar(select(member.c.site).where(member.c.id == 2)) == "Athens Barn"
    assert findings.open_finding(office, kim.number).found.step.state is Handled.OPEN
    assert findings.open_finding(office, omar.number).found.step.state is Handled.DONE


def test_a_merge_of_what_was_shown_merges_nothing_else(office: Office) -> None:
    look = merge_members(office, ("1", "2"), keep=False)
    with office.transaction() as connection:
        member = tables.member
        connection.execute(update(member).where(member.c.id == 1).values(email="new@example.org"))
    with pytest.raises(ChangedMeanwhile):
        merge_members(office, ("2", "1"), keep=True, choices={AS_SHOWN: look.version})
    look = merge_members(office, ("1", "2"), keep=False)
    done = merge_members(office, ("2", "1"), keep=True, choices={AS_SHOWN: look.version})
    assert done.number


def test_a_finding_is_done_by_the_change_that_settles_it_and_open_once_it_is_undone(
    office: Office,
) -> None:
    keep_audit(office)
    [ana] = all_of(office, "site.missing")
    closed = close_members(office, ["3"], keep=True)
    findings.settle_with(office, ana.number, closed.number)
    assert findings.open_finding(office, ana.number).found.applied == closed.number
    undo(office, closed.number, keep=True)
    assert findings.open_finding(office, ana.number).found.step.state is Handled.OPEN


def test_findings_come_page_by_page_forward_and_back(office: Office) -> None:
    with office.transaction() as connection:
        audit = audits.begin(connection, office.signature())
        owner = Owner.of_member(1)
        one = Found(
            "name.capitals", owner, (), "Pat Lee", "patlee", "name", "", "", None, (), False
        )
        audits.add(connection, audit, [replace(one, key=(str(n),)) for n in range(60)])
    first = listed(office, audit, Part(ANY))
    assert len(first) == 26
    second = listed(office, audit, Part(ANY, after=first[24].number))
    assert second[0] == first[25]
    third = listed(office, audit, Part(ANY, after=second[24].number))
    assert len(third) == 10
    back = listed(office, audit, Part(ANY, before=third[0].number))
    assert back[1:] == second[:25]
    assert listed(office, audit, Part((), after=0)) == []
    assert proposed(office, audit, "name.capitals", 5) == []


def listed(office: Office, audit: int, part: Part) -> list[Found]:
    """Findings of the one kind there is."""
    return findings.list_findings(office, audit, "name.capitals", part)


def test_an_audit_that_was_overtaken_adds_nothing(office: Office) -> None:
    with office.transaction() as connection:
        early = audits.begin(connection, office.signature())
    keep_audit(office)
    with office.transaction() as connection:
        assert not audits.add(connection, early, [])


def test_nothing_of_a_member_who_is_deleted_stays(office: Office) -> None:
    keep_audit(office)
    with office.transaction() as connection:
        last = audits.last(connection)
        assert last
        call = {**last.told["calls"][0], "owners": ["member:3"], "whom": "Ana Ruiz"}
        audits.finish(connection, last.number, {**last.told, "calls": [call]})
        two = Found("twice.likely", Owner.of_member(2), (Owner.of_member(3),), "Kim Vale", "kimvale", "", "",
                    "", None, ("twice.likely", "member:2", "member:3"), False)  # fmt: skip
        audits.add(connection, last.number, [two])
    assert all_of(office, "site.missing")
    forget_member(office, "3", keep=True)
    with office.reading() as connection:
        kept = [str(line) for line in connection.execute(select(tables.audit_finding))]
        told = str(connection.execute(select(tables.audit.c.told)).scalar_one())
    assert kept
    assert not [line for line in kept if "Ana" in line or "member:3" in line or "anaruiz" in line]
    assert "Ana Ruiz" not in told


def test_who_may_not_look_members_up_sees_no_finding(office: Office) -> None:
    keep_audit(office)
    [ana] = all_of(office, "site.missing")
    other = replace(office, settings=replace(office.settings, desk=DeskRule(may_look_up=("Kim",))))
    for ask in (
        lambda: keep_audit(other),
        lambda: findings.last_audit(other),
        lambda: findings.open_finding(other, ana.number),
        lambda: findings.handle_finding(other, ana.number, 0, Handled.DONE),
        lambda: findings.list_findings(other, 1, "site.missing", Part(ANY)),
        lambda: approve_findings(other, [ana.number], keep=True),
        lambda: proposed(other, 1, "site.missing", 5),
    ):
        with pytest.raises(NotAllowed):
            ask()


def test_an_audit_of_another_version_is_made_anew(office: Office) -> None:
    with office.transaction() as connection:
        number = audits.begin(connection, Signature("Robin", NOON))
        audits.finish(connection, number, {"version": 0, "odd": True})
    assert findings.last_audit(office) is None
    keep_audit(office)
    assert findings.last_audit(office)
