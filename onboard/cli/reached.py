"""The options that say how others than this computer reach a face in the browser."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer


@dataclass(frozen=True, slots=True)
class Reached:
    """How others than this computer reach it."""

    address: Annotated[
        str,
        typer.Option(
            "--address",
            "--host",
            help="Where to listen. If left out, only this computer can reach it.",
        ),
    ] = "127.0.0.1"
    name: Annotated[
        str,
        typer.Option(
            "--name", help="The name by which people reach it: desk.our-coop.example.org."
        ),
    ] = ""
    certificate: Annotated[
        Path | None, typer.Option("--certificate", help="The certificate for TLS, a PEM file.")
    ] = None
    key: Annotated[Path | None, typer.Option("--key", help="Its key, a PEM file.")] = None
    behind_proxy: Annotated[
        bool,
        typer.Option(
            "--behind-proxy",
            help="A proxy in front of it speaks TLS, and passes the Host header on.",
        ),
    ] = False
