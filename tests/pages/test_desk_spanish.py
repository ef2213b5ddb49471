"""What tasks, rules and reports say is there in Spanish: sentence by sentence, and on every page of the desk."""

from __future__ import annotations

import csv
import re
import shutil
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from at_desk import BASE, PORT, AtDesk, Clock
from coop_forms import form
from starlette.testclient import TestClient

from onboard import catalogue
from onboard.audit.calls import topics
from onboard.clean import email, name, phone
from onboard.clean import name as names
from onboard.desk import desking, pages, sentences, words, work
from onboard.desk.place import Place
from onboard.desk.work import At
from onboard.errors import FileTrouble, Trouble
from onboard.lookup.words import _WORDS, QUESTIONS
from onboard.match.levels import FIELDS
from onboard.model import PersonName
from onboard.office import Office, open_office
from onboard.settings import DeskRule
from onboard.signin.causes import KINDS
from onboard.tasks.calls import ABOUTS, Ended, note_call
from onboard.tasks.correct_member import correct_member
from onboard.tasks.keep_audit import keep_audit
from onboard.tasks.process_batch import process_batch
from onboard.tasks.write_packets import write_packets

FACTS = Path(__file__).parent.parent / "facts"
TABLE = "sentences_spanish.tsv"


def english_in(text: str) -> list[str]:
    """The parts of what a task says that a Spanish page would tell in English."""
    return [said for said, is_english in sentences.parts(text, "es") if is_english]


def notes() -> Iterator[str]:
    """What the rules note about the facts that other tests hold them to, and what each kind is about."""
    for kind in catalogue.kinds():
        yield kind.about
    rules = (("emails", "input", email), ("names", "said", name), ("phones", "input", phone))
    for file, column, rule in rules:
        with (FACTS / f"{file}.csv").open(encoding="utf-8", newline="") as lines:
            for line in csv.DictReader(lines):
                for found in rule.clean(line[column]).findings:  # type: ignore[attr-defined]
                    yield found.note


def test_every_note_of_a_finding_is_told_in_spanish() -> None:
    left = {part: note for note in notes() for part in english_in(words.on_screen(note))}
    assert sorted(left) == []


def test_causes_calls_evidence_and_questions_are_told_in_spanish() -> None:
    said = [text for kind in KINDS for text in (kind.about, kind.ask, words.on_screen(kind.do))]
    said += [
        text
        for topic in topics().values()
        for text in (topic.why, topic.ask_member, topic.ask_host)
    ]
    said += [words_ for levels in FIELDS.values() for _, words_ in levels]
    said += [*_WORDS.values(), *QUESTIONS.values(), *ABOUTS.values()]
    assert sorted({part for text in said for part in english_in(text)}) == []


