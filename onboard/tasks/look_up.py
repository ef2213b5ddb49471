"""Whatever a caller says, and who on the roster is meant by it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from itertools import takewhile

from sqlalchemy import Connection

from onboard import passwords
from onboard.clean import deceased, secret
from onboard.clean import sites as drop_sites
from onboard.lookup.clue import Clue
from onboard.lookup.facts import Facts, place
from onboard.lookup.household import with_relative
from onboard.lookup.judge import Ranking, first_question, judge
from onboard.lookup.said import Said, read
from onboard.lookup.trouble import trouble
from onboard.lookup.widow import has_died
from onboard.model import Owner, PersonName, Standing
from onboard.office import Act, Office
from onboard.roster import candidates, housemates, index, index_asked, search
from onboard.settings import Settings
from onboard.tasks import said_dead, sure_of_whom

FAR_BEHIND = 16.0  # bits: who is further behind the first is shown to nobody
LIKELY = 0.5  # of the caller: below, nobody looks for their relatives
FAR_LESS = 0.01  # of the confidence of the first: nor is who has less


@dataclass(frozen=True, slots=True)
class Found:
    """Somebody who may be meant."""

    owner: Owner  # of a sign-up on hold its row
    name: PersonName
    handle: str  # "" for a sign-up on hold
    site: str  # as the settings write it; of a sign-up on hold as the form says it
    standing: str  # "open", "closed", "merged" …; "hold" for a sign-up on hold
    confidence: float  # 0 to 1: how sure it is that they are meant
    clues: tuple[Clue, ...]
    facts: Facts  # all that is known of them, folded: show no more of it than the task needs
    part_of: str = ""  # of a merged account: the handle of the one that stays
    died: str = ""  # that it was said of them that they have died, and what to do
    others: tuple[str, ...] = ()  # whom else the account is known by: it is one of several people


@dataclass(frozen=True, slots=True)
class Finds:
    """The answer to a look-up.

    `safe_to_open` says that the first is certain to be the one who is *meant*. It is no proof of
    who is calling: before anything is changed or told, the caller has to be checked as the
    settings say.
    """

    found: tuple[Found, ...]  # the likeliest first
    safe_to_open: bool
    lead: float  # bits between the first and the next
    ask: str  # what to ask the caller, a key of `lookup.words.QUESTIONS`; "" if safe
    more: bool  # others fit as well who are not in `found`
    notes: tuple[str, ...] = ()
    for_another: bool = False  # who calls speaks for the one who is meant, or asks about them
    says_died: bool = False  # who calls says that the one who is meant has died
    trouble: str = ""  # what they told of trouble at the page, in their words


def look_up(office: Office, words: str, *, site: str = "", most: int = 5) -> Finds:
    """Who is meant by whatever a caller says, the likeliest first, at most `most` of them.

    Only those are told who have to be told apart: of anybody else nobody needs to know that they are
    members.

    `words` is any mix of names, nicknames, emails, phones or their ends, handles, drop sites, ZIP
    codes, street, a whole sentence; `site` is the drop site, if it is known already. Members,
    closed accounts and sign-ups on hold are found. Raises `SettingsTrouble` where the settings let
    others look members up, and `StoreTrouble`; never on text.
    """
    office.see_that_one_may(Act.LOOK_UP)
    with office.reading() as connection:
        finds = _told_apart(meant_by(connection, office.settings, words, site=site, most=most))
        return replace(finds, found=tuple(_with_died(connection, finds.found)))


def _with_died(connection: Connection, found: Sequence[Found]) -> Iterator[Found]:
    """The same, with what was said of those of whom it was said that they have died."""
    numbers = [one.owner.member_id for one in found if one.owner.member_id is not None]
    if spoken_of := said_dead.ever(connection, numbers):
        members = search.members_by_number(connection, spoken_of)
        died = said_dead.refusals(connection, list(members.values()))
    else:
        died = {}
    for one in found:
        yield replace(one, died=died.get(one.owner.member_id or 0, ""))


def _told_apart(finds: Finds) -> Finds:
    told = finds.found[:1] if finds.safe_to_open else finds.found
    least = FAR_LESS * max((one.confidence for one in told), default=0.0)
    return replace(finds, found=tuple(one for one in told if one.confidence >= least))


def meant_by(
    connection: Connection, settings: Settings, words: str, *, site: str = "", most: int = 5
) -> Finds:
    """All who may be meant, as `look_up` finds them, of the roster as the connection sees it."""
    names = _site_names(tuple(site.name for site in settings.sites))
    notes: tuple[str, ...] = ()
    known_site = place(site)
    if known_site and known_site not in names:
        cleaned = drop_sites.clean(site, settings.sites)
        known_site = place(cleaned.value or "")
        if not known_site:
            notes = (
                f"There is no drop site {' '.join(site.split())[:40]!r}, so it was not used. Check its "
                "spelling.",
            )
    readings = read(words, names, site=known_site)
    gathered = candidates.gather(connection, readings)
    judged = partial(
        judge, known=_once_each(connection, gathered.facts), roster=index_asked.size(connection),
        bearers=index_asked.bearers(connection, {word for said in readings for word in said.words}),
        cut_short=gathered.cut_short,
    )  # fmt: skip
    ranking, for_another = judged(readings), any(said.for_another for said in readings)
    relative = next((said for said in readings if said.relative or said.called), None)
    with_them = _with_relative(connection, ranking, relative) if relative else ranking
    is_caller = relative is not None and with_them is ranking  # not the relative of whom they speak
    died = deceased.said_by_caller(words, for_another=for_another and not is_caller)
    if relative and is_caller and not relative.of_their_need and _speaks_of_a_death(words):
        # "My husband died": he is not on the roster, and whoever calls speaks for themselves.
        for_another = False
        with_them = judged(tuple(replace(said, for_another=False) for said in readings))
    # A drop site by itself is said of everybody who collects there.
    cut_short = gathered.cut_short or any(
        said == Said(site=said.site, unsure=said.unsure) for said in readings[:1] if said.site
    )
    finds = _finds(connection, with_them, most, cut_short, notes)
    died = died or any(has_died(words, one.facts) for one in finds.found[:1])
    finds = sure_of_whom.with_other_names(connection, finds)
    finds = sure_of_whom.asked_well(
        connection, sure_of_whom.settled(connection, finds, readings, judged)
    )
    if not finds.found:  # those who were weighed tell nothing of what to ask
        site_told = not {w for name in names for w in name.split()}.isdisjoint(readings[0].words)
        finds = replace(finds, ask=first_question(readings[0], site_told=site_told))
    told = trouble(words)
    if told and secret.is_in(told, passwords.words()):
        told = ""  # it must not come to stand in the next line to type
    return replace(
        finds, safe_to_open=finds.safe_to_open and not died, for_another=for_another or died,
        says_died=died, trouble=told,
    )  # fmt: skip


def _speaks_of_a_death(words: str) -> bool:
    return deceased.said_by_caller(words, for_another=True)


def _with_relative(connection: Connection, ranking: Ranking, said: Said) -> Ranking:
    """The ranking with the caller's relative first; the same where the household has nobody who fits."""
    if not ranking.ranked or ranking.ranked[0].confidence < LIKELY:
        return ranking
    caller = ranking.ranked[0]
    household = _once_each(connection, housemates.of(connection, caller.doc, caller.facts))
    return with_relative(ranking, household, said.relative, said.called)


