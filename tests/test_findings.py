"""Every kind of finding: its examples run through its rule, its code is its own, its page is current.

The examples of `onboard.intake` are whole cells and files: tests/intake/ runs them, and those of
`mail_domains`, which take a name server.
"""

from __future__ import annotations

import re
from collections import Counter
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import findings_page
import pytest

import onboard
from onboard import catalogue, handles
from onboard.clean import address, day, deceased, email, name, phone, place, row, sites
from onboard.model import Cleaned, Kind, Weight
from onboard.reports import kinds

PAGE = Path(__file__).parent.parent / "docs" / "findings.md"
RULES = (address, day, deceased, email, handles, name, phone, place, row, sites)
KINDS = [(module, kind) for module in RULES for kind in module.KINDS]


def cleaned(module: object, kind: Kind, said: str) -> Cleaned[object]:
    """What the rule makes of an example: `clean` with the kind's context, or the rule of that field."""
    if module is row:
        return getattr(row, kind.field)(said)  # type: ignore[no-any-return]
    if module is sites:
        where = place.find(kind.context["zip5"]) if kind.context else None
        return sites.clean(said, sites.EXAMPLES, where)
    return module.clean(said, **kind.context)  # type: ignore[attr-defined, no-any-return]


@pytest.mark.parametrize(("module", "kind"), KINDS, ids=[kind.code for _, kind in KINDS])
def test_a_finding_is_made_of_its_wrong_example_and_not_of_its_right_one(
    module: object, kind: Kind
) -> None:
    found = {f.code: f for f in cleaned(module, kind, kind.wrong).findings}
    assert kind.code in found
    assert found[kind.code].weight is kind.weight
    assert found[kind.code].field == kind.context.get("field", kind.field)
    assert kind.code not in {f.code for f in cleaned(module, kind, kind.right).findings}


@pytest.mark.parametrize(("module", "kind"), KINDS, ids=[kind.code for _, kind in KINDS])
def test_a_note_is_sentences_and_says_what_to_do_unless_it_is_done(
    module: object, kind: Kind
) -> None:
    (note,) = {f.note for f in cleaned(module, kind, kind.wrong).findings if f.code == kind.code}
    assert note.endswith((".", "?"))
    assert note.isprintable()
    # What is only said to have happened needs nothing; everything else asks for something.
    if kind.weight is not Weight.MENDED:
        assert re.search(r"\b(?:ask|check|read|see|look|make|write|drop|call|take|do not|change|"
                         r"have|correct|close|fill|no mail|use|nobody answers|nothing)\b", note, re.I)  # fmt: skip


def test_a_code_stands_for_one_kind_and_has_one_form() -> None:
    codes = Counter(kind.code for kind in catalogue.kinds())
    assert [code for code, count in codes.items() if count > 1] == []
    assert [code for code in codes if not re.fullmatch(r"[a-z]+\.[a-z]+(_[a-z]+)*", code)] == []


def test_what_a_kind_is_about_is_a_sentence() -> None:
    for kind in catalogue.kinds():
        assert kind.about.endswith("."), kind.code
        assert kind.about[0] in "“" or kind.about[0].isupper(), kind.code


def test_no_module_with_kinds_is_left_out_of_the_catalogue() -> None:
    found = set()
    for module in walk_packages(onboard.__path__, "onboard."):
        if re.search(r"\.(migrations|__main__)\b", module.name):
            continue  # scripts, run as they are loaded
        kinds = getattr(import_module(module.name), "KINDS", ())
        found |= {kind.code for kind in kinds if isinstance(kind, Kind)}
    assert found == {kind.code for kind in catalogue.kinds()}


def test_the_page_of_findings_is_current() -> None:
    assert PAGE.read_text("utf-8") == findings_page.page(catalogue.kinds()), (
        "make it again: python tests/findings_page.py > docs/findings.md"
    )


def test_every_kind_has_a_name_that_a_tab_can_bear() -> None:
    """onboard/tables/finding_names.tsv has them."""
    names = {kind.code: kinds.called(kind.code) for kind in catalogue.kinds()}
    assert not [code for code, name in names.items() if name == kinds._humanized(code)]
    assert len({name.casefold() for name in names.values()}) == len(names)
    assert not [
        name for name in names.values() if len(name) > 31 or re.search(r"[\[\]:*?/\\_.]", name)
    ]