def test_no_sentence_is_there_twice_and_its_names_stay() -> None:
    text = Path(sentences.__file__).with_name(TABLE).read_text("utf-8")
    pairs = [line.split("\t") for line in text.splitlines() if not line.startswith("#")]
    twice = [english for english, many in Counter(e for e, _ in pairs).items() if many > 1]
    assert twice == []
    of_screens = words.spanish() | words.settings_spanish()
    assert [english for english, _ in pairs if english in of_screens] == []
    names = re.compile(r"\{\w+\}")
    assert [e for e, s in pairs if set(names.findall(e)) != set(names.findall(s))] == []
    assert not [s for _, s in pairs if re.search(r"\b(?:tú|tu|vosotros|ordenador)\b", s.lower())]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("", ""),
        ("Kim Vale", "Kim Vale"),
        # What somebody typed stays, also where it is a word of ours.
        ("“email” has a number in it.", "“email” tiene un número."),
        ("St. Brigid is closed. Ask which one.", "St. Brigid está cerrado. Pregunte cuál."),
        # Dates as the reader writes them.
        ("Last active on 2026-05-04.", "Última actividad: 4 may 2026."),
        ("Lake: the last window closed on Tuesday, December 1, 2026.",
         "Lake: el último período de pedido cerró el martes 1 de diciembre de 2026."),
        ("open until Mon, Dec 7, 2026, 8:30 AM", "abierto hasta el lun 7 dic 2026, 8:30 a.m."),
        # Several at once, each as long as the table has it.
        ("same first name, rare and same address", "mismo nombre, raro y misma dirección"),
        ("68% sure: same last name, rare: 1 in 100,000; against it: different email",
         "68% de seguridad: mismo apellido, raro: 1 de cada 100,000; en contra: otro correo electrónico"),
        ("- The ZIP code is missing. Ask for it.", "- Falta el código postal. Pídalo."),
        ("About Ana Ruiz, Kim Vale, 5 more.", "Sobre Ana Ruiz, Kim Vale y 5 más."),
        ("About Ana Ruiz, 1 more.", "Sobre Ana Ruiz y 1 más."),
        ("It is also the email address of Ana Ruiz (member 3). Ask Kim Vale by phone: do you read email there? "
         "Whoever reads it can sign in as them.",
         "También es el correo electrónico de Ana Ruiz (miembro 3). Pregunte a Kim Vale por teléfono: ¿lee usted el "
         "correo allí? Quien lo lea puede entrar en su lugar."),
        ("Another form of theirs says tq2@example.org or tq3@example.org. Ask which one is right.",
         "Otra solicitud suya dice tq2@example.org o tq3@example.org. Pregunte cuál está bien."),
        ("Robin decided: a new person (asked by phone)", "Robin decidió: una persona nueva (asked by phone)"),
        ("Robin decided: the same person as Ana Ruiz (member 3) (she married)",
         "Robin decidió: la misma persona que Ana Ruiz (miembro 3) (she married)"),
        ("drop site", "punto de entrega"),
        ("[[group]] “Hill” added", "[[group]] “Hill” agregado"),
        ("[site] host, [site] zip of “Ada Mill”", "[site] host, [site] zip de “Ada Mill”"),
    ],
)  # fmt: skip
def test_a_sentence_is_told_with_what_goes_into_it(said: str, told: str) -> None:
    whole = f"For it: {said}." if said.startswith("same") else said
    assert (
        sentences.plain(whole, "es")
        .removeprefix("A favor: ")
        .removesuffix("." if whole != said else "")
        == told
    )


def test_a_name_is_written_out_in_spanish() -> None:
    two = PersonName(
        "Ada", family="Quint", former="Soto", joint=(PersonName("Rue", family="Marsh"), PersonName("Inés", family="Gil"))
    )  # fmt: skip
    drawn = {
        language: pages.draw(
            "care_close",
            language,
            moved=SimpleNamespace(
                members=[SimpleNamespace(name=two, handle=SimpleNamespace(text="adaquint"), id=1)]
            ),
            told=[],
            member=1,
            finding=0,
        )
        for language in ("en", "es")
    }
    assert "Ada Quint (born Soto) and Rue Marsh and Inés Gil" in drawn["en"]
    assert "Ada Quint (antes Soto) y Rue Marsh e Inés Gil" in drawn["es"]
    assert names.shown_in(names.show(two), "es") == names.show(two, "es")


def test_no_drop_site_is_called_otherwise() -> None:
    said = (words.spanish() | words.table(TABLE) | words.settings_spanish()).values()
    assert not [one for one in said if re.search(r"sitios? de entrega", one.lower())]


def test_english_pages_say_what_tasks_say_with_days_as_people_write_them() -> None:
    assert sentences.plain("Email to it came back on Nov 9, 2026. {x}", "en").endswith("{x}")
    assert sentences.plain("Last active on 2026-05-04.", "en") == "Last active on May 4, 2026."


def test_what_nobody_can_tell_in_spanish_is_marked_and_nothing_typed_is_markup() -> None:
    told = sentences.told("Is <b> closed? Nobody wrote this down. There is no name.", "es")
    assert told == (
        '<span lang="en">Is &lt;b&gt; closed?</span> <span lang="en">Nobody wrote this down.</span> No hay nombre.'
    )


# ---------------------------------------------------------------- every page of the desk

