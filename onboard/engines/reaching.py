"""Where the workers of a cluster are: at the address of a Dask scheduler, or processes of this machine.

with reached("here:2") as engine:
    find_duplicates(sheets, engine=engine)
"""

from __future__ import annotations

import asyncio
import logging
import sys
import tempfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from onboard.engines.cluster import Cluster
from onboard.errors import EngineTrouble

if TYPE_CHECKING:
    from distributed import Client

HERE = "here:"
SCHEDULER, WORKER = 20, 60  # seconds to wait for a scheduler, and for a worker
MISSING = (
    "Work on a cluster needs more packages. Install them here and on every machine of the cluster: "
    "pip install 'onboard[cluster]'"
)


@contextmanager
def reached(
    address: str,
    folder: Path | None = None,
    say: Callable[[str], None] = lambda words: None,
) -> Iterator[Cluster]:
    """The cluster at an address until it is let go: "tcp://…" or "tls://…" of a Dask scheduler, or
    "here:2" for two processes of this machine, whose files lie in a new folder within `folder`. `say` is told what
    a person should know before a work begins.

    Certificates for "tls://" are those of Dask's own settings (`distributed.comm.tls`). Raises
    `EngineTrouble` if nobody is there, or something is missing there.
    """
    try:
        import dask.dataframe  # noqa: F401
        from distributed import Client
    except ImportError as error:
        raise EngineTrouble(MISSING) from error
    if address.startswith(HERE):
        with tempfile.TemporaryDirectory(dir=folder, ignore_cleanup_errors=True) as own:
            with (
                _started(_how_many(address), own) as here,
                Client(here, set_as_default=False) as client,
            ):
                yield Cluster(client, address, say)
        return
    if "://" not in address:  # Dask would try it as tcp://, for as long as nobody answers
        raise EngineTrouble(
            f"Say how to reach “{address}”: the address of a Dask scheduler begins with tls:// or tcp://, as in "
            "tls://10.0.0.5:8786. For processes of this machine it is here:2."
        )
    _see_that_it_answers(address)
    with _client_says_nothing(), Client(address, timeout=SCHEDULER, set_as_default=False) as client:
        _see_that_it_can_work(client, address)
        yield Cluster(client, address, say)


@contextmanager
def _client_says_nothing() -> Iterator[None]:
    """What the client would log of a cluster that is lost, with its traceback, `EngineTrouble` says in a sentence."""
    log = logging.getLogger("distributed.client")
    level = log.level
    log.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        log.setLevel(level)


def _how_many(address: str) -> int:
    said = address.removeprefix(HERE)
    if not said.isdecimal() or not 1 <= int(said) <= 256:
        raise EngineTrouble(
            f"{address}: say how many processes are to work here, from 1 to 256, such as here:2."
        )
    return int(said)


def _started(processes: int, folder: str) -> Any:
    """A scheduler and workers that only this user's programs on this machine can reach."""
    from distributed import LocalCluster

    return LocalCluster(
        n_workers=processes, threads_per_worker=1, host="127.0.0.1", security=True,
        dashboard_address="127.0.0.1:0", worker_dashboard_address="127.0.0.1:0",
        local_directory=folder, memory_limit="auto", silence_logs=logging.CRITICAL,
    )  # fmt: skip


def _see_that_it_answers(address: str) -> None:
    """Raises `EngineTrouble` where no Dask scheduler answers; before Dask's client, which would go on trying."""
    from distributed.comm import connect
    from distributed.security import Security

    async def greet() -> None:
        told = Security().get_connection_args("client")
        comm = await connect(address, timeout=SCHEDULER, **told)
        await comm.close()

    try:
        # In a thread: who calls us from a notebook has an event loop that runs in this one.
        with ThreadPoolExecutor(1) as beside:
            beside.submit(lambda: asyncio.run(greet())).result()
    except Exception as error:  # who is no scheduler may answer anything
        raise EngineTrouble(
            f"No Dask scheduler answers at {address}. Start one (dask scheduler), and give its address, such "
            "as tls://10.0.0.5:8786. For tls:// tell Dask the certificates (docs/large.md)."
        ) from error


def _see_that_it_can_work(client: Client, address: str) -> None:
    """Raises `EngineTrouble` where there is no worker, or one lacks this program or has another version."""
    try:
        client.wait_for_workers(1, timeout=WORKER)
    except TimeoutError as error:
        raise EngineTrouble(
            f"The scheduler at {address} has no workers. Start some (dask worker {address})."
        ) from error
    said = client.run(version, on_error="return").values()
    if any(isinstance(one, Exception) and not isinstance(one, OSError) for one in said):
        raise EngineTrouble(
            f"The workers at {address} do not have this program. On each of their machines: pip install "
            "'onboard[cluster]', of the version that is here."
        )
    versions = {one for one in said if isinstance(one, str)}  # of who is lost just now, none
    if versions - {version()}:
        raise EngineTrouble(
            f"The workers at {address} have another version of this program, or of Python, than is here "
            f"({version()}). Install the same everywhere, and start the workers again."
        )


def version() -> str:
    """Which version of the program this is, and of Python: on a cluster all must be the same."""
    return (
        f"onboard {metadata.version('onboard')}, Python {sys.version_info[0]}.{sys.version_info[1]}"
    )


def caution(address: str) -> str:
    """What to say of an address before members' data goes there; "" where nobody can listen."""
    host = urlsplit(address).hostname or ""
    if (
        not address.startswith("tcp://")
        or host == "localhost"
        or host.startswith("127.")
        or host == "::1"
    ):
        return ""
    return (
        f"What goes to {address} is not encrypted: whoever is on that network can read members' data. Use "
        "tls:// unless the network is yours alone."
    )
