"""A mailbox read over IMAP (RFC 3501), in parts, over TLS with its certificate checked.

It is only read: the folder is opened with EXAMINE and messages are fetched with BODY.PEEK, so that none is
marked as seen. Only `tidy` changes anything, and only where somebody asks for it.
"""

from __future__ import annotations

import base64
import imaplib
import re
import ssl
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import date

from onboard.errors import FileTrouble
from onboard.intake.mailboxes import LARGEST
from onboard.settings import Mailbox

PATIENCE = 60.0  # seconds to wait for an answer
AT_ONCE = 200  # messages that are read, and saved, together
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


@dataclass(frozen=True, slots=True)
class Part:
    """Some messages of a mailbox, in the order in which they came."""

    place: str  # account, server and folder
    validity: int  # UIDs of another one speak of other messages (RFC 3501, 2.3.1.1)
    last: int  # the last UID of the part
    messages: tuple[tuple[int, bytes], ...] = field(repr=False)  # UID, and what it is


def place_of(box: Mailbox) -> str:
    """Account, server and folder: under which it is kept how far the mailbox was read."""
    return f"{box.user}@{box.host}/{box.folder}"


def parts(
    box: Mailbox,
    environ: Mapping[str, str],
    read_to: tuple[int, int] | None,
    *,
    since: date,
    context: ssl.SSLContext | None = None,
) -> Iterator[Part]:
    """The messages after the last one that was read, `read_to` being validity and UID; where nothing was read
    yet, or UIDs count anew, those that came on or after the day `since`. Nothing in the mailbox changes.

    Raises `FileTrouble` where the server can't be reached, does not prove who it is, or refuses the sign-in or
    the folder. `context` has the trusted authorities, by default the system's.
    """
    with _signed_in(box, environ, context) as client, _told(box):
        validity = _open(client, box, to_change=False)
        last = read_to[1] if read_to and read_to[0] == validity else 0
        asked = f"UID {last + 1}:*" if last else f"SINCE {_day(since)}"
        # "n:*" has the last message even where its UID is smaller (RFC 3501, 6.4.8)
        uids = sorted(uid for uid in _numbers(client.uid("SEARCH", asked)) if uid > last)
        for at in range(0, len(uids), AT_ONCE):
            some = uids[at : at + AT_ONCE]
            found = [(uid, _message(client, uid)) for uid in some]
            whole = tuple((uid, raw) for uid, raw in found if raw is not None)
            yield Part(place_of(box), validity, some[-1], whole)


def tidy(
    box: Mailbox,
    environ: Mapping[str, str],
    part: Part,
    uids: Collection[int],
    *,
    move_to: str = "",
    context: ssl.SSLContext | None = None,
) -> None:
    """Mark these messages of a part as seen, and move them to a folder if one is named. Raises `FileTrouble`;
    where UIDs count anew by now, nothing is touched."""
    if not uids:
        return
    with _signed_in(box, environ, context) as client, _told(box):
        if _open(client, box, to_change=True) != part.validity:
            return
        some = ",".join(map(str, sorted(uids)))
        _ok(client.uid("STORE", some, "+FLAGS.SILENT", r"(\Seen)"))
        if move_to and "MOVE" not in client.capabilities:
            raise FileTrouble(
                f"The server {box.host} can't move email (RFC 6851). It is marked as seen instead; move it by hand."
            )
        if move_to:
            _ok(client.uid("MOVE", some, _quoted(move_to)))


@contextmanager
def _signed_in(
    box: Mailbox, environ: Mapping[str, str], context: ssl.SSLContext | None
) -> Iterator[imaplib.IMAP4]:
    try:
        secret = box.secret(environ)
    except ValueError as wrong:
        raise FileTrouble(f"The file with the password of the mailbox, {box.secret_file}, {wrong}") from wrong  # fmt: skip
    if not secret:
        raise FileTrouble(
            f"The password of the mailbox is missing. Put it into the environment variable {box.secret_from}, or name a file "
            "that has it (secret_file, under [mailbox])."
        )
    with _told(box):
        client = _connected(box, context or ssl.create_default_context())
    try:
        with _told(box):
            _sign_in(client, box, secret)
        yield client
    finally:
        try:
            client.logout()
        except (imaplib.IMAP4.error, OSError):
            _hang_up(client)


