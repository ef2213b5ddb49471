"""Why a member could not sign in, from what the roster knows of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection

from onboard.clean import email, row
from onboard.errors import FileTrouble
from onboard.lookup.words import QUESTIONS
from onboard.model import Applicant, Member, Owner, Person, PersonName, Standing, State, What
from onboard.model.outgoing import ASKED
from onboard.office import Act, Office
from onboard.roster import desk, outgoing, search
from onboard.settings import LANGUAGES, Group, Settings
from onboard.signin import Account, At, Cause, Form, PasswordState, script, why
from onboard.signin import page as pages
from onboard.signin.account import UNWRITTEN
from onboard.tasks import meant as who
from onboard.tasks import where_questions
from onboard.tasks.look_up import meant_by
from onboard.tasks.reissue import checks_enough


@dataclass(frozen=True, slots=True)
class Explained:
    """Whose sign-in it is, what the roster knows of their way in, and why it failed."""

    owner: Owner
    name: PersonName
    site: str
    language: str
    account: Account
    causes: tuple[Cause, ...]
    member: Member | None = None  # None: a form on hold
    stays: str = ""  # of a merged account: the sign-in name of the one that stays
    checks: tuple[str, ...] = ()  # after which a new temporary password may be issued now
    none_issued: str = ""  # why none may be, whatever the check
    not_understood: bool = False  # what the page said tells nothing
    is_answer: bool = False  # what was given as typed was what the page answered


def explain_sign_in(
    office: Office, typed: str | None, meant: str = "", *, page: str = "", said: str = ""
) -> Explained:
    """The causes of a failed sign-in, most likely first, and the account they are about.

    `typed` is what stood in the user name box (None: not known), `meant` a member's handle or
    number, or "row:" with the first letters of the key of a row on hold; without it, it is whoever
    certainly meant what was typed. `page` and `said` are as in `signin.why`; what is no sign-in name but
    the page's answer ("it says wrong password") is taken as `said`. Reads only. Raises
    `SettingsTrouble` where the settings let others look members up, `FileTrouble` if nobody is
    meant, or more than one may be, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    settings = office.settings
    if is_answer := bool(typed and not said and meant and pages.is_answer(typed)):
        typed, said = None, typed or ""
    meant = meant or _the_one(*whose(office, typed or ""))
    with office.reading() as connection:
        owner, name, site, language, account = _held(connection, settings, meant) or _member(
            connection, settings, meant
        )
        member = (
            search.members_by_number(connection, [owner.member_id]).get(owner.member_id)
            if owner.member_id
            else None
        )

        def taken(text: str) -> str | None:
            number = desk.handle_owner(connection, text)
            return None if number is None or owner.member_id == number else text

        causes = why(
            account, today=office.today(), now=office.now(), settings=settings, typed=typed, page=page, said=said,
            others=taken,
        )  # fmt: skip
        stays, none_issued = "", ""
        checks: tuple[str, ...] = ()
        if member and member.standing is Standing.MERGED:
            into = search.stays(connection, [member.id])
            stays = search.handles_of(connection, into.values()).get(into[member.id], "")
        elif member:
            checks, none_issued = checks_enough(connection, settings, member, office.now())
    return Explained(
        owner, name, site, language, account, causes, member, stays, checks, none_issued,
        bool(said.strip()) and not pages.is_understood(said), is_answer,
    )  # fmt: skip


