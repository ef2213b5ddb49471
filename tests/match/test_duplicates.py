"""Who is in a file twice: on open data with truth, and on whatever spreadsheet there is."""

from __future__ import annotations

import csv
import pickle
import re
from collections.abc import Sequence
from itertools import combinations
from multiprocessing.reduction import ForkingPickler
from pathlib import Path
from threading import Thread

import numpy as np
import people_with_truth as facts
import pytest
from cli.office import onboard
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_people import PEOPLE

from onboard import intake
from onboard.engines.processes import Processes
from onboard.errors import FileTrouble
from onboard.intake.lists import read_groups, read_names, read_rulings, read_short_forms
from onboard.match import Known, blocks, compare, frequencies, given_names, many, match
from onboard.match.evidence import SURE, judge
from onboard.match.groups import Group, Rulings
from onboard.match.keys import of
from onboard.match.levels import FIELDS
from onboard.model import Person, Verdict
from onboard.tasks.course import Course
from onboard.tasks.find_duplicates import (
    Duplicates,
    find_duplicates,
)
from onboard.tasks.rows_in_parts import Limits

FACTS = Path(__file__).parents[1] / "facts" / "duplicates"


@pytest.fixture(scope="module")
def signups() -> Duplicates:
    return facts.find(FACTS / "signups_open_5k.csv")


def test_sign_ups_are_put_together_as_they_should_be(signups: Duplicates) -> None:
    """Bars of the project: F1 0.92 and at most 1.2 % of housemates merged; with room for chance."""
    truth = facts.Truth.of(FACTS / "signups_open_5k.csv")
    found = facts.score(facts.grouped(signups.groups), truth)
    assert found.f1 >= 0.95, found
    assert found.homes_merged <= 0.012
    alone = facts.score(facts.decided_alone(signups.pairs), truth)
    assert alone.precision >= 0.98
    assert alone.recall >= 0.70
    asked = facts.score(((p.one, p.other) for p in signups.pairs), truth)
    assert asked.recall >= 0.96
    questions = sum(pair.verdict is Verdict.UNCLEAR for pair in signups.pairs)
    assert questions <= 0.04 * len(signups.ids)
    assert facts.calibration_error(signups.pairs, truth) <= 0.05  # 0.03 on ten times the rows


@pytest.mark.parametrize(("file", "least"), [("febrl1.csv", 0.98), ("rldata500.csv", 0.93)])
def test_people_without_phone_or_email_are_found_too(file: str, least: float) -> None:
    found = facts.find(FACTS / file)
    truth = facts.Truth.of(FACTS / file)
    assert facts.score(facts.grouped(found.groups), truth).f1 >= least


def test_one_process_or_two_find_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("onboard.tasks.find_duplicates.PART", Limits(1 << 18, 4000))
    rows = (FACTS / "signups_open_5k.csv").read_text("utf-8").splitlines()
    many_rows = tmp_path / "many.csv"
    again = [line.replace("S0", "T0", 1) for line in rows[1:]]
    third = [line.replace("S0", "U0", 1) for line in rows[1:400]]
    many_rows.write_text("\n".join([*rows, *again, *third]), "utf-8")
    sheet = intake.open_rows(many_rows, needed=())
    one = find_duplicates(sheet, processes=1)
    assert find_duplicates(sheet, processes=2) == one
    assert len(one.pairs) > 5000


