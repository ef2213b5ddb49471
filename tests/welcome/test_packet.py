"""What a packet tells, and how plainly."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from linkify_it import LinkifyIt
from packets_made import COOP, FIRST, PHRASE, TODAY, make, member
from plain_words import counts, english_grade, spanish_ease, spanish_inflesz

from onboard import welcome
from onboard.errors import SettingsTrouble
from onboard.model import FirstPassword, PersonName
from onboard.settings import PasswordRule
from onboard.welcome import blocks, spelling

EXPECTED = Path(__file__).parent / "expected"

# ---------------------------------------------------------------- whole packets


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_text_is_this(language: str) -> None:
    assert make(language=language).text == (EXPECTED / f"{language}.txt").read_text("utf-8")


TOLD = {
    "en": [
        "    mariajoseobriennolan\n", "m a r i a j o s e", "not your email address",
        "no spaces, no capitals", "becomes mariajoseobriennolan", f"    {PHRASE}\n",
        "through Wednesday, December 9, 2026", "4 hyphens", "small letters", "you must pick a new password",
        "a question", COOP.ordering_page, "not the page: shop . furrowandfen . example", "Bookmark the right page",
        COOP.sender, "contact card", "spam", "Lima Church", "120 Elm Street", "Dana Cole",
        "Ottawa River", "From Friday, November 20, 2026", "open now",
        "can't order before the first day", "After the last day", COOP.reply_phone,
        "We will never ask you for your password, by phone, email, text or letter", "PO Box 12, Lima OH 45801",
    ],
    "es": [
        "    mariajoseobriennolan\n", "m a r i a j o s e", "no es su correo electrónico",
        "sin espacios y sin mayúsculas", "queda como mariajoseobriennolan", f"    {PHRASE}\n",
        "miércoles 9 de diciembre de 2026", "4 guiones", "minúsculas", "tiene que elegir una contraseña nueva",
        "una pregunta", COOP.ordering_page, "no es la página: shop . furrowandfen . example", "favoritos",
        COOP.sender, "tarjeta", "correo no deseado", "Lima Church", "120 Elm Street", "Dana Cole",
        "Ottawa River", "viernes 20 de noviembre de 2026", "ya puede pedir",
        "Antes del primer día no se puede pedir", "Después del último día", COOP.reply_phone,
        "Nunca le vamos a pedir su contraseña: ni por teléfono, ni por correo, ni por mensaje, ni por carta",
        "PO Box 12, Lima OH 45801",
    ],
}  # fmt: skip


@pytest.mark.parametrize("language", TOLD)
def test_everything_a_member_must_know_is_told(language: str) -> None:
    packet = make(language=language)
    words = " ".join(packet.text.split())
    missing = [told for told in TOLD[language] if " ".join(told.split()) not in words]
    assert missing == []
    for large in ("mariajoseobriennolan", PHRASE):  # alone on a line of its own
        assert f"\n    {large}\n" in packet.text


def test_a_site_is_told_in_the_language_however_the_settings_write_it() -> None:
    lines = "14 Dam St\nKeene, NH 03431"
    typed = replace(COOP.sites[0], address=lines, pickup_day="saturday", pickup_hours="10 to noon")
    settings = replace(COOP, sites=(typed, *COOP.sites[1:]))
    spanish = make(settings=settings, language="es").text
    assert "14 Dam St, Keene, NH 03431" in spanish
    assert "sábado, 10 to noon" in spanish
    assert "Saturday, 10 to noon" in make(settings=settings).text


def test_what_a_coop_does_not_have_is_not_told() -> None:
    bare = replace(COOP, security_question=False, shop_page="", reply_phone="(419) 555-0111")
    text = make(settings=bare).text
    assert "a question" not in text
    assert "not the page" not in text
    assert "(419) 555-0111" in text


@pytest.mark.parametrize(
    ("changes", "told", "not_told"),
    [
        ({"site": ""}, "You have no drop site yet", "Your host"),
        ({"site": "A site since closed"}, "You have no drop site yet", "Your host"),
        ({"site": "Tiffin Barn"}, "next ordering days are not set yet", "can order on these days"),
        ({"consent": False}, "5. If it does not work", "spam"),
        ({"email": ""}, "5. If it does not work", "contact card"),
        ({"language": "fr"}, "Hello", "Hola"),
        ({"language": "es-MX"}, "Hola", "Hello"),
    ],
)
def test_each_member_is_told_what_is_theirs(
    changes: dict[str, object], told: str, not_told: str
) -> None:
    text = make(**changes).text  # type: ignore[arg-type]
    assert told in text
    assert not_told not in text


def test_nobody_is_sent_to_a_site_that_has_closed_for_good() -> None:
    closed = replace(COOP, sites=(replace(COOP.sites[0], closed=True, host=""), *COOP.sites[1:]))
    packet = make(settings=closed)
    assert "You have no drop site yet" in packet.text
    assert COOP.sites[0].name not in packet.text
    assert packet.calendar == b""


def test_windows_that_have_closed_are_not_told() -> None:
    assert "October" not in make().text
    assert "November" in make(today=date(2026, 11, 27)).text
    assert "November" not in make(today=date(2026, 11, 28)).text


def test_a_password_that_ends_before_the_next_ordering_days_is_told() -> None:
    """The window from January 3 through 9 is the next after this one, which closes on November 27."""
    early = "before your next ordering days are over"
    there = {"today": date(2026, 11, 28)}
    for expires, is_early in ((date(2027, 1, 8), True), (date(2027, 1, 9), False)):
        first = FirstPassword(PHRASE, expires)
        assert (early in " ".join(make(first=first, **there).text.split())) is is_early  # type: ignore[arg-type]
        assert ("Ese día llega antes" in make(first=first, language="es", **there).text) is is_early  # type: ignore[arg-type]
    assert early not in make(site="Tiffin Barn").text  # no window is set
    assert early not in make(site="").text


def test_without_a_password_the_packet_leads_through_setting_one() -> None:
    own = replace(COOP, password=PasswordRule(set_by_member=True, set_link="Reset <it> *now*"))
    english = make(settings=own, first=None)
    spanish = make(settings=own, first=None, language="es")
    assert "3. Set your password\n" in english.text
    assert "On that page, click Reset <it> *now*." in english.text
    assert "3. Elija su contraseña\n" in spanish.text
    assert "haga clic en Reset <it> *now*." in spanish.text
    for packet in (english, spanish):
        assert "maria@example.com" in packet.text
        assert "temporary" not in packet.text
        assert "temporal" not in packet.text
    assert "email address, type" not in make(settings=own, first=None, email="").text


@pytest.mark.parametrize(
    ("day", "hours", "language", "told"),
    [
        ("Saturday", "9 to 11 a.m.", "en", "- Pick-up time: Saturday, 9 to 11 a.m."),
        ("Saturday", "9 to 11 a.m.", "es", "- Cuándo recoger: sábado, 9 to 11 a.m."),
        ("the Thursday after", "", "es", "- Cuándo recoger: the Thursday after"),
        ("", "noon to 4", "en", "- Pick-up time: noon to 4"),
    ],
)
def test_when_to_pick_up_is_told_where_the_settings_say_it(
    day: str, hours: str, language: str, told: str
) -> None:
    site = replace(COOP.sites[0], pickup_day=day, pickup_hours=hours)
    settings = replace(COOP, sites=(site, *COOP.sites[1:]))
    assert told in make(settings=settings, language=language).text.splitlines()
    assert "Pick-up time" not in make().text


def test_the_calendar_is_spoken_of_to_whoever_gets_one() -> None:
    assert "A calendar file comes with our email." in make().text
    assert "calendario" in make(language="es").text
    assert "calendar" not in make(consent=False).text
    assert "calendar" not in make(site="Tiffin Barn").text


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    "shop",
    ["https://shop.furrowandfen.com/", "https://www.furrowandfen.org/shop/sign-in", "https://furrowandfen.com"],
)  # fmt: skip
def test_no_mail_program_makes_a_link_of_the_wrong_page(language: str, shop: str) -> None:
    packet = make(settings=replace(COOP, shop_page=shop), language=language)
    seen = html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", "", packet.html, flags=re.DOTALL))
    finder = LinkifyIt(options={"fuzzy_link": True, "fuzzy_email": True, "fuzzy_ip": True})
    for words in (packet.text, seen):
        found = {link.url.rstrip("/").removeprefix("mailto:") for link in finder.match(words) or ()}
        assert found == {COOP.ordering_page.rstrip("/")}  # it knows no email under .example
    assert not re.search(r"(?i)https?:\S*furrowandfen\.(com|org)", packet.html)
    assert "furrowandfen . " in " ".join(packet.text.split())
    assert shop.removeprefix("https://").rstrip("/") in packet.letter  # nobody clicks on paper


def test_the_spelled_name_has_nothing_in_it_that_could_be_typed() -> None:
    for language, lead in (("en", "with nothing between them:"), ("es", "sin nada en medio:")):
        (spelled,) = re.findall(rf"{lead}\n\n(.*?)\n", make(language=language).text)
        assert spelled == "\xa0 ".join("mariajoseobriennolan")


@pytest.mark.parametrize("language", ["en", "es"])
def test_whoever_did_not_ask_to_join_is_told_kindly_what_to_do(language: str) -> None:
    words = " ".join(make(language=language).text.split())
    for told in {
        "en": ["Someone filled out a join form with your name.", "You did nothing wrong",
               "Please do not sign in.", "we will take your name off"],
        "es": ["Alguien llenó una solicitud con su nombre.", "Usted no hizo nada malo",
               "No entre a la cuenta.", "quitamos su nombre"],
    }[language]:  # fmt: skip
        assert told in words


@pytest.mark.parametrize(
    ("phrase", "told"),
    [
        ("one two three", "It has 2 spaces. Type them too."),
        ("one-two-three", "It has 2 hyphens (-). Type them too. There are no spaces in it."),
        ("one two", "It has 1 space. Type it too."),
        ("one-two", "It has 1 hyphen (-). Type it too. There are no spaces in it."),
        ("OneTwo", "Type it just as you see it. There are no spaces in it."),
    ],
)
def test_the_password_is_told_as_it_is(phrase: str, told: str) -> None:
    text = make(first=FirstPassword(phrase, TODAY)).text
    assert told in " ".join(text.split())


@pytest.mark.parametrize(
    ("handle", "language", "expected"),
    [
        ("patlee", "en", ["l as in Lima"]),
        ("bernvvood", "en",
         ["r as in Romeo, then n as in November", "v as in Victor, then v as in Victor",
          "o as in Oscar"]),
        ("annasmith2", "en", ["the number two"]),
        ("patlee", "es", ["l (ele) de Lima"]),
        ("amy", "en", []),
    ],
)  # fmt: skip
def test_what_can_be_misread_is_spelled(handle: str, language: str, expected: list[str]) -> None:
    """The words are ICAO's, Annex 10 Volume II, 5.2.1.3; what is misread is common practice."""
    assert [trap.told for trap in spelling.traps(handle, language)] == expected


