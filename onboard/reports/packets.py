"""What was made of the welcome packets that were due, and how all of them stand."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from shlex import quote
from typing import TYPE_CHECKING, Any

from onboard.clean import name as names
from onboard.model import (
    AddressQuestion,
    Answer,
    EmailQuestion,
    PacketQuestion,
    SharedMailbox,
)
from onboard.reports.counts import counted
from onboard.reports.dates import day
from onboard.reports.sentences import LETTERS, tell_the_page
from onboard.reports.table import Piece, Words

if TYPE_CHECKING:
    from onboard.tasks.held_packets import HeldPacket
    from onboard.tasks.settle_email import Settled

SHOWN = 20  # sign-in names in a sentence
ASKED = 12  # questions shown with the lines that answer them


def made(
    written: Sequence[str],
    by_letter_only: Sequence[str],
    outbox: Path,
    ends_early: Sequence[str] = (),
    *,
    has_mail: bool = True,
    secret: bool = True,
) -> list[Piece]:
    """How many packets were made and where they are; members are named by their sign-in names. Where the
    settings name no mail server (`has_mail`), no email counts. They are `secret` where they hold passwords.
    `ends_early` are those whose passwords end before their first ordering days are over."""
    emails = counted(len(written) - len(by_letter_only), "email")
    letters = counted(len(written), "letter")
    what = f"{emails} to send and {letters}" if has_mail else letters
    said = [f"Made {what} to print, in {outbox}."]
    if by_letter_only and has_mail:
        said.append(
            "No email for these (no email address, or opted out). Print their letters: "
            f"{', '.join(by_letter_only)}."
        )
    if ends_early:
        said.append(
            "These passwords end before the member's next ordering days are over. The packet asks the "
            f"member to sign in before that: {_some(ends_early)}. To make passwords last longer, raise "
            "longest_days, under [first_password] in the settings."
        )
    if written:
        said.append(
            f"They hold {'temporary passwords' if secret else 'personal data'}. Keep them private."
        )
    return [Words(words) for words in said]


def made_as_json(written: Sequence[str], asked: Sequence[PacketQuestion]) -> dict[str, list[str]]:
    """Whose packets were made and can go, and whose wait for an answer, for a program: by their sign-in names."""
    waiting = [one.member.handle.text for one in asked]
    return {"written": [one for one in written if one not in set(waiting)], "waiting": waiting}


def next_steps(
    emails: int,
    letters: int,
    *,
    has_told: bool,
    has_mail: bool,
    line: Callable[[str], str],
) -> list[str]:
    """What is next once packets are made: the page first, as members read the packet and go there.
    `emails` were made, and `letters` for those who get no email: everybody where the settings name no mail
    server (`has_mail`)."""
    steps = [tell_the_page(has_told, line)]
    if not has_mail:
        return [
            *steps,
            f"No mail server is set, so everybody gets a letter. Print them: {line(LETTERS)}",
            f"Once they are mailed: {line('packets --mailed --really')}",
        ]
    if emails:
        steps += [
            f"Preview the emails: {line('packets --send')}",
            f"Send them: {line('packets --send --really')}",
        ]
    if letters:
        steps.append(f"Print the letters of those who get no email: {line(LETTERS)}")
    return steps


def in_order(steps: Sequence[str]) -> list[str]:
    """The steps with their numbers, as lines."""
    return ["Next:", *(f"  {n}. {step}" for n, step in enumerate(steps, start=1))] if steps else []


def standing(
    counts: Mapping[str, int],
    held: Sequence[HeldPacket],
    outbox: Path,
    line: Callable[[str], str] = "onboard {}".format,
    by_letter: int = 0,
    *,
    has_mail: bool = True,
    notices: int = 0,
    not_yet: int = 0,
) -> list[Piece]:
    """How many packets stand how, each with the line that goes on from there; `held` are
    those whose packets wait for a check, `by_letter` letters wait to be mailed, and `not_yet` more can't go before
    something is answered or made anew: where the settings name no mail server (`has_mail`), those of all. `notices` of changes wait to be sent by email."""
    said = [f"{counts['due']:,} to make: {line('packets --write')}"]
    preview = f" To preview the emails: {line('packets --send')}." if has_mail else ""
    said.append(
        f"{counted(counts['written'], 'welcome packet')} in the outbox, not sent.{preview} Letters to print are in {outbox}."
    )
    if not has_mail and (counts["due"] or counts["written"] or by_letter or notices):
        said.append(
            "No mail server is set, so no email can go out, and everybody gets a letter. To send emails, "
            "fill in host, under [mail] in the settings."
        )
    if by_letter:
        said.append(f"{counted(by_letter, 'letter')} to print and mail: {line(LETTERS)}")
    if not_yet:
        said.append(
            f"{counted(not_yet, 'letter')} in the outbox can't be mailed yet. The same line says why."
            if by_letter
            else f"{counted(not_yet, 'letter')} in the outbox can't be mailed yet. To see why: {line(LETTERS)}"
        )
    if notices:
        said.append(
            f"{counted(notices, 'notice')} of a change in the outbox, not sent. They are among the emails: "
            f"{line('packets --send')}"
        )
    said.append(f"{counts['sent']:,} sent.")
    if counts["unsure"]:
        said.append(f"{counts['unsure']:,} may not have arrived. Ask the members.")
    if held:
        said.append(
            f"{len(held):,} held until the caller is checked. After the check:"
            + "".join(
                f"\n  {names.show(one.member.name)} ({one.member.handle.text}): {why_held(one)}\n"
                f"    {line(f'reissue {quote(one.member.handle.text)} --checked call-back --record')}"
                for one in held[:ASKED]
            )
            + (f"\n  … and {len(held) - ASKED:,} more." if held[ASKED:] else "")
        )
    if counts["refused"]:
        said.append(
            f"{counts['refused']:,} refused by a mail server, or returned. Ask for another email "
            f"address ({line('correct MEMBER --email ADDRESS')}), or print the letters."
        )
    return [Words(words) for words in said]


def why_held(one: HeldPacket) -> str:
    """Why a packet waits for a check of whoever called."""
    what = " and ".join(CONTACTS[field] for field in one.changed) or "contact info"
    return f"the {what} on file changed on {day(one.since.date())}, before the packet went out."


CONTACTS = {"email": "email address", "phone": "phone", "address": "mailing address"}


def letters_written(
    handles: Sequence[str],
    file: Path,
    line: Callable[[str], str] = "onboard {}".format,
    *,
    secret: bool = True,
) -> list[Piece]:
    """Whose letters are in the file, and what is next; `secret` if a temporary password is among them."""
    if not handles:
        return [Words("There are no letters to mail.")]
    return [
        Words(f"{counted(len(handles), 'letter')} to mail, in {file}: {_some(handles)}."),
        Words(
            ("They hold temporary passwords. " if secret else "")
            + "Keep the file private, and delete it when they are printed. "
            "Fold each in three: the address shows in the window of a #10 envelope. When they are mailed: "
            f"{line('packets --mailed --really')}"
        ),
    ]


def labels_written(handles: Sequence[str], file: Path) -> list[Piece]:
    """For whose envelopes there is a label, and how to print them."""
    if not handles:
        return [Words("There are no letters to mail, so there are no labels.")]
    return [
        Words(f"{counted(len(handles), 'label')}, in {file}: {_some(handles)}."),
        Words(
            "For sheets of 30 labels, each 1 by 2 5/8 inches. Print at actual size, not “fit to page”."
        ),
    ]


def marked_mailed(handles: Sequence[str], again: str) -> list[Piece]:
    """Whose letters are marked as mailed; `again` is the line that saves it, "" where that is done."""
    if not handles:
        return [Words("There are no letters to mark as mailed.")]
    letters = counted(len(handles), "letter")
    if not again:
        return [Words(f"{letters} marked as printed and mailed: {_some(handles)}.")]
    return [
        Words(f"{letters} to mark as printed and mailed: {_some(handles)}."),
        Words(f"This was a preview. Nothing was saved. To save it: {again}"),
    ]


def to_send(number: int, no_server_in: Path | None, again: str, line: Callable[[str], str]) -> str:
    """What is next after a preview of so many emails; `again` is the line that sends them, and
    `no_server_in` the settings if they name no mail server."""
    said = "This was a preview. Nothing was sent."
    if no_server_in:
        return (
            f"{said} No mail server is set in {no_server_in}, so "
            f"{'this email' if number == 1 else 'these emails'} can't go out. Fill in host, under [mail]. "
            f"Then send them: {again}\nOr mail everybody a letter: {line(LETTERS)}"
        )
    return f"{said} To send them: {again}"


def _some(handles: Sequence[str]) -> str:
    return ", ".join(handles[:SHOWN]) + (" …" if len(handles) > SHOWN else "")


def questions(
    asked: Sequence[PacketQuestion],
    line: Callable[[str], str] = "onboard {}".format,
    *,
    whole: bool = False,
    shows: bool = True,
) -> list[Piece]:
    """Whose packets wait as it is in doubt where they go, each with the lines that answer; all of
    them if `whole`. Unless it `shows` them, how many."""
    found: list[Piece] = []
    for kind, why in _WHY.items():
        of_it = [one for one in asked if isinstance(one, kind)]
        if not of_it:
            continue
        packets = counted(len(of_it), "welcome packet")
        said = f"{packets} {'waits' if len(of_it) == 1 else 'wait'}, {why}"
        if not shows:
            found.append(Words(f"{said.partition('. ')[0]}."))
            continue
        found.append(Words(said, is_strong=True))
        shown = of_it if whole else of_it[:ASKED]
        found += [Words("\n" + "\n".join(_question(one, line))) for one in shown]
        if len(of_it) > len(shown):
            more = len(of_it) - len(shown)
            found.append(Words(f"… and {more:,} more. To see all: {line('answer')}"))
    if not found:
        return []
    if not shows:
        return [*found, Words(NOT_SHOWN)]
    return [*found, Words(f"\nThen make the welcome packets: {line('packets --write')}")]


def shared(
    found: Sequence[SharedMailbox],
    line: Callable[[str], str] = "onboard {}".format,
    *,
    shows: bool = True,
) -> list[Piece]:
    """The mailboxes in which several members get email, to which a packet goes now, and how one of them gets a
    letter. Unless it `shows` them, how many."""
    if not found:
        return []
    several = counted(len(found), "mailbox", "mailboxes")
    said = (
        f"Welcome packets go to {several} that more than one member uses. Each says whose it is. Whoever reads a mailbox "
        "can sign in as everybody in it."
    )
    if not shows:
        return [Words(said)]
    told: list[Piece] = [
        Words(f"{said} If somebody should get a letter instead, type the line:", is_strong=True)
    ]
    for one in found[:ASKED]:
        names_ = ", ".join(f"{names.show(m.name)} ({m.handle.text})" for m in one.members)
        letters = [
            f"  A letter for {names.show(m.name)}: {line(f'answer {quote(m.handle.text)} letter')}"
            for m in one.new
        ]
        told.append(Words("\n".join([f"{one.address}: {names_}", *letters])))
    if len(found) > ASKED:
        told.append(Words(f"… and {len(found) - ASKED:,} more."))
    return told


def shared_as_json(found: Sequence[SharedMailbox]) -> list[dict[str, Any]]:
    """The same for a program."""
    return [
        {
            "email": one.address,
            "handles": [member.handle.text for member in one.members],
            "new": [member.handle.text for member in one.new],
        }
        for one in found
    ]


NOT_SHOWN = (
    "Whose packets they are, and the addresses, are for those who may look members up (may_look_up, under [desk]). "
    "Ask one of them to answer."
)
# What is asked first: a wrong email address gives a secret away, a wrong mailing address loses it.
_WHY: Mapping[type[PacketQuestion], str] = {
    EmailQuestion: "because the email address may be wrong. A wrong one gives a stranger the password. "
    "Ask each member, then type one of the lines:",
    AddressQuestion: "because the mailing address may be wrong, or nobody can deliver a letter to it. Ask each "
    "member, then type one of the lines:",
}


def _question(one: PacketQuestion, line: Callable[[str], str]) -> list[str]:
    if isinstance(one, AddressQuestion):
        return _about_address(one, line)
    member, doubt = one.member, one.doubt
    who = quote(member.handle.text)
    others = doubt.suggestions or ("ADDRESS",)
    corrections = [line(f"correct {who} --email {quote(other)} --record") for other in others]
    fixed = [
        f"  It is {other if doubt.suggestions else 'another one'}: {correction}"
        for other, correction in zip(others, corrections, strict=True)
    ]
    return [
        f"{names.show(member.name)} ({member.handle.text}): {doubt.address}",
        *(f"  The form says: {' '.join(said.split())[:100]}" for said in doubt.said),
        *(f"  {note}" for note in doubt.notes),
        *fixed,
        f"  It is right as it is: {line(f'answer {who} right')}",
        f"  Mail a letter instead: {line(f'answer {who} letter')}",
    ]


def _about_address(one: AddressQuestion, line: Callable[[str], str]) -> list[str]:
    member = one.member
    who = quote(member.handle.text)
    return [
        f"{names.show(member.name)} ({member.handle.text}): {', '.join(member.address) or 'no address'}",
        *(f"  {note}" for note in one.notes),
        *(
            f"  It is that one: {line(f'correct {who} --address {quote(other)} --record')}"
            for other in one.later
        ),
        f"  The address is: {line(f'correct {who} --address ADDRESS --record')}",
        *(
            [f"  Email it instead: {line(f'correct {who} --email ADDRESS --record')}"]
            if member.consent is not False
            else []
        ),
        f"  Print the letter as it is, to hand it over: {line(f'answer {who} letter')}",
    ]


def questions_as_json(asked: Sequence[PacketQuestion]) -> list[dict[str, Any]]:
    """The same for a program."""
    return [
        {"member": one.member.id, "handle": one.member.handle.text, **_asked_of(one)}
        for one in asked
    ]


def _asked_of(one: PacketQuestion) -> dict[str, Any]:
    if isinstance(one, AddressQuestion):
        return {"address": list(one.member.address), "notes": list(one.notes)}
    doubt = one.doubt
    return {
        "email": doubt.address,
        "notes": list(doubt.notes),
        "suggestions": list(doubt.suggestions),
    }


def settled(done: Settled, line: Callable[[str], str] = "onboard {}".format) -> list[Piece]:
    """What an answer about where a packet goes came to, and what is left to do."""
    handle = done.member.handle.text
    if done.corrected:
        which = "mailing" if done.by_letter else "email"
        said = f"{handle}: the {which} address is corrected."
    elif done.by_letter:
        said = f"{handle}: the letter is printed as it is."
    elif done.answer is Answer.LETTER:
        said = f"{handle}: the welcome packet goes by letter."
    else:
        said = f"{handle}: {done.member.email} is right."
    if done.still_asked:
        left = f"That address may be wrong too. To see why: {line('packets')}"
    else:
        left = f"To make the welcome packet: {line('packets --write')}"
    return [Words(said, is_strong=True), Words(left)]
