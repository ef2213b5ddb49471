"""Welcome packets, as a coordinator makes them, prints them and tries them out."""

from __future__ import annotations

import csv
import email
from collections.abc import Callable
from datetime import date, datetime, timedelta
from email import policy
from email.message import EmailMessage
from pathlib import Path
from zoneinfo import ZoneInfo

import pypdf
import pytest
from office import KIM, PAT, SAM, SETTINGS, onboard, write_csv


def enroll_sam(office: Path) -> None:
    """Sam has no email, and is asked about; a letter is made."""
    write_csv(office / "sam.csv", [SAM])
    *_, row = onboard("batch", "sam.csv", "--record", "--json").json()[:1]
    onboard("answer", row["row"], "enroll")
    onboard("packets", "--write")


@pytest.fixture
def opens(office: Path) -> Callable[..., None]:
    """Writes settings whose group may order for a week, so many days from today on."""

    def write(*in_days: int, more: str = "") -> None:
        today = datetime.now(ZoneInfo("America/New_York")).date()
        windows = ", ".join(
            f"{{ opens = {today + timedelta(days=n)}, closes = {today + timedelta(days=n + 6)} }}"
            for n in in_days
        )
        head, _, tail = SETTINGS.partition("windows = ")
        text = f"{head}windows = [{windows}]{tail.partition(']')[2]}{more}"
        (office / "onboard.toml").write_text(text, "utf-8")

    return write


def told(office: Path, handle: str = "patlee") -> str:
    """The words of a member's email."""
    mail = email.message_from_bytes(
        (office / "outbox" / f"{handle}.eml").read_bytes(), policy=policy.default
    )
    assert isinstance(mail, EmailMessage)
    body = mail.get_body(("plain",))
    assert body is not None
    return " ".join(str(body.get_content()).split())


def in_words(day: date) -> str:
    return f"{day:%A, %B} {day.day}, {day.year}"


# ---------------------------------------------------------------- how long a password lasts