# ---------------------------------------------------------------- how plainly


def prose(text: str) -> str:
    return "\n".join(line for line in text.splitlines() if not re.fullmatch("[=-]+", line))


CASES = [
    {}, {"site": ""}, {"site": "Tiffin Barn"}, {"consent": False}, {"first": FirstPassword(PHRASE, TODAY)},
    {"first": None},
]  # fmt: skip


@pytest.mark.parametrize("changes", CASES)
@pytest.mark.parametrize("name", ["Pat Lee", "María José O'Brien-Nolan"])
def test_english_is_for_a_twelve_year_old(name: str, changes: dict[str, object]) -> None:
    """Flesch-Kincaid grade (Kincaid and others, 1975): a grade of 6 is an age of twelve."""
    text = prose(make(name, **changes).text)  # type: ignore[arg-type]
    grade = english_grade(text)
    words, sentences, syllables = counts(text)
    by_hand = 0.39 * words / sentences + 11.8 * syllables / words - 15.59
    assert grade == pytest.approx(by_hand, abs=0.05)
    assert grade <= 6


@pytest.mark.parametrize("changes", CASES)
@pytest.mark.parametrize("name", ["Pat Lee", "María José O'Brien-Nolan"])
def test_spanish_is_for_a_twelve_year_old(name: str, changes: dict[str, object]) -> None:
    """Fernández Huerta (1959): 70 and more is read by the sixth grade. Szigriszt Pazos on the
    INFLESZ scale (Barrio-Cantalejo and others, 2008): 65 and more is fairly easy."""
    text = prose(make(name, language="es", **changes).text)  # type: ignore[arg-type]
    assert spanish_ease(text) >= 70
    assert spanish_inflesz(text) >= 65


