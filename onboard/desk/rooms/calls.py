"""Someone calls: one box that finds who is meant, and the card of the one."""

from __future__ import annotations

from typing import Any, Literal

from fastapi import APIRouter
from starlette.responses import Response

from onboard.desk.rooms import Room
from onboard.desk.visit import Here, Mistake, Visit
from onboard.desk.words import on_screen
from onboard.errors import ChangedMeanwhile, FileTrouble
from onboard.lookup import words as in_words
from onboard.model import Owner
from onboard.office import Act
from onboard.reports import corrected
from onboard.tasks.calls import ABOUTS, TOPICS, Ended, note_call, open_calls, settle_call
from onboard.tasks.correct_member import ALL_RIGHT, AS_SHOWN, FIELDS, MAY_BE_EMPTY, correct_member
from onboard.tasks.look_up import Finds, look_up
from onboard.tasks.on_file import on_file
from onboard.tasks.open_card import Tried, open_card
from onboard.tasks.reissue import reissue

ROOM = Room("/calls", "Someone calls", Act.LOOK_UP, short="Calls")
router = APIRouter(prefix="/calls")
Kind = Literal["member", "form"]

# What the templates say by a word of the program.
WORDS = (
    *in_words.QUESTIONS.values(), *(words for _, words in TOPICS.values()),
    "Helped", "Open: somebody has to come back to it", "Passed on",
    "I called back the phone number on file.", "I emailed the address on file, and their reply came.",
)  # fmt: skip
ENDS = dict(zip(Ended, WORDS[-5:-2], strict=True))
CHECKED = {"call-back": WORDS[-2], "mail": WORDS[-1]}


@router.get("")
def box(here: Here) -> Response:
    """The box."""
    return here.page("calls", finds=None, still_open=open_calls(here.office), **_asked())


@router.post("")
def opened(here: Here) -> Response:
    """The card, if one member is clearly meant; else the box with who may be."""
    finds = _found(here)
    if finds and finds.safe_to_open:
        return here.go(path_of(finds.found[0].owner))
    return here.page("calls", finds=finds, still_open=open_calls(here.office), **_asked())


@router.post("/found")
def found(here: Here) -> Response:
    """Who may be meant, while somebody types: a part of the page."""
    return here.page("calls_found", finds=_found(here), **_asked())


def _found(here: Visit) -> Finds | None:
    said = here.said("said")
    return look_up(here.office, said) if any(map(str.isalnum, said)) else None


def _asked() -> dict[str, Any]:
    return {"questions": in_words.QUESTIONS, "in_words": in_words, "path_of": path_of}


def path_of(owner: Owner) -> str:
    """Where the card of somebody is."""
    if owner.member_id is not None:
        return f"/calls/member/{owner.member_id}"
    return f"/calls/form/{owner.row_key}"


# ---------------------------------------------------------------- a call that is open


@router.post("/noted/{number}")
def settle(here: Here, number: int) -> Response:
    """Close a call, hand it over, or add a note."""
    ended = {"close": Ended.HELPED, "reopen": Ended.OPEN}.get(here.said("do"))
    done = settle_call(
        here.office, number, ended=ended, hand_to=here.said("hand_to"), note=here.said("note")
    )
    return here.go(path_of(done.call.owner), done="call-settled")


# ---------------------------------------------------------------- one card


@router.get("/{kind}/{key}")
def card(here: Here, kind: Kind, key: str) -> Response:
    """The card of the one who is meant."""
    return _card(here, kind, key)


@router.post("/{kind}/{key}")
def tried(here: Here, kind: Kind, key: str) -> Response:
    """The card, with what they say of their try to sign in."""
    return _card(here, kind, key)


@router.post("/{kind}/{key}/note")
def note(here: Here, kind: Kind, key: str) -> Response:
    """Write the call down."""
    about = (*here.all_said("about"), here.said("words"))
    try:
        ended = _ended(here.said("ended"))
        note_call(
            here.office, _meant(kind, key), here.all_said("cause"), ended,
            about=about, note=here.said("note"), hand_to=here.said("hand_to"),
        )  # fmt: skip
    except FileTrouble as trouble:
        return _card(here, kind, key, Mistake(str(trouble), "note"))
    return here.go(f"/calls/{kind}/{key}", done="call-noted")


