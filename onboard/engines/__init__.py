"""Where work on whole files runs: in this process, or in several.

    with engines.choose(processes, fold) as engine:
        for folded in engine.map(engines.parts(rows, 10_000)):  # in order, read as wanted
            ...

Work is a function of one part. Whatever else it needs goes with it (a method of rules, a partial),
once to each worker, and is kept nowhere else: two works at once know nothing of each other. To run
in processes, the work, the parts and what comes back must be values that can be pickled.
"""

from onboard.engines.choice import choose, on
from onboard.engines.engine import Engine
from onboard.engines.parts import parts

__all__ = ["Engine", "choose", "on", "parts"]