def test_a_password_lasts_until_the_member_s_first_ordering_days_are_over(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(25)
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert f"works through {in_words(today + timedelta(days=31))}." in told(office)
    assert "ordering days are over" not in told(office) + said.words


def test_a_password_that_cannot_last_so_long_is_told_to_the_member_and_the_coordinator(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(60)
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert (
        f"works through {in_words(today + timedelta(days=45))}. That is before your next ordering days "
        "are over. So please sign in by that day, even if you do not order yet." in told(office)
    )
    assert (
        "These passwords end before the member's next ordering days are over. The packet asks the member "
        "to sign in before that: patlee, kimvale." in said.words
    )
    (made,) = onboard("packets", "--again", "patlee", "--json").json()
    assert made["ends early"] == ["patlee"]


def test_a_coop_may_keep_passwords_as_short_as_it_likes(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(25, more="\n[first_password]\nvalid_days = 7\nlongest_days = 7\n")
    today = datetime.now(ZoneInfo("America/New_York")).date()
    said = onboard("batch", "forms.csv", "--record")
    assert f"works through {in_words(today + timedelta(days=7))}. That is before" in told(office)
    assert "patlee, kimvale" in said.words


def test_who_gets_a_letter_waits_for_the_window_after_it_has_come(
    office: Path, opens: Callable[..., None]
) -> None:
    """A letter takes a week: the window that closes meanwhile is none that it could be for."""
    opens(-3, 30)
    write_csv(office / "forms.csv", [PAT, KIM])
    onboard("batch", "forms.csv", "--record")
    today = datetime.now(ZoneInfo("America/New_York")).date()
    assert f"works through {in_words(today + timedelta(days=14))}." in told(office)
    enroll_sam(office)
    (letter,) = (office / "outbox").glob("letters-3-3.pdf")
    pages = " ".join(page.extract_text() for page in pypdf.PdfReader(letter).pages)
    assert f"works through {in_words(today + timedelta(days=36))}." in " ".join(pages.split())


# ---------------------------------------------------------------- passwords that members set themselves


def test_where_members_set_their_password_no_packet_and_no_export_has_one(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(3)
    write_csv(office / "kim.csv", [KIM])
    onboard("batch", "kim.csv", "--record")  # with a password, before the page was changed
    opens(3, more='\n[first_password]\nset_by_member = true\nset_link = "Forgot your password?"\n')
    onboard("batch", "forms.csv", "--record")
    enroll_sam(office)
    words = told(office)
    assert "3. Set your password" in words
    assert "On that page, click Forgot your password?. Type your sign-in name, patlee." in words
    assert "type the one that you gave us: pat.lee@example.org." in words
    assert "temporary password" not in words
    assert "works through" not in words
    assert "Did you set one on that page first?" in words
    assert [line["outcome"] for line in onboard("packets", "--send", "--json").json()] == [
        "ready"
    ] * 2
    assert "1 letter" in onboard("packets", "--letters", "letters.pdf", "--only", "sammoor").words
    onboard("export", "accounts.csv")
    with (office / "accounts.csv").open(encoding="utf-8", newline="") as file:
        accounts = list(csv.DictReader(file))
    assert [(a["handle"], a["password hash"], a["must change"], a["password expires"]) for a in accounts] == [
        ("kimvale", "", "no", ""), ("patlee", "", "no", ""), ("sammoor", "", "no", ""),
    ]  # fmt: skip
    onboard("export", "accounts.json")
    assert "passwordHash" not in (office / "accounts.json").read_text("utf-8")


# ---------------------------------------------------------------- letters that go by mail


def names_in(file: Path) -> list[str]:
    """The names at the foot of the pages."""
    pages = pypdf.PdfReader(file).pages
    return [" ".join(page.extract_text().split()).rpartition(" Page ")[0][-8:] for page in pages]


def with_server(office: Path) -> None:
    """Emails can be sent: only those without one get letters."""
    with (office / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[mail]\nhost = "mail.example.org"\n')


def test_letters_of_those_who_get_one_are_printed_labeled_and_marked_as_mailed(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(3)
    with_server(office)
    onboard("batch", "forms.csv", "--record")
    enroll_sam(office)
    assert (
        "1 letter to print and mail: onboard packets --letters letters.pdf"
        in onboard("packets").out
    )
    said = onboard("packets", "--letters", "letters.pdf", "--labels", "labels.pdf")
    assert said.code == 0
    assert "1 letter to mail, in letters.pdf: sammoor." in said.words
    assert "1 label, in labels.pdf: sammoor." in said.words
    assert names_in(office / "letters.pdf") == ["Sam Moor", "Sam Moor"]
    assert (office / "letters.pdf").stat().st_mode & 0o077 == 0
    (sheet,) = pypdf.PdfReader(office / "labels.pdf").pages
    assert sheet.extract_text().split() == ["Sam", "Moor", "40", "ELM", "ST", "LIMA", "OH", "45801"]
    preview = onboard("packets", "--mailed")
    assert "1 letter to mark as printed and mailed: sammoor." in preview.words
    assert "To save it: onboard packets --mailed --really" in preview.words
    assert onboard("packets", "--json").json()[0]["sent"] == 0
    assert (
        "marked as printed and mailed: sammoor." in onboard("packets", "--mailed", "--really").words
    )
    assert onboard("packets", "--json").json()[0] == {
        "due": 0, "written": 2, "sent": 1, "unsure": 0, "barred": 0, "refused": 0,
    }  # fmt: skip
    assert "There are no letters to mail." in onboard("packets", "--letters", "more.pdf").words
    assert not (office / "more.pdf").exists()


def test_a_letter_that_was_made_again_is_printed_once_and_one_is_printed_for_whom_one_names(
    office: Path, opens: Callable[..., None]
) -> None:
    """The older one, whose password is dead, stays in its file among others."""
    opens(3)
    with_server(office)
    onboard("batch", "forms.csv", "--record")
    enroll_sam(office)
    onboard("packets", "--again", "sammoor")
    onboard("packets", "--letters", "letters.pdf")
    assert names_in(office / "letters.pdf") == ["Sam Moor", "Sam Moor"]
    onboard("packets", "--letters", "pat.pdf", "--only", "patlee")
    assert [name.split()[-2:] for name in names_in(office / "pat.pdf")] == [["Pat", "Lee"]] * 2
    onboard("packets", "--mailed", "--only", "patlee", "--really")
    assert [line["handle"] for line in onboard("packets", "--send", "--json").json()] == ["kimvale"]
    unknown = onboard("packets", "--mailed", "--only", "nobody")
    assert (unknown.code, unknown.err) == (
        2, "No member has the sign-in name nobody. Check the spelling.\n",
    )  # fmt: skip
    again = onboard("packets", "--letters", "pat.pdf", "--only", "patlee")
    assert again.code == 1
    assert "patlee has no letter to mail." in again.words


def test_a_coop_without_a_mail_server_prints_all_letters(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(3)
    onboard("batch", "forms.csv", "--record")
    said = onboard("packets", "--letters", "letters.pdf")
    assert "2 letters to mail, in letters.pdf: patlee, kimvale." in said.words


def test_a_letter_that_is_gone_from_the_outbox_is_told(
    office: Path, opens: Callable[..., None]
) -> None:
    opens(3)
    onboard("batch", "forms.csv", "--record")
    for file in (office / "outbox").glob("*.pdf"):
        file.unlink()
    said = onboard("packets", "--letters", "letters.pdf")
    assert said.code == 2
    assert "onboard packets --again" in said.err
    assert not (office / "letters.pdf").exists()


# ---------------------------------------------------------------- a test mail


def test_a_test_mail_is_a_preview_first_and_touches_nothing(office: Path) -> None:
    said = onboard("packets", "--test-mail", "me@example.org")
    assert said.code == 0
    assert (
        said.words.count("A test email to me@example.org: ready. Nobody can sign in with it.") == 2
    )
    assert "To send it: onboard packets --test-mail me@example.org --really" in said.words
    assert not (office / "outbox").exists()
    assert not (office / "roster.db").exists()
    refused = onboard("packets", "--test-mail", "me@example.org", "--really")
    assert refused.code == 2
    assert "No mail server is set in" in refused.err
    assert "“me” is not an email address" in onboard("packets", "--test-mail", "me").err


def test_really_and_only_go_with_what_they_are_for(office: Path) -> None:
    assert onboard("packets", "--really").code == 2
    assert (
        "--only goes with --letters, --labels or --mailed, or --send"
        in onboard("packets", "--only", "x").err
    )


# ---------------------------------------------------------------- who sees addresses


def test_addresses_are_shown_to_those_who_may_look_members_up(office: Path) -> None:
    write_csv(office / "more.csv", [(PAT[0], "pat.lee@gmial.com", *PAT[2:]), KIM])
    onboard("batch", "more.csv", "--record")
    open_to_all = [onboard("answer").words, onboard("packets").words]
    assert all("gmial" in said for said in open_to_all)
    with (office / "onboard.toml").open("a", encoding="utf-8") as out:
        out.write('\n[desk]\nmay_look_up = ["robin"]\n')
    lines = [("answer",), ("answer", "patlee"), ("packets",), ("packets", "--json"), ("packets", "--write"),
             ("packets", "--write", "--json"), ("packets", "--send"), ("packets", "--send", "--json")]  # fmt: skip
    for line in lines:
        said = onboard(*line, "--by", "kit")
        assert "@" not in said.words, line
    assert "1 welcome packet waits" in onboard("packets", "--by", "kit").words
    assert "may_look_up" in onboard("answer", "--by", "kit").words
    assert "gmial" in onboard("answer", "--by", "robin").words


def test_without_a_mail_server_all_count_the_same_letters(office: Path) -> None:
    nowhere = ("Lou Ames", "lou@example.net", "419-555-0166", "", *PAT[4:])
    said = onboard("batch", write_csv(office / "forms.csv", [PAT, KIM, nowhere]), "--record")
    assert "Check the 1 mailing address" in said.words, "it is asked before anything is printed"
    assert "questions about 1 mailing address are in" in said.words
    told = onboard("packets").words
    assert "2 letters to print and mail: onboard packets --letters letters.pdf" in told
    assert "1 letter in the outbox can't be mailed yet. The same line says why." in told
    printed = onboard("packets", "--letters", "letters.pdf").words
    assert "2 letters to mail, in letters.pdf: patlee, kimvale." in printed
    assert "Nobody can deliver a letter to louames." in printed
    today = onboard("today").words
    assert "2 letters to print and mail." in today
    assert "1 welcome packet waits, because the mailing address may be wrong." in today
    assert "wait" in onboard("packets", "--write").words, "it is asked until it is answered"


# ---------------------------------------------------------------- packets that wait for an answer


def test_a_packet_that_is_due_and_waits_for_an_answer_is_not_one_to_make(office: Path) -> None:
    (office / "onboard.toml").write_text(
        f'{SETTINGS}\n[mail]\nhost = "mail.example.org"\n', "utf-8"
    )
    held = ("", "kim@gmail.con", *KIM[2:])
    (row,) = onboard("batch", write_csv(office / "h.csv", [held]), "--record", "--json").json()[:1]
    onboard("answer", row["row"], "enroll", "--correct", "name=Kim Vale")
    counts, question = onboard("packets", "--json").json()
    assert (counts["due"], counts["barred"]) == (0, 1)
    assert question["question"]["handle"] == "kimvale"
    assert "0 to make" in onboard("packets").words
    assert [one["kind"] for one in onboard("today", "--json").json()][:1] == [
        "email addresses in doubt"
    ]


def test_a_letter_that_waits_for_an_answer_is_not_among_those_that_can_go(office: Path) -> None:
    nowhere = (*PAT[:3], "", "", "", "", PAT[7])
    *_, told = onboard(
        "batch", write_csv(office / "a.csv", [nowhere, KIM]), "--record", "--json"
    ).json()
    assert (told["packets"], told["waiting"]) == (["kimvale"], ["patlee"])
    counts = onboard("packets", "--json").json()[0]
    assert (counts["written"], counts["barred"]) == (1, 1)
    (made, *_) = onboard("packets", "--again", "patlee", "--json").json()
    assert (made["written"], made["waiting"]) == ([], ["patlee"])
