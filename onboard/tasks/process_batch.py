"""Join forms to members: read, clean, match, decide, record, in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import chain

from onboard.model import Answer, RawRow, Ruling
from onboard.office import Act, Office
from onboard.reports.batch import BatchReport
from onboard.roster import answered, index, record, search, store
from onboard.tasks import prepared
from onboard.tasks.batch_pass import BatchPass, MustBeTried
from onboard.tasks.outcome import Outcome
from onboard.tasks.sound_rulings import sound_rulings

AT_ONCE = 500  # rows judged between two writes; memory is bounded by this, not by the file


def process_batch(
    office: Office,
    rows: Iterable[RawRow],
    *,
    file: str,
    keep: bool,
    rulings: Sequence[Ruling] = (),
    tell: Callable[[Outcome], None] = lambda outcome: None,
    progress: Callable[[int], None] = lambda done: None,
    processes: int = 1,
    only: str = "",
) -> BatchReport:
    """The sums of one batch; the outcomes of the rows are told in their order, as they are recorded.

    A row on hold that a later row settles is told again; the last word holds. With
    `keep=False` everything happens just so and is then taken back. `progress` is given how many
    rows were just done. `processes` is how many make the forms of a long file ready, 0 is one a
    processor; nothing else depends on it. `only` is the key of a row on hold: of those, no other is judged, but for
    what it settles. Raises `StoreTrouble`, `EngineTrouble`, and `FileTrouble` for rulings about rows or
    members that do not exist; then nothing has changed.
    """
    office.see_that_one_may(Act.INTAKE)
    wait = 0.0 if only else store.A_BATCH  # nobody sits before a batch; who answers one form does
    with office.transaction(keep=keep, wait=wait) as connection:
        batch = BatchPass(connection, office, file, tell, keep)
        sound = sound_rulings(connection, rulings, batch.report, batch.settings)
        record.rulings(connection, sound, batch.signature)
        taken_back = [one.row for one in sound if one.answer is Answer.UNDO]
        were = {answered.reopen(connection, key, batch.signature) for key in taken_back}
        index.update(connection, were)
        batch.report.waiting = search.count_held(connection)
        forms = chain(batch.on_hold([only] if only else ()), batch.deleted.hushed(rows))
        with prepared.in_parts(forms, office.settings, AT_ONCE, processes) as parts:
            for part in parts:
                batch.take(part)
                progress(len(part))
        batch.end()
    return batch.report


def look_at_holds(office: Office, *only: str) -> dict[str, Outcome]:
    """What a batch would make of the forms on hold today, by their keys; or of those `only` that have one of these keys,
    and of what they settle.

    It is told by reading, so it waits for nobody who writes; what would be settled has no news. Only where that bears on
    forms that are not at hand, as where hundreds are on hold, it is tried. Raises `StoreTrouble`.
    """
    office.see_that_one_may(Act.INTAKE)
    found: dict[str, Outcome] = {}

    def tell(outcome: Outcome) -> None:
        found[outcome.decision.applicant.raw.key] = outcome

    try:
        with office.reading() as connection:
            batch = BatchPass(connection, office, "", tell, keep=False)
            with prepared.in_parts(batch.on_hold(only), office.settings, AT_ONCE, 1) as parts:
                for part in parts:
                    batch.take(part)
    except MustBeTried:
        found.clear()
        one = only[0] if len(only) == 1 else ""
        process_batch(office, (), file="", keep=False, tell=tell, only=one)
    return found
