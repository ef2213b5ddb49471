"""How much may come from whom: so many in so many seconds, and then as many as time gives back."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable
from ipaddress import IPv6Address, ip_address, ip_network

REMEMBERED = 50_000  # of those who came last


class Rate:
    """A bucket for each name: `most` at once, full again after so many `seconds`."""

    def __init__(
        self, most: int, seconds: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._most, self._back, self._clock = most, most / seconds, clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = threading.Lock()

    def wait(self, name: str, cost: float = 1) -> float:
        """0 if one more may come, which then counts as so many; else in how many seconds it may."""
        now = self._clock()
        with self._lock:
            left, at = self._left.pop(name, (float(self._most), now))
            left = min(self._most, left + (now - at) * self._back)
            may = left >= cost
            self._left[name] = (left - cost if may else left, now)
            while len(self._left) > REMEMBERED:
                self._left.popitem(last=False)
        return 0.0 if may else (cost - left) / self._back


def of_address(address: str) -> str:
    """Whom an internet address stands for: of IPv6 the network of 64 bits, which is one household's (RFC 6177).

    >>> of_address("192.0.2.7"), of_address("2001:db8:1:2:3::9")
    ('192.0.2.7', '2001:db8:1:2::/64')
    """
    try:
        read = ip_address(address)
    except ValueError:
        return "unknown"
    if not isinstance(read, IPv6Address):
        return str(read)
    if read.ipv4_mapped:
        return str(read.ipv4_mapped)
    return str(ip_network((read, 64), strict=False))
