"""Email addresses: RFC 5321 and 5322 for the form, RFC 6531 for letters beyond ASCII.

Policy: what people use is accepted; what is legal but never used by people (quoted names, IP
addresses, comments) is put on hold; slips in the domain are suggested and never rewritten. The
address stays as typed, and `Email.identity` says which mailbox it reaches. Whether a well-formed
address receives mail nobody can tell from its form.
docs/contacts.md says the same for coordinators.
"""

from __future__ import annotations

from onboard.clean.email.address import plain
from onboard.clean.email.cell import EmailCell
from onboard.clean.email.kinds import KINDS
from onboard.clean.email.mailbox import Relation, relation, slip
from onboard.model import Cleaned, Email

__all__ = ["KINDS", "Relation", "clean", "relation", "show", "slip"]


def clean(said: str) -> Cleaned[Email]:
    """The address meant by `said`, the mailbox it reaches, and what is odd about it.

    The local part stays as typed; the domain is in small letters, as A-labels (RFC 5890,
    2.3.2.1) unless the local part needs SMTPUTF8 anyway. Never raises; `value` is None where
    no single address can be meant.

    >>> cleaned = clean("Pat Lee <Pat.Lee+coop@GMail.com>")
    >>> cleaned.value.address, cleaned.value.identity
    ('Pat.Lee+coop@gmail.com', 'patlee@gmail.com')
    >>> [f.code for f in clean("pat@gmial.com").findings]
    ['email.slip']
    """
    cell = EmailCell(said)
    parsed = plain(said)
    return cell.take(parsed) if parsed else cell.result()


def show(value: Email) -> str:
    """The address, and any others of the same cell, one a line.

    >>> show(clean("pat@Example.org").value)
    'pat@example.org'
    """
    return "\n".join((value.address, *value.others))
