"""Every cause there is, the order in which equals are told, and the desk's words for each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from onboard.signin.account import Cause


@dataclass(frozen=True, slots=True)
class CauseKind:
    """A kind of cause: its code, what it is, what to ask the caller, what to do."""

    code: str
    about: str
    ask: str
    do: str

    def found(self, confidence: float, seen: str = "", when: date | None = None) -> Cause:
        """A cause of this kind."""
        return Cause(self.code, round(confidence, 4), seen or self.about, self.ask, self.do, when)


_SPELL = "Say the handle letter by letter, and let them type as you speak."
_BOX = "What stands in the user name box now, letter by letter?"
_CALL_BACK = "Call back on the phone on file, or write to the address on file, before you say more."

# What stops everything comes first: no right spelling helps while an account is closed.
KINDS: tuple[CauseKind, ...] = (
    CauseKind(
        "account.hold",
        "The join form is still on hold, so there is no working account yet.",
        "Nothing about the sign-in: it cannot work yet.",
        "Answer the question that holds the form (onboard answer), then write the packet.",
    ),
    CauseKind(
        "account.closed",
        "The account is closed.",
        "Did they mean to come back?",
        f"{_CALL_BACK} A coordinator decides whether it is opened again.",
    ),
    CauseKind(
        "account.merged",
        "The account was merged into another one of the same person.",
        "Nothing: do not read out the other handle.",
        "Look up the account it was merged into, and write to that account's address on file.",
    ),
    CauseKind(
        "packet.due",
        "The welcome packet is not written yet, so the member has no first password.",
        "Nothing: they can't have it.",
        "Write the packets that are due (onboard packets), and send this one.",
    ),
    CauseKind(
        "packet.barred",
        "The contact was changed before the welcome packet went out: it waits for a check.",
        "Nothing: they can't have it yet.",
        "Check the caller at a contact that was on file before the change (onboard reissue).",
    ),
    CauseKind(
        "page.shop",
        "They were on the shop's page; members sign in on the ordering page.",
        "What is the address at the top of the page?",
        "Give them the address of the ordering page, and let them save it.",
    ),
    CauseKind(
        "page.other",
        "They were on a page that is not the ordering page.",
        "How did they get there: a search, a link in a mail?",
        "Give them the address of the ordering page. If the page looked like ours, tell whoever runs"
        " it: it may be there to collect passwords.",
    ),
    CauseKind(
        "page.locked",
        "The page lets nobody try for a while, after too many tries.",
        "What exactly does the page say?",
        "Let them wait as long as the page says, and then type what you tell them, once.",
    ),
    CauseKind(
        "typed.email",
        "They typed an email address in place of the handle.",
        "Did they type an address with an @ sign, or the front part of one?",
        f"{_SPELL} Do not say whether that address is on file.",
    ),
    CauseKind(
        "typed.nothing",
        "The user name box was empty.",
        _BOX,
        _SPELL,
    ),
    CauseKind(
        "typed.number_missing",
        "The number at the end was left out.",
        "Is there a number after the name?",
        "The number belongs to the handle. Do not say why it has one.",
    ),
    CauseKind(
        "typed.number_invented",
        "A number at the end is not that of the handle.",
        "Did they add a number, a year of birth perhaps?",
        "Say what the handle ends in.",
    ),
    CauseKind(
        "typed.slip",
        "A key was missed, doubled, swapped or hit beside the right one.",
        _BOX,
        _SPELL,
    ),
    CauseKind(
        "typed.look_alike",
        "A letter was taken for another that looks like it: rn and m, l and 1, o and 0, w and vv.",
        "Did they copy it by eye from a letter or a screen?",
        f"{_SPELL} Say of each digit that it is a digit.",
    ),
    CauseKind(
        "typed.nickname",
        "Another first name was used: a nickname, or a full name in place of it.",
        "Which first name did they write on the join form?",
        _SPELL,
    ),
    CauseKind(
        "typed.middle_name",
        "The middle name or its initial was used.",
        "Did they type their middle name or initial?",
        "First and last name only.",
    ),
    CauseKind(
        "typed.former_name",
        "Another last name was used: from before or after a marriage, perhaps.",
        "Which last name did they have when they joined?",
        f"{_SPELL} Do not read out any other name on file.",
    ),
    CauseKind(
        "typed.former_handle",
        "It is a handle that they had before: under another name, or in an account that was merged.",
        "Do they read it from an older mail or letter of ours?",
        f"{_CALL_BACK} Then tell them the handle that they have now.",
    ),
    CauseKind(
        "typed.suffix",
        "A suffix such as Jr or III was typed with the name.",
        "Did they type what stands after their last name?",
        "First and last name only.",
    ),
    CauseKind(
        "typed.last_first",
        "The last name was typed first.",
        "Which of the names did they type first?",
        "First name, then last name.",
    ),
    CauseKind(
        "typed.initial",
        "An initial was typed in place of a whole name.",
        "Did they type only the first letter of a name?",
        "Both names in full.",
    ),
    CauseKind(
        "typed.part",
        "Only a part of the name was typed.",
        "Did they type both their first and their last name?",
        "Both names in full, as on the join form.",
    ),
    CauseKind(
        "typed.partner",
        "The other person of a joint sign-up was typed.",
        "Whose join form was it? Each person has their own handle.",
        "Help each person with their own handle only; name neither to the other.",
    ),
    CauseKind(
        "typed.whole_name",
        "The whole name was typed; this handle was cut, as the name is long.",
        "Did they type their whole name?",
        f"{_SPELL} Tell them where it stops.",
    ),
    CauseKind(
        "typed.name",
        "They typed their name, and this handle is not made of it.",
        "Do they have an older handle from before?",
        _SPELL,
    ),
    CauseKind(
        "typed.capitals",
        "There are capital letters.",
        "Does the phone or tablet turn the first letter into a capital?",
        "Small letters only; on a phone, turn the capital off before the first letter.",
    ),
    CauseKind(
        "typed.spaces",
        "There is a space between the names.",
        "Did they press the space bar between the names?",
        "One word without a space.",
    ),
    CauseKind(
        "typed.apostrophe",
        "The apostrophe was kept.",
        "Did they type the apostrophe of their name?",
        "Leave the apostrophe out.",
    ),
    CauseKind(
        "typed.hyphen",
        "The hyphen was kept.",
        "Did they type the hyphen of their name?",
        "Leave the hyphen out.",
    ),
    CauseKind(
        "typed.accents",
        "A letter has an accent or is written out in another way.",
        "Did they type a letter with an accent?",
        "Plain letters only: say which plain letter stands in its place.",
    ),
    CauseKind(
        "typed.signs",
        "There are full stops or other signs.",
        "Did they type a full stop or another sign?",
        "Letters only, and the number if the handle has one.",
    ),
    CauseKind(
        "typed.invisible",
        "A blank or an invisible character stands before, after or inside it; copying does that.",
        "Did they copy and paste it?",
        "Empty the box and type it by hand.",
    ),
    CauseKind(
        "typed.more",
        "The handle is there, with more around it.",
        "What else stands in the box?",
        "Empty the box and type the handle only.",
    ),
    CauseKind(
        "typed.other_handle",
        "What they typed is somebody else's handle.",
        "Nothing: never say that it is one, nor whose.",
        f"{_CALL_BACK} Then tell them their own handle.",
    ),
    CauseKind(
        "typed.unlike",
        "What they typed is nothing like the handle.",
        "Where did they read what they typed? Might it be a password? Then do not let them say it.",
        f"{_CALL_BACK} Then say the handle letter by letter.",
    ),
    CauseKind(
        "password.expired",
        "The first password has run out.",
        "Did they ever sign in?",
        "Write a new packet (onboard packets --again); it goes to the address on file only.",
    ),
    CauseKind(
        "password.replaced",
        "A newer first password was made; that of the older packet is dead.",
        "Which packet do they read from, and of what day?",
        "Let them use the newest packet. If they don't have it, write another to the address on"
        " file.",
    ),
    CauseKind(
        "password.unused",
        "The first password was never used.",
        "Do they have the welcome packet in front of them?",
        "Let them type the first password from the packet. Never let them say it.",
    ),
    CauseKind(
        "password.used",
        "The first password worked once, and they have chosen their own since.",
        "Do they type the first password again?",
        "Let them use the password that they chose, or ask the page for a new one.",
    ),
    CauseKind(
        "packet.written",
        "The welcome packet is written, and there is no note that it was sent.",
        "Do they have a letter or a mail from us?",
        "Look in the outbox, and send or print the packet.",
    ),
    CauseKind(
        "window.closed",
        "The ordering window is not open. Sign-in works; ordering does not.",
        "Do they get in, but can't order?",
        "Tell them when the next window opens.",
    ),
    CauseKind(
        "unexplained",
        "All that we know of is right.",
        "What exactly does the page say, word for word?",
        "Let them try once more while you listen; then pass it to whoever runs the ordering page.",
    ),
)

BY_CODE: Mapping[str, CauseKind] = {kind.code: kind for kind in KINDS}
ORDER: Mapping[str, int] = {kind.code: place for place, kind in enumerate(KINDS)}
