"""What a person should look at in the windows of the next 18 months."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from itertools import combinations

from onboard.settings import Group, Settings, Window
from onboard.settings.checks.windows import named
from onboard.windows.coming import horizon, past, upcoming
from onboard.windows.days_off import day_off
from onboard.windows.turns import How, Made, made, turns
from onboard.windows.words import say_day

SHORT = 45  # days; whoever's last window is nearer than this needs more of them


def check(settings: Settings, today: date) -> tuple[str, ...]:
    """What is doubtful about the windows that are open or still to come, a sentence for each, with what to do."""
    found: list[str] = []
    for group in settings.groups:
        found += _kept_out(group, _coming(group, today))
        found += _missing(settings, group, today)
    found += _at_once(settings, today)
    return tuple(found)


def remarks(settings: Settings, today: date) -> tuple[str, ...]:
    """What is good to know of these windows and may well be as it should: those that open or close on a holiday, and
    groups in several time zones."""
    found = [
        words
        for group in settings.groups
        for words in _on_holidays(settings, group, _coming(group, today))
    ]
    return (*found, *_zones(settings))


def _coming(group: Group, today: date) -> list[Made]:
    last = horizon(today)
    return [
        one for one in made(group, last) if one.window.closes >= today and one.window.opens <= last
    ]


def gap(settings: Settings, today: date) -> tuple[str, ...]:
    """The months of the rotation, from this one on, in which nobody can order, and why."""
    found = []
    for turn in turns(settings.windows, horizon(today)):
        if turn.first < today.replace(day=1):
            continue
        if not turn.group:
            found.append(f"{named(turn.first)}: nobody orders, it is a month of rest.")
        elif turn.left_out:
            found.append(f"{named(turn.first)}: {turn.group} has no window, it is left out.")
    return tuple(found)


def _kept_out(group: Group, coming: list[Made]) -> Iterator[str]:
    for one in coming:
        if not (other := one.kept_out_by) or one.turn is None:
            continue
        turn = f"{group.name}, {named(one.turn)}:"
        if other == one.window:
            yield (
                f"{turn} because of holidays, the window would close on {say_day(one.window.closes)}, before it "
                f"opens on {say_day(one.window.opens)}. It is skipped. Write other days for it: moved, under [windows]."
            )
            continue
        yield (
            f"{turn} the window by the rule ({_span(one.window)}) overlaps another one of the group "
            f"({_span(other)}). Only the other one counts. Take out one of the two: left_out, under [windows], or "
            "windows, under the [[group]]."
        )


def _on_holidays(settings: Settings, group: Group, coming: list[Made]) -> Iterator[str]:
    if not settings.windows.rotation:
        return  # whoever writes out each window has looked at the calendar
    for one in coming:
        if one.kept_out_by or one.how is not How.RULE or one.turn is None:
            continue
        window = one.window
        for verb, day in (("opens", window.opens), ("closes", window.closes)):
            if name := day_off(settings.windows.holidays, day):
                yield (
                    f"{group.name}, {named(one.turn)}: the window {verb} on {say_day(day)}, a holiday ({name}). If that is "
                    f'not what you want, add ", or the next working day" to {verb}, under [windows], or move this one.'
                )


def _missing(settings: Settings, group: Group, today: date) -> Iterator[str]:
    if not any(site.group == group.name and not site.closed for site in settings.sites):
        return
    if coming := upcoming(group, today):
        end = coming[-1].closes
        if not group.rule and end < today + timedelta(SHORT):
            yield f"{group.name}: after {say_day(end)} there is no window. Add the next ones to the settings."
    elif done := past(group, today):
        yield f"{group.name}: the last window closed on {say_day(done[-1].closes)}. Add the next ones to the settings."
    else:
        yield (
            f"{group.name} has no windows, so its members can't order. Write them under its [[group]], or add it "
            "to rotation, under [windows]."
        )


def _at_once(settings: Settings, today: date) -> Iterator[str]:
    """Windows of two groups of the rotation on one day: they are meant to take turns."""
    groups = [group for group in settings.groups if group.rule]
    for one, other in combinations(groups, 2):
        for a in upcoming(one, today):
            for b in upcoming(other, today):
                if a.opens <= b.closes and b.opens <= a.closes:
                    yield (
                        f"{one.name} ({_span(a)}) and {other.name} ({_span(b)}) can order at the same time."
                        " If you don't want that, move one of them."
                    )


def _zones(settings: Settings) -> Iterator[str]:
    rule = settings.windows
    if not (rule.opens_at or rule.closes_at):
        return
    groups: dict[tuple[str, ...], list[str]] = {}
    for group in settings.groups:
        zones = {
            settings.zone(site).key
            for site in settings.sites
            if site.group == group.name and not site.closed
        }
        groups.setdefault(tuple(sorted(zones)), []).append(group.name)
    for keys, names in groups.items():
        if len(keys) > 1:
            yield (
                f"The drop sites of {', '.join(names)} are in {len(keys)} time zones ({', '.join(keys)}). Each opens "
                "and closes by its own clock. Give members the calendar of their drop site, not that of the group."
            )


def _span(window: Window) -> str:
    return f"{say_day(window.opens)} to {say_day(window.closes)}"