def _once_each(connection: Connection, known: dict[int, Facts]) -> dict[int, Facts]:
    """Without merged accounts whose one that stays is among them: it knows all that they knew, and
    the two are one person, who need not be told apart."""
    merged = {
        number: doc
        for doc, facts in known.items()
        if facts.standing == Standing.MERGED
        and (number := index.owner(connection, doc).member_id) is not None
    }
    stays = search.stays(connection, merged) if merged else {}
    told_twice = {
        doc for number, doc in merged.items() if index.doc_of(stays.get(number, 0)) in known
    }
    return {doc: facts for doc, facts in known.items() if doc not in told_twice}


def _finds(
    connection: Connection, judged: Ranking, most: int, cut_short: bool, notes: tuple[str, ...]
) -> Finds:
    near = takewhile(lambda one: one.bits - judged.ranked[0].bits < FAR_BEHIND, judged.ranked)
    # Something speaks for them, and more than that they collect where hundreds do.
    worth = [one for one in near if any(clue.agrees and clue.kind != "site" for clue in one.clues)]
    shown = worth[:most]
    owners = [index.owner(connection, one.doc) for one in shown]
    rows = [owner.row_key for owner in owners if owner.row_key is not None]
    numbers = [owner.member_id for owner in owners if owner.member_id is not None]
    members = index_asked.shown(connection, numbers)
    stays = search.stays(
        connection, [number for number in numbers if members[number][-1] == "merged"]
    )
    ends = index_asked.shown(connection, set(stays.values()))
    on_hold = search.raw_rows(connection, rows) if rows else {}
    found = []
    part_of = {Owner.of_member(number): ends[end][1] for number, end in stays.items()}
    for owner, one in zip(owners, shown, strict=True):
        if owner.row_key is not None:
            from onboard.clean import row  # all rules; only for who is on hold

            raw = on_hold[owner.row_key]
            name = row.clean(raw).name.value or PersonName("")
            about: tuple[str, ...] = ("", raw.fields.get("site", ""), one.facts.standing)
        else:
            assert owner.member_id is not None
            name, *about_member = members[owner.member_id]
            about = tuple(about_member)
        handle, site, standing = about
        found.append(
            Found(owner, name, handle, site, standing, one.confidence, one.clues, one.facts,
                  part_of.get(owner, ""))
        )  # fmt: skip
    more = cut_short or len(worth) > most
    return Finds(tuple(found), judged.certain, judged.lead, judged.ask, more, notes)


@lru_cache(maxsize=4)
def _site_names(sites: tuple[str, ...]) -> frozenset[str]:
    """The folded names of these drop sites."""
    return frozenset(map(place, sites))
