"""Every kind of finding of an audit: found in its wrong example, not in its right one."""

from __future__ import annotations

import re
from itertools import product

import examples
import numpy as np
import pytest

from onboard import audit, catalogue, handles
from onboard.audit import access, sound, twice
from onboard.audit.briefs import Briefs
from onboard.audit.record import Brief
from onboard.match import many
from onboard.model import Kind, Person, PersonName, Weight
from onboard.settings import Settings

KINDS = [kind for kind in audit.KINDS if kind not in sound.KINDS]  # tests of the store have those


@pytest.fixture(scope="module")
def coop(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    return examples.coop(tmp_path_factory.mktemp("coop") / "onboard.toml")


@pytest.mark.parametrize("kind", KINDS, ids=[kind.code for kind in KINDS])
def test_a_kind_is_found_in_its_wrong_example_and_not_in_its_right_one(
    kind: Kind, coop: Settings
) -> None:
    wrong = {one.code: one for one in examples.found(examples.accounts(kind.wrong, coop), coop)}
    right = {one.code for one in examples.found(examples.accounts(kind.right, coop), coop)}
    assert kind.code in wrong
    assert kind.code not in right
    found = wrong[kind.code].finding
    assert found.weight is kind.weight
    assert found.note.isprintable()
    assert found.note.endswith((".", "?"))
    if kind.weight is not Weight.MENDED:
        assert re.search(
            r"\b(?:ask|call|look|change|write|make|give|merge|see|say|find|have)\b",
            found.note,
            re.I,
        )


def test_nothing_is_said_of_members_of_whom_nothing_is_amiss(coop: Settings) -> None:
    assert examples.found(examples.accounts("given: Pat| given: Kim", coop), coop) == []


def test_nothing_but_its_age_is_said_of_a_closed_account(coop: Settings) -> None:
    everything = (
        "standing: closed; closed: 2020-01-01; handle: Pat Lee; email: ; phone: 12; site: Nowhere"
    )
    found = examples.found(examples.accounts(f"given: Kim| given: Sam| {everything}", coop), coop)
    assert {one.code for one in found} == {"upkeep.closed_long"}


def test_what_is_not_known_is_not_guessed(coop: Settings) -> None:
    never = "joined: 2023-01-01; page_seen: "
    codes = {one.code for one in examples.found(examples.accounts(never, coop), coop)}
    assert not codes & {"access.never_signed_in", "upkeep.idle"}


def test_each_code_has_one_group_and_all_groups_have_codes() -> None:
    groups = {kind.code: audit.group_of(kind.code) for kind in catalogue.kinds()}
    assert set(groups.values()) == set(audit.GROUPS)
    assert groups["email.slip"] == groups["phone.fictional"] == "reach"
    assert groups["site.far"] == groups["address.no_number"] == groups["place.at_odds"] == "place"
    assert groups["name.test"] == groups["phone.prefix"] == "fields"


def test_changes_are_proposed_only_where_nothing_is_in_doubt(coop: Settings) -> None:
    def proposed(text: str) -> list[tuple[str, object]]:
        told = examples.found(examples.accounts(f"given: Kim| {text}", coop), coop)
        return [(one.change.field, one.change.after) for one in told if one.change]

    assert proposed("phone: (419) 234-5678") == [("phone", "tel:+14192345678")]
    assert proposed("street: 12 north main street") == [
        ("address", ["12 N MAIN ST", "LIMA OH 45801"])
    ]
    ((field, name),) = proposed("given: PAT; family: LEE; handle: patlee")
    assert (field, name["given"], name["family"]) == ("name", "Pat", "Lee")  # type: ignore[index]
    assert proposed("site: lima grange hal") == [("site", "Lima Grange Hall")]
    assert proposed("email: pat.lee@gmial.com") == []  # whose mailbox it is, only a person can say
    assert proposed("phone: 419") == []


@pytest.mark.parametrize("account", ["email: ", "given: Test; family: Test"])
def test_nobody_is_told_to_answer_the_join_form_of_a_member(account: str, coop: Settings) -> None:
    told = examples.found(examples.accounts(account, coop), coop)
    notes = [one.finding.note for one in told if one.code in ("email.missing", "name.test")]
    assert notes
    assert not [note for note in notes if "nswer" in note]


def test_of_accounts_that_are_one_persons_the_one_used_last_stays(coop: Settings) -> None:
    pat = "given: Patricia; family: Quillfeather; phone: (419) 234-5678"
    both = f"{pat}; last_sign_in: 2026-02-01| {pat}; street: 9 ASH ST; last_sign_in: 2026-11-02"
    told = examples.found(examples.accounts(both, coop), coop)
    (change,) = [one.change for one in told if one.code == "twice.certain"]
    assert change is not None
    assert (change.member_id, change.field, change.before, change.after) == (
        1,
        "merged_into",
        None,
        2,
    )


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("born: 1947-03-02; last_sign_in: 2026-02-01", "born: 1991-08-14"),
        ("suffix: Sr; last_sign_in: 2026-02-01", "suffix: Jr"),
        ("last_sign_in: 2026-11-03", "last_sign_in: 2026-11-07"),
    ],
    ids=["birth dates", "generations", "used at once"],
)
def test_no_merge_is_proposed_where_something_speaks_hard_against_it(
    one: str, other: str, coop: Settings
) -> None:
    def told(one: str, other: str) -> list[audit.Observation]:
        john = "given: John; family: Quillfeather; phone: (419) 234-5678; email: jq@example.org; handle: "
        return examples.found(
            examples.accounts(f"{john}jq1; {one}| {john}jq2; {other}", coop), coop
        )

    plain = told("last_sign_in: 2026-02-01", "last_sign_in: 2026-11-07")
    assert [
        found.change.field for found in plain if found.code == "twice.certain" and found.change
    ] == ["merged_into"]
    found = [found for found in told(one, other) if found.code.startswith("twice.")]
    assert {one.code for one in found} <= {"twice.possible"}
    assert [one.change for one in found if one.change] == []


