"""The engine of many machines: the workers of a Dask scheduler, or some processes here that act as one.

    with reached("here:2") as engine:
        find_duplicates(sheets, engine=engine)

Dask hands out the work, does a part again where a worker was lost, and moves tables between workers. What
it logs has no data in it: what goes to a worker hides its values, and what a part raises comes back as the
place in the program alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import CancelledError
from contextlib import contextmanager
from hashlib import sha256
from itertools import count
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any, Generic, TypeVar
from uuid import uuid4

from onboard import errors
from onboard.errors import EngineTrouble, FileTrouble

if TYPE_CHECKING:
    import pyarrow as pa
    from distributed import Client, Future

Value = TypeVar("Value")
Part = TypeVar("Part")
Result = TypeVar("Result")
Answer = TypeVar("Answer")

BACK, RESULT = 60, 60  # seconds to wait for a lost worker to come back, and for what a part came to
ENDS = 1 << 16  # bytes at both ends of a file, by which it is known again
LOOK = 2.0  # seconds between two looks at whether anybody still works


class Hidden(Generic[Value]):
    """A value that goes to the workers, and that no log shows."""

    def __init__(self, value: Value) -> None:
        self.value = value

    def __repr__(self) -> str:
        return "(not shown)"


class Cluster:
    """Workers that do functions of values, or of what other functions came to and the workers have."""

    def __init__(
        self, client: Client, address: str, say: Callable[[str], None] = lambda words: None
    ) -> None:
        """`say` is told, before a work begins, what a person should know of how it is done."""
        self._client, self._address, self.say = client, address, say
        self._run, self._numbers = uuid4().hex[:8], count()

    @property
    def workers(self) -> int:
        """How many parts can be worked on at a time, at least one."""
        with self._told():
            threads: int = sum(self._client.nthreads().values())
            return max(threads, 1)

    def submit(self, work: Callable[..., Any], *of: Any) -> Future:
        """Begin a function on some worker; what `results` gives is what it comes to."""
        name = f"{work.__name__}-{self._run}-{next(self._numbers)}"
        given = [one if _is_future(one) else Hidden(one) for one in of]
        with self._told():
            return self._client.submit(_done, work, *given, key=name, pure=False)

    def results(
        self, futures: Sequence[Future], progress: Callable[[int], None] = lambda done: None
    ) -> list[Any]:
        """What all these came to, in order; `progress` is told how many more of them are there.

        Raises `EngineTrouble` if it cannot be had.
        """
        with self._told():
            self._wait(futures, progress)
            return [one.value for one in self._client.gather(list(futures))]

    def each(self, work: Callable[[Any], Any], of: Sequence[Any]) -> Iterator[Any]:
        """What the function comes to of each of these, in their order."""
        return Spread(self, work).map(of)

    def sees(self, files: Sequence[Path]) -> bool:
        """Whether every worker sees these files as they are seen here; if not, `say` is told in words."""
        places = [file.absolute() for file in files]
        with self._told():
            there = self._client.run(seen, places, on_error="return")
        here = seen(places)
        for worker, found in there.items():
            for file, mine, theirs in zip(
                files, here, found if isinstance(found, list) else [], strict=False
            ):
                if mine != theirs:
                    self.say(
                        f"The worker {worker} can't see {file}, or sees another file there, so this machine reads "
                        "the files and sends the rows to the workers. That takes longer, and more memory here. For "
                        "more than a few million rows, put the files into a folder that all machines have under the "
                        "same name."
                    )
                    return False
        return True

    def done(self, futures: Sequence[Future]) -> None:
        """Wait until all these are done; raises `EngineTrouble` if one cannot be."""
        with self._told():
            self._wait(futures, lambda done: None)

    def shuffled(self, tables: Sequence[Future], schema: pa.Schema, homes: int) -> list[Future]:
        """The lines of all these tables at their homes, a table for each of so many."""
        import dask
        import dask.dataframe as frames

        with self._told(), dask.config.set({"dataframe.convert-string": False}):
            whole = frames.from_delayed(
                [self._client.submit(_frame, one, pure=False) for one in tables],
                meta=_frame(Hidden(schema.empty_table())), verify_meta=False,
            )  # fmt: skip
            at_home = whole.set_index(
                "home", divisions=list(range(homes + 1)), shuffle_method="p2p"
            )
            found = self._client.compute(at_home.to_delayed())
            return [self._client.submit(_tabled, one, pure=False) for one in found]

    def _wait(self, futures: Sequence[Future], progress: Callable[[int], None]) -> None:
        """Until all are done, or one has failed, or nobody is left who could do them."""
        waiting, seen = list(futures), monotonic()
        while waiting:
            _some_time(waiting)
            for one in waiting:
                if one.status in ("error", "cancelled"):
                    one.result(timeout=RESULT)
            still = [one for one in waiting if not one.done()]
            progress(len(waiting) - len(still))
            waiting = still
            if self._client.status == "running" and self._client.nthreads():
                seen = monotonic()
            elif monotonic() - seen > BACK:
                raise self._lost()

    def _lost(self) -> EngineTrouble:
        return EngineTrouble(
            f"The cluster at {self._address} was lost: its scheduler, or all of its workers, can't be "
            "reached any more. No list was written. Start it again, then run this again."
        )

    @contextmanager
    def _told(self) -> Iterator[None]:
        """What Dask raises, in words that name no member."""
        from distributed import KilledWorker
        from distributed.comm import CommClosedError

        try:
            with self._client.as_current():
                yield
        except KilledWorker as error:
            raise EngineTrouble(
                f"A part of the work stopped every worker that took it ({error.task}), most often because "
                "memory ran out. No list was written. Give each worker more memory, then run this again."
            ) from None
        except _Fault as error:
            raise EngineTrouble(
                f"A worker could not do its part. No list was written. Where it happened:\n{error}"
            ) from None
        except (CommClosedError, CancelledError, TimeoutError, OSError):
            raise self._lost() from None


class Spread(Generic[Part, Result]):
    """One work on many parts, on the workers of a cluster."""

    def __init__(self, cluster: Cluster, work: Callable[[Part], Result]) -> None:
        self._cluster = cluster
        self._work = cluster.submit(_as_it_is, work)

    def map(self, parts: Iterable[Part]) -> Iterator[Result]:
        """The result of each part, in order; four parts for each worker are on their way at a time.

        Raises `EngineTrouble` if one cannot be had.
        """
        ahead = 4 * self._cluster.workers
        waiting: deque[Future] = deque()
        for part in parts:
            waiting.append(self._cluster.submit(_apply, self._work, part))
            if len(waiting) > ahead:
                yield self._cluster.results([waiting.popleft()])[0]
        while waiting:
            yield self._cluster.results([waiting.popleft()])[0]

    def beside(self, task: Callable[..., Answer], *of: object) -> Callable[[], Answer]:
        """Begin a task on some worker; its answer is waited for by a call."""
        future = self._cluster.submit(task, *of)

        def answer() -> Answer:
            found: Answer = self._cluster.results([future])[0]
            return found

        return answer


def _as_it_is(value: Value) -> Value:
    return value


def _apply(work: Callable[[Part], Result], part: Part) -> Result:
    return work(part)


class _Fault(Exception):
    """A fault of the program on a worker: the place, never a value."""


def _done(work: Callable[..., Any], *of: Hidden[Any] | list[Hidden[Any]]) -> Hidden[Any]:
    try:
        return Hidden(work(*map(_value, of)))
    except FileTrouble:  # which names a file and a line, and nobody
        raise
    except Exception as error:
        raise _Fault(errors.where(error)) from None


def _value(one: Hidden[Any] | list[Hidden[Any]]) -> Any:
    return [some.value for some in one] if isinstance(one, list) else one.value


def _frame(table: Hidden[pa.Table]) -> Any:
    import pandas as pd
    import pyarrow as pa

    letters = {pa.large_binary(): pd.ArrowDtype(pa.large_binary())}
    return table.value.to_pandas(types_mapper=letters.get)


def _tabled(frame: Any) -> Hidden[pa.Table]:
    import pyarrow as pa

    return Hidden(pa.Table.from_pandas(frame, preserve_index=False))


def seen(files: Sequence[Path]) -> list[str]:
    """A mark for each of these files by its size, its beginning and its end; "" for one that is not seen."""
    return [_mark(file) for file in files]


def _mark(file: Path) -> str:
    try:
        if not file.is_file():  # what is none may never answer
            return ""
        with file.open("rb") as stream:
            size = file.stat().st_size
            begins = stream.read(ENDS)
            stream.seek(max(0, size - ENDS))
            return sha256(b"%d " % size + begins + stream.read(ENDS)).hexdigest()
    except OSError:
        return ""


def _is_future(one: Any) -> bool:
    from distributed import Future

    return isinstance(one, Future) or (
        isinstance(one, list) and bool(one) and all(isinstance(some, Future) for some in one)
    )


def _some_time(waiting: Sequence[Future]) -> None:
    from distributed import wait

    try:
        wait(waiting, timeout=LOOK, return_when="FIRST_COMPLETED")
    except (TimeoutError, CancelledError):
        return
