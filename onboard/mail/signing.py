"""Signs email with the co-op's key (DKIM, RFC 6376), so that mail servers know that it is the co-op's."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from onboard import signing_key
from onboard.errors import SendTrouble
from onboard.mail.envelope import ends
from onboard.settings import MailServer

# What is signed if it is there. From twice: nobody can put another one beside it (RFC 6376, 8.15).
SIGNED = (
    b"From", b"From", b"To", b"Reply-To", b"Subject", b"Date", b"Message-ID", b"In-Reply-To", b"References",
    b"MIME-Version", b"Content-Type", b"Content-Transfer-Encoding", b"Content-Language", b"Auto-Submitted",
    b"List-Id", b"List-Help",
    # RFC 8058, 4: both must be signed, or no mail program offers the button
    b"List-Unsubscribe", b"List-Unsubscribe-Post",
)  # fmt: skip
_ALWAYS = {b"from"}

Sign = Callable[[bytes], bytes]


def signer(server: MailServer) -> Sign | None:
    """A function that gives a message (RFC 5322, CRLF) its signature, or raises ValueError where that can't
    be; None if the settings name no key.

    Raises `SendTrouble` where the key can't be used, or dkimpy is not installed.
    """
    if not server.dkim_key:
        return None
    try:
        import dkim

        if not server.dkim_selector:
            raise ValueError("needs dkim_selector")
        key = signing_key.read(Path(server.dkim_key))
        if key.kind == "ed25519":
            import nacl.signing  # noqa: F401  # without it dkimpy signs nothing with such a key
    except ImportError as missing:
        raise SendTrouble(
            "To sign email (dkim_key in the settings), the program needs dkimpy. Nothing was sent. Type: pip install onboard[dkim]"
        ) from missing
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise SendTrouble(
            f"Nothing was sent. The key that email is signed with, {server.dkim_key}, {why}."
        ) from error
    selector, kind = server.dkim_selector.encode(), key.kind.encode() + b"-sha256"

    def sign(message: bytes) -> bytes:
        found = ends(message)
        if found is None:
            return message
        domain = found[0].rpartition("@")[2].encode("idna")
        try:
            work = dkim.DKIM(message, signature_algorithm=kind)
            there = {name.lower() for name, _ in work.headers}
            names = [name for name in SIGNED if name.lower() in there | _ALWAYS]
            line: bytes = work.sign(
                selector,
                domain,
                key.secret,
                canonicalize=(b"relaxed", b"relaxed"),
                include_headers=names,
            )
        except dkim.DKIMException as error:
            raise ValueError(f"The email can't be signed ({error}). Make it again.") from error
        return line + message

    return sign
