"""How far a long work is: the share of its time that is over, by what its steps cost where they were measured."""

from __future__ import annotations

from collections.abc import Callable


class Course:
    """Steps, each of so many things to do; `told` hears the share of the whole that is done, from 0 to 1, never less than
    before.

    How many things there will be is often known only when the step before is done: then `expect` says so, and
    what is left is reckoned anew.

    >>> heard = []
    >>> course = Course({"read": 3.0, "judge": 1.0}, heard.append)
    >>> course.expect(read=10, judge=10)
    >>> course.go("read", 5), course.expect(judge=40), course.go("read", 5), course.go("judge", 40)
    (None, None, None, None)
    >>> heard
    [0.375, 0.42857142857142855, 1.0]
    """

    def __init__(self, costs: dict[str, float], told: Callable[[float], None]) -> None:
        """`costs` are those of a thing of each step, in any unit."""
        self._costs: dict[str, float] = {}
        self._wanted: dict[str, float] = {}
        self._done: dict[str, float] = {}
        self._told, self._share = told, 0.0
        self.add(costs)

    def add(self, costs: dict[str, float]) -> None:
        """More steps, and what a thing of each costs."""
        self._costs |= costs
        self._wanted |= dict.fromkeys(costs, 0.0)
        self._done |= dict.fromkeys(costs, 0.0)

    def expect(self, **things: float) -> None:
        """How many things there are in these steps, as far as is known now; a step that is not taken is passed over."""
        self._wanted |= {step: some for step, some in things.items() if step in self._costs}

    def go(self, step: str, things: float) -> None:
        """So many more things of a step are done."""
        self._done[step] += things
        self._wanted[step] = max(self._wanted[step], self._done[step])
        self._tell()

    def part(self, step: str, share: float) -> None:
        """So much of all things that a step is expected to have is done."""
        self.go(step, share * self._wanted[step])

    def over(self, step: str) -> None:
        """A step is done, however many things it turned out to have."""
        self._wanted[step] = self._done[step] = max(self._done[step], self._wanted[step])
        self._tell()

    def _tell(self) -> None:
        done, wanted = (
            sum(self._costs[step] * things for step, things in some.items())
            for some in (self._done, self._wanted)
        )
        self._share = max(self._share, min(done / wanted, 1.0) if wanted else 0.0)
        self._told(self._share)
