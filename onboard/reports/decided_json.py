"""What became of a row, as JSON for a program."""

from __future__ import annotations

from typing import Any

from onboard.clean import secret
from onboard.model import Decision, Drop, Enrol, Finding, Hold, News, Owner, SameAs
from onboard.reports.decisions import shown_name

VERDICT = {Enrol: "enrolled", SameAs: "already a member", Hold: "on hold", Drop: "left out"}


def row_as_json(
    decision: Decision, owner: Owner, *, given_before: bool, news: News | None = None
) -> dict[str, Any]:
    """One row's outcome for a program; "news" only where a member's form says what is not on file."""
    told = {"news": _news_as_json(news)} if news else {}
    applicant = decision.applicant
    return {
        "file": applicant.raw.file,
        "line": applicant.raw.line,
        "row": applicant.raw.key,
        "verdict": "given before" if given_before else VERDICT[type(decision)],
        "name": shown_name(decision),
        "owner": owner,
        "handle": decision.handle.text if isinstance(decision, Enrol) else None,
        "reasons": list(decision.reasons),
        "questions": [
            {"field": q.field, "ask": q.ask, "answers": [str(a) for a in q.answers]}
            for q in (decision.questions if isinstance(decision, Hold) else ())
        ],
        "findings": [
            {"code": f.code, "weight": str(f.weight), "said": _said(f), "note": f.note}
            for f in applicant.findings
        ],
        **told,
    }


def _said(finding: Finding) -> str:
    """What a finding is about; of a remark, without what seems to be a password."""
    is_remark = finding.field in ("consent", "notes")
    return (secret.hidden(finding.said) if is_remark else finding.said)[:200]


def _news_as_json(news: News) -> dict[str, Any]:
    remark: dict[str, Any] = {"remark": news.remark} if news.remark else {}
    return remark | {
        what: [{"field": c.field, "before": c.before, "after": c.after} for c in changes]
        for what, changes in (("recorded", news.recorded), ("proposed", news.proposed))
    }
