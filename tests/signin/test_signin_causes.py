"""Why a sign-in failed: the cases, the account's own causes, and the laws."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from callers import LAKE, RUNS, USED, member
from hypothesis import given
from hypothesis import settings as examples
from hypothesis import strategies as st
from measure_signin import COOP
from wrong_callers import TODAY

from onboard.model import Handle, PersonName, State
from onboard.signin import KINDS, Account, Cause, PasswordState, Standing, why
from onboard.signin.page import says, which
from onboard.signin.slips import touching
from onboard.tables import rows

ROWS = [
    tuple(line.split("\t"))
    for line in (Path(__file__).parent / "cases.tsv").read_text("utf-8").splitlines()[3:]
]


def ask(account: Account, typed: str | None = None, **more: object) -> list[str]:
    return [cause.code for cause in told(account, typed, **more)]


def told(account: Account, typed: str | None = None, **more: object) -> tuple[Cause, ...]:
    more = {"page": "https://order.example.org", "today": TODAY, "settings": COOP, **more}
    return why(account, typed=typed, **more)  # type: ignore[arg-type]


def unescaped(text: str) -> str:
    return text.replace("·", " ").encode("latin-1", "backslashreplace").decode("unicode-escape")


@pytest.mark.parametrize(("name", "number", "email", "typed", "causes", "_why"), ROWS)
def test_a_case(name: str, number: str, email: str, typed: str, causes: str, _why: str) -> None:
    given_, middle, family, suffix, called, former, partner = (name + "|" * 6).split("|")[:7]
    joint = (PersonName(partner, family=family),) if partner else ()
    person = PersonName(
        given_, middle, family, suffix, called=called, former=former, joint=joint
    )  # fmt: skip
    account = member(person, number, emails=(email,) if email else ())
    found = told(account, unescaped(typed))
    assert [c.code for c in found if c.confidence >= 0.1] == causes.split()


PAT = member(PersonName("Pat", family="Lee"), emails=("pat@example.org",))


@pytest.mark.parametrize(
    ("known", "typed", "more", "first"),
    [
        ({"standing": Standing.HOLD}, None, {}, "account.hold"),
        ({"standing": Standing.CLOSED}, "patlee", {}, "account.closed"),
        ({"standing": Standing.MERGED}, "patlee", {}, "account.merged"),
        ({"former_handles": ("patlee7", "patcorn")}, "patlee7", {}, "typed.former_handle"),
        ({"former_handles": ("patlee7", "patcorn")}, "PatCorn", {}, "typed.former_handle"),
        ({"former_handles": ("patlee7", "patcorn")}, "patlee8", {}, "typed.number_invented"),
        ({"packet": State("due")}, "patlee", {}, "packet.due"),
        ({"packet": State.WAITING}, "patlee", {}, "packet.barred"),
        ({"packet": State("written"), "password": RUNS}, "patlee", {}, "packet.written"),
        ({"packet": State("sent"), "password": RUNS}, "patlee", {}, "password.unused"),
        ({"packet": State("sent"), "password": USED}, "patlee", {}, "password.used"),
        ({"password": replace(RUNS, replaced=True)}, "patlee", {}, "password.replaced"),
        ({"password": PasswordState(date(2026, 11, 24))}, "patlee", {}, "password.expired"),
        # The last day on which it works is still a day on which it works.
        ({"password": PasswordState(date(2026, 11, 25))}, "patlee", {}, "password.unused"),
        ({"password": USED, "group": LAKE}, "patlee", {}, "window.closed"),
        ({"password": USED, "group": LAKE}, "patlee", {"today": date(2026, 12, 1)}, "password.used"),
        ({"password": USED, "group": LAKE}, "patlee", {"today": date(2026, 12, 6)}, "password.used"),
        ({"password": USED, "group": LAKE}, "patlee", {"today": date(2026, 12, 7)}, "window.closed"),
        ({"password": USED, "group": LAKE}, "patlee", {"said": "Wrong password"}, "password.used"),
        ({"password": RUNS, "group": LAKE}, "patlee", {"said": "Ordering is closed"}, "window.closed"),
        ({}, "patlee", {"page": "shop.example.com/account"}, "page.shop"),
        ({}, "patlee", {"page": "https://example.net"}, "page.other"),
        ({}, "patlee", {"said": "Locked: too many tries"}, "page.locked"),
        ({}, "patlee", {}, "unexplained"),
        ({}, "robinlee", {"others": {"robinlee"}}, "typed.other_handle"),
        ({}, "robinlee", {"others": {"robinlee": "member:7"}.get}, "typed.other_handle"),
        ({"password": RUNS}, "pat@example.org", {}, "typed.email"),
        # A page that says "user name or password" does not say which; but it says so to nobody who is in.
        ({"password": USED, "group": LAKE}, "patlee",
         {"said": "Wrong user name or password"}, "password.used"),
    ],
)  # fmt: skip
def test_what_the_desk_knows(
    known: dict[str, object], typed: str | None, more: dict[str, object], first: str
) -> None:
    assert ask(replace(PAT, **known), typed, **more)[0] == first  # type: ignore[arg-type]


def test_an_email_typed_on_the_shop_page_is_two_causes() -> None:
    found = told(PAT, "pat@example.org", page="the shop")
    assert [c.code for c in found[:2]] == ["page.shop", "typed.email"]
    assert all(0.4 < c.confidence <= 0.5 for c in found[:2])


def test_an_address_on_file_is_told_like_one_that_is_not() -> None:
    """Nobody learns from us whether an address is with us."""
    assert told(PAT, "pat@example.org") == told(PAT, "nobody@example.net")


def test_another_members_handle_is_a_warning_behind_the_slip_that_explains_it() -> None:
    two = member(PersonName("Pat", family="Lee"), "2")
    assert ask(two, "patlee", others={"patlee"})[:2] == [
        "typed.number_missing",
        "typed.other_handle",
    ]
    assert "whose" in next(k.ask for k in KINDS if k.code == "typed.other_handle")


def test_another_members_handle_is_no_unknown_name_of_theirs() -> None:
    dale = member(PersonName("Dale", family="Rasmussen"))
    for typed in ("carolrasmussen", "dalewinters"):
        found = ask(dale, typed, others={typed})
        assert found[0] == "typed.other_handle"
        assert not {"typed.nickname", "typed.former_name"} & set(found)


def test_nobody_is_said_to_have_a_partner_whose_form_names_none() -> None:
    found = ask(member(PersonName("Rejean", family="Pelletier")), "reggiepelletier")
    assert found[0] == "typed.nickname"
    assert "typed.partner" not in found


def test_a_former_name_that_was_recorded_as_another_name_is_found() -> None:
    now, then = PersonName("Ana", family="Ruiz"), PersonName("Ana", family="Soto")
    account = Account(Handle("anaruiz"), (now, then))
    assert ask(account, "anasoto")[0] == "typed.former_name"
    # The handle keeps the name that it was made of, also when the member's name is another now.
    assert ask(replace(account, handle=Handle("anasoto")), "anaruiz")[0] == "typed.former_name"


def test_a_handle_that_no_name_gives_is_said_to_be_one() -> None:
    assert ask(replace(PAT, handle=Handle("grower17")), "patlee")[0] == "typed.name"
    assert ask(replace(PAT, handle=Handle("grower17")), "grower")[0] == "typed.number_missing"


def test_the_desk_is_told_what_was_seen() -> None:
    seen = {c.code: c.seen for c in told(replace(PAT, group=LAKE), "Patkee ")}
    assert seen["typed.slip"] == "Letter 4 is “k” instead of “l”, the key next to it."
    assert seen["typed.capitals"] == "“P” is a capital."
    assert seen["typed.invisible"] == "There is a space after what they typed."
    assert "zero width space" in told(PAT, "pat\u200blee")[0].seen


def test_the_day_that_matters_comes_with_the_cause() -> None:
    found = told(replace(PAT, password=USED, group=LAKE), "patlee")
    assert found[0].when == date(2026, 12, 1)
    assert (
        told(replace(PAT, password=USED, group=LAKE), "patlee", today=date(2027, 1, 1))[0].when
        is None
    )


@pytest.mark.parametrize(
    ("page", "is_"),
    [
        ("https://order.example.org/sign-in?x=1", "ordering"),
        ("WWW.ORDER.EXAMPLE.ORG", "ordering"),
        ("I was on shop.example.com/cart", "shop"),
        ("the shop", "shop"), ("la tienda", "shop"), ("the place to order", "ordering"),
        ("la página de pedidos", "ordering"), ("the shop or the order page", ""), ("", ""),
        ("order.example.org.example.net", "other"), ("http://[::1", ""), ("\ud800", ""),
    ],
)  # fmt: skip
def test_which_page(page: str, is_: str) -> None:
    assert which(page, COOP) == is_


def test_two_pages_of_one_host_are_told_apart_by_their_path() -> None:
    coop = replace(COOP, ordering_page="https://example.org/order", shop_page="https://example.org")
    assert which("example.org/order/", coop) == "ordering"
    assert which("https://example.org/orders", coop) == "shop"


@pytest.mark.parametrize(
    ("message", "points"),
    [
        ("Invalid username or password", "refused"), ("Your password is wrong", "password"),
        ("La contraseña no es correcta", "password"), ("Account locked", "page.locked"),
        ("Demasiados intentos", "page.locked"), ("This password has expired", "password"),
        ("Los pedidos están cerrados", "window.closed"), ("Hello", ""),
    ],
)  # fmt: skip
def test_what_a_page_says(message: str, points: str) -> None:
    assert says(message) == points


def test_keys_touch_both_ways() -> None:
    """Neighbours of three keys as on any US keyboard (ANSI INCITS 154), read off one."""
    keys = touching()
    assert {key: set(keys[key]) for key in "gap"} == {
        "g": set("tyfhvb"), "a": set("qwsz"), "p": set("0ol"),
    }  # fmt: skip
    assert all(key in keys[other] for key in keys for other in keys[key])
    assert set(keys) == set("abcdefghijklmnopqrstuvwxyz0123456789")


def test_the_spelling_alphabet_is_icaos() -> None:
    """ICAO Annex 10 Volume II, 5.2.1.3; the same words stand in Commission Implementing Regulation
    (EU) 923/2012, SERA.14020, Table S14-2, from which this list was copied."""
    icao = """Alfa Bravo Charlie Delta Echo Foxtrot Golf Hotel India Juliett Kilo Lima Mike
        November Oscar Papa Quebec Romeo Sierra Tango Uniform Victor Whiskey X-ray Yankee Zulu"""
    told_ = {
        sign: (english, spanish) for sign, english, _, spanish, *_ in rows("spelling") if spanish
    }
    assert [english for english, _ in told_.values()] == icao.split()
    plain = str.maketrans("áéíóú", "aeiou")
    assert all(word.lower().translate(plain)[0] == sign for sign, (_, word) in told_.items())


# ---------------------------------------------------------------- laws

NAMES = st.builds(
    PersonName,
    st.sampled_from(["Pat", "Mary Ann", "José", "X", "Robert", ""]),
    middle=st.sampled_from(["", "Lou"]),
    family=st.sampled_from(["Lee", "O'Brien", "Ruiz-Soto", "de la Cruz", ""])
    | st.text(max_size=12),
    suffix=st.sampled_from(["", "Jr"]),
    called=st.text(max_size=5),
    former=st.sampled_from(["", "Vale"]),
    joint=st.sampled_from([(), (PersonName("Robin", family="Lee"),)]),
)
ACCOUNTS = st.builds(
    Account,
    st.none() | st.builds(Handle, st.from_regex(r"[a-z0-9]{1,30}", fullmatch=True)),
    st.lists(NAMES, max_size=3).map(tuple),
    st.lists(st.sampled_from(["pat@example.org", "not an address", ""]), max_size=2).map(tuple),
    st.sampled_from(Standing),
    st.sampled_from(["none", "due", "written", "sent"]),
    st.sampled_from(
        [None, RUNS, USED, replace(RUNS, replaced=True), PasswordState(date(2020, 1, 1))]
    ),
    st.sampled_from([None, LAKE]),
)
WILD = st.text(max_size=40) | st.text(st.characters(categories=["Cs", "Cf", "Cc", "Zs", "Mn"]))


@given(ACCOUNTS, st.none() | WILD, WILD, WILD)
@examples(max_examples=150, deadline=None)
def test_no_text_raises_and_the_same_question_has_the_same_answer(
    account: Account, typed: str | None, page: str, said: str
) -> None:
    found = told(account, typed, page=page, said=said)
    assert found
    assert found == told(account, typed, page=page, said=said)
    assert sum(c.confidence for c in found) <= 1.0001
    assert [c.confidence for c in found] == sorted((c.confidence for c in found), reverse=True)
    assert {c.code for c in found} <= {k.code for k in KINDS}


@given(ACCOUNTS, st.text(max_size=20))
@examples(max_examples=100, deadline=None)
def test_a_right_handle_never_yields_a_typing_cause(account: Account, page: str) -> None:
    if account.handle:
        codes = ask(account, account.handle.text, page=page, others={account.handle.text})
        assert not [code for code in codes if code.startswith("typed.")]


def test_ten_megabytes_of_junk_are_a_text_like_another() -> None:
    assert ask(PAT, "á’ @\u200b(at)" * 1_000_000, page="x." * 5_000_000, said="a" * 5_000_000)
