"""The keys by which a domain's mail is signed (DKIM, RFC 6376, 8301 and 8463)."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator

from onboard.mail_records.kinds import Ask, Grade, Point, Sending, tags
from onboard.signing_key import LEAST_BITS, rsa_bits

GOOD_BITS = 2048  # of an RSA key: RFC 8301, 3.2


def points(sending: Sending, ask: Ask) -> Iterator[Point]:
    """What to know of the keys that the domain publishes."""
    if not sending.selectors:
        yield Point(
            "dkim.no_selector", Grade.UNKNOWN, "Your mail server may sign your email (DKIM). Its key is published under a name, the selector, that the program does not know.",
            "Ask whoever runs your mail server whether it signs, and for the selector. Then: onboard mail-check --selector NAME",
        )  # fmt: skip
    for selector in sending.selectors:
        yield from _of_selector(selector, sending, ask)


def _of_selector(selector: str, sending: Sending, ask: Ask) -> Iterator[Point]:
    name = f"{selector}._domainkey.{sending.domain}"
    answer = ask(name, "TXT")
    if not answer.known:
        yield Point("dkim.unanswered", Grade.UNKNOWN, f"The name servers did not answer about {name}, so the program can't tell whether the DKIM key is there.", "Run this again later.")  # fmt: skip
    elif not answer.records:
        record = _to_publish(sending.public_key)
        yield Point("dkim.missing", Grade.WRONG, f"There is no DKIM key at {name}. Email that is signed with it counts as unsigned.", f"Publish the key there as a TXT record{record}.")  # fmt: skip
    elif len(answer.records) > 1:
        yield Point("dkim.two", Grade.WRONG, f"There are {len(answer.records)} TXT records at {name}. Mail servers can't know which one is the key.", "Leave only the DKIM key there.", " | ".join(answer.records))  # fmt: skip
    else:
        yield from _of_record(name, answer.records[0], sending)


def _to_publish(public: str) -> str:
    if not public:
        return ", as your mail provider tells you"
    kind = "ed25519" if len(public) == 44 else "rsa"
    return f": v=DKIM1; k={kind}; p={public}"


def _of_record(name: str, text: str, sending: Sending) -> Iterator[Point]:
    wrong, bits = judged(text)
    if wrong:
        yield Point(
            f"dkim.{wrong}", Grade.WRONG, _WRONG[wrong].format(name=name, bits=bits),
            _ASK[wrong] + (f" The record{_to_publish(sending.public_key)}" if sending.public_key and wrong != "short" else ""), text,
        )  # fmt: skip
        return
    found = dict(tags(text))
    public = "".join(found["p"].split())
    if sending.public_key and public != sending.public_key:
        yield Point("dkim.other_key", Grade.WRONG, f"The DKIM key at {name} is not that of your key file: what you sign with it fails.", f"Publish the right one there{_to_publish(sending.public_key)}. Or name the key file that goes with the record in the settings.", text)  # fmt: skip
        return
    weak = list(_weak(name, text, found, bits))
    yield from weak
    if not weak:
        yield Point("dkim.good", Grade.GOOD, f"There is a sound DKIM key at {name}.", record=text)


def _weak(name: str, text: str, found: dict[str, str], bits: int) -> Iterator[Point]:
    if 0 < bits < GOOD_BITS:
        yield Point("dkim.weak", Grade.WEAK, f"The DKIM key at {name} has {bits} bits. {GOOD_BITS} are advised (RFC 8301).", "Make a longer key when you next change it.", text)  # fmt: skip
    if "y" in _listed(found.get("t", "")):
        yield Point("dkim.testing", Grade.WEAK, f"The DKIM key at {name} says that you are only trying it out (t=y). Some mail servers then pass over it.", "Take t=y out once it works.", text)  # fmt: skip


_WRONG = {
    "unreadable": "The DKIM key at {name} can't be read.",
    "version": "The TXT record at {name} is not a DKIM key: it does not begin with v=DKIM1.",
    "revoked": "The DKIM key at {name} was taken back (p= is empty). Email that is signed with it fails.",
    "kind": "The DKIM key at {name} is of a kind that mail servers don't know.",
    "hash": "The DKIM key at {name} does not allow SHA-256, and mail servers take no other.",
    "service": "The DKIM key at {name} is not for email.",
    "short": "The DKIM key at {name} has {bits} bits. Mail servers pass over one of fewer than 1024 (RFC 8301).",
}
_ASK = {
    "unreadable": "Publish the key again, copied whole: v=DKIM1; p=THE-KEY.",
    "version": "Publish the key there as v=DKIM1; p=THE-KEY.",
    "revoked": "Publish the key that the email is signed with, or sign with a newer one.",
    "kind": "Write k=rsa or k=ed25519, as the key is.",
    "hash": "Take h= out, or write h=sha256.",
    "service": "Take s= out, or write s=email.",
    "short": "Make a key of 2048 bits, publish it under a new selector, and sign with it.",
}


def judged(text: str) -> tuple[str, int]:
    """What is wrong with a key record, by name, and the bits of its RSA key; ("", bits) if nothing is.

    >>> judged("v=DKIM1; p="), judged("v=DKIM1; k=ed25519; p=11qYAYKxCrfVS/7TyWQHOg7hcvPapiMlrwIaaPcHURo=")
    (('revoked', 0), ('', 0))
    """
    try:
        listed = tags(text)
    except ValueError:
        return "unreadable", 0
    found = dict(listed)
    if "v" in found and listed[0] != ("v", "DKIM1"):
        return "version", 0
    if "p" not in found or len(found) < len(listed):
        return "unreadable", 0
    if not found["p"]:
        return "revoked", 0
    if "h" in found and "sha256" not in _listed(found["h"]):
        return "hash", 0
    if "s" in found and not {"*", "email"}.intersection(_listed(found["s"])):
        return "service", 0
    return _of_key(found.get("k", "rsa").lower(), found["p"])


def _of_key(kind: str, said: str) -> tuple[str, int]:
    if kind not in ("rsa", "ed25519"):
        return "kind", 0
    try:
        key = base64.b64decode("".join(said.split()), validate=True)
    except (binascii.Error, ValueError):
        return "unreadable", 0
    if kind == "ed25519":
        return ("" if len(key) == 32 else "unreadable"), 0  # RFC 8463, 4
    bits = rsa_bits(key)
    return ("unreadable" if not bits else "short" if bits < LEAST_BITS else ""), bits


def _listed(said: str) -> set[str]:
    return {one.strip().lower() for one in said.split(":")}
