"""The nouns with a life: every state by every step, and what each state forbids."""

from __future__ import annotations

from itertools import product

import pytest

from onboard.model import Deed, Event, NoSuchStep, Owner, Standing, State
from onboard.model.outgoing import NEXT, NOT_OUT, after
from onboard.model.standing import FOLLOWS
from onboard.roster.outgoing import leads

# States that no mail server, printer or crash can bring back to life.
ENDED = {State.SENT, State.RETURNED, State.PRINTED, State.VOID, State.REFUSED, State.UNSURE}


@pytest.mark.parametrize(("state", "event"), list(product(State, Event)))
def test_every_event_in_every_state_leads_on_or_changes_nothing(state: State, event: Event) -> None:
    if (state, event) in NEXT:
        reached = after(state, event)
        assert reached in State
        # What has left, or may have left, is never written, claimed or due again.
        assert not (state in ENDED and reached in NOT_OUT)
    else:
        with pytest.raises(NoSuchStep, match=str(state)):
            after(state, event)


def test_a_message_leaves_only_by_a_claim() -> None:
    # So two programs cannot both send it: one of them has the claim.
    leaves = {state for (state, event), to in NEXT.items() if to is State.SENT and state in NOT_OUT}
    assert leaves == {State.CLAIMED}
    assert {state for state, event in NEXT if event is Event.CLAIM} == {State.WRITTEN}


@pytest.mark.parametrize("event", list(Event))
def test_an_event_leads_to_one_state_or_leaves_things_as_they_are(event: Event) -> None:
    # So a step is one change of the table, whatever state each line is found in.
    reached, before = leads(event)
    assert before == {old for (old, e), new in NEXT.items() if e is event and new is reached} - {
        reached
    }


def test_whatever_may_still_go_out_can_be_cancelled() -> None:
    assert {state for state in NOT_OUT if (state, Event.CANCEL) not in NEXT} == set()


@pytest.mark.parametrize(
    "late", [Event.TAKE, Event.PUT_OFF, Event.REFUSE, Event.LOSE, Event.RETURN, Event.CANCEL]
)
def test_what_a_server_says_of_a_cancelled_message_comes_late(late: Event) -> None:
    assert after(State.VOID, late) is State.VOID


def test_a_return_that_comes_twice_changes_nothing_more() -> None:
    once = after(State.SENT, Event.RETURN)
    assert after(once, Event.RETURN) is once


@pytest.mark.parametrize(("here", "there"), list(product(Standing, Standing)))
def test_every_standing_leads_to_those_that_follow_it_and_to_no_other(
    here: Standing, there: Standing
) -> None:
    if there in FOLLOWS[here]:
        assert here.to(there) is there
    else:
        with pytest.raises(NoSuchStep, match=f"{here} cannot become {there}"):
            here.to(there)


@pytest.mark.parametrize(("standing", "deed"), list(product(Standing, Deed)))
def test_only_an_open_account_is_let_everything_but_to_be_opened(
    standing: Standing, deed: Deed
) -> None:
    may = {
        Standing.OPEN: set(Deed) - {Deed.REOPEN},
        Standing.CLOSED: {Deed.CORRECT, Deed.MERGE, Deed.REOPEN},
        Standing.HOLD: set(),
        Standing.MERGED: set(),
    }
    assert standing.forbids(deed) is (deed not in may[standing])


@pytest.mark.parametrize("number", [1, 17, 10**17])
def test_an_owner_is_read_as_it_was_made(number: int) -> None:
    member, row = Owner.of_member(number), Owner.of_row(f"{number:x}")
    assert (member.member_id, member.row_key, member.is_member) == (number, None, True)
    assert (row.member_id, row.row_key, row.is_row) == (None, f"{number:x}", True)
    assert Owner(str(member)) == member == f"member:{number}"


@pytest.mark.parametrize(
    "text", ["member:", "member:x", "member:²", "member:" + "9" * 19, "roster"]
)
def test_a_text_that_names_nobody_has_no_number(text: str) -> None:
    assert Owner(text).member_id is None
