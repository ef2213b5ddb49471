"""Connections with a limit to how slowly a request may begin: uvicorn by itself waits for ever for the end of a header."""

from __future__ import annotations

import asyncio
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

PATIENCE = 15.0  # seconds in which the headers of a request must have come in


class Patient(H11Protocol):
    """HTTP/1.1, closed where nothing whole comes in time (slow headers, or none at all)."""

    _waits: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Somebody connected."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Something came: patience ends where a request is whole, and begins anew with the next."""
        super().data_received(data)
        if self.cycle is not None and not self.cycle.response_complete:
            self._stop()
        else:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """It is over."""
        self._stop()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._waits is None:
            self._waits = asyncio.get_running_loop().call_later(PATIENCE, self._give_up)

    def _stop(self) -> None:
        if self._waits is not None:
            self._waits.cancel()
            self._waits = None

    def _give_up(self) -> None:
        self._waits = None
        cycle: Any = self.cycle
        if cycle is None or cycle.response_complete:
            self.transport.abort()
