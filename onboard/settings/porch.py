"""The page on which people join, and who may hand sign-ups in, as [porch] states it."""

from dataclasses import dataclass
from typing import Annotated

from onboard.settings.checks.porch import client_keys, web_origins
from onboard.settings.key import Key


@dataclass(frozen=True, slots=True)
class PorchRule:
    """What `onboard porch` lets in."""

    answer_days: Annotated[
        int,
        Key("within how many days you look at a sign-up", "the join page says so to whoever signs up: keep it", bounds=(1, 90)),
    ] = 7  # fmt: skip
    keys: Annotated[
        tuple[str, ...],
        Key(
            "the programs that may use the porch, each with the digest of its key", 'written "name:digest"; `onboard porch --new-key NAME` makes both. If empty, only our own join page may',
            client_keys,
        ),
    ] = ()  # fmt: skip
    origins: Annotated[
        tuple[str, ...],
        Key(
            "the pages whose scripts may use the porch from a browser", 'each without a path, "https://our-coop.example.org"; if empty, none may',
            web_origins,
        ),
    ] = ()  # fmt: skip
    sign_ups_per_hour: Annotated[
        int,
        Key("how many sign-ups an hour may come from one internet address", "a library or a fair has one for all who sit there, and so has a website that hands sign-ups in", bounds=(1, 10_000_000)),
    ] = 30  # fmt: skip
    checks_per_minute: Annotated[
        int,
        Key("how many requests a minute may come from one internet address", bounds=(1, 10_000_000)),
    ] = 300  # fmt: skip
