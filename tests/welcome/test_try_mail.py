"""A test mail to oneself, on a real mail server."""

from __future__ import annotations

import email
from dataclasses import replace
from email import policy
from email.message import EmailMessage

from mail_server import Box, listening

from onboard.mail import post
from onboard.mail.line import Line
from onboard.office import Office
from onboard.settings import Settings
from onboard.tasks.try_mail import send_test


def test_a_test_mail_shows_an_invented_member_s_packet_in_each_language(coop: Settings) -> None:
    box = Box()
    with listening(box, None, how="plain") as server:
        office = Office(replace(coop, mail=server), who="robin")
        line = Line(server, plain_on_loopback=True)
        outcomes = send_test(office, "me@example.org", really=True, line=line)
    assert [type(one) for one in outcomes] == [post.Sent, post.Sent]
    mails = [
        email.message_from_bytes(m, policy=policy.default)
        for m in map(bytes, (one.content for one in box.taken))
    ]
    assert [mail["Subject"] for mail in mails] == [
        "TEST: Test Growers Co-op: how to sign in and order",
        "TEST: Test Growers Co-op: cómo entrar a su cuenta y hacer su pedido",
    ]
    for mail, phrase in zip(mails, ("this-is-only-a-test", "esta-es-solo-una-prueba"), strict=True):
        assert isinstance(mail, EmailMessage)
        body = mail.get_body(("plain",))
        assert body is not None
        assert f"    {phrase}\n" in body.get_content().replace("\r\n", "\n")
        assert mail["To"].addresses[0].addr_spec == "me@example.org"
        assert next(part.get_filename() for part in mail.iter_attachments()) == "contact.vcf"
    assert not coop.outbox.exists()