def test_hard_words_do_not_pass() -> None:
    """The Spanish check can fail."""
    hard = (
        "La administración cooperativa implementará paulatinamente procedimientos de autenticación "
        "interinstitucional, incorporando consideraciones reglamentarias preexistentes."
    )
    assert spanish_ease(hard) < 70
    assert spanish_inflesz(hard) < 65


@pytest.mark.parametrize("language", ["en", "es"])
def test_plain_mail_is_72_columns_wide(language: str) -> None:
    lines = make(language=language).text.splitlines()
    assert max(map(len, lines)) <= blocks.WIDTH
    assert not any(line.endswith(" ") for line in lines)


# ---------------------------------------------------------------- secrets and strangers


def test_a_packet_does_not_show_its_password() -> None:
    packet = make()
    assert PHRASE not in repr(packet)
    assert PHRASE not in str(packet)
    assert PHRASE not in packet.subject
    assert packet.member.handle.text in repr(packet)


names = st.text(
    alphabet=st.one_of(
        st.sampled_from("<>&\"'*_`#[]()!\\~|{}%-+.: \n\r\t\x00\ud800\u202e$=@1aé王"),
        st.characters(),
    ),
    max_size=30,
)


@settings(max_examples=60, deadline=None)
@given(names, names)
def test_no_name_becomes_markup_or_a_header(given_name: str, family: str) -> None:
    plain = make(PersonName("Pat", "", "Lee"))
    odd = make(PersonName(given_name, "", family), address=(given_name, family))
    # Markdown: the same blocks, whatever the name.
    assert odd.html.count("<p") == plain.html.count("<p")
    assert odd.html.count("<h") == plain.html.count("<h")
    assert odd.html.count("<li") == plain.html.count("<li")
    assert odd.html.count("<a ") == plain.html.count("<a ")
    assert odd.html.count("<strong") == plain.html.count("<strong")
    # Mail: the same headers.
    heads = [
        [line.partition(b":")[0] for line in p.message.partition(b"\r\n\r\n")[0].split(b"\r\n")
         if line[:1] not in b" \t"]
        for p in (plain, odd)
    ]  # fmt: skip
    assert heads[0] == heads[1]


