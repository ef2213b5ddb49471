"""How long one question takes: why a sign-in failed, and the words to say.

    python tests/benchmarks/signin.py [CASES]

Processor time of one core. Cold: the first question of a process, with its tables; first: a member
who was not asked about before; again: the same questions a second time. The cases are those of
`tests/signin/wrong_callers.py`. The last line is the ratio to hashing one megabyte (SHA-256), so that
figures of two machines can be put side by side.
"""

from __future__ import annotations

import gc
import hashlib
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "signin"))

from measure_signin import COOP, ask
from wrong_callers import cases

from onboard.signin import Form, script


def took(work: Callable[[], object], times: int) -> float:
    """Milliseconds of processor time for one of so many."""
    begun = time.process_time()
    work()
    return 1000 * (time.process_time() - begun) / times


def main(count: int = 2000) -> None:
    made = list(cases(5, count))
    gc.freeze()  # the cases are many and ours; a desk has one
    print(f"why, cold\t{took(lambda: ask(made[0]), 1):.2f} ms")
    first = took(lambda: [ask(case) for case in made], count)
    print(f"why, first time\t{first:.3f} ms")
    for case in made[:50]:
        ask(case)
    again = took(lambda: [ask(case) for case in made[:50] * 4], 200)
    print(f"why, again\t{again:.3f} ms")
    told = [(ask(case), case.account) for case in made[:500]]
    slowest = max(took(lambda case=case: ask(case), 1) for case in made[-500:])  # type: ignore[misc]
    print(f"why, slowest of 500, pauses for garbage included\t{slowest:.3f} ms")
    for form in Form:
        script(*told[0], COOP, "en", form)
        said = took(lambda form=form: [script(*one, COOP, "en", form) for one in told], 500)  # type: ignore[misc]
        print(f"script, {form}\t{said:.3f} ms")
    junk = "á’ \u200b" * 2_500_000
    print(f"why, 10 million characters of junk\t"
          f"{took(lambda: ask(made[0].__class__(**{**made[0].__dict__, 'typed': junk})), 1):.2f} ms")  # fmt: skip
    block = b"x" * 1_000_000
    hashed = took(lambda: [hashlib.sha256(block).digest() for _ in range(20)], 20)
    print(f"first time, in megabytes hashed\t{first / hashed:.2f}")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
