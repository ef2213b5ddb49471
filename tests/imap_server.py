"""A small IMAP server (RFC 3501) on this machine, for tests: what it holds, and what it was asked."""

from __future__ import annotations

import re
import shlex
import socketserver
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

USER, SECRET = "hello@growers.example.org", "mailbox-secret"


@dataclass
class Held:
    """A mailbox: messages by UID."""

    validity: int = 7
    messages: dict[int, bytes] = field(default_factory=dict)
    seen: set[int] = field(default_factory=set)
    moved: dict[int, str] = field(default_factory=dict)
    asked: list[str] = field(default_factory=list)  # every command but the sign-in
    can_move: bool = True
    cut_after: int = 10**9  # messages that are given before the line is cut
    is_silent: bool = False  # answers nothing after the sign-in
    folders: tuple[str, ...] = ("INBOX",)

    def add(self, *texts: str) -> None:
        """More messages, as they come in."""
        for text in texts:
            self.messages[max(self.messages, default=0) + 1] = text.replace("\n", "\r\n").encode()


class Talk(socketserver.StreamRequestHandler):
    """One connection."""

    def handle(self) -> None:
        held: Held = self.server.held  # type: ignore[attr-defined]
        self.say("* OK hello")
        try:
            while line := self.rfile.readline().decode():
                tag, command, *rest = line.split(None, 2)
                words = (rest[0] if rest else "").strip()
                if command.upper() not in ("LOGIN", "AUTHENTICATE"):
                    held.asked.append(f"{command} {words}".strip())
                if held.is_silent and command.upper() not in ("LOGIN", "CAPABILITY"):
                    threading.Event().wait(1.5)
                    return
                if not self.answer(held, tag, command.upper(), words):
                    return
        except (OSError, ssl.SSLError):
            return

    def say(self, text: str) -> None:
        self.wfile.write(text.encode() + b"\r\n")

    def answer(self, held: Held, tag: str, command: str, words: str) -> bool:
        """Answer a command; whether to go on."""
        match command:
            case "CAPABILITY":
                self.say(f"* CAPABILITY IMAP4rev1 STARTTLS{' MOVE' if held.can_move else ''}")
            case "STARTTLS":
                self.say(f"{tag} OK go on")
                proof: ssl.SSLContext = self.server.proof  # type: ignore[attr-defined]
                self.request = proof.wrap_socket(self.request, server_side=True)
                self.setup()
                return True
            case "LOGIN":
                if shlex.split(words) != [USER, SECRET]:
                    self.say(f"{tag} NO [AUTHENTICATIONFAILED] {words}")
                    return True
            case "AUTHENTICATE":
                self.say(f"{tag} NO no such way")
                return True
            case "SELECT" | "EXAMINE":
                if words.strip('"') not in held.folders:
                    self.say(f"{tag} NO no such folder")
                    return True
                self.say(f"* {len(held.messages)} EXISTS")
                self.say(f"* OK [UIDVALIDITY {held.validity}] valid")
            case "UID":
                if not self.by_uid(held, words):
                    return False
            case "LOGOUT":
                self.say("* BYE")
                self.say(f"{tag} OK bye")
                return False
        self.say(f"{tag} OK done")
        return True

    def by_uid(self, held: Held, words: str) -> bool:
        kind, rest = words.split(None, 1)
        if kind == "SEARCH":
            uids = sorted(held.messages)
            if after := re.fullmatch(r"UID (\d+):\*", rest):
                uids = [uid for uid in uids if uid >= int(after[1])] or uids[-1:]
            self.say("* SEARCH " + " ".join(map(str, uids)))
            return True
        some, what = rest.split(None, 1)
        for uid in map(int, some.split(",")):
            if kind == "STORE":
                held.seen.add(uid)
            elif kind == "MOVE":
                held.moved[uid] = what.strip('"')
                del held.messages[uid]
            elif uid in held.messages:
                if held.cut_after <= 0:
                    return False
                held.cut_after -= 1
                if "PEEK" not in what:
                    held.seen.add(uid)
                raw = held.messages[uid]
                self.wfile.write(f"* {uid} FETCH (BODY[]<0> {{{len(raw)}}}\r\n".encode() + raw)
                self.say(f" UID {uid})")
        return True


class _Server(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True
    held: Held
    proof: ssl.SSLContext
    is_wrapped: bool

    def get_request(self) -> tuple[Any, Any]:
        talk, address = super().get_request()
        return (
            self.proof.wrap_socket(talk, server_side=True) if self.is_wrapped else talk
        ), address

    def handle_error(self, *_: Any) -> None:
        """A client that does not trust the certificate hangs up."""


@contextmanager
def holding(held: Held, proof: ssl.SSLContext, how: str = "tls") -> Iterator[int]:
    """The port at which a server of ours holds a mailbox."""
    with _Server(("127.0.0.1", 0), Talk) as server:
        server.held, server.proof, server.is_wrapped = held, proof, how == "tls"
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
        thread.start()
        try:
            yield int(server.server_address[1])
        finally:
            server.shutdown()
            thread.join()