# English words that are none in Spanish, with days and months as English has them: no Spanish page says one.
ENGLISH = frozenset(
    [
        "the",
        "of",
        "and",
        "is",
        "are",
        "was",
        "were",
        "been",
        "to",
        "with",
        "this",
        "that",
        "these",
        "their",
        "they",
        "them",
        "it",
        "its",
        "for",
        "from",
        "not",
        "by",
        "you",
        "your",
        "who",
        "whom",
        "which",
        "what",
        "when",
        "where",
        "or",
        "on",
        "an",
        "if",
        "then",
        "than",
        "there",
        "here",
        "have",
        "had",
        "does",
        "did",
        "do",
        "can",
        "could",
        "should",
        "would",
        "will",
        "must",
        "yes",
        "each",
        "every",
        "all",
        "any",
        "some",
        "one",
        "two",
        "before",
        "after",
        "again",
        "already",
        "closed",
        "opened",
        "wait",
        "waits",
        "waiting",
        "ask",
        "call",
        "answer",
        "write",
        "make",
        "made",
        "email",
        "letter",
        "mail",
        "phone",
        "address",
        "member",
        "members",
        "account",
        "nobody",
        "somebody",
        "Monday",
        "Tuesday",
        "Wednesday",
        "Thursday",
        "Friday",
        "Saturday",
        "Sunday",
        "Mon",
        "Tue",
        "Wed",
        "Thu",
        "Fri",
        "Sat",
        "Sun",
        "January",
        "February",
        "March",
        "April",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
        "Jan",
        "Apr",
        "Aug",
        "Dec",
        "merged",
        "standing",
        "sent",
    ]
)
OURS, END = "⟦", "⟧"  # around what the tables say: the rest of a page is what somebody typed
VOID = frozenset({"meta", "link", "input", "br", "img", "path", "circle", "line", "rect"})
TYPED = frozenset({"script", "style", "textarea", "pre"})


class Texts(HTMLParser):
    """What a page shows to eyes and ears, text by text. What is typed, or another's words, is left out."""

    def __init__(self) -> None:
        super().__init__()
        self.ours: list[str] = []
        self.english: list[str] = []
        self._within: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {key: value or "" for key, value in attrs}
        self.ours += [
            said[key] for key in ("aria-label", "alt", "title", "data-label") if key in said
        ]
        if tag in VOID:
            return
        how = ""
        if tag in TYPED or said.get("translate") == "no":
            how = "typed"
        elif said.get("lang", "es") != "es":
            # Words for somebody who speaks the other language: the script, the spelling, a button that changes it.
            is_for_them = {"script", "spelled"} & set(said.get("class", "").split())
            how = "typed" if is_for_them or tag in ("button", "summary", "a") else "english"
        self._within.append((tag, how))

    def handle_endtag(self, tag: str) -> None:
        while tag not in VOID and self._within and self._within.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        hows = {how for _, how in self._within}
        if data.strip() and "typed" not in hows:
            (self.english if "english" in hows else self.ours).append(data)


def left_of(page: str) -> list[str]:
    """The texts of a page in which English is left."""
    texts = Texts()
    texts.feed(page)
    found = [text for text in texts.english if text.strip("., ")]
    for text in texts.ours:
        typed = re.sub(
            f'{OURS}[^{OURS}{END}]*{END}|"[^"]*"|“[^”]*”|/\\S+', " ", text
        )  # a value, or a path
        if ENGLISH & set(re.findall(r"[A-Za-z']+", typed)):
            found.append(text)
    return [re.sub(f"[{OURS}{END}]", "", text).strip() for text in found]


def marked(read: Callable[[str], dict[str, str]]) -> Callable[[str], dict[str, str]]:
    """The tables with marks around what they say, but not around what goes into it."""

    def table(file: str) -> dict[str, str]:
        return {
            english: re.sub(r"(?:^|(?<=\}))[^{]+", lambda part: f"{OURS}{part[0]}{END}", spanish)
            for english, spanish in read(file).items()
        }

    return table


class AtOnce:
    """A work that is done where it is asked for, in this process."""

    def __init__(self, who: str, task: Callable[..., Any], *of: Any, again: str = "") -> None:
        self.number, self.who, self.at, self.done = "0" * 32, who, At.DONE, 0
        self.outcome, self.words = None, ""
        try:
            self.outcome = task(*of, progress=lambda done: None)
        except Trouble as trouble:
            self.at, self.words = At.FAILED, str(trouble)

    def result(self, seconds: float) -> Any:
        """What it came to."""
        if self.at is At.FAILED:
            raise FileTrouble(self.words)
        return self.outcome

    def stop(self) -> None:
        """It has ended."""


