"""Who a caller may be: for the help desk's eyes, and as little of each as tells them apart."""

from __future__ import annotations

from shlex import join
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.lookup import words as in_words
from onboard.reports.table import Piece, Table, Words

if TYPE_CHECKING:
    from onboard.tasks.look_up import Finds, Found

STANDING = {"open": "", "hold": "on hold, no account yet", "closed": "account closed",
            "merged": "merged into another"}  # fmt: skip
CAUTION = (
    "This does not tell you who is calling. Check the caller before you say or change anything, and don't "
    "read this list to them."
)
FOR_ANOTHER = (
    "Somebody seems to be calling for the member, or asking about them. So there is no clear match, however well it "
    "fits. Have the member call, or check the member's notes for who may call for them. Until then tell nothing, not "
    "even that they are a member, and change nothing."
)

SAYS_DIED = (
    "The member may have died. Be kind: say that you are sorry, and that somebody will call back. Tell a "
    "coordinator, who asks the family or the host. Until it is sure, say nothing about the account, and change "
    "nothing. Once it is sure, close the account: onboard close {}"
)


TWO_NAMES = (
    "The account is in the name of {}. Whoever calls is someone else on the same account: have the member call, or "
    "check the member's notes for who may call for them."
)


def pieces(finds: Finds) -> tuple[Piece, ...]:
    """The list, and what to ask the caller next."""
    notes = [Words(note) for note in finds.notes]
    ask = f"Ask: {in_words.QUESTIONS[finds.ask]}" if finds.ask else ""
    if not finds.found:
        none = "Many people fit that. Say more." if finds.more else "Nobody on the roster fits."
        return (*notes, Words(none, is_strong=True), *([Words(ask)] if ask else []))
    first = finds.found[0]
    died = [Words(one.died, is_strong=True) for one in finds.found if one.died]
    if finds.safe_to_open:
        end = [Words(f"One clear match: {_whose(first)}. {CAUTION}", is_strong=True)]
        if finds.trouble and first.handle and not first.died:
            line = join(["onboard", "why", "--member", first.handle, "--said", finds.trouble])
            end.append(Words(f"They told you of trouble at the page. To see why: {line}"))
    elif finds.for_another or (first.died and len(finds.found) == 1):
        whose = first.handle if len(finds.found) == 1 and first.handle else "HANDLE"
        says_died = finds.says_died or first.died
        end = [Words(SAYS_DIED.format(whose) if says_died else FOR_ANOTHER, is_strong=True)]
        if len(finds.found) > 1 and ask:
            end.append(Words(f"If you need to know which one is meant: {ask}"))
        end.append(Words(CAUTION))
    else:
        end = [Words(f"Not certain yet. {ask}", is_strong=True), Words(CAUTION)]
        if finds.ask == in_words.WHOSE:
            end.insert(1, Words(TWO_NAMES.format(names.show(first.name)), is_strong=True))
        if finds.more:
            end.insert(0, Words("Others fit too. Say more, or list more of them with --most."))
    return (*died, *notes, _list(finds), *end)


def as_json(finds: Finds) -> dict[str, Any]:
    """The answer for a program; as little of the people in it as on the screen."""
    return {
        "safe_to_open": finds.safe_to_open,
        "lead_bits": round(finds.lead, 1),
        "ask": finds.ask or None,
        "more": finds.more,
        "for_another": finds.for_another,
        "says_died": finds.says_died,
        "trouble": finds.trouble or None,
        "notes": list(finds.notes),
        "found": [
            {
                "owner": one.owner,
                "confidence": round(one.confidence, 4),
                "name": names.show(one.name),
                "also": list(one.others),
                "handle": one.handle or None,
                "site": one.site,
                "standing": one.standing,
                "part_of": one.part_of or None,
                "may_have_died": one.died or None,
                "evidence": [in_words.evidence(clue) for clue in one.clues],
                "beside": in_words.beside(finds.ask, one.facts) or None,
            }
            for one in finds.found
        ],
    }


def _list(finds: Finds) -> Table:
    columns = {
        "sure": map(_sure, finds.found),
        "who": map(_whose, finds.found),
        "name": map(_name, finds.found),
        "drop site": (one.site for one in finds.found),
    }
    besides = [in_words.beside(finds.ask, one.facts) for one in finds.found]
    if any(besides):
        columns[finds.ask] = iter(besides)
    columns["evidence"] = map(_evidence, finds.found)
    return Table.of(tuple(columns), zip(*columns.values(), strict=True))


def _name(one: Found) -> str:
    name = names.show(one.name)
    return f"{name} (on the same account: {', '.join(one.others)})" if one.others else name


def _sure(one: Found) -> str:
    if one.confidence > 0.99:
        return "over 99%"
    return "under 1%" if one.confidence < 0.01 else f"{one.confidence:.0%}"


def _whose(one: Found) -> str:
    whose = f"{one.owner.shown}, {one.handle}" if one.owner.is_member else one.owner.shown
    standing = (
        f"merged into {one.part_of}" if one.part_of else STANDING.get(one.standing, one.standing)
    )
    return f"{whose} ({standing})" if standing else whose


def _evidence(one: Found) -> str:
    return "; ".join(in_words.evidence(clue) for clue in one.clues)
