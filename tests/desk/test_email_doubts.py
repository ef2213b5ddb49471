"""No temporary password goes to an email address that is in doubt, and each doubt can be settled."""

from __future__ import annotations

import csv
import re
import shlex
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import listed
import pytest
from cli.office import HEADINGS, SETTINGS, Said, onboard, program, write_csv
from cli.office import PAT as PATS_LINE
from coop_forms import PAT, ROBIN, form, office_of
from python_calamine import CalamineWorkbook
from welcome.mail_server import Box, listening

from onboard.clean import email
from onboard.clean.email import kinds
from onboard.mail import post
from onboard.model import Answer, Need, Owner, Ruling, State, Way
from onboard.office import Office
from onboard.roster import search, store, tables
from onboard.settings import DeskRule, Settings
from onboard.tasks import email_doubts
from onboard.tasks.correct_member import correct_member
from onboard.tasks.mail_stands import mail_stands
from onboard.tasks.process_batch import process_batch
from onboard.tasks.reissue import reissue
from onboard.tasks.send_packets import send_packets
from onboard.tasks.settle_email import settle_email
from onboard.tasks.today import today
from onboard.tasks.write_packets import write_packets


def test_every_kind_says_whether_it_doubts_where_an_email_goes() -> None:
    """A new kind must be put into one of the two, or leave no address."""
    for kind in kinds.KINDS:
        doubted = kind.code in kinds.DOUBTS_WHERE_IT_GOES
        sure = kind.code in kinds.GOES_WHERE_IT_SAYS
        if email.clean(kind.wrong).value is not None:
            assert doubted != sure, kind.code
        else:
            assert not sure, kind.code


# What several forms of one member say of their email, the address that is used, and whether it is in doubt.
FORMS = [
    (("pat.lee@example.org",), "", ""),
    (("Pat Lee <pat.lee@example.org>",), "", ""),
    (("pat.lee@gmail.con",), "looks like a typo", "pat.lee@gmail.com"),
    (("pat.lee@hotmial.com",), "looks like a typo", "pat.lee@hotmail.com"),
    (("pat.lee@gmail.con", "pat.lee@gmail.com"), "looks like a typo", "pat.lee@gmail.com"),
    (("pat.lee@gmail.com", "pat.lee@gmail.con"), "", ""),
    (("p.lee@example.net; pat.lee@gmail.con",), "Ask which one", "pat.lee@gmail.com"),
    (("pat.lee@example.org or p.lee@example.net",), "Ask which one", "p.lee@example.net"),
    (("pat (at) example (dot) org",), "was read as", ""),
    (("pat (at) example (dot) org", "pat@example.org"), "", ""),
    (("pat.lee@example.org", "pat.lea@example.org"), "Another form", "pat.lea@example.org"),
    (("pat.lee@example.org", "plee@example.net"), "Another form", "plee@example.net"),
    (("pat.lee@example.org", "none@none.com"), "", ""),
    (("www.pat@example.org",), "web pages", "pat@example.org"),
    (("office@example.org",), "a job or a group", ""),
    (("pat.lee@example.org until June",), "it says", ""),
]  # fmt: skip


@pytest.fixture
def at(coop: Settings, tmp_path: Path) -> Callable[..., Office]:
    """An office with a member whose forms gave these emails; no packet is made yet."""

    def with_emails(*emails: str, **more: str) -> Office:
        engine = store.open_store(f"sqlite:///{tmp_path / 'roster.db'}")
        office = office_of(coop, engine, ROBIN)
        rows = [form(n, **(PAT | {"email": said} | more)) for n, said in enumerate(emails, 2)]
        for row in rows:  # a form that is like them in all else is theirs
            process_batch(office, [row], file="forms.csv", keep=True)
        with store.reading(engine) as connection:
            held = list(search.held(connection))
        same = [Ruling(row.key, Answer.SAME, "Robin", member=Owner.of_member(1)) for row in held]
        process_batch(office, (), file="", keep=True, rulings=same)
        return office

    return with_emails


def emails_in(office: Office) -> list[str]:
    return sorted(file.name for file in office.settings.outbox.glob("*.eml"))


