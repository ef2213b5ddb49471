"""The join page, without a browser: what it asks, what it keeps, what it does with a second hand-in and with spam."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from at_porch import AtPorch, porch
from plain_words import english_grade, spanish_ease, spanish_inflesz

from onboard import spool
from onboard.clean import consent
from onboard.intake import from_porch
from onboard.porch import near, words
from onboard.settings import GuideRule
from onboard.web.rates import Rate

QUESTION = "q0"
PAT = {
    "lang": "en", "state": "WI", "zip": "54665", "site": "Viroqua Grange Hall", "given": "Pat", "family": "Lee",
    "email": "pat@example.org", "consent": "yes", "language": "en", "phone": "608 234 5678", "street": "1 Main St",
    "city": "Viroqua", QUESTION: "A friend",
}  # fmt: skip


@pytest.fixture
def here(tmp_path: Path) -> Iterator[AtPorch]:
    """A porch."""
    with porch(tmp_path) as one:
        yield one


def ticket(here: AtPorch) -> str:
    """That of a new form."""
    found = re.search(r'name="ticket" value="([^"]+)"', here.client.get("/join").text)
    assert found
    return found[1]


def send(here: AtPorch, step: str = "send", **typed: str) -> Any:
    """Send a form on, some time after it was opened."""
    if "ticket" not in typed:
        typed["ticket"] = ticket(here)
        here.clock.passes(60)
    return here.client.post("/join", data=PAT | {"step": step, "at": "check"} | typed)


def entries(here: AtPorch) -> list[dict[str, str]]:
    """What waits in the spool, by field."""
    return [
        {one.field: one.said for one in entry.answers} for entry in spool.look(here.folder).entries
    ]


# ---------------------------------------------------------------- the way through


def test_a_sign_up_is_kept_in_the_words_in_which_it_was_asked(here: AtPorch) -> None:
    answer = send(
        here,
        given="Ana",
        family="Núñez",
        second_family="Ortiz",
        lang="es",
        language="es",
        email="ana@example.org",
    )
    assert answer.status_code == 303
    (entry,) = spool.look(here.folder).entries
    asked = {one.field: (one.asked, one.said) for one in entry.answers}
    assert asked["consent"] == (words.say("consent", "es"), "Sí, me pueden escribir por correo.")
    assert asked["language"][1] == "Español"
    (row,) = from_porch.rows([entry])
    assert row.fields["second_family"] == "Ortiz"
    assert row.fields["extra:How did you hear about us?"] == "A friend"
    shown = here.client.get(answer.headers["location"]).text
    assert "Gracias" in shown
    assert "Viroqua Grange Hall" in shown
    assert "Ana" not in shown + answer.headers["location"]  # the page may be bookmarked


@pytest.mark.parametrize(
    ("lang", "said", "means"),
    [("en", "yes", True), ("en", "no", False), ("es", "yes", True), ("es", "no", False)],
)
def test_a_batch_reads_the_words_of_consent_without_a_question(
    lang: str, said: str, means: bool
) -> None:
    cleaned = consent.clean(words.say(f"consent.{said}", lang))
    assert (cleaned.value, cleaned.findings) == (means, ())


def test_the_bare_name_of_the_porch_leads_to_the_form(here: AtPorch) -> None:
    answer = here.client.get("/", follow_redirects=True)
    assert answer.status_code == 200
    assert "Join" in answer.text
    assert answer.url.path == "/join"


@pytest.mark.parametrize(
    "path", ["/join", "/join/", "/join/thanks?site=0", "/static/porch.css", "/"]
)
def test_a_page_is_there_for_whoever_asks_for_its_head_alone(here: AtPorch, path: str) -> None:
    whole, head = here.client.get(path), here.client.head(path)
    assert whole.status_code == head.status_code == (303 if path in ("/", "/join/") else 200)
    assert head.headers["content-length"] == whole.headers["content-length"]
    assert head.content == b""
    # Where it leads says nothing of how the porch is reached, which a proxy alone knows.
    assert whole.headers.get("location", "/join") == "/join"


def test_nothing_is_ticked_before_somebody_does(here: AtPorch) -> None:
    page = send(here, "find", site="", consent="", language="").text
    boxes = re.findall(r'<input type="(?:radio|checkbox)" id="([^"]+)"[^>]*checked', page)
    assert boxes == ["language-en"]  # that of the page
    assert "onpaste" not in page


def test_sites_are_shown_by_distance_with_group_and_days(here: AtPorch) -> None:
    page = unescape(send(here, "find").text)
    shown = re.findall(r"<b>([^<]+)</b>", page)
    assert shown[0] == "Viroqua Grange Hall – 1 mile or less away"
    miles = [int(found.replace(",", "")) for found in re.findall(r"about ([\d,]+) miles", page)]
    assert miles == sorted(miles)
    assert "Ordering group: Bluff. Not open now. Opens Friday, December 4." in page
    assert "Ingrid Solheim" not in page  # hosts are shown only if the settings say so
    assert "Decorah Rail Depot" not in page  # it is closed


def test_the_host_is_shown_as_the_settings_allow(here: AtPorch) -> None:
    coop = replace(here.place.settings, guide=GuideRule(shows=("host", "phone")))
    first = near.choices(coop, "WI", "54665", here.clock(), "es").near[0]
    assert first.host == "Ingrid Solheim, (608) 555-0101"
    assert first.where == "Viroqua, WI 54665"
    assert first.far == "a 1 milla o menos"


def test_an_unknown_zip_code_shows_the_sites_of_the_state_first(here: AtPorch) -> None:
    found = near.choices(here.place.settings, "VT", "99999", here.clock(), "en")
    assert [one.where[-2:] for one in found.near[:2]] == ["VT", "VT"]
    assert near.choices(here.place.settings, "FL", "33101", here.clock(), "en").is_far
    assert "We don’t know that ZIP code" in unescape(send(here, "find", zip="99999").text)


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        ({"state": "", "zip": ""}, ["state", "zip"]), ({"zip": "5466"}, ["zip"]), ({"state": "XX"}, ["state"]),
        ({"zip": "٥٤٦٦٥"}, ["zip"]),  # digits, but not those of a ZIP code
        ({"site": ""}, ["site"]), ({"site": "Decorah Rail Depot"}, ["site"]), ({"given": "", "family": " "}, ["given"]),
        ({"email": ""}, ["email"]), ({"email": "pat"}, ["email"]), ({"consent": ""}, ["consent"]),
        ({"consent": "on"}, ["consent"]), ({"email": "", "no_email": "yes", "street": "", "city": ""}, ["street", "city"]),
        ({"notes": "x" * 2001}, ["notes"]), ({"given": "x" * 301}, ["given"]),
    ],
)  # fmt: skip
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_refused_form_comes_back_as_it_was_typed(
    here: AtPorch, typed: dict[str, str], fields: list[str], lang: str
) -> None:
    answer = send(here, **typed, lang=lang)
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert f"<title>{words.say('error', lang)} " in page
    summary = page[page.index('class="summary"') : page.index("</ul>")]
    assert re.findall(r'href="#([^"]+)"', summary) == fields
    for field in fields:
        assert f'id="{field}"' in page
        assert f'id="{field}-wrong"' in page
    for name, said in (PAT | typed).items():
        if name in ("lang", "consent", "site", "language", "state") or not said.strip():
            continue
        assert f'value="{said}"' in page or f">{said}</textarea>" in page, name
    assert entries(here) == []


@pytest.mark.parametrize(
    "typed",
    [{"family": ""}, {"given": "", "family": "Suharto"}, {"phone": ""}, {"phone": "ask my sister"}, {"street": "", "city": ""}, {"site": "-"},
     {"email": "", "no_email": "yes", "consent": ""}, {"zip": "54665-1234"}, {"given": "Q"}, {QUESTION: ""}, {"consent": "no"}],
)  # fmt: skip
def test_what_is_only_doubtful_goes_on(here: AtPorch, typed: dict[str, str]) -> None:
    assert send(here, **typed).status_code == 303


def test_a_likely_typo_is_asked_about_and_can_be_taken(here: AtPorch) -> None:
    first = unescape(send(here, "check", email="pat@gmial.com").text)
    assert "Did you mean pat@gmail.com?" in first
    taken = unescape(send(here, "use:email", email="pat@gmial.com").text)
    assert '<p class="big">pat@gmail.com</p>' in taken
    assert "Did you mean" not in taken
    assert send(here, email="pat@gmial.com").status_code == 303  # or be let pass
    assert entries(here)[0]["email"] == "pat@gmial.com"


def test_somebody_without_email_is_helped(here: AtPorch) -> None:
    assert (
        send(
            here,
            email="",
            no_email="yes",
            consent="",
            helper="Kim Vale",
            helper_phone="608-234-9999",
            notes="I sing.",
        ).status_code
        == 303
    )
    (said,) = entries(here)
    assert said["notes"] == "Who helps you? Kim Vale 608-234-9999\nI sing."
    assert "consent" not in said  # it was not asked
    assert "email" not in said


def test_changing_the_language_loses_nothing(here: AtPorch) -> None:
    page = unescape(send(here, "speak", at="form").text)
    assert '<html lang="es">' in page
    assert 'value="pat@example.org"' in page
    assert 'value="Viroqua Grange Hall" checked' in page


# ---------------------------------------------------------------- once, and by people


def test_a_second_press_of_the_button_is_one_sign_up(here: AtPorch) -> None:
    mine = ticket(here)
    here.clock.passes(60)
    answers = [send(here, ticket=mine) for _ in range(3)]
    assert {(one.status_code, one.headers["location"]) for one in answers} == {
        (303, "/join/thanks?lang=en&site=0")
    }
    assert len(entries(here)) == 1
    # Back, and a change: the last one counts. Another name is another person at the same page.
    send(here, ticket=mine, phone="608 234 0000")
    assert [one["phone"] for one in entries(here)] == ["608 234 0000"]
    send(here, ticket=mine, given="Kim")
    assert [one["given"] for one in entries(here)] == ["Pat", "Kim"]


@pytest.mark.parametrize(
    ("typed", "says"),
    [({"website": "https://spam.example"}, "spam.box"), ({"ticket": ""}, "spam.old"), ({"ticket": "1.x.y"}, "spam.old"), ({"ticket": "quick"}, "spam.quick")],
)  # fmt: skip
def test_a_person_who_is_taken_for_a_program_is_told_what_to_do(
    here: AtPorch, typed: dict[str, str], says: str
) -> None:
    if typed.get("ticket") == "quick":
        typed = {"ticket": ticket(here)}
    answer = send(here, **typed)
    assert answer.status_code == 422
    page = unescape(answer.text)
    assert words.say(says, "en", send=words.say("send", "en")) in page
    assert entries(here) == []
    # They press once more, as they were told.
    again = re.search(r'name="ticket" value="([^"]+)"', page)
    assert again
    here.clock.passes(10)
    assert send(here, ticket=again[1]).status_code == 303
    assert len(entries(here)) == 1


def test_a_ticket_grows_old(here: AtPorch) -> None:
    mine = ticket(here)
    here.clock.passes(31 * 86_400)
    assert send(here, ticket=mine).status_code == 422


def test_many_from_one_connection_are_told_how_long_to_wait(here: AtPorch) -> None:
    here.place.sign_ups = Rate(2, 3600)
    assert [send(here, given=f"Pat{'abc'[n]}").status_code for n in range(3)] == [303, 303, 429]
    page = unescape(send(here, given="Paz").text)
    assert "wait 31 minutes" in page or "wait 30 minutes" in page
    assert "608-555-0100" in page
    assert 'value="pat@example.org"' in page
    assert len(entries(here)) == 2


def test_when_the_disk_takes_nothing_nobody_is_thanked(
    here: AtPorch, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(spool, "add", full)
    answer = send(here)
    assert answer.status_code == 503
    assert "Nothing is lost" in answer.text
    assert 'value="pat@example.org"' in answer.text


# ---------------------------------------------------------------- hostile


MARKUP = '"><script>alert(1)</script>{{7*7}}'


@pytest.mark.parametrize(
    "step", ["find", "check", "send", "where", "form", "speak", "use:email", "nothing"]
)
def test_markup_is_shown_as_it_was_typed(here: AtPorch, step: str) -> None:
    fields = dict.fromkeys(
        (
            "given",
            "family",
            "second_family",
            "phone",
            "street",
            "city",
            "notes",
            QUESTION,
            "helper",
            "unit",
        ),
        MARKUP,
    )
    for more in (
        {},
        {"email": MARKUP},
        {"state": MARKUP},
        {"site": MARKUP},
        {"at": MARKUP},
        {"lang": MARKUP},
        {"ticket": MARKUP},
    ):
        page = send(here, step, **(fields | more)).text
        assert "<script>alert" not in page
        assert "49" not in page.replace(MARKUP, "") or "{{7*7}}" in unescape(page)


@pytest.mark.parametrize(
    ("status", "ask"),
    [
        (404, {"method": "GET", "url": "/nothing"}), (404, {"method": "GET", "url": "/static/../join.py"}),
        (404, {"method": "GET", "url": "/static/words.tsv"}), (405, {"method": "DELETE", "url": "/join"}),
        (421, {"method": "GET", "url": "/join", "headers": {"host": "evil.example.org"}}),
        (413, {"method": "POST", "url": "/join", "data": {"notes": "x" * 10_000_000}}),
        (400, {"method": "POST", "url": "/join", "files": {"x": b"1"}}),
        (400, {"method": "POST", "url": "/join", "content": "&".join(f"f{n}=1" for n in range(500)).encode(), "headers": {"content-type": "application/x-www-form-urlencoded"}}),
        (404, {"method": "GET", "url": "/join/thanks?site=x"}),
    ],
)  # fmt: skip
def test_all_trouble_of_the_page_has_one_page(
    here: AtPorch, status: int, ask: dict[str, Any]
) -> None:
    answer = here.client.request(**ask)
    assert answer.status_code == status
    assert "608-555-0100" in answer.text
    assert 'href="/join?lang=en"' in answer.text


def test_thanks_for_a_site_that_is_not_there_is_thanks(here: AtPorch) -> None:
    for site in ("-1", "99999", "-99999"):
        assert here.client.get(f"/join/thanks?site={site}").status_code == 200


def test_letters_that_nobody_sees_stay_out(here: AtPorch) -> None:
    send(here, given="Pat\x00\x1b[2J\r\nX", notes="a\r\nb\x07")
    (said,) = entries(here)
    assert said["given"] == "Pat[2J X"
    assert said["notes"] == "a\nb"


# ---------------------------------------------------------------- words


def test_each_word_is_in_both_languages_with_the_same_values() -> None:
    for key, (english, spanish) in words.table().items():
        assert english, key
        assert spanish, key
        assert sorted(re.findall(r"\{\w+\}", english)) == sorted(re.findall(r"\{\w+\}", spanish)), (
            key
        )


class _Words(HTMLParser):
    """The text of a page, a sentence for each block."""

    ENDS = ("p", "li", "h1", "h2", "legend", "label", "span", "button", "summary", "dt", "dd", "b")

    def __init__(self) -> None:
        super().__init__()
        self.out: list[str] = [""]
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        self.hidden += tag in ("script", "style", "title", "select")
        if tag in self.ENDS:
            self.out.append("")

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("script", "style", "title", "select")
        if tag in self.ENDS:
            self.out.append("")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.out[-1] += data


def _prose(page: str) -> str:
    parser = _Words()
    parser.feed(page)
    lines = [" ".join(line.split()) for line in parser.out]
    lines = [re.sub(r"\S+@\S+|\S+\.example\S*|[\d-]{8,}", "page", line) for line in lines if line]
    return " ".join(line if line[-1] in ".?!:" else f"{line}." for line in lines)


def test_the_words_are_for_a_twelve_year_old(
    here: AtPorch, monkeypatch: pytest.MonkeyPatch
) -> None:
    for lang in ("en", "es"):
        pages = [
            here.client.get(f"/join?lang={lang}").text,
            here.client.get(f"/join/thanks?lang={lang}&site=0").text,
        ]
        pages += [send(here, step, lang=lang).text for step in ("find", "check")]
        pages.append(send(here, "find", lang=lang, state="").text)
        pages.append(send(here, lang=lang, site="", given="", family="", email="", consent="").text)
        pages.append(send(here, lang=lang, website="x").text)
        for page in map(_prose, pages):
            if lang == "en":
                assert english_grade(page) <= 6, page
            else:
                assert spanish_ease(page) >= 70, page
                assert spanish_inflesz(page) >= 65, page


# ---------------------------------------------------------------- a place that does not go together


@pytest.mark.parametrize(
    ("step", "typed", "on", "at", "says"),
    [
        ("find", {"state": "VT", "zip": "03755", "city": ""}, "where", "zip", "ZIP code 03755 is for Hanover, NH. You picked VT."),
        ("find", {"state": "IA", "zip": "54665-1234"}, "where", "zip", "ZIP code 54665 is for Viroqua, WI. You picked IA."),
        ("check", {"city": "Norwich", "state": "NH", "zip": "03755"}, "form", "city", "ZIP code 03755 is for Hanover, NH. You typed Norwich."),
        ("check", {"city": "Madison"}, "form", "city", "ZIP code 54665 is for Viroqua, WI. You typed Madison."),
    ],
)  # fmt: skip
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_place_that_is_two_is_asked_about_where_it_is_typed(
    here: AtPorch, step: str, typed: dict[str, str], on: str, at: str, says: str, lang: str
) -> None:
    first = send(here, step, at=on, lang=lang, **typed)
    assert first.status_code == 200  # a question, not a mistake
    shown = unescape(first.text)
    assert f"<title>{words.say('ask', lang)} " in shown
    assert f'name="at" value="{on}"' in shown
    assert f'id="{at}-wrong"' in shown
    if lang == "en":
        assert says in shown
    asked = re.search(r'name="asked" value="([^"]+)"', shown)
    assert asked
    # They say that it is right, and go on.
    again = unescape(send(here, step, at=on, lang=lang, asked=asked[1], **typed).text)
    after = {"where": "form", "form": "check"}[on]
    assert f'name="at" value="{after}"' in again
    # Another place is another question.
    other = send(here, "find", at="where", asked=asked[1], lang=lang, state="TX")
    assert words.say("ask", lang) in unescape(other.text)


@pytest.mark.parametrize(
    "place",
    [{"state": "VT", "zip": "03755", "city": ""}, {"state": "VT", "zip": "03755", "city": "Norwich"}, {"city": "Madison"},
     {"zip": "99999", "city": ""}, {"state": "NM", "zip": "85621-0001", "city": "Nogales"}],
)  # fmt: skip
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_place_that_was_asked_about_is_not_asked_about_once_more(
    here: AtPorch, place: dict[str, str], lang: str
) -> None:
    place = place | {"lang": lang, "site": "-"}

    def press(step: str, at: str, **more: str) -> str:
        shown = unescape(send(here, step, at=at, **place | more).text)
        found = re.search(r'name="asked" value="([^"]+)"', shown)
        place["asked"] = found[1] if found else ""
        return shown

    while 'name="at" value="where"' in press("find", "where"):
        pass
    while 'name="at" value="form"' in (shown := press("check", "form")):
        pass
    assert words.say("title.check", lang) in shown
    assert words.say("check.doubts", lang) not in shown
    # Who goes back and changes something else hears of that alone.
    doubt = press("check", "form", email="a@gmial.com").partition('id="doubts"')[2]
    assert doubt.partition("<dl")[0].count("<li>") == 1
    assert "a@gmail.com" in doubt


def test_who_went_on_with_a_zip_code_of_another_state_is_not_asked_about_the_town(
    here: AtPorch,
) -> None:
    page = send(here, "check", at="form", state="VT", zip="03755", city="Norwich").text
    assert 'name="at" value="check"' in page


@pytest.mark.parametrize(
    "typed",
    [{"city": ""}, {"city": "viroqua"}, {"city": "Cridersville", "zip": "45806", "state": "OH"}, {"zip": "99999"},
     {"zip": "03756", "state": "NH", "city": "Dartmouth Hitchcock Med Ctr"}, {"zip": "49506", "state": "MI", "city": "East Grand Ra"},
     {"zip": "00901", "state": "PR", "city": "San Juan"}, {"zip": "06390", "state": "NY", "city": "Fishers Island"}],
)  # fmt: skip
def test_a_place_that_goes_together_is_not_asked_about(
    here: AtPorch, typed: dict[str, str]
) -> None:
    assert 'name="at" value="form"' in send(here, "find", at="where", **typed).text
    assert 'name="at" value="check"' in send(here, "check", at="form", **typed).text


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_doubt_on_the_last_page_names_what_it_is_about(here: AtPorch, lang: str) -> None:
    page = unescape(send(here, "check", lang=lang, phone="608-555-0123").text)
    doubt = page[page.index('id="doubts"') : page.index("<dl")]
    assert {"en": "A phone number like", "es": "Un teléfono como"}[lang] in doubt
    assert "608" in doubt


def test_after_a_batch_and_a_restart_a_second_press_gets_the_same_answer_and_is_no_second_sign_up(
    here: AtPorch, tmp_path: Path
) -> None:
    mine = ticket(here)
    here.clock.passes(60)
    first = send(here, ticket=mine)
    here.place.close()
    found, files = spool.take(here.folder)
    spool.done(here.folder, files, found)
    with porch(tmp_path) as again:
        again.clock.at = here.clock.at
        second = send(again, ticket=mine)
        assert entries(again) == []
    for answer in (first, second):
        answer.headers.pop("date", None)
    assert (first.status_code, first.content, first.headers) == (
        second.status_code, second.content, second.headers,
    )  # fmt: skip