@pytest.fixture
def spanish_desk(
    decayed: Path, tmp_path: Path, clock: Clock, monkeypatch: pytest.MonkeyPatch
) -> Iterator[AtDesk]:
    """A desk in Spanish with something in each of its rooms; what its tables say is marked."""
    shutil.copytree(decayed, tmp_path, dirs_exist_ok=True)
    monkeypatch.setattr(words, "table", marked(words.table))
    monkeypatch.setattr(work, "Work", AtOnce)
    for cached in (words.spanish, words.settings_spanish, sentences.table, sentences._with_names):
        cached.cache_clear()
    settings = open_office(tmp_path / "onboard.toml", who="Robin", now=clock).settings
    settings = replace(settings, desk=DeskRule(may_reissue=("Robin",)))
    office = Office(settings, who="Robin", now=clock)
    come(office)
    place = Place.at_home(office, PORT)
    app = desking.make(place)
    made = AtDesk(app, place, TestClient(app, base_url=BASE, raise_server_exceptions=False), clock)
    made.sign_in()
    made.post("/language", language="es")
    yield made
    office.close()
    for cached in (words.spanish, words.settings_spanish, sentences.table, sentences._with_names):
        cached.cache_clear()


def come(office: Office) -> None:
    """Forms that are held and doubted, packets, a call, a correction, and an audit."""
    site, at = office.settings.sites[0].name, {"city": "Lima", "state": "OH", "zip": "45801"}
    rows = [
        {"full_name": "Quilla Farnsworth", "email": "quilla@example.org", "phone": "419-555-0143", "street": "12 N Main St"},
        {"full_name": "Kim Vale", "email": "kim@gmial.com", "phone": "419-555-0150", "street": "4 Oak St"},
        {"full_name": "Kim Vale", "phone": "419-555-0150", "street": "70 Fir Rd", "zip": "45701", "site": "nowhere"},
        {"full_name": "The Lee Household", "phone": "419-555-0199", "street": "", "zip": "4580"},
        {"full_name": "Test Test", "email": "test@test.com", "phone": "123", "street": "x", "city": ""},
        {"full_name": "Santa Claus", "email": "a@b", "phone": "555-0100", "street": "5th & High St"},
        {"full_name": "Opal Penn", "email": "opal@example.org", "phone": "222-234-5678", "zip": "99999", "consent": "maybe"},
    ]  # fmt: skip
    made = [form(line, **({"site": site} | at | row)) for line, row in enumerate(rows, 2)]
    process_batch(office, made, file="forms.csv", keep=True)
    write_packets(office)
    note_call(office, "member:3", ["typed.email"], Ended.OPEN, hand_to="Sam")
    correct_member(office, "member:5", {"phone": "419-555-0177"}, keep=True)
    keep_audit(office)


def shape(path: str) -> str:
    """A path without its numbers and keys, so that pages of one kind are counted as one."""
    return re.sub(r"[0-9a-f]{16,}|\d+", "N", path.partition("?")[0])


def walked(desk: AtDesk, most: int = 2) -> dict[str, str]:
    """The pages that links lead to from Today on, a few of each kind."""
    pages: dict[str, str] = {}
    seen: Counter[str] = Counter()
    ahead = ["/"]
    while ahead:
        path = ahead.pop(0)
        seen[shape(path)] += 1
        if path in pages or seen[shape(path)] > most:
            continue
        answer = desk.client.get(path)
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        assert answer.status_code < 500, path
        pages[path] = answer.text
        links = re.findall(r'href="(/[^"#]*)"', answer.text.replace("&amp;", "&"))
        ahead += [link for link in links if not link.startswith("/static")]
    return pages


def test_no_page_of_the_desk_in_spanish_says_anything_in_english(spanish_desk: AtDesk) -> None:
    pages = walked(spanish_desk) | asked(spanish_desk)
    assert len(pages) > 100
    left = {text: path for path, page in pages.items() for text in left_of(page)}
    assert not left, "\n".join(f"{path[:60]}: {text}" for text, path in left.items())