def packet(office: Office) -> State | None:
    return listed.packet(office.to_look())


@pytest.mark.parametrize(("emails", "asked", "suggestion"), FORMS)
def test_a_packet_waits_while_its_email_address_is_in_doubt(
    at: Callable[..., Office], emails: tuple[str, ...], asked: str, suggestion: str
) -> None:
    office = at(*emails)
    done = write_packets(office)
    if not asked:
        assert (packet(office), emails_in(office)) == (State.WRITTEN, ["patlee.eml"])
        assert email_doubts.questions(office) == done.asked == []
        return
    assert (packet(office), emails_in(office)) == (State.WAITING, [])
    assert list(office.settings.outbox.glob("*.pdf")) == []
    (question,) = email_doubts.questions(office)
    assert [one.doubt for one in done.asked] == [question.doubt]
    assert asked in " ".join(question.doubt.notes)
    assert question.doubt.suggestions[:1] == ((suggestion,) if suggestion else ())
    assert email_doubts.questions(office) == [question], "it stands until it is answered"
    assert write_packets(office).written == []


def test_who_opted_out_of_email_gets_a_letter_whatever_the_address(
    at: Callable[..., Office],
) -> None:
    office = at("pat.lee@gmail.con", consent="no")
    assert write_packets(office).by_letter_only == ["patlee"]
    assert (packet(office), emails_in(office)) == (State.WRITTEN, [])


# ---------------------------------------------------------------- settled


def right(office: Office) -> None:
    settle_email(office, Ruling("patlee", Answer.RIGHT, "Robin"))


def another(office: Office) -> None:
    settle_email(
        office, Ruling("patlee", Answer.RIGHT, "Robin", corrections={"email": "pat@example.org"})
    )


def correct(office: Office) -> None:
    done = correct_member(office, "patlee", {"email": "pat@example.org"}, keep=True)
    assert done.packet_due
    assert (done.notices, done.to_do) == ((), ()), "nothing ever went to the one that was wrong"


def letter(office: Office) -> None:
    settle_email(office, Ruling("patlee", Answer.LETTER, "Robin"))


@pytest.mark.parametrize("written_before", [True, False])
@pytest.mark.parametrize(
    ("settle", "to"),
    [
        (right, "pat.lee@gmail.con"),
        (another, "pat@example.org"),
        (correct, "pat@example.org"),
        (letter, ""),
    ],
)
def test_an_answer_lets_the_packet_go(
    at: Callable[..., Office], settle: Callable[[Office], None], to: str, written_before: bool
) -> None:
    office = at("pat.lee@gmail.con", "pat.lee@gmail.com")
    if written_before:
        write_packets(office)
    settle(office)
    assert email_doubts.questions(office) == []
    done = write_packets(office)
    assert done.asked == []
    assert packet(office) is State.WRITTEN
    (line,) = [one for one in listed.lines(office.to_look()) if one.state is not State.VOID]
    assert line.way is (Way.EMAIL if to else Way.LETTER)
    told = [one.outcome for one in send_packets(office, really=False)]
    assert [one.to for one in told if isinstance(one, post.Ready)] == ([to] if to else [])
    assert len(told) == len(emails_in(office)) == bool(to)


@pytest.mark.parametrize("settle", [right, another, correct, letter])
def test_a_preview_counts_a_packet_to_make_as_soon_as_the_answer_came(
    at: Callable[..., Office], settle: Callable[[Office], None]
) -> None:
    office = at("pat.lee@gmail.con")
    write_packets(office)
    assert mail_stands(office).counts == {State.WAITING: 1}
    assert Need.MAKE not in {one.need for one in today(office)}
    settle(office)
    counts = mail_stands(office).counts
    assert (counts[State.DUE], counts.get(State.WAITING, 0)) == (1, 0)
    assert {one.need: one.count for one in today(office)}[Need.MAKE] == 1
    assert write_packets(office).written == ["patlee"]


