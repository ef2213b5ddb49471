"""The co-op's mailbox, read over IMAP: each message once, and nothing in it changed unless somebody says so."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import imap_server
import pytest
from cli.office import Said, onboard
from desk.test_returned import asked, failed, member, reply
from imap_server import SECRET, USER, Held
from welcome.mail_server import Proof, proof_in

from onboard.intake import imap


@pytest.fixture(scope="module")
def proof(tmp_path_factory: pytest.TempPathFactory) -> Proof:
    return proof_in(tmp_path_factory.mktemp("imap"))


@pytest.fixture(params=["tls"])
def held(
    request: pytest.FixtureRequest, office: Path, proof: Proof, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Held]:
    """A mailbox with a report about Pat and a question of Kim's; the settings name it."""
    box = Held()
    box.add(failed("pat.lee@example.org"), reply("kim@example.net", "Where is my order?"))
    monkeypatch.setenv("SSL_CERT_FILE", str(proof.file))
    monkeypatch.setenv("ONBOARD_MAILBOX_SECRET", SECRET)
    with imap_server.holding(box, proof.server, request.param) as port:
        set_to(office, port, request.param)
        yield box


def set_to(office: Path, port: int, how: str = "tls", host: str = "127.0.0.1") -> None:
    with (office / "onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write(
            f'\n[mailbox]\nhost = "{host}"\nport = {port}\nuser = "{USER}"\nsecurity = "{how}"\n'
        )


def lines(said: Said) -> list[tuple[str, str, bool]]:
    found = [json.loads(line) for line in said.out.splitlines()]
    return [(one["file"], one["kind"], one["recorded"]) for one in found]


@pytest.mark.parametrize("held", ["tls", "starttls"], indirect=True)
def test_a_preview_reads_and_touches_nothing(held: Held) -> None:
    for _ in range(2):
        said = onboard("returned", "--json")
        assert lines(said) == [("1", "report", False), ("2", "reply", False)]
    assert held.seen == set()
    assert all(not command.startswith("SELECT") for command in held.asked)
    assert member("patlee")[0] is None


def test_what_was_saved_is_not_read_again(held: Held) -> None:
    assert onboard("returned", "--record").code == 1
    assert member("patlee")[0] == "2026-11-23"
    assert asked("SELECT validity, uid FROM mailbox") == [(7, 2)]
    held.asked.clear()
    said = onboard("returned", "--record")
    assert (said.code, "There is no new email." in said.words) == (0, True)
    assert not any("FETCH" in command for command in held.asked)
    held.add(failed("kim@example.net"))
    assert lines(onboard("returned", "--record", "--json")) == [("3", "report", True)]
    assert member("kimvale")[0] == "2026-11-23"
    assert (held.seen, held.moved) == (set(), {})


def test_uids_that_count_anew_are_read_anew_and_count_once(held: Held) -> None:
    onboard("returned", "--record")
    held.validity = 8
    said = onboard("returned", "--record")
    assert "2 emails read" in said.words
    assert "2 taken in before" in said.words
    assert asked("SELECT validity, uid FROM mailbox") == [(8, 2)]


