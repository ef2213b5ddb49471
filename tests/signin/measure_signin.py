"""How often the right cause comes first, and among three.

    python tests/signin/measure_signin.py [SEED …] [--cases 6000] [--show CODE]

First: the first cause told is one of the true ones. Three: all true causes are among the first
three. Calibration: the causes told are put in ten bins by confidence; a true cause of two counts
a half, of one a whole; the error is the mean distance between confidence and truth, by bin.
"""

from __future__ import annotations

import argparse
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

from wrong_callers import TODAY, Case, cases

from onboard.settings import HandleRule, MailServer, PasswordRule, Settings
from onboard.signin import Cause, why

COOP = Settings(
    file=Path("onboard.toml"), coop="Test Growers Co-op",
    ordering_page="https://order.example.org", shop_page="https://shop.example.com",
    sender="hello@growers.example.org", reply_phone="+14195550100",
    postal_address="1 Barn Road\nLima OH 45801", timezone="America/New_York", region="US",
    languages=("en", "es"), security_question=True, handle=HandleRule(), password=PasswordRule(),
    mail=MailServer(), groups=(), sites=(),
)  # fmt: skip


@dataclass
class Score:
    """Counts for one cause, or for all."""

    all: int = 0
    first: int = 0
    three: int = 0


@dataclass
class Measured:
    """What came out."""

    whole: Score = field(default_factory=Score)
    one: Score = field(default_factory=Score)
    two: Score = field(default_factory=Score)
    by_cause: dict[str, Score] = field(default_factory=lambda: defaultdict(Score))
    bins: dict[int, list[tuple[float, float]]] = field(default_factory=lambda: defaultdict(list))
    misses: list[tuple[Case, tuple[Cause, ...]]] = field(default_factory=list)

    @property
    def calibration(self) -> float:
        """Mean distance between confidence and truth, over the bins by their size."""
        count = sum(map(len, self.bins.values()))
        return sum(
            abs(sum(said for said, _ in told) - sum(true for _, true in told))
            for told in self.bins.values()
        ) / max(1, count)


def ask(case: Case) -> tuple[Cause, ...]:
    """The causes told for a case."""
    return why(
        case.account, typed=case.typed, page=case.page, said=case.said, others=case.others,
        today=TODAY, settings=COOP,
    )  # fmt: skip


def measure(made: Iterable[Case]) -> Measured:
    """The figures over these cases."""
    found = Measured()
    for case in made:
        told = ask(case)
        codes = [cause.code for cause in told]
        first = codes[0] in case.truth
        three = case.truth <= set(codes[:3])
        for score in (
            found.whole,
            found.one if len(case.truth) == 1 else found.two,
            *(found.by_cause[code] for code in case.truth),
        ):
            score.all += 1
            score.first += first
            score.three += three
        if not (first and three):
            found.misses.append((case, told))
        for cause in told:
            true = 1 / len(case.truth) if cause.code in case.truth else 0.0
            found.bins[int(cause.confidence * 10)].append((cause.confidence, true))
    return found


def main() -> None:
    options = argparse.ArgumentParser()
    options.add_argument("seeds", nargs="*", type=int, default=[1])
    options.add_argument("--cases", type=int, default=6000)
    options.add_argument("--show", default="")
    given = options.parse_args()
    found = measure(one for seed in given.seeds for one in cases(seed, given.cases))
    print("cause\tcases\tfirst %\tthree %")
    rows = [("all", found.whole), ("one cause", found.one), ("two and more", found.two)]
    for code, score in [*rows, *sorted(found.by_cause.items())]:
        print(
            f"{code}\t{score.all}\t{100 * score.first / max(1, score.all):.1f}"
            f"\t{100 * score.three / max(1, score.all):.1f}"
        )
    print(f"calibration error\t{found.calibration:.3f}")
    for place, told in sorted(found.bins.items()):
        said = sum(said for said, _ in told) / len(told)
        true = sum(true for _, true in told) / len(told)
        print(f"bin {place / 10:.1f}\t{len(told)}\tsaid {said:.3f}\ttrue {true:.3f}")
    shown: Counter[str] = Counter()
    for case, told in found.misses:
        key = " ".join(sorted(case.truth))
        if given.show and (given.show == "all" or given.show in case.truth) and shown[key] < 3:
            shown[key] += 1
            handle = case.account.handle
            print(handle.text if handle else "-", repr(case.typed), key, "->",
                  *(f"{c.code} {c.confidence}" for c in told[:4]))  # fmt: skip


if __name__ == "__main__":
    main()
