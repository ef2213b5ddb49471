"""Files that lie in an object store: copied here while they are read, through fsspec, which knows the stores."""

from __future__ import annotations

import re
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from onboard import unfinished
from onboard.errors import FileTrouble

# A path has one slash where an address has two; one letter before the colon is a disk.
_ADDRESS = re.compile(r"(?P<store>[a-z][a-z0-9+.-]+):/{1,2}(?P<path>[^/].*)")


@contextmanager
def brought(files: Sequence[Path]) -> Iterator[list[Path]]:
    """These files; of those with the address of a store, such as s3://members/parts/*.csv, copies that only the owner can
    read, which are gone afterwards.

    Raises `FileTrouble` where one cannot be had, or two have one name.
    """
    far = [_ADDRESS.fullmatch(one.as_posix()) for one in files]
    if not any(far):
        yield list(files)
        return
    unfinished.sweep(Path(tempfile.gettempdir()))
    folder = Path(tempfile.mkdtemp(unfinished.SUFFIX, unfinished.prefix()))
    try:
        here: list[Path] = []
        for one, address in zip(files, far, strict=True):
            here += _copies(f"{address['store']}://{address['path']}", folder) if address else [one]
        yield here
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _copies(address: str, folder: Path) -> Iterator[Path]:
    try:
        from fsspec.core import url_to_fs
    except ImportError as error:
        raise FileTrouble(
            f"To read {address}, more packages are needed: pip install 'onboard[cluster]', and the one for that store, such "
            "as s3fs."
        ) from error
    try:
        store, path = url_to_fs(address)
        found = sorted(store.glob(path)) if set("*?[") & set(path) else [path]
        for one in found:
            copy = folder / one.rstrip("/").rpartition("/")[2]
            if copy.exists():
                raise FileTrouble(
                    f"Two of the files are called {copy.name}. Rename one of them, and run this again."
                )
            store.get_file(one, str(copy))
            yield copy
    except FileTrouble:
        raise
    except Exception as error:  # each store has errors of its own
        raise FileTrouble(
            f"Can't read {address} ({type(error).__name__}). Check the address, that you may read it, and that the package "
            "for that store is installed, such as s3fs."
        ) from error
    if not found:
        raise FileTrouble(f"{address}: no file has such a name. Check the pattern.")