def _connected(box: Mailbox, context: ssl.SSLContext) -> imaplib.IMAP4:
    if box.security == "tls":
        return imaplib.IMAP4_SSL(box.host, box.port, ssl_context=context, timeout=PATIENCE)
    if box.security != "starttls":
        raise FileTrouble("A mailbox is read over “tls” or “starttls” only. Fix security under [mailbox].")  # fmt: skip
    client = imaplib.IMAP4(box.host, box.port, timeout=PATIENCE)
    try:
        client.starttls(ssl_context=context)
    except BaseException:
        _hang_up(client)
        raise
    return client


def _hang_up(client: imaplib.IMAP4) -> None:
    with suppress(OSError):  # it may have lost its socket already
        client.shutdown()


def _sign_in(client: imaplib.IMAP4, box: Mailbox, secret: str) -> None:
    try:
        if (box.user + secret).isascii():
            client.login(box.user, secret)
        else:  # RFC 4616
            said = f"\0{box.user}\0{secret}".encode()
            client.authenticate("PLAIN", lambda _: said)
    except imaplib.IMAP4.abort:
        raise
    except imaplib.IMAP4.error:
        # What the server said is left out, as it may repeat what it was sent.
        raise FileTrouble(
            f"The mailbox server refused the sign-in of {box.user}. Check user and {box.secret_in}."
        ) from None


@contextmanager
def _told(box: Mailbox) -> Iterator[None]:
    """What goes wrong on the way, in words."""
    where = f"The mailbox at {box.host}, port {box.port},"
    try:
        yield
    except ssl.SSLCertVerificationError as error:
        raise FileTrouble(
            f"{where} does not prove who it is ({error.verify_message}). Nothing was sent to it. "
            "Check host, port and security under [mailbox] in the settings."
        ) from error
    except (imaplib.IMAP4.error, OSError) as error:
        why = " ".join(str(getattr(error, "strerror", None) or error).split())[:200]
        raise FileTrouble(
            f"{where} can't be read ({why or type(error).__name__}). What was read by then is saved. Try again later."
        ) from error


def _open(client: imaplib.IMAP4, box: Mailbox, *, to_change: bool) -> int:
    """Open the folder, to read it unless somebody wants to change it; the validity of its UIDs."""
    answer, _ = client.select(_quoted(box.folder), readonly=not to_change)
    if answer != "OK":
        raise FileTrouble(f"The mailbox of {box.user} has no folder {box.folder}. Fix folder under [mailbox].")  # fmt: skip
    _, said = client.response("UIDVALIDITY")
    return int(said[0]) if said and said[0] else 0


def _quoted(folder: str) -> str:
    """A folder's name, in the UTF-7 of RFC 3501, 5.1.3."""

    def shifted(found: re.Match[str]) -> str:
        if found[0] == "&":
            return "&-"
        code = found[0].encode("utf-16-be").hex()
        return "&" + _base64(bytes.fromhex(code)) + "-"

    name = re.sub(r"&|[^\x20-\x7e]+", shifted, folder)
    return '"' + name.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _base64(raw: bytes) -> str:
    return base64.b64encode(raw).decode().rstrip("=").replace("/", ",")


def _day(day: date) -> str:
    return f"{day.day:02}-{_MONTHS[day.month - 1]}-{day.year}"


def _ok(answer: tuple[str, Sequence[object]]) -> Sequence[object]:
    kind, said = answer
    if kind != "OK":
        raise imaplib.IMAP4.error(str(said[0] if said else kind))
    return said


def _numbers(answer: tuple[str, Sequence[object]]) -> Iterator[int]:
    for line in _ok(answer):
        if isinstance(line, bytes):
            yield from (int(one) for one in line.split() if one.isdigit())


def _message(client: imaplib.IMAP4, uid: int) -> bytes | None:
    """A message as it came, cut where it is very large; None if it is gone by now."""
    said = _ok(client.uid("FETCH", str(uid), f"(BODY.PEEK[]<0.{LARGEST}>)"))
    return next((bytes(one[1]) for one in said if isinstance(one, tuple)), None)
