"""Where the desk stands: the office behind it, the names by which it is reached, the link that lets in."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace

from onboard import passwords
from onboard import settings as settings_file
from onboard.desk.counted import Counted
from onboard.desk.given import Files
from onboard.desk.work import Works
from onboard.office import Office, Role
from onboard.web.changed import state
from onboard.web.listening import HERE
from onboard.web.rates import Rate, of_address

log = logging.getLogger(__name__)

# Of one session: many clicks at once are fine, a program that never rests is not.
CLICKS, IN_SECONDS = 600, 60.0  # at once, and in how long all of them are given back
# Of one person, and of one address: who is refused again and again fills no log.
TOLD, TOLD_IN_SECONDS = 20, 3600.0


class StartLink:
    """A link that lets in once: whoever can read this program's terminal."""

    def __init__(self) -> None:
        self._token = ""
        self._lock = threading.Lock()

    def renew(self) -> str:
        """A new token; the one before no longer works."""
        with self._lock:
            self._token = passwords.token()
            return self._token

    def use(self, token: str) -> bool:
        """Whether this is the token. If so, it works no more."""
        with self._lock:
            fits = bool(self._token) and passwords.is_same(token, self._token)
            if fits:
                self._token = ""
            return fits


@dataclass
class Place:
    """The desk as it stands: what all its pages share."""

    office: Office
    port: int
    hosts: frozenset[str]  # the Host headers that are ours, in small letters
    secure: bool = False  # reached over https
    proxies: frozenset[str] = (
        frozenset()
    )  # the addresses from which all requests come; none: from anywhere
    pace: Rate = field(default_factory=lambda: Rate(CLICKS, IN_SECONDS))
    refusals: Rate = field(default_factory=lambda: Rate(TOLD, TOLD_IN_SECONDS))
    link: StartLink = field(default_factory=StartLink)
    works: Works = field(default_factory=Works)
    files: Files = field(default_factory=Files)
    counted: Counted = field(default_factory=Counted)
    _read: tuple[int, int] = (0, 0)  # what the settings file was when it was read
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def __post_init__(self) -> None:
        self._read = state(self.office.settings.file)

    @classmethod
    def at_home(cls, office: Office, port: int) -> Place:
        """On this computer only."""
        return cls(office, port, frozenset(f"{name}:{port}" for name in HERE))

    @property
    def cookie(self) -> str:
        """The name of the cookie. A browser sends cookies to every port of a computer, so it has ours."""
        return "__Host-desk" if self.secure else f"desk-{self.port}"

    @property
    def origins(self) -> frozenset[str]:
        """The origins of our own pages (RFC 6454)."""
        scheme = "https" if self.secure else "http"
        return frozenset(f"{scheme}://{host}" for host in self.hosts)

    def office_of(self, who: str, role: Role | None = None) -> Office:
        """The office with somebody at work there, with the settings as the file says them now.

        Raises `SettingsTrouble` while the file has a mistake.
        """
        with self._lock:
            file = self.office.settings.file
            if (now := state(file)) != self._read:
                self.office = replace(self.office, settings=settings_file.read(file))
                self._read = now
            return replace(self.office, who=who, role=role)

    def tell_of_refusal(self, what: str, address: str) -> None:
        """Tell whoever sees the program that it refused something: when, what, and whom, and nothing that was typed."""
        of = of_address(address)
        if not self.refusals.wait(f"address {of}"):
            log.warning("%s: %s, from %s", f"{self.office.now():%Y-%m-%d %H:%M:%S UTC}", what, of)

    def url(self, path: str, host: str = "") -> str:
        """The whole address of a page."""
        default = f"127.0.0.1:{self.port}"
        host = host or (default if default in self.hosts else min(self.hosts))
        return f"{'https' if self.secure else 'http'}://{host}{path}"


Say = Callable[[str], None]
