"""What a coordinator does once packets are made: the page told, emails sent, letters mailed."""

from __future__ import annotations

import email
import re
from collections.abc import Iterator
from contextlib import contextmanager
from email import policy
from pathlib import Path

import pypdf
import pytest
from office import HEADINGS, KIM, PAT, onboard, with_mail, write_csv
from test_packets import enroll_sam, with_server

import onboard as program
from onboard.model import Change, State, What
from onboard.office import Office
from onboard.roster import change, outgoing, search
from onboard.tasks.changed_contact import follow
from onboard.tasks.notices import made_again
from onboard.welcome import letters

LEE = ("Lee Ota", "lee@example.com", "419-555-0155", "9 Elm St", *PAT[4:])
CHANGES = "onboard export changes.csv --changed --record"


@pytest.fixture
def coop(office: Path) -> Path:
    """Pat and Kim get emails, Sam a letter."""
    write_csv(office / "forms.csv", [PAT, KIM])
    onboard("batch", "forms.csv", "--record")
    enroll_sam(office)
    return office


@contextmanager
def open_office() -> Iterator[Office]:
    office = program.open_office()
    try:
        yield office
    finally:
        office.close()


def without_ids(message: bytes) -> bytes:
    """An email without what is drawn by chance: its number, and what parts its parts."""
    marks = set(re.findall(rb'boundary="([^"]+)"', message))
    for mark in marks:
        message = message.replace(mark, b"-")
    return re.sub(rb"(?m)^Message-ID:.*(\r\n .*)*\r\n", b"", message)


def phrases_of(coop: Path, handle: str) -> list[str]:
    """The temporary password in a member's email."""
    content = (coop / "outbox" / f"{handle}.eml").read_bytes()
    body = email.message_from_bytes(content, policy=policy.default).get_body(("plain",))  # type: ignore[attr-defined]
    return re.findall(r"^\s*([a-z]+(?:[ -][a-z]+){4,})\s*$", body.get_content(), re.MULTILINE)


def kind_of(reader: pypdf.PdfReader, number: int) -> str:
    """What an object of a PDF is."""
    found = pypdf.generic.IndirectObject(number, 0, reader).get_object()
    return str(found.get("/Type")) if isinstance(found, pypdf.generic.DictionaryObject) else ""


# ---------------------------------------------------------------- the ordering page


def test_once_the_page_was_told_the_next_lines_say_to_tell_it_what_changed(coop: Path) -> None:
    again = onboard("packets", "--again", "patlee").out
    assert "1. Give the ordering page the new accounts: onboard export accounts.csv\n" in again
    onboard("export", "accounts.csv", "--record")
    write_csv(coop / "more.csv", [LEE])
    said = onboard("batch", "more.csv", "--record").out
    assert f"1. Give the ordering page the new accounts: {CHANGES}\n" in said
    assert "export accounts.csv" not in said
    assert f"{CHANGES}\n" in onboard("packets", "--again", "patlee").out


def test_an_export_of_everybody_says_whose_password_it_would_set_back(coop: Path) -> None:
    assert "Careful" not in onboard("export", "accounts.csv").out
    assert "Careful" not in onboard("export", "accounts.csv", "--record").out, (
        "told for the first time"
    )
    write_csv(coop / "more.csv", [LEE])
    onboard("batch", "more.csv", "--record")
    for words in (("all.csv",), ("all.json",), ("all.csv", "--record")):
        first = onboard("export", *words).out.splitlines()[0]
        assert first == (
            "Careful: this file holds everybody, of which the page has had 3 before. If the page takes it "
            "in, those members get their temporary password again, also if they have chosen their own "
            f"since. For only what changed: {CHANGES}"
        )
    assert "Careful" not in onboard("export", "changes.csv", "--changed").out