def test_two_files_at_once_do_not_mix(
    signups: Duplicates, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another file is searched from beginning to end while this one is read."""
    monkeypatch.setattr("onboard.tasks.find_duplicates.PART", Limits(rows=1000))
    rows = (FACTS / "signups_open_5k.csv").read_text("utf-8").splitlines()
    other = tmp_path / "other.csv"
    other.write_text("\n".join(rows[:1500]), "utf-8")
    alone = facts.find(other)
    beside: list[Duplicates] = []

    def meanwhile(count: int) -> None:
        if not beside:
            search = Thread(target=lambda: beside.append(facts.find(other)))
            search.start()
            search.join()

    assert facts.find(FACTS / "signups_open_5k.csv", progress=meanwhile) == signups
    assert beside == [alone]


def test_a_column_of_pairs_says_what_each_pair_says_alone() -> None:
    with (FACTS / "signups_open_5k.csv").open(encoding="utf-8") as stream:
        people = [
            Person(
                row["id"], given=row["first"], middle=row["middle"], family=row["last"],
                suffix=row["suffix"], email=row["email"], phone=row["phone"],
                street=row["street"], unit=row["unit"], city=row["city"], zip5=row["zip"],
            )
            for row in csv.DictReader(stream)
        ]  # fmt: skip
    everybody = many.together([many.folded(people[:2000]), many.folded(people[2000:])])
    here, there = everybody.alike()
    some = slice(0, len(here), 11)
    everyone = everybody.columns(np.arange(everybody.size))
    judged = judge(everyone, here[some], there[some], frequencies.shipped())
    for at, (one, other) in enumerate(zip(here[some].tolist(), there[some].tolist(), strict=True)):
        found = compare(people[one], people[other])
        assert found.weight == pytest.approx(judged.weight[at], abs=1e-9)
        assert (found.verdict is Verdict.SAME) == judged.same[at]
        told = {part.field: part.weight for part in found.parts if part.field != "chance"}
        for column, (field, levels) in enumerate(FIELDS.items()):
            assert told.get(field, 0.0) == pytest.approx(judged.parts[at, column], abs=1e-9)
            assert (field in told) == bool(judged.levels[field][at]), levels


def test_parts_of_a_file_may_be_folded_anywhere() -> None:
    people = [Person(str(n), given="Ana", family=f"Quill{n % 7}", zip5="45801") for n in range(50)]
    here = many.together([many.folded(people)])
    part = pickle.loads(pickle.dumps(many.folded(people[20:])))
    there = many.together([many.folded(people[:20]), part])
    for one, other in zip(here.alike(), there.alike(), strict=True):
        assert np.array_equal(one, other)
    for one, other in zip(here.judge(*here.alike()), there.judge(*there.alike()), strict=True):
        assert np.array_equal(one.weight, other.weight)


def test_a_whole_file_and_one_at_a_time_compare_the_same_people() -> None:
    crowd = [
        Person(f"c{n}", given=f"{chr(97 + n % 26)}x{n}", family=f"f{n}", phone="+12025550100")
        for n in range(200)
    ]
    some = [
        Person(f"s{n}", given=("Ana", "Bo", "")[n % 3], family=f"Quill{n % 5}", zip5="45801",
               phone=f"+1202555010{n % 10}", street=f"{n % 7} Elm St", born=f"19{n % 9}1-02-03")
        for n in range(59)
    ]  # fmt: skip
    people = crowd + some
    everybody = many.together([many.folded(people)])
    whole = {
        (people[one].owner, people[other].owner)
        for one, other in zip(*everybody.alike(), strict=True)
    }
    known = Known()
    for person in people:
        known.add(person)
    single = {
        tuple(sorted((person.owner, other.owner)))
        for person in people
        for other in known.alike(person)
    }
    assert {tuple(sorted(pair)) for pair in whole} == single
    assert not any(one[0] == other[0] == "c" for one, other in whole)


@given(st.lists(PEOPLE, max_size=12))
@settings(max_examples=100, deadline=None)
def test_keys_as_numbers_are_shared_by_those_who_share_a_key(people: list[Person]) -> None:
    everybody = many.together([many.folded(people[:5]), many.folded(people[5:])])
    found = set(zip(*(side.tolist() for side in everybody.alike()), strict=True))
    keys = [of(person) for person in people]
    assert found == {
        (one, other)
        for one, other in combinations(range(len(people)), 2)
        if keys[one] & keys[other]
    }


@given(st.lists(PEOPLE, max_size=12), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_pairs_are_the_same_in_whatever_order_people_are_counted(people, chance) -> None:
    everybody = many.together([many.folded(people)])
    whole = blocks.pairs(everybody.keys, everybody.size)
    places = np.array(chance.sample(range(len(people)), len(people)), np.int64)
    turned = blocks.pairs(everybody.keys, everybody.size, places)
    assert np.array_equal(turned, np.unique(turned))
    person = np.argsort(places)
    back = {tuple(sorted(person[place] for place in divmod(pair, len(people)))) for pair in turned}
    assert back == {divmod(pair, len(people)) for pair in whole.tolist()}


def write(file: Path, *rows: Sequence[str]) -> Path:
    with file.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows(rows)
    return file


ODD = (
    ("Ref", "Clan", "Called by", "Came into the world", "Abode"),
    ("7", "Quillfeather", "Ana", "1971-02-03", "12 North Main Street\nLima OH 45801"),
    ("8", "Okonjo-Reyes", "Bert", "1950-12-24", "9 Elm Court\nLima OH 45801"),
    ("9", "QUILLFETHER", "ana", "3/2/1971", "12 N. Main St., Lima, Ohio 45801"),
    ("=1+1", "Okonjo", "Bert", "12/24/1950", "9 Elm Ct, Lima OH"),
)
ODD_COLUMNS = [
    "Ref=id", "Clan=family", "Called by=given", "Came into the world=born", "Abode=address",
]  # fmt: skip


def run(*arguments: str | Path) -> tuple[int, str]:
    said = onboard("duplicates", *map(str, arguments))
    return said.code, said.out + said.err


def told(columns: Sequence[str]) -> list[str]:
    return [text for column in columns for text in ("--column", column)]


def test_any_spreadsheet_of_people_will_do(tmp_path: Path) -> None:
    file, to, grouped = write(tmp_path / "parish.csv", *ODD), tmp_path / "p.csv", tmp_path / "g.csv"
    code, output = run(file, "--to", to, "--groups", grouped, *told(ODD_COLUMNS))
    assert code in (0, 1)
    assert "4 rows" in output
    with to.open(encoding="utf-8-sig") as stream:
        pairs = list(csv.DictReader(stream))
    assert {(p["id_a"], p["id_b"]) for p in pairs} == {("7", "9"), ("8", "'=1+1")}
    assert all(float(p["confidence"]) > 0.5 for p in pairs)
    assert all("address" in p["evidence"] for p in pairs)
    with grouped.open(encoding="utf-8-sig") as stream:
        rows = list(csv.DictReader(stream))
    assert [(row["id"], row["group"]) for row in rows] == [
        ("7", "7"), ("9", "7"), ("8", "8"), ("'=1+1", "8"),
    ]  # fmt: skip


def test_rulings_given_back_always_win(tmp_path: Path) -> None:
    file, to = write(tmp_path / "parish.csv", *ODD), tmp_path / "p.csv"
    ruled = write(
        tmp_path / "ruled.csv",
        ("id_a", "id_b", "ruling"), ("7", "9", "different"), ("7", "8", "Same"), ("8", "'=1+1", ""),
    )  # fmt: skip
    assert read_rulings(ruled) == Rulings([("7", "8")], [("7", "9")])
    run(file, "--to", to, "--ruled", ruled, *told(ODD_COLUMNS))
    with to.open(encoding="utf-8-sig") as stream:
        pairs = {(p["id_a"], p["id_b"]): p for p in csv.DictReader(stream)}
    assert pairs["7", "9"]["verdict"] == pairs["7", "9"]["ruling"] == "different"
    assert pairs["7", "9"]["group"] == ""
    assert pairs["8", "'=1+1"]["group"] == "7"


def test_a_ruling_that_is_neither_is_asked_about(tmp_path: Path) -> None:
    ruled = write(tmp_path / "ruled.csv", ("id_a", "id_b", "ruling"), ("7", "9", "perhaps"))
    with pytest.raises(FileTrouble, match='row 2: the ruling "perhaps" is neither same nor'):
        read_rulings(ruled)
    with pytest.raises(FileTrouble, match="no columns id_a, id_b and ruling"):
        read_rulings(write(tmp_path / "other.csv", ("a", "b"), ("1", "2")))


def test_only_the_sure_pairs_when_told(tmp_path: Path) -> None:
    file, to = FACTS / "rldata500.csv", tmp_path / "p.xlsx"
    columns = [f"{head}={field}" for head, field in facts.TOLD["rldata"].items()]
    code, _ = run(file, "--to", to, "--from", "sure", *told(columns))
    assert code in (0, 1)
    sheet = intake.open_rows(file, told=facts.TOLD["rldata"], needed=())
    found = find_duplicates(sheet, least=SURE)
    assert all(pair.confidence >= SURE for pair in found.pairs)
    assert to.stat().st_size > 0


def test_ids_that_come_again_are_told_apart_by_a_number(tmp_path: Path) -> None:
    rows = [("id", "first name", "last name"), *[("5", "Ana", "Quill")] * 3, ("5 (2)", "Bo", "Lee")]
    found = find_duplicates(intake.open_rows(write(tmp_path / "a.csv", *rows), needed=()))
    assert found.ids == ["5", "5 (3)", "5 (4)", "5 (2)"]
    assert "2 ids in the file had come before." in found.notes[0]


def test_rows_behind_a_quotation_mark_that_is_not_closed_are_told(tmp_path: Path) -> None:
    head, row = "first name,last name,email,city,zip\n", "Ana,Quill,ana@example.org,Lima,45801\n"
    file, whole = tmp_path / "a.csv", tmp_path / "b.csv"
    file.write_text(f'{head}{row}"Bo,Lee,bo@example.org,Lima,45801\n{row * 3}', "utf-8")
    whole.write_text(f'{head}{row}"Bo",Lee,bo@example.org,"2 Elm St,\nLima",45801\n', "utf-8")
    sheets = [intake.open_rows(one, needed=()) for one in (whole, file)]
    found = find_duplicates(sheets)
    assert found.lost == 3
    (note,) = found.notes
    assert note.startswith("a.csv: a quotation mark at line 3 was not closed.")
    assert "3 more lines that look like rows, and nobody in them was compared" in note
    assert find_duplicates(sheets[0]).notes == ()
    done = onboard("duplicates", file, "--to", tmp_path / "pairs.csv")
    assert done.code == 1
    assert note in done.out


def test_only_the_first_rows_with_an_open_quotation_mark_are_told_one_by_one(
    tmp_path: Path,
) -> None:
    head, row = "first name,last name,email,city,zip\n", "Ana,Quill,ana@example.org,Lima,45801\n"
    lost = f'"Bo,Lee,bo@example.org,Lima,45801\n{row}Cy,Poe,cy@example.org,Lima,45801"\n'
    file = tmp_path / "a.csv"
    file.write_text(head + lost * 7, "utf-8")
    found = find_duplicates(intake.open_rows(file, needed=()))
    assert found.lost == 14
    assert found.notes[4].startswith("a.csv: a quotation mark at line 6 was")
    assert found.notes[5:] == ("A quotation mark was not closed in 2 more rows.",)


def test_an_empty_file_of_people_has_no_duplicates(tmp_path: Path) -> None:
    file = write(tmp_path / "a.csv", ("id", "first name", "last name"), ("1", "Ana", "Quill"))
    found = find_duplicates(intake.open_rows(file, needed=()))
    assert (found.pairs, found.groups, found.compared) == ([], [], 0)


def test_what_the_parts_of_a_pair_say_adds_up_to_its_confidence(signups: Duplicates) -> None:
    for pair in signups.pairs:
        bits = sum(map(float, re.findall(r"\(([+-][0-9.]+)\)", pair.evidence)))
        assert bits == pytest.approx(pair.weight, abs=0.6)  # each is rounded to a tenth
        assert pair.confidence == pytest.approx(1 / (1 + 2**-pair.weight), abs=1e-5)


HEADS = ("id", "first name", "last name", "street", "zip", "phone", "email", "SSN")
ANA = ("1", "Ana", "Quillfeather", "12 N Main St", "45801", "202 555 0143", "ana@example.org", "")
BERT = ("2", "Bert", "Okonjo", "9 Elm Ct", "45801", "", "bert@example.org", "")


def test_one_mailbox_under_two_names_of_its_provider_is_one(tmp_path: Path) -> None:
    ana = changed(ANA, email="Ana.Quill-Feather@protonmail.com", phone="", street="", zip="")
    again = changed(ana, id="2", email="anaquillfeather+coop@proton.me")
    found = find_duplicates(
        intake.open_rows(write(tmp_path / "a.csv", HEADS, ana, again), needed=())
    )
    assert [(p.one, p.other, p.verdict) for p in found.pairs] == [("1", "2", Verdict.SAME)]
    assert "same email" in found.pairs[0].evidence


def changed(row: Sequence[str], **fields: str) -> tuple[str, ...]:
    known = dict(zip(HEADS, row, strict=True))
    return tuple((known | {name.replace("_", " "): text for name, text in fields.items()}).values())


def test_what_surer_pairs_settle_is_not_asked(tmp_path: Path) -> None:
    """A new phone, then a new home and mailbox: the first form and the last have but the name in common."""
    before = changed(ANA, last_name="Smith", phone="202 555 0101", email="sunny@example.org")
    between = changed(before, id="3", phone="202 555 0144")
    after = changed(between, id="4", street="7 Oak Ave", email="hiker@example.net")
    rows = [HEADS, before, BERT, between, after]
    file = write(tmp_path / "a.csv", *rows)

    def verdicts(**options: Rulings) -> dict[tuple[str, str], str]:
        found = find_duplicates(intake.open_rows(file, needed=()), **options)
        assert all("settle" in p.evidence for p in found.pairs if (p.one, p.other) == ("1", "4"))
        return {(p.one, p.other): p.verdict.value for p in found.pairs}

    assert verdicts() == {("1", "3"): "same", ("3", "4"): "same", ("1", "4"): "same"}
    apart = verdicts(rulings=Rulings((), [("3", "4")]))
    assert apart == {("1", "3"): "same", ("3", "4"): "different", ("1", "4"): "different"}
    alone = find_duplicates(
        intake.open_rows(write(tmp_path / "b.csv", HEADS, before, BERT, after), needed=())
    )
    assert [p.verdict for p in alone.pairs] == [Verdict.UNCLEAR]


def test_a_personal_number_brings_together_who_changed_all_else_but_a_name(tmp_path: Path) -> None:
    numbered = changed(ANA, SSN="987-65-4321")
    moved = changed(
        numbered, id="3", street="7 Oak Ave", zip="44301", phone="", email="", last_name="Soto"
    )
    file = write(tmp_path / "a.csv", HEADS, numbered, BERT, moved, changed(moved, id="4", SSN=""))
    found = {(p.one, p.other): p for p in find_duplicates(intake.open_rows(file, needed=())).pairs}
    assert "same personal number" in found["1", "3"].evidence
    assert ("1", "4") not in found


def test_a_number_that_many_rows_give_is_nobodys_own(tmp_path: Path) -> None:
    crowd = [
        changed(BERT, id=str(n), first_name=f"{chr(97 + n)}x", last_name=f"Quill{chr(97 + n)}",
                street="", email="", SSN="987-65-4320")
        for n in range(20)
    ]  # fmt: skip
    found = find_duplicates(intake.open_rows(write(tmp_path / "a.csv", HEADS, *crowd), needed=()))
    assert not [pair for pair in found.pairs if "same personal number" in pair.evidence]


def test_unclear_pairs_are_shown_in_full_and_come_back_as_rulings(tmp_path: Path) -> None:
    other = changed(ANA, id="3", first_name="Zoe", zip="")
    file = write(tmp_path / "a.csv", HEADS, ANA, BERT, other)
    to, review = tmp_path / "p.csv", tmp_path / "r.csv"
    code, output = run(file, "--to", to, "--review", review)
    assert code == 1
    assert "the unclear ones, in full," in output
    with review.open(encoding="utf-8-sig") as stream:
        (line,) = csv.DictReader(stream)
    assert line["first"].startswith("id: 1\nfirst name: Ana\nlast name: Quillfeather\nstreet: 12")
    assert "first name: Zoe" in line["second"]
    text = review.read_text("utf-8-sig").rstrip().removesuffix('""') + "different\n"
    review.write_text(text, "utf-8")
    code, _ = run(file, "--to", to, "--ruled", review)
    assert code == 0
    for option in ("--review", "--groups"):  # nothing but the list of pairs keeps the rulings
        code, output = run(file, "--to", to, "--ruled", review, option, tmp_path / "." / "r.csv")
        assert code == 2
        assert f"(--ruled), and {option} would overwrite them" in " ".join(output.split())
        assert review.read_text("utf-8") == text
    code, _ = run(file, "--to", to, "--ruled", to)
    assert code == 0


def test_groups_given_back_keep_their_names_and_take_in_new_rows(tmp_path: Path) -> None:
    again = changed(ANA, id="9")
    first = write(tmp_path / "a.csv", HEADS, ANA, BERT, again)
    to, groups_file = tmp_path / "p.csv", tmp_path / "g.csv"
    run(first, "--to", to, "--groups", groups_file)
    assert [(g.id, g.members) for g in read_groups(groups_file)] == [("1", ("1", "9"))]
    # The rows come in another order, and Ana's first row is not in the file any more.
    second = write(
        tmp_path / "b.csv", HEADS, changed(BERT, id="0"), changed(ANA, id="12"), again, BERT
    )
    run(second, "--to", to, "--groups", tmp_path / "g2.csv", "--keep", groups_file)
    later = {g.id: g.members for g in read_groups(tmp_path / "g2.csv")}
    assert later == {"0": ("0", "2"), "1": ("12", "9")}
    with pytest.raises(FileTrouble, match="no columns id, group and weakest_tie"):
        read_groups(to)


def test_one_new_row_is_matched_against_groups() -> None:
    known = Known()
    spellings = [
        Person("1", given="Ana", family="Quillfeather", phone="+12025550143", zip5="45801"),
        Person("9", given="Ana", family="Soto", phone="+12025550143", email="ana@example.org"),
        Person("2", given="Bert", family="Okonjo", phone="+14195550177"),
    ]
    for person in spellings:
        known.add(person, owner="group 1" if person.owner != "2" else "")
    new = Person("new", given="Ana", family="Soto", email="ana@example.org", zip5="45801")
    (found,) = match(new, known)
    assert (found.person.owner, found.person.family) == ("group 1", "Soto")


def test_rulings_weigh_on_other_pairs_of_their_kind_when_told(tmp_path: Path) -> None:
    """A co-op whose drop sites sign people up: one phone and mailbox, another given name."""
    rows, pairs = [], []
    for n in range(40):
        one = (f"a{n}", f"Ana{chr(97 + n % 26)}{chr(97 + n // 26)}", f"Quill{chr(97 + n % 26)}eather",
               f"{n + 10} Elm Ct", "45801", f"202555{n:04}", f"site{n}@example.org", "")  # fmt: skip
        rows += [one, changed(one, id=f"b{n}", first_name=f"Zo{chr(97 + n % 26)}e", street="")]
        pairs.append((f"a{n}", f"b{n}"))
    sheet = intake.open_rows(write(tmp_path / "a.csv", HEADS, *rows), needed=())

    def confidence(**options: object) -> float:
        found = find_duplicates(sheet, least=0.0, **options)  # type: ignore[arg-type]
        return {(p.one, p.other): p.confidence for p in found.pairs}["a39", "b39"]

    before = confidence()
    apart, same = Rulings(apart=pairs[:30]), Rulings(same=pairs[:30])
    assert confidence(rulings=apart) == before
    assert confidence(rulings=apart, learn=True) < before / 2
    assert confidence(rulings=same, learn=True) > before
    assert confidence(rulings=Rulings(apart=pairs[:1]), learn=True) == pytest.approx(
        before, abs=0.2
    )
    found = find_duplicates(sheet, rulings=apart, learn=True)
    assert found.notes == ("The program learned from 30 decisions, 0 of them the same.",)
    nobody = find_duplicates(sheet, rulings=Rulings(same=[("x", "y")]), learn=True)
    assert nobody.notes == (
        "None of your decisions is about two rows of this file. The program learned nothing.",
    )


def test_what_lies_in_files_is_found_as_in_memory_and_is_gone_afterwards(
    tmp_path: Path, signups: Duplicates
) -> None:
    spilled = facts.find(FACTS / "signups_open_5k.csv", spill=tmp_path)
    assert spilled == signups
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(
    not Path("/proc/self/smaps").exists(), reason="only Linux tells what is in memory"
)
def test_what_lies_in_files_leaves_memory_once_the_pairs_are_known(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held: dict[str, list[int]] = {}
    over = Course.over

    def looked(course: Course, step: str) -> None:
        mapped = Path("/proc/self/smaps").read_text()
        files = re.findall(rf"{re.escape(str(tmp_path))}.*\n(?:.*\n){{0,5}}?Rss: +(\d+)", mapped)
        held[step] = list(map(int, files))
        over(course, step)

    monkeypatch.setattr(Course, "over", looked)
    facts.find(FACTS / "signups_open_5k.csv", spill=tmp_path)
    assert len(held["alike"]) > 20
    assert not any(held["alike"])


def test_what_lies_in_files_is_judged_in_processes_which_find_the_same(
    tmp_path: Path, signups: Duplicates, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun: list[int] = []
    begin = Processes.__init__

    def counted(self: Processes, processes: int, work: object, *, here: bool = False) -> None:
        begun.append(len(ForkingPickler.dumps(work)))
        begin(self, processes, work, here=here)

    monkeypatch.setattr(Processes, "__init__", counted)
    monkeypatch.setattr(many, "MANY_PAIRS", 1)
    monkeypatch.setattr(many, "BLOCK", 700)
    assert facts.find(FACTS / "signups_open_5k.csv", spill=tmp_path, processes=2) == signups
    assert len(begun) == 1  # the file is small: one process reads it
    assert begun[0] < (FACTS / "signups_open_5k.csv").stat().st_size / 2  # names of files go there


def test_a_folder_where_nothing_can_be_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(FileTrouble, match="Nothing can be written to"):
        facts.find(FACTS / "signups_open_5k.csv", spill=tmp_path / "nowhere")


def test_any_ids_of_rulings_and_groups_will_do(tmp_path: Path) -> None:
    file = write(tmp_path / "a.csv", HEADS, ANA, BERT)
    keep = [Group("g", ("gone", "2"), 0.9), Group("h", ("1",), 1.0)]
    found = find_duplicates(
        intake.open_rows(file, needed=()), keep=keep, rulings=Rulings([("gone", "1")], [("2", "3")])
    )
    assert (found.pairs, found.groups) == ([], [])


def listed(to: Path) -> dict[tuple[str, str], dict[str, str]]:
    with to.open(encoding="utf-8-sig") as stream:
        return {(p["id_a"], p["id_b"]): p for p in csv.DictReader(stream)}


def test_a_name_that_is_common_here_says_less(tmp_path: Path) -> None:
    again = changed(ANA, id="3", street="7 Oak Ave", phone="", email="")
    file, to = write(tmp_path / "a.csv", HEADS, ANA, BERT, again), tmp_path / "p.csv"
    names = write(
        tmp_path / "names.csv",
        ("name", "kind", "count"), ("Quillfeather", "family", "40"), ("QUILLFEATHER", "Family", "5"),
        ("Soto", "family", "55.0"), ("", "", ""), ("Zoë", "given", "3"),
    )  # fmt: skip
    run(file, "--to", to, "--from", "possible")
    before = listed(to)["1", "3"]
    run(file, "--to", to, "--names", names)
    after = listed(to)["1", "3"]
    assert "same last name, very common" in after["evidence"]
    assert "very common" not in before["evidence"]
    assert float(after["bits"]) < float(before["bits"])
    known = read_names(names)
    assert known.family == {"quillfeather": 0.45, "soto": 0.55}
    assert known.given == {"zoe": 1.0}
    times_seven = frequencies.Frequencies.counted({"zoe": 21}, {"quillfeather": 315, "soto": 385})
    assert known == times_seven  # shares are what counts
    only_family = frequencies.Frequencies.counted({}, {"soto": 1})
    assert only_family.given == frequencies.shipped().given


def test_short_forms_of_ones_own_are_known_besides_those_that_ship(tmp_path: Path) -> None:
    other = changed(ANA, id="3", first_name="Wobbo", street="", email="")
    bob, robert = (
        changed(BERT, id=str(n), first_name=name, phone="202 555 0177", email="")
        for n, name in ((5, "Bob"), (6, "Robert"))
    )
    file, to = write(tmp_path / "a.csv", HEADS, ANA, other, bob, robert), tmp_path / "p.csv"
    forms = write(tmp_path / "f.csv", ("Name", "Short form"), ("Ana", "Wobbo"), ("Ana", "Nanni"))
    run(file, "--to", to)
    before = listed(to)
    run(file, "--to", to, "--short-forms", forms)
    after = listed(to)
    assert "short form of the first name" in after["1", "3"]["evidence"]
    assert ("1", "3") not in before  # two given names that have nothing in common
    assert after["5", "6"] == before["5", "6"]
    assert "short form of the first name" in after["5", "6"]["evidence"]
    shorts = read_short_forms(forms)
    assert shorts.have_one_full("wobbo", "nanni")
    assert shorts.join("ana", "wobbo")
    assert not given_names.is_short_for("ana", "wobbo")  # nobody else learns of it


def test_one_at_a_time_may_have_its_own_names_too() -> None:
    ana = Person("1", given="Ana", family="Quillfeather", phone="+12025550143")
    new = Person("new", given="Wobbo", family="Quillfeather", phone="+12025550143")
    shares = frequencies.Frequencies.counted({}, {"quillfeather": 1, "soto": 9})
    shorts = given_names.besides([("ana", "wobbo")])
    known = Known(shares, shorts)
    known.add(ana)
    (found,) = match(new, known)
    assert found.evidence == compare(new, ana, shares, shorts)
    assert found.evidence.weight != compare(new, ana).weight
    assert "same last name, very common: 1 in 10" in {p.words for p in found.evidence.parts}
    ahead = Known(shares, shorts)
    ahead.add(ana)
    ahead.look_ahead([new])
    assert match(new, ahead) == (found,)


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([("name", "count")], "has no columns name, kind and count. Give a list with these headings"),
        ([("name", "kind", "count"), ("Soto", "clan", "3")],
         'row 2: the kind "clan" is neither given nor family. Write one'),
        ([("name", "kind", "count"), ("Soto", "family", "1,200")],
         'row 2: the count "1,200" is not a number above 0. Write it in digits'),
        ([("name", "kind", "count"), ("Soto", "family", "0")], "is not a number above 0"),
        ([("name", "kind", "count"), ("Soto", "family", "nan")], "is not a number above 0"),
        ([("name", "kind", "count"), ("--", "given", "7")], 'row 2: "--" is not a name. Write one'),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_list_of_names_is_told(tmp_path: Path, rows, words: str) -> None:
    with pytest.raises(FileTrouble) as trouble:
        read_names(write(tmp_path / "names.csv", *rows))
    assert words in str(trouble.value)


def test_what_is_wrong_with_a_list_of_short_forms_is_told(tmp_path: Path) -> None:
    file = tmp_path / "f.csv"
    with pytest.raises(FileTrouble, match=r"no columns name and short_form\. Give a list with"):
        read_short_forms(write(file, ("full", "short"), ("Ana", "Nanni")))
    with pytest.raises(FileTrouble, match=r'row 3: "" is not a name\. Write one there, or delete'):
        read_short_forms(write(file, ("name", "short_form"), ("Ana", "Nanni"), ("Ana", "")))
