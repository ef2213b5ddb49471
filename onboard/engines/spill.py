"""Columns that lie in files of a folder, for more people than memory holds."""

from __future__ import annotations

import mmap
import shutil
import tempfile
from multiprocessing.reduction import ForkingPickler
from pathlib import Path
from types import TracebackType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from onboard import unfinished
from onboard.errors import FileTrouble
from onboard.match.piles import Piles


class Spill(Piles):
    """Piles in a new folder within `folder`, which only the owner can read; gone when closed.

    Raises `FileTrouble` if nothing can be written there.
    """

    def __init__(self, folder: Path) -> None:
        super().__init__()
        try:
            unfinished.sweep(folder)
            made = tempfile.mkdtemp(unfinished.SUFFIX, unfinished.prefix(), folder)
            self._folder = Path(made)
        except OSError as error:
            raise FileTrouble(
                f"Nothing can be written to {folder}: {error.strerror}. Give a folder that is "
                "there and is yours."
            ) from error

    def add(self, name: str, piece: NDArray[Any]) -> None:
        """Put a piece behind those before it. Raises `FileTrouble` if it cannot be written."""
        self._types[name] = piece.dtype
        try:
            with (self._folder / name).open("ab") as file:
                file.write(np.ascontiguousarray(piece).data)
        except OSError as error:
            raise FileTrouble(
                f"{self._folder} cannot be written: {error.strerror}. Make room there, or give "
                "another folder."
            ) from error

    def whole(self, name: str) -> NDArray[Any]:
        """The array of all its pieces, read from the file as it is looked at."""
        file = self._folder / name
        if not file.stat().st_size:
            return np.empty(0, self._types[name])
        return np.memmap(file, dtype=self._types[name], mode="r")

    def __enter__(self) -> Spill:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        trouble: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        shutil.rmtree(self._folder, ignore_errors=True)


def _by_name(array: np.memmap[Any, Any]) -> Any:
    """An array that is a whole file goes to another process by the file's name, and is read there as it is looked at."""
    if isinstance(array.base, mmap.mmap):
        return _mapped, (array.filename, array.dtype)
    return np.array(array, subok=False).__reduce__()


def _mapped(file: Path, of: np.dtype[Any]) -> NDArray[Any]:
    return np.memmap(file, dtype=of, mode="r")


ForkingPickler.register(np.memmap, _by_name)
