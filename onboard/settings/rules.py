"""How handles and first passwords are made, callers are helped and the roster is audited."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.values import (
    among,
    is_among,
    more_than_least,
    no_less_than,
    number_of_a_computer,
    one_of,
    who_may_look_up,
)
from onboard.settings.key import Key

CHECKS = ("call-back", "mail")
NAMED = ("initial", "full")
LAST_NAMES = ("all", "first", "last")
MOST = 1_000_000  # members; a site never has more


@dataclass(frozen=True, slots=True)
class HandleRule:
    """How a handle is made of a name."""

    longest: Annotated[
        int, Key("the most letters that a sign-in name may have", "as many as the ordering page allows", bounds=(8, 64), why=" letters")
    ] = 30  # fmt: skip
    reserved: Annotated[
        tuple[str, ...], Key("sign-in names that nobody may have", "in addition to the usual ones, such as admin and help")
    ] = ()  # fmt: skip
    last_names: Annotated[
        str,
        Key(
            "which of two last names are in a sign-in name", "\"all\", \"first\" or \"last\"; a name with a hyphen is one",
            one_of(LAST_NAMES), choices=LAST_NAMES,
        ),
    ] = "all"  # fmt: skip


@dataclass(frozen=True, slots=True)
class PasswordRule:
    """How first passwords are made, and how long they work."""

    words: Annotated[
        int,
        Key(
            "how many words", "five words have 50 bits of chance, in English and in Spanish", bounds=(5, 10),
            why=": fewer than 5 hold less than 50 bits of chance, which is too easy to guess",
        ),
    ] = 5  # fmt: skip
    # NIST SP 800-63B-4, section 4.2.1.2, gives codes sent on paper 21 days; it has no rule for
    # first passwords, and theirs is the nearest.
    valid_days: Annotated[
        int,
        Key("how many days it works", bounds=(1, 21), why=": what lies about for longer is read by others"),
    ] = 14  # fmt: skip
    longest_days: Annotated[
        int,
        Key(
            "how many days it may work at most, so that it lasts until the member's first ordering days are over",
            "with as many as `valid_days` it never lasts longer than that", no_less_than("valid_days"),
            bounds=(1, 90), why=": what lies about for longer is read by others",
        ),
    ] = 45  # fmt: skip
    set_by_member: Annotated[
        bool,
        Key(
            "whether members set their password on the ordering page themselves",
            "for a page that cannot take our hashes; then packets have no password in them, and exports no hash",
        ),
    ] = False  # fmt: skip
    set_link: Annotated[
        str,
        Key("the words that they click there for it", "as the page shows them"),
    ] = "Set a password"


@dataclass(frozen=True, slots=True)
class DeskRule:
    """What the help desk may do, and how it makes sure who calls.

    Names are those of the journal: the login, or what `--by` says. No `may_look_up` is everybody
    who can open the roster; no `may_reissue` is nobody.
    """

    checks: Annotated[
        tuple[str, ...],
        Key(
            "how you check a caller before you issue a new temporary password",
            '"call-back" is to call back the number on file, "mail" to email the address on file; nothing that a caller knows counts',
            among(CHECKS, why=" What a caller knows proves nothing."),
            choices=CHECKS,
        ),
    ] = CHECKS  # fmt: skip
    may_look_up: Annotated[
        tuple[str, ...],
        Key("who may look members up, and change or delete them", "computer logins, or what `--by` says; if you name nobody, everybody who can open the roster. Join forms, packets and export stay open to all of them"),
    ] = ()  # fmt: skip
    may_reissue: Annotated[
        tuple[str, ...],
        Key("who may issue a new temporary password for a caller", "if you name nobody, nobody may", who_may_look_up),
    ] = ()  # fmt: skip
    tries_per_hour: Annotated[
        int,
        Key("how many times an hour you may try that for one member", bounds=(1, 20), why=": more would let people guess"),
    ] = 3  # fmt: skip
    second_check_days: Annotated[
        int,
        Key(
            "for how many days a new email, phone or address proves nothing by itself",
            "with 0 there is no second check", bounds=(0, 90), why="; 0 asks for no second check",
        ),
    ] = 14  # fmt: skip

    proxy: Annotated[
        str,
        Key(
            "the address of the proxy in front of the desk, if others reach it through one",
            "its number, as 192.0.2.7; then the desk answers to nobody else. If empty, one on this computer",
            number_of_a_computer, blank=True,
        ),
    ] = ""  # fmt: skip

    def lets_look_up(self, who: str) -> bool:
        """Whether somebody may look members up."""
        return not self.may_look_up or is_among(who, self.may_look_up)

    def lets_reissue(self, who: str) -> bool:
        """Whether somebody may have a new first password made for a caller."""
        return self.lets_look_up(who) and is_among(who, self.may_reissue)


@dataclass(frozen=True, slots=True)
class HostSheet:
    """What the sheet for a drop site's host says of its members."""

    names: Annotated[
        str,
        Key(
            "how members are named", "\"initial\" is the first name and the first letter of the last name, \"full\" the whole name",
            one_of(NAMED), choices=NAMED,
        ),
    ] = "initial"  # fmt: skip
    phone_question: Annotated[
        str,
        Key(
            "the question of your join form that asks if the host may have the phone number",
            "one of `extra_questions`, written the same; only phones of members who answered yes are shown. If empty, none are",
            blank=True,
        ),
    ] = ""  # fmt: skip


@dataclass(frozen=True, slots=True)
class AuditRule:
    """When an audit is due, and from when on it speaks of something."""

    every_days: Annotated[
        int,
        Key(
            "after how many days `onboard today` tells you that an audit is due",
            "with 0 it never does", bounds=(0, 3650), why="; 0 never tells you",
        ),
    ] = 180  # fmt: skip

    unused_windows: Annotated[
        int,
        Key("an account is unused after this many ordering windows of its group without a first sign-in", bounds=(1, 1000)),
    ] = 2  # fmt: skip
    idle_windows: Annotated[
        int,
        Key("a member is idle after this many ordering windows without a sign-in or an order", bounds=(1, 1000)),
    ] = 6  # fmt: skip
    keep_closed_days: Annotated[
        int,
        Key("for how many days you keep a closed account", "privacy law differs: ask what the law where you are says", bounds=(0, 36_500)),
    ] = 730  # fmt: skip
    site_least: Annotated[
        int, Key("a drop site with fewer members than this has too few", bounds=(1, MOST))
    ] = 5
    site_most: Annotated[
        int,
        Key("a drop site with more members than this has too many", "more than `site_least`", more_than_least, bounds=(1, MOST)),
    ] = 200  # fmt: skip
    helper_from: Annotated[
        int,
        Key(
            "when this many people from several homes share an email or a phone, it counts as a helper's",
            bounds=(2, 1000),
        ),
    ] = 4  # fmt: skip