def _ended(said: str) -> Ended:
    found = {str(ended): ended for ended in Ended}.get(said)
    if found is None:
        raise FileTrouble("Say how the call ended.")
    return found


def _meant(kind: str, key: str) -> str:
    return f"member:{key}" if kind == "member" else f"row:{key}"


def _card(here: Visit, kind: Kind, key: str, *mistakes: Mistake) -> Response:
    tried = Tried(here.said("typed"), here.said("page"), here.said("said"))
    at_hand = open_card(here.office, _meant(kind, key), tried, reader=here.language)
    return here.page(
        "card", mistakes=mistakes, at_hand=at_hand, base=f"/calls/{kind}/{key}", tried=tried,
        may_reissue=here.office.may(Act.REISSUE), topics=TOPICS, ends=ENDS, abouts=ABOUTS,
        has_tried=tried != Tried(),
    )  # fmt: skip


# ---------------------------------------------------------------- a new temporary password


@router.get("/member/{number}/reissue")
def before_reissue(here: Here, number: int) -> Response:
    """How the caller is checked, before a new temporary password."""
    return _reissue(here, number)


@router.post("/member/{number}/reissue")
def reissued(here: Here, number: int) -> Response:
    """A new temporary password; or that the check failed."""
    failed = here.said("do") == "failed"
    done = reissue(
        here.office, f"member:{number}", here.all_said("checked"), failed=failed, keep=True
    )
    if done.refused and not failed:
        return _reissue(here, number, Mistake(on_screen(done.refused), "checked"))
    said = "check-failed" if failed else "waits" if done.asked else "reissued"
    return here.go(f"/calls/member/{number}", done=said)


def _reissue(here: Visit, number: int, *mistakes: Mistake) -> Response:
    at_hand = open_card(here.office, f"member:{number}")
    doubted = ("mail",) if at_hand.card and at_hand.card.no_check else ()
    return here.page(
        "reissue", mistakes=mistakes, at_hand=at_hand, base=f"/calls/member/{number}",
        checks={check: CHECKED[check] for check in here.office.settings.desk.checks if check not in doubted},
        may=here.office.settings.desk.may_reissue, may_reissue=here.office.may(Act.REISSUE),
    )  # fmt: skip


# ---------------------------------------------------------------- contact info


@router.get("/member/{number}/correct")
def before_correction(here: Here, number: int) -> Response:
    """What is to be corrected."""
    return _correct(here, number)


def _correct(here: Visit, number: int, *mistakes: Mistake) -> Response:
    return here.page(
        "correct", mistakes=mistakes, number=number, sites=here.office.settings.sites,
        on_file=on_file(here.office, number),
    )  # fmt: skip


@router.post("/member/{number}/correct")
def correction(here: Here, number: int) -> Response:
    """A preview of the correction, then the correction."""
    asked, keep = _corrections(here), here.said("do") == "save"
    more: dict[str, Any] = {"why": here.said("why"), "new_handle": bool(here.said("new_handle"))}
    mistakes: list[Mistake] = []
    try:
        done = correct_member(here.office, f"member:{number}", asked, keep=keep, **more)
    except ChangedMeanwhile as meanwhile:
        mistakes, keep = [Mistake(str(meanwhile))], False
        asked.pop(AS_SHOWN)
        done = correct_member(here.office, f"member:{number}", asked, keep=False, **more)
    if done.refused:
        return _correct(here, number, *map(Mistake, done.refused))
    if keep:
        return here.go(f"/calls/member/{number}", done="corrected")
    pieces = corrected.pieces(done, kept=False)
    return here.page(
        "correct_preview", mistakes=mistakes, number=number, done_so_far=done, pieces_of=pieces
    )


def _corrections(here: Visit) -> dict[str, str]:
    """What was typed, by field: an empty box leaves what is on file; a ticked one takes it away."""
    asked = {field: said for field in FIELDS if (said := here.said(field))}
    asked |= {field: "" for field in here.all_said("remove") if field in MAY_BE_EMPTY}
    asked |= {ALL_RIGHT: "yes"} if here.said("all_right") else {}
    return asked | ({AS_SHOWN: here.said("as_shown")} if here.said("as_shown") else {})