def test_ten_megabytes_of_junk_are_cut() -> None:
    packet = make(PersonName("<b>*x " * 2_000_000, "", "Lee"))
    assert len(packet.text) < 10_000
    assert len(packet.message) < 60_000


# ---------------------------------------------------------------- settings that are wrong


def test_a_sender_that_is_no_address_is_said() -> None:
    with pytest.raises(SettingsTrouble, match=r"“nobody” is not an email address. Fix sender"):
        make(settings=replace(COOP, sender="nobody"))


def test_the_language_is_the_member_s_then_the_coop_s() -> None:
    spanish = replace(COOP, languages=("es",))
    assert welcome.language_of(member(language="en"), spanish) == "en"
    assert welcome.language_of(member(language="fr"), spanish) == "es"
    assert welcome.language_of(member(language="../en"), spanish) == "es"
    assert welcome.language_of(member(language=""), replace(COOP, languages=("xx",))) == "en"


def test_the_same_member_gets_the_same_words() -> None:
    one, other = (welcome.packet(member(), FIRST, COOP, TODAY, ("One.",)) for _ in range(2))
    assert (one.text, one.html, one.calendar, one.card, one.letter) == (
        other.text, other.html, other.calendar, other.card, other.letter,
    )  # fmt: skip
    assert one.message != other.message  # RFC 5322 3.6.4: a Message-ID is of one message only
