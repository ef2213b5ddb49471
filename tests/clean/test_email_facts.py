"""Emails against tables from outside: tests/facts/emails.csv names the source of every row.

In short: the is-email suite 3.05 (dominicsayers/isemail, BSD-3), examples of RFC 5321, 5322, 6531
and 3696, the cases of email-validator's own documentation, providers' help pages, RFC 2142, and
slips and ways of typing that are common practice.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from onboard.clean import email
from onboard.clean.email import Relation
from onboard.clean.email.slips import suggestion
from onboard.model import Cleaned, Email, Weight

FACTS = Path(__file__).parent.parent / "facts" / "emails.csv"

# Rows that we hold wrong, with the reason.
HELD_WRONG: dict[str, str] = {
    # RFC 5321, 2.3.5 allows it; on a join form it is the half of an address, and goes abroad.
    "em0005": "test@io, a mailbox directly under a country",
}

with FACTS.open(newline="", encoding="utf-8") as file:
    ROWS = [row for row in csv.DictReader(file) if row["id"] not in HELD_WRONG]


def rows(*sections: str, without: tuple[str, ...] = ()) -> list[object]:
    return [
        pytest.param(row, id=row["id"])
        for row in ROWS
        if row["section"] in sections and row["expect"] not in without
    ]


def said(row: dict[str, str]) -> str:
    """The text of a row; the table writes line ends as \\r and \\n."""
    return row["input"].replace("\\r", "\r").replace("\\n", "\n")


def codes(cleaned: Cleaned[Email]) -> set[str]:
    return {finding.code.removeprefix("email.") for finding in cleaned.findings}


def notes(cleaned: Cleaned[Email]) -> str:
    return " ".join(finding.note for finding in cleaned.findings)


MENDS = {"spaces", "characters", "wrapping", "words", "spelling"}


@pytest.mark.parametrize("row", rows("is_email", "validator_doc", "rfc"))
def test_the_form_is_judged_as_the_standards_judge_it(row: dict[str, str]) -> None:
    """Accepted means taken as it stands; refused means held, or mended and saying so."""
    text = said(row)
    cleaned = email.clean(text)
    if row["expect"] == "accept":
        assert cleaned.value is not None
        assert not cleaned.blocked
        assert not codes(cleaned) & MENDS
        local, _, domain = text.rpartition("@")
        address = cleaned.value.address
        assert address == row["ev_normalized"] or address == f"{local}@{domain.lower()}"
    elif row["expect"] == "strip_display_name":
        assert cleaned.value is not None
        assert cleaned.value.address == row["expect_detail"]
    elif row["expect"] == "refuse_several":
        assert "several" in codes(cleaned)
    elif row["expect"] == "refuse_special_use":
        assert cleaned.value is None or "special_use" in codes(cleaned)
    else:
        assert row["expect"].startswith("refuse")
        assert cleaned.blocked or codes(cleaned) & {*MENDS, "special_use"}
        if cleaned.value is not None and not cleaned.blocked:
            assert cleaned.value.address != text or "special_use" in codes(cleaned)


UNUSUAL = [row for row in ROWS if row["expect"] == "refuse_unusual"]


@pytest.mark.parametrize("row", [pytest.param(row, id=row["id"]) for row in UNUSUAL])
def test_what_is_legal_and_never_used_is_never_taken_silently(row: dict[str, str]) -> None:
    text = said(row)
    cleaned = email.clean(text)
    # white space around an address is the one such form that people do type
    assert cleaned.blocked or (text.strip() != text and codes(cleaned) == {"spaces"})


@pytest.mark.parametrize("row", rows("international"))
def test_letters_beyond_ascii_are_taken_or_flagged(row: dict[str, str]) -> None:
    cleaned = email.clean(said(row))
    expect, detail = row["expect"], row["expect_detail"]
    found = codes(cleaned)
    if expect == "accept_idn":
        assert cleaned.value is not None
        assert found <= {"role"}
        if detail.startswith("xn--") or "@xn--" in detail:
            assert cleaned.value.address.rpartition("@")[2] == detail.rpartition("@")[2]
    elif expect.startswith("accept_smtputf8"):
        assert cleaned.value is not None
        assert not cleaned.blocked
        assert "international" in found
    elif expect in ("accept_folded", "fix_at_sign"):
        assert cleaned.value is not None
        assert cleaned.value.address == detail.partition(" ")[0]
        assert found == {"characters"}
    elif expect == "refuse_or_strip":
        assert cleaned.value is None or found == {"characters"}
    elif expect == "refuse_confusable":
        assert "confusable" in found
    else:
        assert expect == "refuse_invalid"
        assert cleaned.value is None
        assert cleaned.blocked


@pytest.mark.parametrize("row", rows("as_typed"))
def test_what_people_type_is_understood_or_asked_about(row: dict[str, str]) -> None:
    cleaned = email.clean(said(row))
    expect, detail = row["expect"], row["expect_detail"]
    found = codes(cleaned)
    if expect == "strip":
        assert cleaned.value is not None
        assert cleaned.value.address == detail
        assert {f.weight for f in cleaned.findings} == {Weight.MENDED}
    elif expect == "two_addresses":
        assert cleaned.value is not None
        assert [cleaned.value.address, *cleaned.value.others] == detail.split("|")
        assert found == {"several"}
    elif expect in ("suggest", "accept_or_suggest"):
        meant = [part.strip().partition(" (")[0] for part in detail.split(" | ")]
        assert all(address in notes(cleaned) for address in meant)
        assert {f.weight for f in cleaned.findings} <= {Weight.DOUBTFUL, Weight.BLOCKING}
    elif expect == "accept":
        assert cleaned.value is not None
        assert not cleaned.findings
        assert cleaned.value.address in detail
    else:
        code = {"no_email": "missing"}.get(expect, expect)
        assert code in found
        assert cleaned.value is None
        assert cleaned.blocked


def test_slips_in_the_domain_are_suggested_and_never_rewritten() -> None:
    typos = [row for row in ROWS if row["section"] == "domain_typo"]
    missed = []
    for row in typos:
        cleaned = email.clean(row["input"])
        suggested = row["expect_detail"] in notes(cleaned)
        # as it cannot be an address without a dot, that one is read, with a question
        as_typed = cleaned.value is not None and (
            cleaned.value.address == row["input"] or "spelling" in codes(cleaned)
        )
        if not (suggested and as_typed):
            missed.append((row["id"], row["input"], notes(cleaned)))
    assert len(missed) <= 0.02 * len(typos), missed


@pytest.mark.parametrize("row", rows("domain_no_suggestion"))
def test_honest_domains_are_not_suspected(row: dict[str, str]) -> None:
    assert not email.clean(row["input"]).findings


def test_no_common_provider_is_taken_for_a_slip_of_another() -> None:
    """The common mail domains that email-providers (ISC) lists."""
    with (FACTS.parent / "mail_domains.csv").open(newline="", encoding="utf-8") as file:
        domains = [row["domain"] for row in csv.DictReader(file)]
    assert len(domains) > 300
    assert {domain: meant for domain in domains if (meant := suggestion(domain))} == {}


@pytest.mark.parametrize("row", rows("throwaway", "role"))
def test_roles_and_throwaway_mailboxes_are_told(row: dict[str, str]) -> None:
    cleaned = email.clean(row["input"])
    assert cleaned.value is not None
    expected = {row["expect"].removeprefix("warn_")} - {"accept"}
    assert codes(cleaned) == expected


RELATIONS = {
    "same_mailbox": {Relation.SAME},
    "likely_same": {Relation.LIKELY},
    "typo_pair": {Relation.SLIP},
    "different_near": {Relation.NEAR},
    "different": {Relation.NEAR, Relation.DIFFERENT},
    "different_or_unknown": {Relation.NEAR, Relation.DIFFERENT},
}


@pytest.mark.parametrize("row", rows("equivalence"))
def test_two_spellings_of_one_mailbox_have_one_identity(row: dict[str, str]) -> None:
    here, there = (email.clean(text).value for text in row["input"].split(" | "))
    assert here is not None
    assert there is not None
    assert (here.identity == there.identity) == (row["expect"] == "same_mailbox")
    assert email.relation(here.identity, there.identity) in RELATIONS[row["expect"]]
    assert email.slip(here.identity, there.identity) == (row["expect"] == "typo_pair")