def test_another_address_that_is_wrong_too_is_asked_about(at: Callable[..., Office]) -> None:
    office = at("pat.lee@gmail.con")
    ruling = Ruling("patlee", Answer.RIGHT, "Robin", corrections={"email": "pat.lee@gmial.com"})
    assert settle_email(office, ruling).still_asked
    write_packets(office)
    assert packet(office) is State.WAITING
    assert email_doubts.questions(office)[0].doubt.address == "pat.lee@gmial.com"


def test_a_correction_of_a_sound_address_still_waits_for_a_check(at: Callable[..., Office]) -> None:
    office = at("pat.lee@example.org")
    write_packets(office)
    assert correct_member(office, "patlee", {"email": "new@gmail.con"}, keep=True).notices
    assert packet(office) is State.WAITING
    # Nor does a doubt about the new one open a way around that check.
    correct_member(office, "patlee", {"email": "new@example.net"}, keep=True)
    write_packets(office)
    assert packet(office) is State.WAITING
    assert email_doubts.questions(office) == []


# ---------------------------------------------------------------- already written, reissued, made again


def test_what_is_doubted_after_it_was_written_is_not_sent(
    at: Callable[..., Office], coop: Settings
) -> None:
    office = at("pat.lee@gmail.com")
    write_packets(office)
    other = form(9, **(PAT | {"email": "pat.lea@gmail.com"}))
    process_batch(office, [other], file="more.csv", keep=True)
    with store.reading(office.to_look()) as connection:
        held = list(search.held(connection))
    same = [Ruling(row.key, Answer.SAME, "Robin", member=Owner.of_member(1)) for row in held]
    process_batch(office, (), file="", keep=True, rulings=same)
    (posted,) = send_packets(office, really=False)
    assert isinstance(posted.outcome, post.NotSent)
    assert "pat.lea@gmail.com" in posted.outcome.why
    right(office)
    (posted,) = send_packets(office, really=False)
    assert posted.outcome == post.Ready(1, "pat.lee@gmail.com")


@pytest.mark.parametrize("doubt", ["slip", "bounced", "refused"])
@pytest.mark.parametrize("way", ["reissue", "again"])
def test_a_new_password_waits_too(
    at: Callable[..., Office], coop: Settings, doubt: str, way: str
) -> None:
    office = at("pat.lee@gmail.con" if doubt == "slip" else "pat.lee@example.org")
    right(office) if doubt == "slip" else None
    write_packets(office)
    engine = office.to_write()
    if doubt == "slip":  # as if an earlier version had made it: nobody ever said that it is right
        with store.transaction(engine) as connection:
            journal = tables.journal
            connection.execute(journal.delete().where(journal.c.what == "email confirmed"))
    elif doubt == "bounced":
        with store.transaction(engine) as connection:
            connection.execute(
                tables.member.update().values(bounced=date(2026, 11, 20).isoformat())
            )
    else:
        _refuse(office)
    settings = replace(office.settings, desk=DeskRule(may_reissue=("Robin",)))
    office = office_of(settings, engine)
    if way == "reissue":
        looked = reissue(office, "patlee", ["call-back"], keep=False)
        done = reissue(office, "patlee", ["call-back"], keep=True)
        assert [q.doubt for q in looked.asked] == [q.doubt for q in done.asked] != []
    else:
        assert write_packets(office, again=["patlee"]).asked != []
    assert packet(office) is State.WAITING
    assert emails_in(office) == []
    right(office)
    assert write_packets(office).written == ["patlee"]
    assert emails_in(office) == ["patlee.eml"]


def _refuse(office: Office) -> None:
    box = Box(rcpt={"pat.lee@example.org": ["550 5.1.1 No such user"]})
    with listening(box, None, "plain") as server:
        there = replace(office.settings, mail=server)
        send_packets(office_of(there, office.to_write()), really=True, plain_on_loopback=True)
    assert packet(office) is State.REFUSED


def test_an_address_that_a_mail_server_took_is_not_doubted_for_an_older_form(
    at: Callable[..., Office],
) -> None:
    office = at("pat.lee@example.org")
    write_packets(office)
    with listening(Box(), None, "plain") as server:
        there = replace(office.settings, mail=server)
        send_packets(office_of(there, office.to_write()), really=True, plain_on_loopback=True)
    assert packet(office) is State.SENT
    process_batch(
        office, [form(9, **(PAT | {"email": "patty@example.net"}))], file="more.csv", keep=True
    )
    write_packets(office, again=["patlee"])
    assert packet(office) is State.WRITTEN


