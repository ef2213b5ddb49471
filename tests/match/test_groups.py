"""Who belongs together: no chain joins people who speak against each other; rulings always win."""

from __future__ import annotations

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from onboard.match.groups import AGAINST, TIED, Rulings, Tie, group, surely

OWNERS = [f"m{n}" for n in range(8)]
PAIRS = st.tuples(st.sampled_from(OWNERS), st.sampled_from(OWNERS)).filter(lambda p: p[0] < p[1])
TIES = st.dictionaries(PAIRS, st.sampled_from([0.0, 0.001, 0.3, 0.7, 0.8, 0.9, 0.99]), max_size=16)
RULED = st.sets(PAIRS, max_size=4)


def ties_of(found: dict[tuple[str, str], float]) -> list[Tie]:
    return [Tie(one, other, confidence) for (one, other), confidence in found.items()]


@given(TIES)
@settings(max_examples=200)
def test_nobody_is_in_a_group_with_somebody_who_speaks_against_them(found) -> None:
    for one in group(OWNERS, ties_of(found)):
        for a in one.members:
            for b in one.members:
                assert found.get((a, b), 1.0) >= AGAINST


@given(TIES, RULED, RULED)
@settings(max_examples=200)
def test_rulings_always_win(found, same, apart) -> None:
    same -= apart
    where = {
        member: g.id
        for g in group(OWNERS, ties_of(found), rulings=Rulings(same, apart))
        for member in g.members
    }
    for a, b in apart:
        assert where.get(a, a) != where.get(b, b)
    if not apart:
        for a, b in same:
            assert where[a] == where[b]


@given(TIES, RULED, RULED, st.randoms())
@settings(max_examples=100)
def test_the_order_of_ties_and_rows_does_not_matter(found, same, apart, random) -> None:
    ties = ties_of(found)
    first = group(OWNERS, ties, rulings=Rulings(same, apart))
    random.shuffle(ties)
    assert group(OWNERS, ties, rulings=Rulings(same, apart)) == first
    owners = random.sample(OWNERS, len(OWNERS))
    if not same:  # of rulings that contradict each other the one about the earliest rows is kept
        again = group(owners, ties, rulings=Rulings(apart=apart))
        assert {frozenset(g.members) for g in again} == {frozenset(g.members) for g in first}


@given(TIES)
@settings(max_examples=100)
def test_a_group_is_called_by_its_first_member_and_shows_its_weakest_tie(found) -> None:
    for one in group(OWNERS, ties_of(found)):
        assert one.id == min(one.members)
        inside = [
            confidence
            for (a, b), confidence in found.items()
            if {a, b} <= set(one.members) and confidence >= TIED
        ]
        assert one.weakest in inside


@given(TIES, TIES)
@settings(max_examples=100)
def test_a_new_row_joins_groups_and_never_splits_or_renames_one(found, new) -> None:
    before = group(OWNERS, ties_of(found))
    fresh = [Tie(one, "new", confidence) for (one, _), confidence in new.items()]
    after = group([*OWNERS, "new"], fresh, together=before)
    for one in before:
        assert any(set(one.members) <= set(two.members) for two in after)
    names = {one.id for one in before}
    assert all(two.id in names or "new" in two.members for two in after)


def test_a_group_found_before_gives_way_to_a_ruling() -> None:
    before = group("abc", [Tie("a", "b", 0.9), Tie("b", "c", 0.9)])
    (after,) = group("abc", [], together=before, rulings=Rulings(apart=[("a", "c")]))
    assert after.members == ("a", "b")


def test_father_and_son_stay_two_though_a_row_without_suffix_is_like_both() -> None:
    ties = [Tie("senior", "bare", 0.8), Tie("bare", "junior", 0.75), Tie("junior", "senior", 0.001)]
    found = group(["senior", "bare", "junior"], ties)
    assert [(g.members, g.weakest) for g in found] == [(("senior", "bare"), 0.8)]


@given(TIES, RULED)
@settings(max_examples=100)
def test_without_chains_every_two_of_a_group_are_tied(found, same) -> None:
    for one in group(OWNERS, ties_of(found), chains=False):
        for a, b in combinations(one.members, 2):
            assert found.get((a, b), 0.0) >= TIED
    ruled = group(OWNERS, ties_of(found), rulings=Rulings(same), chains=False)
    where = {member: one.id for one in ruled for member in one.members}
    assert all(where[a] == where[b] for a, b in same)


@given(TIES, TIES, st.randoms())
@settings(max_examples=100)
def test_groups_kept_have_their_names_in_whatever_order_rows_come(found, new, random) -> None:
    before = group(OWNERS, ties_of(found))
    owners = ["new", *random.sample(OWNERS, len(OWNERS))]
    after = group(owners, ties_of(new), together=before)
    names = {one.id: one.members for one in after}
    assert len(names) == len(after)
    kept = {one.id: set(one.members) for one in before}
    for name, members in names.items():
        inside = [known for known, of in kept.items() if of <= set(members)]
        assert name in inside if inside else name in members


def test_what_is_sure_is_asked_about_once() -> None:
    ties = [Tie("a", "b", 0.99), Tie("b", "c", 0.98), Tie("c", "d", 0.97), Tie("a", "d", 0.0)]
    found = surely("abcde", ties, rulings=Rulings([], [("c", "e")]))
    assert len(found.between("a", "c")) == 1
    assert len(found.between("c", "d")) == 2  # as something speaks against a and d
    assert found.between("a", "d") == found.between("b", "d")
    assert found.between("a", "e") in found.apart  # as c, who is a, was told apart from e
    assert found.between("d", "e") not in found.apart
    ruled = surely("abc", ties[:1], rulings=Rulings([("b", "c")], []))
    assert len(ruled.between("a", "c")) == 1
    assert len(surely("abc", ties[:2], chains=False).between("a", "c")) == 2