def test_a_helpers_phone_says_nothing_of_whether_two_are_one(coop: Settings) -> None:
    phone = "phone: (419) 234-5678; email: "
    two = (
        f"given: Levi; family: Stoltz; street: 1840 OLD RD; {phone}"
        f"| given: Levi; family: Stoltz; handle: levi2; street: 212 PEACH LN; {phone}"
    )
    helped = "".join(
        f"| given: {given}; family: {family}; street: {n} ELM ST; {phone}"
        for n, (given, family) in enumerate((("Ann", "Voss"), ("Kim", "Darby"), ("Lou", "Rivers")))
    )
    for others, says in (("", True), (helped, False)):
        found = examples.found(examples.accounts(two + others, coop), coop)
        (note,) = [one.finding.note for one in found if one.code.startswith("twice.")]
        assert ("same phone" in note) == says


def test_sisters_next_door_with_phones_bought_together_are_two(coop: Settings) -> None:
    """Their mailboxes, phones and house numbers are a typo or two apart each: no one person's slips."""
    one = "family: Bosquet; street: 2200 VERMILION RD; phone: (218) 234-0121; email: ellenb@example.com"
    two = "family: Bosquet; street: 2202 VERMILION RD; phone: (218) 234-0122; email: elaineb@example.com"
    found = examples.found(
        examples.accounts(f"given: Ellen; {one}| given: Elaine; {two}", coop), coop
    )
    assert {one.code for one in found}.isdisjoint({"twice.certain", "twice.likely"})