def asked(desk: AtDesk) -> dict[str, str]:
    """Pages that come of forms: previews, refusals, and what was found."""
    pages: dict[str, str] = {}

    def post(path: str, /, **typed: str | list[str]) -> str:
        answer = desk.post(path, **typed)
        assert answer.status_code < 500, path
        pages[f"{path} {typed}"] = answer.text
        return answer.text

    first = next(iter(re.findall(r"/calls/member/\d+", desk.client.get("/care").text)))
    # Someone calls.
    for said in (
        "Kim Vale",
        "Kim",
        "lopez",
        "qqqq",
        "the widow of Kim Vale, who died",
        "Quilla Farnsworth, no such site",
    ):
        post("/calls/found", said=said)
    for typed, page, what in (
        ("Quilla Farnsworth", "", "wrong password"), ("quilla@example.org", "https://shop.example.com", ""),
        ("quillafarnsworht1", "google", "too many tries"), ("QuillaFarnsworth ", "", "expired"), ("", "", "xyz"),
    ):  # fmt: skip
        post("/calls/member/161", typed=typed, page=page, said=what)
    post("/calls/member/161/note")
    post(
        "/calls/member/161/note",
        ended="open",
        about="order",
        note="the password is kiwi-apple-pear",
    )
    post("/calls/member/161/reissue", do="issue")
    post("/calls/member/161/reissue", do="issue", checked="mail")
    post("/calls/member/161/reissue", do="failed", checked="call-back")
    post("/calls/member/161/correct", do="preview")
    post(
        "/calls/member/161/correct",
        do="preview",
        email="pat@gmial.com",
        phone="555",
        zip="1",
        address="Main St",
        born="x",
        name="Q",
    )
    post(
        "/calls/member/161/correct",
        do="preview",
        email="quilla2@example.org",
        name="Farnsworth Moor, Quilla",
        born="1976-07-04",
        phone="614-234-9999",
    )
    post(
        "/calls/member/161/correct",
        do="preview",
        consent="no",
        remove=["phone", "address"],
        new_handle="yes",
        all_right="yes",
    )
    # New sign-ups.
    for file, content in FILES.items():
        for way, field in (("/sign-ups", "forms"), ("/care/lists", "members")):
            answer = desk.client.post(
                f"{way}/file",
                data={"csrf": desk.csrf},
                files={field: (file, content)},
                headers={"origin": BASE},
            )
            pages[f"{way} {file}"] = answer.text
            if '<select name="field"' in answer.text:
                columns = re.findall(r'name="heading" value="(\w+)"', answer.text)
                post(
                    answer.url.path,
                    heading=columns,
                    field=["full_name", "email", "phone", "street", "city", "zip", "site"],
                )
                post(answer.url.path, heading=columns, field=["-"] * 7)
            if way == "/sign-ups" and file == "forms.csv":
                post(f"{answer.url.path}/save")
    post("/sign-ups/file")
    for key in re.findall(r"/sign-ups/holds/(\w+)", desk.client.get("/sign-ups").text)[:4]:
        post(f"/sign-ups/holds/{key}")
        post(f"/sign-ups/holds/{key}", answer="same:99999")
        post(f"/sign-ups/holds/{key}", answer="wait")
        post(
            f"/sign-ups/holds/{key}",
            answer="enrol",
            **{"correct-zip": "99999", "correct-full_name": "???"},
        )
    # Roster care.
    for one, other in (("1", "2"), ("161", "161"), ("zzz", "1")):
        pages[f"merge {one}"] = desk.client.get(f"/care/merge?one={one}&other={other}").text
    post("/care/kinds/twice.certain/changes")
    for code in ("twice.certain", "fields.format", "access.no_handle"):
        numbers = re.findall(
            r'name="finding" value="(\d+)"', desk.client.get(f"/care/kinds/{code}").text
        )
        if numbers:
            post(f"/care/kinds/{code}/changes", finding=numbers[:3])
            post(f"/care/kinds/{code}/changes", finding=numbers[:3], do="save")
    post("/care/merge", one="3", other="4", do="save", why="x")
    post("/care/close", member="9")
    pages["close"] = desk.client.get("/care/close?member=9").text
    finding = re.findall(
        r"/care/findings/(\d+)", desk.client.get("/care/kinds/place.box_only").text
    )
    for number in finding[:1]:
        post(f"/care/findings/{number}", to="left", version="0")
        post(f"/care/findings/{number}", to="left", version="0", why="so")
        post(f"/care/findings/{number}", to="left", version="0", why="so")
    for change in re.findall(r'href="/care/changes/(\d+)"', desk.client.get("/care/changes").text):
        pages[f"undo {change}"] = desk.client.get(f"/care/changes/{change}").text
        post(f"/care/changes/{change}")
    pages["no change"] = desk.client.get("/care/changes/999").text
    # Mail.
    for path in (
        "/mail/send",
        "/mail",
        "/mail/reminders",
        "/windows?near=45801",
        "/windows?near=Springfield",
        "/windows?near=qqq",
    ):
        pages[path] = desk.client.get(path).text
    post("/mail/send")
    post("/mail/test", to="x")
    for number in re.findall(r"/mail/question/(\d+)", desk.client.get("/mail").text)[:2]:
        post(f"/mail/question/{number}", do="other")
        post(f"/mail/question/{number}", do="other", email="a@b")
    post("/mail/mailed")
    post("/mail/reminders")
    post("/mail/tell")
    # Settings and people.
    for table, typed in WRONG.items():
        path = f"/settings/part/{table}"
        kept = dict(
            re.findall(r'name="(version|was|of)" value="([^"]*)"', desk.client.get(path).text)
        )
        post(
            path,
            **{key: unescape(value) for key, value in kept.items()},
            **{f"f-{key}": said for key, said in typed.items()},
        )
    for part in ("copy", "delete"):
        post(f"/settings/{part}")
        post(f"/settings/{part}", member="zzz", sure="yes")
    post("/settings/delete", member="161", sure="yes")
    post("/settings/delete", member="161", sure="yes", do="delete", again="x")
    post("/settings/delete", member="161", sure="yes", do="delete", again="quillafarnsworth")
    for query in ("member=zzz", "day=2026-13-40", ""):
        pages[f"log {query}"] = desk.client.get(f"/settings/change-log?{query}").text
    for step in ("name", "pages", "reach", "group", "site", "mail", "form"):
        pages[step] = desk.client.get(f"/settings/first-steps/step/{step}").text
    post("/staff/invite", name="", role="owner")
    post("/staff/invite", name="Sam Moor", role="owner")
    post("/staff/1/close")
    for path in (
        "/nowhere",
        "/mail/message/999",
        "/sign-ups/files/x",
    ):
        pages[path] = desk.client.get(path).text
    pages["first"] = desk.client.get(first).text
    return pages