def test_a_large_mailbox_is_read_in_parts_and_a_cut_loses_none(
    held: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(imap, "AT_ONCE", 2)
    held.add(*(failed(f"nobody{n}@example.net") for n in range(5)))
    held.cut_after = 5
    said = onboard("returned", "--record")
    assert said.code == 2
    assert "can't be read" in said.words
    assert asked("SELECT uid FROM mailbox") == [(4,)]
    held.cut_after = 100
    assert [file for file, _, _ in lines(onboard("returned", "--record", "--json"))] == ["5", "6", "7"]  # fmt: skip


def test_email_is_marked_and_moved_where_somebody_says_so(held: Held) -> None:
    held.folders = ("INBOX", "Done")
    assert onboard("returned", "--mark-seen").code == 2  # nothing is saved: nothing is marked
    onboard("returned", "--record", "--move-to", "Done")
    # The question is for a person: it stays as it is.
    assert (held.seen, held.moved, set(held.messages)) == ({1}, {1: "Done"}, {2})


def test_a_server_that_can_not_move_marks_and_tells(held: Held) -> None:
    held.can_move = False
    said = onboard("returned", "--record", "--move-to", "Done")
    assert (said.code, held.seen, held.moved) == (2, {1}, {})
    assert "can't move email" in said.words
    assert member("patlee")[0] == "2026-11-23"  # it was saved first


# ---------------------------------------------------------------- trouble


def test_a_server_that_does_not_answer_is_told(held: Held, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(imap, "PATIENCE", 0.3)
    held.is_silent = True
    said = onboard("returned")
    assert said.code == 2
    assert "timed out" in said.words


@pytest.mark.parametrize("secret", ["wrong-" + SECRET, "", "ñ"])
def test_a_wrong_password_is_told_and_never_shown(
    held: Held, monkeypatch: pytest.MonkeyPatch, secret: str
) -> None:
    monkeypatch.setenv("ONBOARD_MAILBOX_SECRET", secret)
    said = onboard("returned", "--record")
    assert said.code == 2
    assert "ONBOARD_MAILBOX_SECRET" in said.words
    assert SECRET not in said.words
    assert SECRET.encode() not in Path("roster.db").read_bytes()


def test_the_password_may_come_from_a_file_that_only_its_owner_reads(
    held: Held, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("ONBOARD_MAILBOX_SECRET")
    file = Path("its-password")
    file.write_text(SECRET + "\n")
    file.chmod(0o600)
    with Path("onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('secret_file = "its-password"\n')
    assert len(lines(onboard("returned", "--json"))) == 2
    file.write_text("wrong\n")
    said = onboard("returned")
    assert (said.code, "its-password" in said.words) == (2, True)
    file.chmod(0o644)
    said = onboard("returned")
    assert (said.code, "chmod 600 its-password" in said.words) == (2, True)


def test_a_folder_that_is_not_there_is_told(held: Held) -> None:
    with Path("onboard.toml").open("a", encoding="utf-8") as settings:
        settings.write('folder = "Back & forth"\n')
    assert "has no folder Back & forth" in onboard("returned").words
    assert 'EXAMINE "Back &- forth"' in held.asked


@pytest.mark.parametrize("how", ["tls", "starttls"])
@pytest.mark.parametrize(("address", "ended"), [("127.0.0.1", 1), ("127.0.0.9", -1)])
def test_a_certificate_that_ran_out_or_names_another_is_refused(
    office: Path, monkeypatch: pytest.MonkeyPatch, how: str, address: str, ended: int
) -> None:
    shown = proof_in(office, address, ended)
    monkeypatch.setenv("SSL_CERT_FILE", str(shown.file))
    monkeypatch.setenv("ONBOARD_MAILBOX_SECRET", SECRET)
    box = Held()
    with imap_server.holding(box, shown.server, how) as port:
        set_to(office, port, how)
        said = onboard("returned")
    assert said.code == 2
    assert "does not prove who it is" in said.words
    assert not any("EXAMINE" in command for command in box.asked)


def test_without_a_mailbox_in_the_settings_it_asks_for_one(office: Path) -> None:
    said = onboard("returned")
    assert said.code == 2
    assert "Fill in host, under [mailbox]" in said.words


@pytest.mark.parametrize(
    ("name", "written"),
    # RFC 3501, 5.1.3
    [("~peter/mail/台北/日本語", '"~peter/mail/&U,BTFw-/&ZeVnLIqe-"'), ("A&B", '"A&-B"'), ('a"b\\', '"a\\"b\\\\"')],
)  # fmt: skip
def test_folders_of_any_name(name: str, written: str) -> None:
    assert imap._quoted(name) == written