def test_no_password_is_set_back_where_members_set_theirs_on_the_page(coop: Path) -> None:
    with (coop / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write("\n[first_password]\nset_by_member = true\n")
    onboard("export", "accounts.csv", "--record")
    assert "Careful" not in onboard("export", "accounts.csv").out


def test_a_file_that_is_there_is_kept_under_another_name(coop: Path) -> None:
    onboard("export", "accounts.csv")
    first = (coop / "accounts.csv").read_bytes()
    same = onboard("export", "accounts.csv", "--record")
    assert "earlier" not in same.out, "the same again takes no second file"
    assert sorted(f.name for f in coop.glob("accounts*")) == ["accounts.csv"]
    onboard("packets", "--again", "patlee")
    said = onboard("export", "accounts.csv")
    assert said.code == 0
    assert "There was a file of that name. It is now accounts (earlier).csv." in said.out
    assert (coop / "accounts (earlier).csv").read_bytes() == first
    assert (coop / "accounts.csv").read_bytes() != first
    assert (coop / "accounts (earlier).csv").stat().st_mode & 0o077 == 0
    (coop / "members.csv").write_text("name\nPat\n")
    onboard("export", "members.csv")
    assert (coop / "members (earlier).csv").read_text() == "name\nPat\n"


def test_everybody_exported_again_says_that_there_is_nothing_new(coop: Path) -> None:
    onboard("batch", "forms.csv", "--record")
    assert "just the same" not in onboard("export", "accounts.csv").words
    first = (coop / "accounts.csv").read_bytes()
    said = onboard("export", "accounts.csv")
    assert "The file that had this name said just the same" in said.words
    assert "(earlier)" not in said.words
    assert (coop / "accounts.csv").read_bytes() == first


def test_with_nothing_changed_no_file_is_written(coop: Path) -> None:
    onboard("export", "changes.csv", "--changed", "--record")
    before = (coop / "changes.csv").read_text()
    said = onboard("export", "changes.csv", "--changed", "--record")
    assert said.code == 0
    assert "Nothing has changed since the last time" in said.words
    assert not (coop / "changes.csv").exists()  # it would be taken in a second time
    assert (coop / "changes (earlier).csv").read_text() == before
    again = onboard("export", "changes.csv", "--changed", "--record")
    assert "There was a file of that name" not in again.words
    assert len(list(coop.glob("changes*"))) == 1


# ---------------------------------------------------------------- no mail server


def test_letters_without_a_mail_server_speak_of_no_email(coop: Path) -> None:
    onboard("packets", "--letters", "letters.pdf")
    pages = pypdf.PdfReader(coop / "letters.pdf").pages
    words = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert "temporary password" in words
    assert " our email" not in words


def test_without_a_mail_server_all_counts_of_letters_are_one(coop: Path) -> None:
    said = onboard("packets").out
    assert "3 letters to print and mail: onboard packets --letters letters.pdf" in said
    assert "No mail server is set, so no email can go out, and everybody gets a letter." in said
    assert "packets --send" not in said
    assert "3 letters to mail" in onboard("packets", "--letters", "letters.pdf").out
    assert "3 letters to mark" in onboard("packets", "--mailed").out
    with_server(coop)
    said = onboard("packets").out
    assert "1 letter to print and mail" in said
    assert "No mail server" not in said


def test_a_preview_of_emails_says_that_there_is_no_mail_server(coop: Path) -> None:
    said = onboard("packets", "--send").out
    assert (
        f"No mail server is set in {coop / 'onboard.toml'}, so these emails can't go out. Fill in host, "
        "under [mail]. Then send them: onboard packets --send --really\n"
        "Or mail everybody a letter: onboard packets --letters letters.pdf\n"
    ) in said
    with_server(coop)
    assert "No mail server" not in onboard("packets", "--send").out


# ---------------------------------------------------------------- notices of a change


def notices(coop: Path, ending: str) -> list[Path]:
    return sorted((coop / "outbox").glob(f"notice-*{ending}"))


def outcomes(*words: str) -> dict[str, str]:
    said = onboard("packets", "--send", *words, "--json").json()
    return {one["handle"]: one["outcome"] for one in said}


def test_without_a_mail_server_the_line_of_a_notice_prints_it(coop: Path) -> None:
    said = onboard("correct", "patlee", "--phone", "419-555-0199", "--record").out
    assert "To print it: onboard packets --letters letter.pdf --only patlee\n" in said
    assert "packets --send" not in said
    assert onboard("packets", "--letters", "letter.pdf", "--only", "patlee").code == 0
    assert (coop / "letter.pdf").exists()


def test_the_line_of_a_notice_sends_that_members_emails_and_nobody_elses(coop: Path) -> None:
    settings = (coop / "onboard.toml").read_text("utf-8")
    with_mail(coop)
    said = onboard("correct", "patlee", "--phone", "419-555-0199", "--record").out
    assert "To send it: onboard packets --send --only patlee --really\n" in said
    (notice,) = notices(coop, ".eml")
    (coop / "onboard.toml").write_text(settings, encoding="utf-8")
    assert "4 letters to print and mail" in onboard("packets").out, "no mail server is set"
    assert outcomes("--only", "patlee") == {notice.name: "ready", "patlee": "ready"}
    assert outcomes("--only", "kimvale") == {"kimvale": "ready"}
    assert len(outcomes()) == 3
    assert onboard("packets", "--send", "--only", "nobody").err == (
        "No member has the sign-in name nobody. Check the spelling.\n"
    )
    with_mail(coop)
    moved = onboard(
        "correct", "kimvale", "--name", "Kim Ray", "--new-handle", "--phone", "", "--record"
    )
    assert "packets --send --only kimray --really" in moved.out, "as they are called from now on"
    assert len(outcomes("--only", "kimray")) == 1


def test_a_notice_in_print_is_printed_labeled_and_marked_like_any_letter(coop: Path) -> None:
    onboard("packets", "--mailed", "--really")
    said = onboard("correct", "sammoor", "--address", "99 Pine Rd, Lima OH 45801", "--record").out
    assert "onboard packets --letters letter.pdf --only sammoor\n" in said
    (notice,) = notices(coop, ".pdf")
    assert "1 letter to print and mail" in onboard("packets").out
    printed = onboard("packets", "--letters", "all.pdf", "--labels", "labels.pdf").words
    assert "1 letter to mail, in all.pdf: sammoor (notice)." in printed
    assert "40 ELM ST" in " ".join(pypdf.PdfReader("labels.pdf").pages[0].extract_text().split())
    notice.unlink()
    assert "sammoor (notice)" in onboard("packets", "--letters", "again.pdf").out, (
        "it is made again"
    )
    before, after = (
        pypdf.PdfReader(name).pages[0].extract_text() for name in ("all.pdf", "again.pdf")
    )
    assert before == after
    assert "40 ELM ST" in before
    assert "sammoor (notice)" in onboard("packets", "--mailed", "--really").out
    assert "There are no letters to mail." in onboard("packets", "--letters", "more.pdf").out


# ---------------------------------------------------------------- gone from the outbox


@pytest.mark.parametrize(
    "changes", [("--phone", "419-555-0199"), ("--email", "pat.new@example.net"),
                ("--email", "", "--address", "1 New Rd, Lima OH 45801")]
)  # fmt: skip
def test_a_notice_that_is_gone_is_made_again_as_it_was(
    coop: Path, changes: tuple[str, ...]
) -> None:
    with_server(coop)
    onboard("correct", "patlee", *changes, "--record")
    (notice,) = notices(coop, ".eml")
    whole = notice.read_bytes()
    onboard(
        "correct", "patlee", "--phone", "419-555-0111", "--record"
    )  # what came since is another's
    notice.unlink()
    told = onboard("packets", "--send")
    assert f"{notice.name}: to pat.lee@example.org." in told.out
    with open_office() as office, office.reading() as connection:
        (line, *_) = outgoing.by_state(connection, What.NOTICE, State.WRITTEN)
        member = search.members_by_number(connection, [line.member_id])[line.member_id]
        made = made_again(connection, office, member, line)
    assert made is not None
    assert without_ids(made.message) == without_ids(whole)


def test_a_notice_of_a_new_password_is_made_again_too(coop: Path) -> None:
    with (coop / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('\n[desk]\nmay_reissue = ["Robin"]\nchecks = ["call-back", "mail"]\n')
    onboard("correct", "patlee", "--email", "pat.new@example.net", "--record")
    checked = ("--checked", "call-back", "--checked", "mail", "--by", "Robin", "--record")
    onboard("reissue", "patlee", *checked)
    first, second = notices(coop, ".eml")
    second.unlink()
    assert f"{second.name}: to pat.lee@example.org." in onboard("packets", "--send").out
    assert f"{first.name}: to pat.lee@example.org." in onboard("packets", "--send").out


def test_a_packet_that_is_gone_gets_a_new_password_said_plainly(coop: Path) -> None:
    (coop / "outbox" / "patlee.eml").unlink()
    said = onboard("packets", "--send")
    assert said.code == 1
    assert (
        "onboard packets --again patlee. That makes a new temporary password, as nobody can read the old one "
        f"any more. Then tell the ordering page, before you send: {CHANGES}\n"
    ) in said.out
    assert "kimvale: to kim@example.net." in said.out
    for file in (coop / "outbox").glob("letters-1-*.pdf"):
        file.unlink()
    said = onboard("packets", "--letters", "letters.pdf")
    assert said.code == 1
    assert "1 letter to mail, in letters.pdf: sammoor." in said.out, (
        "one that is gone stops no other"
    )
    assert "onboard packets --again kimvale" in said.out


# ---------------------------------------------------------------- letters and emails that count no more


def letters_in(coop: Path) -> dict[str, set[str]]:
    return {f.name: set(letters.whose(f)) for f in sorted((coop / "outbox").glob("letters-*.pdf"))}


def text_of(coop: Path) -> str:
    return "".join(
        page.extract_text()
        for file in (coop / "outbox").glob("letters-*.pdf")
        for page in pypdf.PdfReader(file).pages
    )


def test_a_letter_that_counts_no_more_is_taken_out_of_its_file(coop: Path) -> None:
    together, alone = letters_in(coop)
    assert letters_in(coop) == {together: {"patlee", "kimvale"}, alone: {"sammoor"}}
    (old,) = phrases_of(coop, "patlee")
    assert old in " ".join(text_of(coop).split())
    onboard("packets", "--again", "patlee")
    assert letters_in(coop) == {
        together: {"kimvale"},
        alone: {"sammoor"},
        "letters-1-1.pdf": {"patlee"},
    }
    assert old not in " ".join(text_of(coop).split())
    raw = pypdf.PdfReader(coop / "outbox" / together)
    kinds = [kind_of(raw, number) for number in range(1, raw.trailer["/Size"])]
    assert kinds.count("/Page") == len(raw.pages) == 2, "and nowhere else in the file"
    assert "2 letters to mail" not in onboard("packets", "--letters", "l.pdf").out
    assert (coop / "outbox" / together).stat().st_mode & 0o077 == 0
    closed = onboard("close", "kimvale", "--record")
    assert f"The letter was taken out of the outbox ({together})." in closed.out
    assert together not in letters_in(coop), "none is left in it"
    onboard("correct", "sammoor", "--address", "99 Pine Rd, Lima OH 45801", "--record")
    assert letters_in(coop) == {"letters-1-1.pdf": {"patlee"}}
    onboard("packets", "--write")


def test_a_preview_takes_nothing_out(coop: Path) -> None:
    before = letters_in(coop)
    said = onboard("close", "kimvale")
    assert "The letter would be taken out of the outbox (letters-1-2.pdf)." in said.out
    onboard("correct", "sammoor", "--address", "99 Pine Rd, Lima OH 45801")
    onboard("merge", "patlee", "kimvale")
    assert letters_in(coop) == before


def test_a_file_that_is_not_ours_is_left_alone(coop: Path) -> None:
    theirs = coop / "outbox" / "letters-1-9.pdf"
    theirs.write_bytes(b"%PDF-1.4 of somebody else")
    onboard("close", "patlee", "--record")
    onboard("packets", "--again", "kimvale")
    assert theirs.read_bytes() == b"%PDF-1.4 of somebody else"


def test_who_gets_a_letter_instead_has_no_email_in_the_outbox(coop: Path) -> None:
    mail = coop / "outbox" / "patlee.eml"
    (coop / "outbox" / "grandma.eml").write_text("mine")
    no = ("May we email you?", "No")
    write_csv(coop / "later.csv", [(*PAT, no[1])], (*HEADINGS, no[0]))
    onboard("batch", "later.csv")
    assert mail.exists(), "a preview changes nothing"
    onboard("batch", "later.csv", "--record")
    assert not mail.exists()
    onboard("packets", "--mailed", "--only", "kimvale", "--really")
    assert [f.name for f in (coop / "outbox").glob("*.eml")] == ["grandma.eml"]
    onboard("packets", "--write")
    assert (coop / "outbox" / "grandma.eml").exists()
    assert letters_in(coop)["letters-1-2.pdf"] == {"patlee", "kimvale"}


def test_an_opt_out_that_is_approved_takes_the_email_away_too(coop: Path) -> None:
    with open_office() as office:
        change_of = Change(1, "consent", None, False, "asked")
        with office.transaction() as connection:
            member = search.members_by_number(connection, [1])[1]
            assert change.apply(connection, [change_of], office.signature()) == []
            follow(
                connection, office.settings, member, {"consent": False}, office.signature(), True
            )
    assert not (coop / "outbox" / "patlee.eml").exists()
    with_server(coop)
    assert (
        "2 letters to mail, in l.pdf: patlee, sammoor."
        in onboard("packets", "--letters", "l.pdf").out
    )