def whose(office: Office, typed: str) -> tuple[list[Owner], str]:
    """Who may have typed this, and what to ask if they are several.

    Whoever has that very handle or mailbox; else whom `look_up` finds, one alone only if certain.
    The question is a key of `lookup.judge.QUESTIONS`, or "". Raises `SettingsTrouble` where the
    settings let others look members up, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        number = desk.handle_owner(connection, typed)
        found = [Owner.of_member(number)] if number else []
        mailbox = email.clean(typed).value
        if mailbox:
            found += desk.owners_of_email(connection, mailbox.identity)
        found = list(dict.fromkeys(found))
        if found:
            return found, ""
        finds = meant_by(connection, office.settings, typed)
    owners = [one.owner for one in finds.found]
    return (owners[:1], "") if finds.safe_to_open else (owners, finds.ask)


def _the_one(found: Sequence[Owner], ask: str) -> str:
    """The only one found, unless there is something to ask."""
    if len(found) == 1 and not ask:
        return found[0]
    if not found:
        raise FileTrouble(
            "Nobody has a sign-in name like that. Find the member (onboard find), then say whose "
            "sign-in it is: --member NAME, or --member NUMBER."
        )
    named = ", ".join(owner.shown for owner in found)
    question = QUESTIONS.get(ask, "Ask which one it is.")
    raise FileTrouble(f"It is not certain whose that is ({named}). {question} Then add --member.")


def words_to_say(
    office: Office, explained: Explained, form: Form, language: str = "", *, reader: str = ""
) -> str:
    """The words to say to the member: in `language`, else the member's, else the settings' first. What is for whoever
    says them is in the language of the `reader`, else in the settings' first.

    Raises `SettingsTrouble` when the co-op's own template is broken, and `FileTrouble` for a language
    in which there are no words.
    """
    if language and language not in LANGUAGES:
        raise FileTrouble(
            f"--language {language!r} is not a language we have words in. Use {' or '.join(LANGUAGES)}."
        )
    spoken = language or explained.language or office.settings.languages[0]
    return script(explained.causes, explained.account, office.settings, spoken, form, reader)


Known = tuple[Owner, PersonName, str, str, Account]


def _member(connection: Connection, settings: Settings, meant: str) -> Known:
    member = who.member(connection, meant)
    people = desk.spellings(connection, member.owner)
    set_by_member = settings.password.set_by_member
    packet, in_doubt = _packet(connection, member)
    account = Account(
        handle=member.handle,
        names=_names(member.name, people),
        emails=_emails([member.email], people),
        former_handles=desk.former_handles(connection, member),
        standing=member.standing,
        packet=packet,
        in_doubt=in_doubt,
        password=None if set_by_member else _password(connection, member),
        set_by_member=set_by_member,
        group=_group(settings, member.site),
        zone=settings.zone(settings.site(member.site)),
        site=member.site,
        at=_at(settings, member.site),
    )
    return member.owner, member.name, member.site, member.language, account


def _packet(connection: Connection, member: Member) -> tuple[State | None, bool]:
    """How the packet stands, and whether it waits as where it would go is in doubt: one that is due
    waits too if making it would ask, and one that waited for an answer is due once nobody doubts."""
    if member.packet not in UNWRITTEN:
        return member.packet, False
    lines = [
        line
        for state in UNWRITTEN
        for line in outgoing.by_state(connection, What.PACKET, state, of=[member.id])
        if state is State.DUE or line.why in ASKED
    ]
    if not lines:  # it waits for a check of whoever called
        return member.packet, False
    in_doubt = bool(where_questions.about(connection, lines))
    return State.WAITING if in_doubt else State.DUE, in_doubt


def _held(connection: Connection, settings: Settings, meant: str) -> Known | None:
    beginning = Owner(meant).row_key
    if beginning is None:
        return None
    raw = who.form_on_hold(connection, beginning)
    ruling = search.rulings(connection, [raw.key]).get(raw.key)
    applicant = row.clean(
        row.corrected(raw, ruling.corrections if ruling else {}),
        region=settings.region,
        sites=settings.sites,
    )
    site = applicant.site.value or ""
    name = applicant.name.value or PersonName("")
    account = Account(
        handle=None,
        names=(name,),
        emails=_emails([], applicant.people()),
        standing=Standing.HOLD,
        group=_group(settings, site),
        zone=settings.zone(settings.site(site)),
    )
    return Owner.of_row(raw.key), name, site, _language(applicant), account


def _language(applicant: Applicant) -> str:
    return applicant.language.value or ""


def _names(present: PersonName, people: Iterable[Person]) -> tuple[PersonName, ...]:
    """Every name ever known, the present one first."""
    known: dict[tuple[str, ...], PersonName] = {}
    spelt = (
        PersonName(
            p.given, p.middle, p.family, p.suffix, called=p.called, former=p.former,
            joint=tuple(PersonName(given, family=p.family) for given in p.joint),
        )
        for p in people
        if p.given or p.family
    )  # fmt: skip
    for n in (present, *spelt):
        known.setdefault((n.given, n.middle, n.family, n.suffix, n.called, n.former), n)
    return tuple(known.values())


def _emails(present: list[str], people: Iterable[Person]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(filter(None, (*present, *(p.email for p in people)))))


def _password(connection: Connection, member: Member) -> PasswordState | None:
    """What is known of the first password; None where none of ours works."""
    if not member.password_hash or not member.password_expires:
        return None
    issued = desk.first_passwords(connection, member.owner)
    used = member.last_sign_in is not None and (not issued or member.last_sign_in >= issued[-1])
    return PasswordState(member.password_expires, used=used, replaced=len(issued) > 1)


def _at(settings: Settings, name: str) -> At:
    """How the drop site of this name stands."""
    site = settings.site(name) if name else None
    if site is None:
        return At.UNKNOWN if name else At.NONE
    return At.CLOSED if site.closed else At.OPEN


def _group(settings: Settings, name: str) -> Group | None:
    site = settings.site(name) if name else None
    return settings.group(site.group) if site else None
