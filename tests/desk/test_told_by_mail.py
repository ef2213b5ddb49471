"""What the desk changed is told by mail: from the command to a real server, with TLS and sign-in."""

from __future__ import annotations

from collections import defaultdict
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from cli.office import onboard, program
from welcome.mail_server import SECRET, USER, Box, listening, proof_in


@pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")
def test_the_address_of_before_gets_the_notice_and_the_new_one_a_packet(office: Path) -> None:
    changed = onboard("correct", "patlee", "--email", "pat@example.net", "--record")
    assert "First make sure who is calling; then run: onboard reissue patlee" in changed.words
    assert "1 held until the caller is checked" in onboard("packets").words
    checked = onboard("reissue", "patlee", "--checked", "call-back", "--checked", "mail",
                      "--record", "--by", "robin")  # fmt: skip
    assert checked.code == 0, checked.words
    box, proof = Box(), proof_in(office)
    with listening(box, proof, auth=True) as server:
        with (office / "onboard.toml").open("a", encoding="utf-8") as settings:
            settings.write(
                f'\n[mail]\nhost = "{server.host}"\nport = {server.port}\nuser = "{USER}"\n'
            )
        words = ("packets", "--send", "--really")
        trust = {"SSL_CERT_FILE": str(proof.file), "ONBOARD_MAIL_SECRET": SECRET}
        sent = program(*words, cwd=office, **trust)
        again = program(*words, cwd=office, **trust)
    assert (sent.code, again.code) == (0, 0), sent.err
    assert "4 emails sent" in sent.words
    assert "0 emails sent" in again.words
    arrived = defaultdict(list)
    for envelope in box.taken:
        message = message_from_bytes(envelope.content, policy=policy.default)
        words = message.get_body(("plain",)).get_content()
        arrived[envelope.rcpt_tos[0]].append(words)
    assert set(arrived) == {"pat.lee@example.org", "pat@example.net", "kim@example.net"}
    told = " ".join(
        "".join(arrived["pat.lee@example.org"]).split()
    )  # two, also if both were made within a second
    assert len(box.taken) == 4
    assert told.count("we made a change") == 2
    assert "issued a new temporary password" in told
    assert "pat@example.net" not in told
    assert "patlee" in arrived["pat@example.net"][0]
    assert SECRET not in sent.out + sent.err
