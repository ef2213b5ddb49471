"""Members who have an account already, brought in from a spreadsheet with their sign-in names."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from onboard.clean import row
from onboard.decide import adopt
from onboard.match import keys
from onboard.model import Drop, Enrol, Handle, Owner, RawRow
from onboard.office import Office
from onboard.reports.adopted import AdoptReport
from onboard.roster import index, record, search
from onboard.roster.record import Judged

AT_ONCE = 500


def adopt_members(
    office: Office,
    rows: Iterable[RawRow],
    *,
    file: str,
    keep: bool,
    progress: Callable[[int], None] = lambda done: None,
) -> AdoptReport:
    """Bring in members with the sign-in names they have; no password is made and no packet is due.

    Nobody is matched here: who is twice in an old roster, an audit finds. Rows that are skipped
    are not saved: fix them in the file and give it again. Raises `StoreTrouble`.
    """
    settings, signature = office.settings, office.signature()
    report = AdoptReport()
    with office.transaction(keep=keep) as connection:
        number = record.next_member(connection)
        batch_id = 0
        for part in search.parts(rows, AT_ONCE):
            seen = search.seen(connection, [raw.key for raw in part])
            wanted = {raw.key: raw.fields.get("handle", "").strip() for raw in part}
            bases = {Handle(handle).base for handle in wanted.values()}
            taken = search.handles(connection, bases)
            judged: dict[str, Judged] = {}
            for raw in part:
                report.rows += 1
                if raw.key in seen or raw.key in judged:
                    report.given_before += 1
                    continue
                applicant = row.clean(raw, region=settings.region, sites=settings.sites)
                decision = adopt(applicant, wanted[raw.key], taken)
                if isinstance(decision, Drop):
                    report.left_out.append((raw.line, applicant.name.said, decision.reasons[0]))
                elif isinstance(decision, Enrol):
                    people = tuple((p, keys.of(p)) for p in applicant.people())
                    judged[raw.key] = Judged(decision, Owner.of_member(number), people)
                    taken.add(decision.handle.text.casefold())
                    number += 1
            if judged:
                batch_id = batch_id or record.batch(connection, file, signature)
                record.decisions(
                    connection, list(judged.values()), signature, batch_id, packet=None
                )
                if keep:
                    index.update(connection, record.owners(judged.values()))
                report.adopted += len(judged)
            progress(len(part))
    return report
