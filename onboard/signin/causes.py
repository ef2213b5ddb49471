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

    def found(
        self, confidence: float, seen: str = "", when: date | None = None, do: str = ""
    ) -> Cause:
        """A cause of this kind; `confidence` is 0 to 1, `when` the day on which it came to be, if known, `do` what to do
        where that is another thing than always."""
        ready = do or self.do
        return Cause(self.code, round(confidence, 4), seen or self.about, self.ask, ready, when)


_SPELL = "Spell out the sign-in name, one letter at a time, and have them type as you speak."
_BOX = "What is in the sign-in name box right now, letter by letter?"
_CALL_BACK = (
    "Before you say more, call back the number on file, or email the address on file and wait for the"
    " reply."
)

# What stops everything comes first: no right spelling helps while an account is closed.
KINDS: tuple[CauseKind, ...] = (
    CauseKind(
        "account.hold",
        "The join form is still on hold, so there is no working account yet.",
        "Nothing about the sign-in: it can't work yet.",
        "Answer the question about the form: onboard answer. Then make the packet: onboard packets --write.",
    ),
    CauseKind(
        "account.closed",
        "The account is closed.",
        "Do they want to come back?",
        f"{_CALL_BACK} A coordinator decides whether to open the account again (onboard reopen).",
    ),
    CauseKind(
        "account.merged",
        "The account was merged into another account of the same person.",
        "Nothing. Do not read out the other sign-in name.",
        "Find the account that this one was merged into. Then email or write to the address on file"
        " there.",
    ),
    CauseKind(
        "packet.due",
        "Nobody has made the welcome packet yet.",
        "Nothing: they can't have it yet.",
        "Make the packets: onboard packets --write. Then send or print this one.",
    ),
    CauseKind(
        "packet.barred",
        "The welcome packet is held: its email address may be wrong, or the contact info changed before it"
        " went out.",
        "Nothing: they can't have it yet.",
        "If the email address is the question, ask the member and answer it. If the contact info changed,"
        " check the caller with what was on file before. The line to type is below.",
    ),
    CauseKind(
        "page.shop",
        "They were on the shop page. Members sign in on the ordering page.",
        "What is the address at the top of the page?",
        "Give them the address of the ordering page, and have them bookmark it.",
    ),
    CauseKind(
        "page.other",
        "They were on a page that is not the ordering page.",
        "How did they get there: a search, or a link in an email?",
        "Give them the address of the ordering page. If the page looked like ours, tell the person who"
        " runs our page: it may be there to steal passwords.",
    ),
    CauseKind(
        "page.link",
        "They followed an old bookmark or link, and it no longer leads to the ordering page.",
        "Did they use a bookmark, or a link in an old email?",
        "Give them the address of the ordering page, and have them bookmark it.",
    ),
    CauseKind(
        "page.down",
        "The ordering page did not come up. It may be down, or their internet is.",
        "What exactly do they see? Do other pages come up?",
        "Open the ordering page yourself. If it is down, tell the person who runs it. Call the member back when"
        " it works.",
    ),
    CauseKind(
        "page.session",
        "The page was open for too long, so it ended their visit.",
        "How long was the page open?",
        "Have them close the page, open the ordering page again, and sign in right away.",
    ),
    CauseKind(
        "page.disabled",
        "The page says that their account is turned off.",
        "What exactly does the page say?",
        "Ask the person who runs the ordering page why. Call the member back when the account works.",
    ),
    CauseKind(
        "page.locked",
        "There were too many tries, so the page makes them wait.",
        "What exactly does the page say?",
        "Have them wait as long as the page says. Then read it out, and have them type it once.",
    ),
    CauseKind(
        "typed.email",
        "They typed an email address instead of their sign-in name.",
        "Did they type an email address, or the part before the @?",
        f"{_SPELL} Do not say whether that email address is on file.",
    ),
    CauseKind(
        "typed.forgotten",
        "They do not know their sign-in name, or are not sure of it.",
        "Do they have our welcome email or letter? The sign-in name is in it.",
        f"{_CALL_BACK} Then spell out the sign-in name, one letter at a time.",
    ),
    CauseKind(
        "typed.nothing",
        "The sign-in name box was empty.",
        _BOX,
        _SPELL,
    ),
    CauseKind(
        "typed.number_missing",
        "They left out the number at the end.",
        "Is there a number after the name?",
        "Tell them that the number is part of the sign-in name. Do not say why it has one.",
    ),
    CauseKind(
        "typed.number_invented",
        "They typed a number at the end that is not in the sign-in name.",
        "Did they add a number, such as the year they were born?",
        "Tell them how the sign-in name ends.",
    ),
    CauseKind(
        "typed.slip",
        "There is a typo: a key was missed, doubled, swapped, or hit instead of the one next to it.",
        _BOX,
        _SPELL,
    ),
    CauseKind(
        "typed.autocorrect",
        "Their phone or tablet changed what they typed.",
        "Does the word change by itself when they go to the next box?",
        f"{_SPELL} Have them look at the box before they go on. If the phone offers another word, have them tap"
        " their own.",
    ),
    CauseKind(
        "typed.look_alike",
        "They mistook a letter for one that looks like it: rn and m, l and 1, o and 0, w and vv.",
        "Did they copy it from a letter or a screen?",
        f"{_SPELL} When it is a number, say so.",
    ),
    CauseKind(
        "typed.nickname",
        "They used a different first name: a nickname, or the full name instead of it.",
        "Which first name did they put on the join form?",
        _SPELL,
    ),
    CauseKind(
        "typed.middle_name",
        "They typed their middle name or middle initial.",
        "Did they type their middle name or initial?",
        "Have them leave it out: the first name, then the whole last name.",
    ),
    CauseKind(
        "typed.former_name",
        "They used a different last name, maybe from before or after a marriage.",
        "Which last name did they have when they joined?",
        f"{_SPELL} Do not read out any other name on file.",
    ),
    CauseKind(
        "typed.former_handle",
        "They typed an old sign-in name of theirs, from another name or from an account that was merged.",
        "Are they reading it from an older email or letter of ours?",
        f"{_CALL_BACK} Then tell them their sign-in name now.",
    ),
    CauseKind(
        "typed.suffix",
        "They typed a suffix such as Jr or III with the name.",
        "Did they type anything after their last name?",
        "Have them leave it out: the first name, then the whole last name.",
    ),
    CauseKind(
        "typed.last_first",
        "They typed the last name first.",
        "Which name did they type first?",
        "Have them type the first name, then the last name.",
    ),
    CauseKind(
        "typed.initial",
        "They typed an initial instead of the whole name.",
        "Did they type only the first letter of a name?",
        "Have them type both names in full.",
    ),
    CauseKind(
        "typed.part",
        "They typed only part of the name.",
        "Did they type both their first and their last name?",
        "Have them type both names in full, as on the join form.",
    ),
    CauseKind(
        "typed.partner",
        "They typed the name of the other person on a joint join form.",
        "Whose join form was it? Each person has their own sign-in name.",
        "Help each person with their own sign-in name only. Do not tell either one about the other.",
    ),
    CauseKind(
        "typed.whole_name",
        "They typed their whole name, but the sign-in name is shorter: it is cut, or has one of two last names.",
        "Did they type their whole name?",
        f"{_SPELL} Tell them where it ends.",
    ),
    CauseKind(
        "typed.name",
        "They typed their name, but the sign-in name was not made from it.",
        "Do they have an older sign-in name?",
        _SPELL,
    ),
    CauseKind(
        "typed.capitals",
        "They typed capital letters.",
        "Does the phone or tablet make the first letter a capital?",
        "Have them type small letters only. On a phone, have them turn off the capital before the first"
        " letter.",
    ),
    CauseKind(
        "typed.spaces",
        "They typed a space between the names.",
        "Did they press the space bar between the names?",
        "Have them type it as one word, with no space.",
    ),
    CauseKind(
        "typed.apostrophe",
        "They typed an apostrophe.",
        "Did they type the apostrophe in their name?",
        "Have them leave out the apostrophe.",
    ),
    CauseKind(
        "typed.hyphen",
        "They typed a hyphen.",
        "Did they type the hyphen in their name?",
        "Have them leave out the hyphen.",
    ),
    CauseKind(
        "typed.accents",
        "They typed a letter with an accent, or wrote it out in another way.",
        "Did they type a letter with an accent?",
        "Have them use plain letters only. Tell them which plain letter to type instead.",
    ),
    CauseKind(
        "typed.signs",
        "They typed periods or other marks.",
        "Did they type a period or another mark?",
        "Have them type letters only, and the number if the sign-in name has one.",
    ),
    CauseKind(
        "typed.invisible",
        "There is a space or a hidden character in it. That happens when people copy and paste.",
        "Did they copy and paste it?",
        "Have them clear the box and type it by hand.",
    ),
    CauseKind(
        "typed.more",
        "They typed the sign-in name, but something else is in the box too.",
        "What else is in the box?",
        "Have them clear the box and type only the sign-in name.",
    ),
    CauseKind(
        "typed.other_handle",
        "They typed somebody else's sign-in name.",
        "Nothing. Never say that it is one, or whose it is.",
        f"{_CALL_BACK} Then tell them their own sign-in name.",
    ),
    CauseKind(
        "typed.unlike",
        "What they typed looks nothing like the sign-in name.",
        "Where did they read it? It may be a password: if so, don't have them say it.",
        f"{_CALL_BACK} Then spell out the sign-in name, one letter at a time.",
    ),
    CauseKind(
        "password.expired",
        "The temporary password has expired.",
        "Did they ever sign in?",
        "Check the caller, then issue a new one. It goes only to the contact info on file. The line to type"
        " is below.",
    ),
    CauseKind(
        "password.replaced",
        "We made a newer temporary password. The one in the older packet no longer works.",
        "Which packet are they reading from? What is its date?",
        "Have them use the newest packet. If they don't have it, check the caller, then issue a new temporary"
        " password. The line to type is below.",
    ),
    CauseKind(
        "password.unused",
        "As far as we know, they have not used the temporary password yet.",
        "Do they have the welcome packet in front of them?",
        "Have them type the temporary password from the packet. Never let them say it. If they lost it, check"
        " the caller, then issue a new one. The line to type is below.",
    ),
    CauseKind(
        "password.used",
        "The temporary password worked once. They have picked their own since.",
        "Are they typing the temporary password again?",
        "Have them use the password they picked, or ask the page for a new one. If the page can't help, check"
        " the caller, then issue a new temporary one. The line to type is below.",
    ),
    CauseKind(
        "password.page",
        "Their password is not one of ours: they picked it on the ordering page, or had it before we did this.",
        "Do they know which password they picked?",
        "Have them use the password they picked, or ask the page for a new one. If the page can't help, check"
        " the caller, then issue a temporary one. The line to type is below.",
    ),
    CauseKind(
        "password.set_by_member",
        "Members set their own password on the ordering page. They may not have set one, or typed another.",
        "Did they set a password on the ordering page?",
        "Have them set one on the ordering page. The words to click are below.",
    ),
    CauseKind(
        "packet.unsure",
        "The email with the welcome packet may not have arrived. Nobody can know.",
        "Did an email from us come? Have them look in the spam folder too.",
        "If it came, have them use it. If it did not, check the caller, then make a new one. The line to type"
        " is below.",
    ),
    CauseKind(
        "packet.returned",
        "The email with the welcome packet did not arrive: it came back, or a mail server refused it.",
        "What is their email address? Let them say it. Do not read out the one on file.",
        "Check the caller. Then fix the email address, or print the letter. The lines to type are below.",
    ),
    CauseKind(
        "packet.written",
        "The welcome packet was made, but nobody noted that it was sent.",
        "Do they have a letter or an email from us?",
        "Look in the outbox. Then send or print the packet. The line to type is below.",
    ),
    CauseKind(
        "site.none",
        "They have no drop site, so they can't order.",
        "What is their ZIP code?",
        "Find a drop site near them. Check the caller, then save the site. The lines to type are below.",
    ),
    CauseKind(
        "site.closed",
        "Their drop site has closed for good, so they can't order there.",
        "Which other drop site can they get to?",
        "Find another drop site near them. Check the caller, then save the site. The lines to type are below.",
    ),
    CauseKind(
        "site.unknown",
        "The settings do not have the drop site that is on file for them, so they can't order.",
        "Which drop site do they pick up from?",
        "Check the caller, then save the site that they name. The lines to type are below.",
    ),
    CauseKind(
        "window.closed",
        "Ordering is not open now. They can sign in, but they can't order.",
        "Can they sign in, but not order?",
        "Tell them when they can order next.",
    ),
    CauseKind(
        "unexplained",
        "Everything we can check is right.",
        "What exactly does the page say, word for word?",
        "Have them try once more while you listen. If it fails, pass it on to the person who runs the"
        " ordering page.",
    ),
)

# Where the group has no window that is still to come.
NO_WINDOW = "Ordering is not open now, and no ordering days are set for their group after today."
SET_WINDOWS = (
    "Ask a coordinator to set the next ordering days. Call the member back when they are set."
)
# What keeps a member from ordering, who may be signed in.
ORDERING = ("site.none", "site.closed", "site.unknown", "window.closed")

BY_CODE: Mapping[str, CauseKind] = {kind.code: kind for kind in KINDS}
ORDER: Mapping[str, int] = {kind.code: place for place, kind in enumerate(KINDS)}
