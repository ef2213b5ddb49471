"""Who connects and sends next to nothing: slow headers, slow bodies, and what is no HTTP at all."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from at_porch import AtPorch, porch

from onboard.porch import guards, serving
from onboard.web import patience
from onboard.web.listening import Listening, listener


@pytest.fixture
def there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[AtPorch, int]]:
    """A porch at a port, whose patience is short."""
    monkeypatch.setattr(patience, "PATIENCE", 1.0)
    monkeypatch.setattr(guards, "PATIENCE", 1.0)
    how = Listening()
    with porch(tmp_path) as here, listener(how) as ours:
        port = ours.getsockname()[1]
        here.place.hosts |= {f"127.0.0.1:{port}"}
        server = uvicorn.Server(serving.config_of(here.client.app, how))  # type: ignore[arg-type]
        thread = threading.Thread(target=server.run, kwargs={"sockets": [ours]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield here, port
        server.should_exit = True
        thread.join(10)


def answer(port: int, *sent: bytes, pause: float = 0) -> bytes:
    """What comes back until the connection is closed."""
    with socket.create_connection(("127.0.0.1", port), timeout=20) as line:
        for part in sent:
            line.sendall(part)
            time.sleep(pause)
        came = b""
        try:
            while part := line.recv(65536):
                came += part
        except ConnectionError:
            pass
        return came


def head(port: int, *more: str) -> bytes:
    """The beginning of a request."""
    return "\r\n".join(
        ("POST /join HTTP/1.1", f"Host: 127.0.0.1:{port}", "Connection: close", *more)
    ).encode()


@pytest.mark.parametrize("sent", [b"", b"GET / HT", b"GET /join HTTP/1.1\r\nHost: x\r\nX-Slow: "])
def test_a_connection_that_sends_nothing_whole_is_closed(
    there: tuple[AtPorch, int], sent: bytes
) -> None:
    start = time.monotonic()
    assert answer(there[1], sent) == b""
    assert time.monotonic() - start < 15


def test_a_second_request_on_a_connection_may_not_be_slower(there: tuple[AtPorch, int]) -> None:
    port = there[1]
    whole = f"GET /join HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode()
    came = answer(port, whole, b"GET /join HTTP/1.1\r\nX-Slow: ", pause=0.3)
    assert came.startswith(b"HTTP/1.1 200")


def test_a_form_that_does_not_come_is_told_so(there: tuple[AtPorch, int]) -> None:
    port = there[1]
    form = "Content-Type: application/x-www-form-urlencoded"
    came = answer(port, head(port, form, "Content-Length: 1000") + b"\r\n\r\na=1")
    assert came.startswith(b"HTTP/1.1 408")


def test_more_than_was_declared_or_than_may_be_is_refused(there: tuple[AtPorch, int]) -> None:
    port = there[1]
    form = "Content-Type: application/x-www-form-urlencoded"
    chunk = b"2000\r\n" + b"x" * 0x2000 + b"\r\n"
    came = answer(
        port,
        head(port, form, "Transfer-Encoding: chunked") + b"\r\n\r\n" + chunk * 20 + b"0\r\n\r\n",
    )
    assert came.startswith(b"HTTP/1.1 413")


@pytest.mark.parametrize(
    "sent",
    [
        b"\x16\x03\x01\x02\x00\x01\x00", b"GET /join HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", b"GET /join HTTP/1.1\r\n\r\n",
        b"GET /join HTTP/1.1\r\nHost: x\r\nX: " + b"y" * 200_000 + b"\r\n\r\n",
        b"POST /join HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        b"POST /join HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n", b"GET /join\r\n HTTP/1.1\r\n\r\n",
    ],
)  # fmt: skip
def test_what_is_no_request_of_ours_is_refused(there: tuple[AtPorch, int], sent: bytes) -> None:
    port = there[1]
    came = answer(port, sent)
    assert came == b"" or came.startswith((b"HTTP/1.1 400", b"HTTP/1.1 421"))
    assert b"Furrow" not in came or came.startswith(b"HTTP/1.1 421")
    # And the porch is there for the next.
    assert answer(
        port, f"GET /join HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n".encode()
    ).startswith(b"HTTP/1.1 200")


def test_many_who_send_nothing_do_not_keep_others_out(there: tuple[AtPorch, int]) -> None:
    port = there[1]
    idle = [socket.create_connection(("127.0.0.1", port)) for _ in range(200)]
    try:
        request = (
            f"GET /join HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n".encode()
        )
        assert answer(port, request).startswith(b"HTTP/1.1 200")
    finally:
        for one in idle:
            one.close()