FILES = {
    "forms.csv": (
        b"Name,Email,Phone,Street,City,ZIP,Site\nMarla Quist,marla@gmial.com,419-555-0123,1 Elm St,Lima,45801,\n"
        b"JOHN PENN,x,5,Main St,Lima,4580,nowhere\n,,,,,,\nName,Email,Phone,Street,City,ZIP,Site\nTest Test,,,,,,\n"
        b"Quilla Farnsworth,quilla@example.org,419-555-0143,12 N Main St,Lima,45801,\n"
    ),
    "odd.csv": b"Alpha,Beta\nPat Lee,x\nKim Vale,y\n",
    "empty.csv": b"",
    "forms.pdf": b"%PDF-1.4 ...",
}
# What may be typed wrong in each part of the settings.
WRONG: dict[str, dict[str, str]] = {
    "coop": {"name": "", "ordering_page": "x", "shop_page": "y", "sender": "z", "region": "usa", "reply_phone": "5", "postal_address": "", "time_zone": "Eastern"},
    "windows": {"starts": "x", "rest": "Junk", "opens": "never", "closes": "whenever", "opens_at": "25", "holidays": "XX", "rotation": "Nobody"},
    "reminders": {"before_open": "99", "question": "no such", "unsubscribe_page": "x"},
    "mail": {"host": "a b", "port": "0", "security": "none", "bounces_to": "x", "selector": "a b"},
    "mailbox": {"host": "a b", "port": "99999", "security": "none"},
    "look": {"color": "red", "logo": "x.gif"},
    "guide": {"page": "x"},
    "handle": {"longest": "1", "reserved": "x"},
    "first_password": {"words": "1", "valid_days": "0", "longest_days": "0"},
    "desk": {"tries": "0", "settle_days": "999", "proxy": "x"},
    "host_sheet": {"phone_question": "none such"},
    "audit": {"due_days": "-1", "site_least": "0", "site_most": "0"},
    "porch": {"within_days": "0", "keys": "x", "origins": "y"},
    "group": {"name": "Lake"},
    "site": {"name": "", "zip": "1", "group": "None", "host_phone": "2"},
}  # fmt: skip