# ---------------------------------------------------------------- as a coordinator sees it


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.delenv("ONBOARD_SETTINGS", raising=False)
    folder = tmp_path / "our co-op"
    folder.mkdir()
    (folder / "onboard.toml").write_text(SETTINGS, encoding="utf-8")
    lines = [
        ("Pat Lee", "pat.lee@gmail.con", *PATS_LINE[2:]),
        ("Kim Vale", "kim@example.net", "419-555-0177", "7 Oak Ave", *PATS_LINE[4:]),
        ("Ana Ruiz", "ana@exa'mple.org; ana@example.net", "419-555-0178", "9 Elm St", *PATS_LINE[4:]),
        ("Bo Li", "bo@hotmial.com", "419-555-0179", "11 Elm St", *PATS_LINE[4:]),
    ]  # fmt: skip
    write_csv(folder / "forms.csv", lines, HEADINGS)
    monkeypatch.chdir(folder)
    return folder


def lines_to_type(said: Said) -> list[list[str]]:
    found = re.findall(r"onboard ((?:correct|answer) .*)$", said.out, re.MULTILINE)
    return [shlex.split(line) for line in found]


def test_a_saved_batch_makes_no_email_for_an_address_in_doubt(folder: Path) -> None:
    said = onboard("batch", "forms.csv", "--record")
    assert said.code == 1
    assert "The welcome packets wait until then: onboard packets" in said.words
    made = {file.stem for file in (folder / "outbox").glob("*.eml")}
    assert "kimvale" in made
    assert made.isdisjoint({"patlee", "boli"})
    told = onboard("packets")
    assert "Pat Lee (patlee): pat.lee@gmail.con" in told.out
    for line in (
        "onboard correct patlee --email pat.lee@gmail.com --record",
        "onboard answer patlee right",
        "onboard answer patlee letter",
    ):
        assert line in told.out
    assert "boli" in onboard("answer").out
    assert onboard("packets", "--json").json()[1]["question"]["handle"] == "patlee"


