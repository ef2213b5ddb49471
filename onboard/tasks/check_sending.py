"""What the sender's domain says to the mail servers of others, asked of the name servers."""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from onboard import mail_records, signing_key
from onboard.errors import SettingsTrouble
from onboard.intake.name_servers import asking
from onboard.mail_records import Point, Sending
from onboard.office import Office


def check_sending(office: Office, selectors: Collection[str] = ()) -> list[Point]:
    """All there is to know about the records of the domain that the co-op's email comes from: SPF, DKIM, DMARC,
    MX, by subject; what is good as well. Nothing is sent, and the roster is not asked.

    `selectors` name DKIM keys to look at besides that of the settings. Raises `SettingsTrouble` where dnspython
    is not installed, or the key of the settings can't be read.
    """
    return mail_records.points(sending(office, selectors), asking(office.resolver))


def sending(office: Office, selectors: Collection[str] = ()) -> Sending:
    """How the co-op sends mail, as the settings have it. Raises `SettingsTrouble`."""
    settings = office.settings
    mail = settings.mail
    named = dict.fromkeys([*filter(None, [mail.dkim_selector]), *selectors])
    return Sending(
        _domain(settings.sender),
        _domain(mail.bounces_to or settings.sender),
        mail.host,
        tuple(named),
        _public(mail.dkim_key),
    )


def _domain(address: str) -> str:
    """The domain of an address, as the name servers know it (RFC 5891)."""
    domain = address.rpartition("@")[2].lower()
    return domain if domain.isascii() else domain.encode("idna").decode("ascii")


def _public(file: str) -> str:
    """The public key of the key that we sign with; "" if we do not sign, or can't make it out here."""
    if not file:
        return ""
    try:
        return signing_key.read(Path(file)).public
    except ImportError:
        return ""
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or error
        raise SettingsTrouble(f"The DKIM key {file} can't be used: it {why}.") from error
