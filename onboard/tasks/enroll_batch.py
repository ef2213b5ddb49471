"""A whole batch: the rows judged and saved, the questions written to a sheet, the packets made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from onboard.errors import FileTrouble, Trouble, in_words
from onboard.model import AddressQuestion, Enrol, Hold, Owner, PacketQuestion, RawRow, Ruling
from onboard.office import Office
from onboard.reports import answers
from onboard.reports.batch import Batch
from onboard.reports.counts import counted
from onboard.reports.decisions import Seen
from onboard.roster import at_sites, store
from onboard.settings import samples
from onboard.tasks import list_sites, settings_doubts, where_questions
from onboard.tasks.export_accounts import has_told
from onboard.tasks.mail_domains import AskedDomains
from onboard.tasks.outcome import Outcome
from onboard.tasks.process_batch import process_batch
from onboard.tasks.settle_question import settle_questions
from onboard.tasks.write_packets import write_packets

# Given what is counted, and how many there are if that is known; moved on by how many are done.
Bar: TypeAlias = Callable[[str, int | None], AbstractContextManager[Callable[[int], None]]]


@contextmanager
def no_bar(what: str, total: int | None) -> Iterator[Callable[[int], None]]:
    """A progress bar that nobody sees."""
    yield lambda done: None


@dataclass(frozen=True, slots=True)
class Watch:
    """Who looks on while a batch is judged: each row as it is settled, and how far the work is."""

    tell: Callable[[Outcome], None] = lambda outcome: None
    bar: Bar = no_bar


NOBODY = Watch()


def enroll_batch(
    office: Office,
    rows: Iterable[RawRow],
    seen: Seen,
    *,
    keep: bool,
    rulings: Sequence[Ruling] = (),
    watch: Watch = NOBODY,
) -> Batch:
    """What a batch came to, as `process_batch`; with `keep`, the sheet of questions about the rows on hold
    and the email addresses in doubt stands beside the file of forms or of answers, and every packet that
    is due is in the outbox. `rulings` answer either.

    `seen` names that file, and keeps the rows that are shown in the end. Raises what `process_batch` does, `SettingsTrouble` where, with
    `keep`, the settings still have samples, and `FileTrouble` where
    the batch was saved but the sheet or a packet could not be written: run again, for what is left.
    """
    new_at: Counter[str] = Counter()

    def see(outcome: Outcome) -> None:
        watch.tell(outcome)
        if isinstance(outcome.decision, Enrol):
            new_at[outcome.decision.applicant.site.value or ""] += 1
        if not outcome.given_before:
            seen.add(outcome.decision)
        if outcome.news:
            seen.hear(outcome.decision, outcome.news)

    if keep:
        settings_doubts.see_that_they_are_your_own(office.settings)
    about_members = [ruling for ruling in rulings if Owner(ruling.row).is_member]
    rulings = [ruling for ruling in rulings if not Owner(ruling.row).is_member]
    with office.reading() as connection:
        at_site = Counter(at_sites.counts(connection))
    late = settle_questions(office, about_members, keep=keep)
    domains = AskedDomains(office)
    with watch.bar("Rows", None) as progress:
        sums = process_batch(
            office, domains.of_rows(rows), file=seen.file, keep=keep, rulings=rulings, tell=see,
            progress=progress, processes=0,
        )  # fmt: skip
    crowded = list_sites.full(office.settings, at_site + new_at, new_at)
    sums.notes += (*settings_doubts.doubts(office.settings), *late, *domains.notes(), *crowded)
    if not keep:
        return Batch(seen, sums, samples=samples(office.settings))
    try:
        asked = _not_of(seen.holds, where_questions.questions(office))
        shared = where_questions.shared_mailboxes(office)
        in_sheet = [*asked, *where_questions.may_be_answered(shared)]
        questions = _write_questions(seen.holds.values(), in_sheet, seen.named)
        with watch.bar("Packets", sums.enrolled) as progress:
            packets = write_packets(office, progress=progress, wait=store.A_BATCH)
    except (Trouble, OSError) as error:
        raise FileTrouble(
            f"{in_words(error)}\nThe batch itself is saved: {counted(sums.enrolled, 'new member')}. "
            "Fix this first. Then make the packets that are left: onboard packets --write"
        ) from error
    return Batch(
        seen, sums, office.roster_name, questions, packets.folder, packets.written,
        packets.by_letter_only, packets.ends_early, asked, shared,
        has_told(office), bool(office.settings.mail.host), not office.settings.password.set_by_member,
    )  # fmt: skip


def _not_of(holds: Collection[str], asked: Sequence[PacketQuestion]) -> list[PacketQuestion]:
    """The questions about packets without those that the answers about these forms on hold settle."""
    return [
        one
        for one in asked
        if isinstance(one, AddressQuestion)
        or not (one.doubt.forms and set(one.doubt.forms) <= set(holds))
    ]


def _write_questions(
    holds: Collection[Hold], asked: Sequence[PacketQuestion], named: Path
) -> Path | None:
    if not holds and not asked:
        return None
    file = named.with_name(f"{named.stem.removesuffix('-questions')}-questions.xlsx")
    answers.write(holds, file, asked)
    return file