def test_the_lines_that_answer_work_as_they_stand(folder: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    first: dict[str, list[str]] = {}
    for words in lines_to_type(onboard("packets")):
        first.setdefault(words[1], words)
    assert {"patlee", "boli"} <= set(first)
    for words in first.values():
        assert onboard(*words).code == 0, words
    assert onboard("packets", "--write").code == 0
    ready = onboard("packets", "--send").out
    assert "patlee: to pat.lee@gmail.com." in ready
    assert "boli: to bo@hotmail.com." in ready


def test_the_sheet_of_questions_asks_about_emails_too(folder: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    book = CalamineWorkbook.from_path("forms-questions.xlsx")
    head, *rows = book.get_sheet_by_name("Questions").iter_rows()
    answer, fixed, key = (
        head.index(name) for name in ("Your answer", "Correct: email", "Form key (leave as it is)")
    )
    about = {str(row[key]).split(" ")[-1]: row for row in rows}
    about["pat.lee@gmail.con"][answer] = "right"
    about["pat.lee@gmail.con"][fixed] = "pat.lee@gmail.com"
    about["bo@hotmial.com"][answer] = "a letter"
    with Path("answers.csv").open("w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows([head, *rows])
    assert (
        "2 answers about addresses would be used."
        in onboard("batch", "--answers", "answers.csv").out
    )
    onboard("batch", "--record", "--answers", "answers.csv")
    ready = onboard("packets", "--send").out
    assert "patlee: to pat.lee@gmail.com." in ready
    assert "boli" not in ready
    assert not {"patlee", "boli"} & {
        one["question"]["handle"] for one in onboard("packets", "--json").json()[1:]
    }
    again = onboard("batch", "--record", "--answers", "answers.csv")
    assert "any more. That answer was not used." in again.words


def test_an_answer_about_an_address_that_was_changed_meanwhile_is_not_used(folder: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    book = CalamineWorkbook.from_path("forms-questions.xlsx")
    head, *rows = book.get_sheet_by_name("Questions").iter_rows()
    for row in rows:
        if "pat.lee@gmail.con" in str(row[-1]):
            row[head.index("Your answer")] = "right"
    with Path("answers.csv").open("w", newline="", encoding="utf-8") as out:
        csv.writer(out).writerows([head, *rows])
    onboard("correct", "patlee", "--email", "pat.lee@gmaill.com", "--record")
    said = onboard("batch", "--record", "--answers", "answers.csv")
    assert "Nothing is asked about the email address of patlee any more" in said.words
    assert not (folder / "outbox" / "patlee.eml").exists()


def test_an_answer_about_nobody_is_told(folder: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    for words in (("kimvale", "right"), ("nobody", "letter")):
        assert onboard("answer", *words).code == 2
    assert program("answer", "kimvale", "right", cwd=folder).code == 2


def test_a_packet_in_doubt_waits_for_the_same_answer_after_a_closing_is_undone(
    folder: Path,
) -> None:
    onboard("batch", "forms.csv", "--record")
    onboard("close", "patlee", "--record")
    assert "patlee" not in onboard("packets").out
    onboard("undo", "1", "--record")
    onboard("packets", "--write")
    said = onboard("packets").out
    assert "onboard answer patlee right" in said
    assert "held until the caller is checked" not in said


# ---------------------------------------------------------------- a form on hold says another


KRAY = {"full_name": "Wendell Kray", "email": "wkray@example.org"}


def with_form_on_hold(at: Callable[..., Office], **more: str) -> Office:
    """An office with a member, and a form on hold that is likely theirs."""
    office = at("wkray@example.org", **KRAY)
    write_packets(office)
    said = PAT | KRAY | {"email": "kray.w@example.net"} | more
    process_batch(office, [form(9, **said)], file="forms.csv", keep=True)
    with store.reading(office.engine) as connection:
        assert len(list(search.held(connection))) == 1
    return office


def test_a_packet_waits_while_a_form_on_hold_that_may_be_the_members_says_another_email(
    at: Callable[..., Office],
) -> None:
    office = with_form_on_hold(at)
    (question,) = email_doubts.questions(office)
    assert question.doubt.notes == (
        "A form on hold that may be theirs (forms.csv, row 9) says kray.w@example.net. Answer that form first, or "
        "ask which email is right.",
    )
    assert question.doubt.suggestions == (), "nobody has said whose form it is"
    (told,) = send_packets(office, really=False)
    assert isinstance(told.outcome, post.NotSent)
    assert "kray.w@example.net" in told.outcome.why


def test_a_form_on_hold_that_says_the_same_mailbox_holds_nothing_up(
    at: Callable[..., Office],
) -> None:
    said = {"email": "WKray@example.org", "full_name": "Wendell Kray Sr."}
    assert email_doubts.questions(with_form_on_hold(at, **said)) == []


def test_a_form_on_hold_that_is_somebody_elses_when_answered_lets_the_packet_go(
    at: Callable[..., Office],
) -> None:
    office = with_form_on_hold(at)
    with store.reading(office.engine) as connection:
        (held,) = search.held(connection)
    process_batch(office, (), file="", keep=True, rulings=[Ruling(held.key, Answer.ENROL, "Robin")])
    assert [one for one in email_doubts.questions(office) if one.member.id == 1] == []


def test_who_says_that_the_address_is_right_is_asked_no_more(at: Callable[..., Office]) -> None:
    office = with_form_on_hold(at)
    settle_email(office, Ruling("wendellkray", Answer.RIGHT, "Robin"))
    assert email_doubts.questions(office) == []


def test_a_form_on_hold_makes_no_other_address_the_answer(at: Callable[..., Office]) -> None:
    """Anybody could have filled it out: whoever calls and says the same is checked first."""
    office = with_form_on_hold(at)
    done = correct_member(office, "wendellkray", {"email": "kray.w@example.net"}, keep=True)
    assert not done.packet_due