def test_a_form_that_is_like_a_father_and_a_son_merges_neither() -> None:
    def brief(place: int) -> Brief:
        return Brief(
            f"member:{place + 1}",
            place + 1,
            "John Lee",
            f"johnlee{place}",
            True,
            "",
            "",
            "",
            "",
            "",
            "",
        )

    john = Person("", given="John", family="Quillfeather", phone="+14192345678", email="jq@example.org",
                  street="12 N MAIN ST", zip5="45801")  # fmt: skip
    people = [john._replace(suffix=suffix) for suffix in ("Sr", "Jr", "")]
    everybody = many.together([many.folded(people)])
    found = twice.pairs(everybody, np.arange(3, dtype=np.int32)).pairs
    told = list(twice.among(found, [brief(place) for place in range(3)]))
    assert "twice.certain" not in {one.code for one in told}
    two = many.together([many.folded([people[0], people[0]])])
    (pair,) = twice.pairs(two, np.arange(2, dtype=np.int32)).pairs
    assert pair.same


def test_a_site_on_file_is_not_read_as_another_one(coop: Settings) -> None:
    codes = {
        one.code
        for one in examples.found(examples.accounts("site: The Old Zeppelin Yard", coop), coop)
    }
    assert "site.unknown" in codes


def test_near_handles_of_ordinary_names_are_counted_where_there_are_very_many() -> None:
    def brief(number: int, given: str, family: str, site: str) -> Brief:
        name, handle = f"{given} {family}", f"{given}{family}".lower()
        return Brief(f"member:{number}", number, name, handle, True, "", "", "", "", site, "")

    # Every given name with four family names, as chance has it among a million; each at its own site.
    given = [
        "".join(letters).capitalize() for letters in product("bdfgkl", "aeiou", "mnprst", "aeo")
    ]
    many = [brief(4 * n + k, one, f, f"Site {n} {k}") for n, one in enumerate(given)
            for k, f in enumerate(("Hill", "Hall", "Hull", "Holl"))]  # fmt: skip
    pairs = [one for one in access.among(Briefs.of(many)) if one.code == "access.near"]
    assert [one.owner for one in pairs] == ["roster"]
    assert pairs[0].finding.note.endswith("have them spell it.")

    slip = brief(9001, given[0], "Hjll", "Site 0 0")
    desk = [brief(9002, "Quenby", "Hill", "Barn"), brief(9003, "Quenbe", "Hill", "Barn")]
    told = {(one.owner, *one.others) for one in access.among(Briefs.of([*many, slip, *desk]))}
    assert ("member:0", "member:9001") in told  # nobody else is called so
    assert ("member:9002", "member:9003") in told
    assert ("member:0", "member:1") not in told


def test_near_handles_are_told_one_by_one_while_they_are_few(coop: Settings) -> None:
    both = "handle: patlee| handle: patley; family: Ley"
    found = examples.found(examples.accounts(both, coop), coop)
    assert [one.owner for one in found if one.code == "access.near"] == ["member:1"]


def test_accounts_that_share_a_name_alone_are_counted_where_there_are_very_many() -> None:
    def told(count: int, accounts: int, names_only: bool) -> list[audit.Found]:
        briefs = [
            Brief(f"member:{n}", n, "Robin Voss", f"robinvoss{n}", True, "", "", "", "", "", "")
            for n in range(accounts)
        ]
        pairs = [twice.Pair(2 * n, 2 * n + 1, 0.3, False, "", names_only) for n in range(count)]
        return list(twice.among(pairs, briefs))

    assert len(told(20, 1_000, names_only=True)) == 20
    (counted,) = told(21, 1_000, names_only=True)
    assert (counted.owner, counted.finding.said) == ("roster", "21 pairs")
    assert len(told(21, 21_000, names_only=True)) == 21
    assert len(told(500, 1_000, names_only=False)) == 500


def test_it_is_known_whether_two_accounts_share_more_than_their_names() -> None:
    robin = Person("", given="Quenby", family="Zastrowe", street="9 ASH ST", zip5="45801",
                   phone="+14192345678", email="qz@example.org")  # fmt: skip
    far = robin._replace(street="77 ELM ST", zip5="54601", phone="", email="")
    near = far._replace(phone="+14192345679")
    for other, names_only in ((far, True), (near, False), (robin, False)):
        everybody = many.together([many.folded([robin, other])])
        (pair,) = twice.pairs(everybody, np.array([0, 1], np.int32), least=0.0).pairs
        assert pair.names_only is names_only


