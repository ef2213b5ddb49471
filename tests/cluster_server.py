"""A Dask scheduler and workers of our own: processes on this machine, with certificates of their own."""

from __future__ import annotations

import json
import os
import re
import shlex
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import dask
from distributed import Client
from distributed.security import Security

from onboard.engines.cluster import Cluster

PAGE = Path(__file__).parent.parent / "docs" / "large.md"
LONGEST = 60.0  # seconds that a start may take


@contextmanager
def threads() -> Iterator[Cluster]:
    """Two workers in this process: quick to start, and a test can reach into them."""
    with Client(
        processes=False, n_workers=2, threads_per_worker=1, dashboard_address="127.0.0.1:0",
        worker_dashboard_address="127.0.0.1:0", set_as_default=False,
    ) as client:  # fmt: skip
        yield Cluster(client, "here")


@dataclass
class Running:
    """A cluster that runs, and what it logs."""

    address: str
    folder: Path
    processes: list[int]  # the scheduler and each worker's nanny
    scheduler: subprocess.Popen[bytes]

    def logs(self) -> str:
        return "".join(file.read_text("utf-8", "replace") for file in self.folder.glob("*.log"))

    def stop_scheduler(self) -> None:
        self.scheduler.send_signal(signal.SIGKILL)


def as_the_page_says(program: str, address: str = "") -> list[str]:
    """The words with which our page starts this program of Dask's, at this machine's own address."""
    (line,) = re.findall(rf"^    dask ({program} .+)$", PAGE.read_text("utf-8"), re.MULTILINE)
    return shlex.split(
        line.replace("tls://10.0.0.5:8786", address).replace("10.0.0.5", "127.0.0.1")
    )


def certificates(folder: Path) -> Mapping[str, str]:
    """Dask's settings for certificates that only this cluster has."""
    made = Security.temporary()
    (folder / "key.pem").write_text(made.tls_client_key)
    (folder / "cert.pem").write_text(made.tls_client_cert)
    key, certificate = str(folder / "key.pem"), str(folder / "cert.pem")
    who = ("client", "scheduler", "worker")
    return {
        "distributed.comm.require-encryption": "true",
        "distributed.comm.tls.ca-file": certificate,
        **{f"distributed.comm.tls.{one}.key": key for one in who},
        **{f"distributed.comm.tls.{one}.cert": certificate for one in who},
    }


@contextmanager
def running(folder: Path, workers: int = 2) -> Iterator[Running]:
    """A scheduler with so many workers, which a nanny starts again, until the block ends."""
    told = certificates(folder)
    environment = dict(os.environ)
    environment |= {
        "DASK_" + key.replace(".", "__").replace("-", "_").upper(): value
        for key, value in told.items()
    }
    processes: list[subprocess.Popen[bytes]] = []

    def start(name: str, *words: str) -> subprocess.Popen[bytes]:
        with (folder / f"{name}.log").open("wb") as log:
            process = subprocess.Popen(
                [sys.executable, "-m", "dask", *words], cwd=folder, env=environment,
                stdout=log, stderr=subprocess.STDOUT,
            )  # fmt: skip
        processes.append(process)
        return process

    try:
        place = folder / "scheduler.json"
        said = as_the_page_says("scheduler")
        scheduler = start("scheduler", *said, "--port", "0", "--scheduler-file", str(place))
        _wait_for(place)
        address = json.loads(place.read_text())["address"]
        for number in range(workers):
            start(
                f"worker{number}", *as_the_page_says("worker", address), "--nworkers", "1",
                "--memory-limit", "1GB", "--local-directory", str(folder), "--death-timeout", "20",
            )  # fmt: skip
        with dask.config.set(told):
            yield Running(address, folder, [process.pid for process in processes], scheduler)
    finally:
        for process in reversed(processes):
            process.terminate()
        for process in processes:
            try:
                process.wait(15)
            except subprocess.TimeoutExpired:
                process.kill()


def _wait_for(file: Path) -> None:
    end = time.monotonic() + LONGEST
    while not file.exists() or not file.stat().st_size:
        assert time.monotonic() < end, "the scheduler did not start"
        time.sleep(0.05)