def test_who_ordered_has_signed_in(coop: Settings) -> None:
    def codes(text: str) -> set[str]:
        return {one.code for one in examples.found(examples.accounts(text, coop), coop)}

    never = "joined: 2026-01-15; page_seen: 2026-11-20"
    assert "access.never_signed_in" in codes(never)
    assert "access.never_signed_in" not in codes(f"{never}; last_order: 2026-10-02")
    expired = "hash: good; must_change: yes; expires: 2026-10-01"
    assert "access.first_expired" in codes(expired)
    assert "access.first_expired" not in codes(f"{expired}; last_order: 2026-10-02")


# First and last name as they are, of names that are one or the other, and who bears them.
NAMES = (
    ("Agnieszka", "Kaczmarek"), ("Zbigniew", "Nowicki"), ("Wieslaw", "Gorski"), ("Oksana", "Kovalenko"),
    ("Ximena", "Palomares"), ("Rigoberto", "Zamudio"), ("José Luis", "Ruiz"), ("María Elena", "Quintanilla"),
    ("Nhung", "Le"), ("Quang", "Huynh"), ("Thi Lan", "Pham"), ("Kayla", "Brubaker"), ("Harold", "Van Dyke"),
)  # fmt: skip


@pytest.mark.parametrize(("given", "family"), NAMES)
@pytest.mark.parametrize("witness", ["mailbox", "sign-in name", "both"])
def test_names_that_changed_places_are_found_and_those_in_place_are_not(
    coop: Settings, given: str, family: str, witness: str
) -> None:
    letters = handles.clean(PersonName(given, family=family)).value
    assert letters
    email = "pq7x" if witness == "sign-in name" else letters.text
    handle = "garlic7" if witness == "mailbox" else letters.text
    rest = f"email: {email}@example.org; handle: {handle}"

    def codes(first: str, last: str) -> set[str]:
        (account,) = examples.accounts(f"given: {first}; family: {last}; {rest}", coop)
        return {one.code for one in examples.found([account], coop)}

    assert not codes(family, given).isdisjoint(("fields.swapped", "name.order_unsure"))
    assert codes(given, family).isdisjoint(("fields.swapped", "name.order_unsure"))


@pytest.mark.parametrize(
    ("given", "family"), [("Ferris", "Isackson"), ("Dunn", "Harris"), ("Grant", "Thomas")]
)
def test_a_mailbox_with_the_last_name_first_does_not_outweigh_the_sign_in_name(
    coop: Settings, given: str, family: str
) -> None:
    def codes(first: str, last: str) -> set[str]:
        rest = f"email: {last}.{first}@example.org; handle: {first}{last}".lower()
        (account,) = examples.accounts(f"given: {first}; family: {last}; {rest}", coop)
        return {one.code for one in examples.found([account], coop)}

    assert "fields.swapped" not in codes(given, family)
    assert codes("Lovato", "Prudencio") & {"fields.swapped", "name.order_unsure"}


@pytest.mark.parametrize(
    ("given", "family"),
    [("Dawson", "Girma"), ("Holden", "Dance"), ("Braxton", "Stanley"), ("Mary Jo", "James"), ("Robert Palmer", "Thomas"),
     ("Logan", "Alexander"), ("Rosa", "Santos Angel")],
)  # fmt: skip
def test_last_names_that_many_children_are_called_are_in_their_place(
    coop: Settings, given: str, family: str
) -> None:
    (account,) = examples.accounts(f"given: {given}; family: {family}; email: ; handle: ", coop)
    assert "fields.swapped" not in {one.code for one in examples.found([account], coop)}
