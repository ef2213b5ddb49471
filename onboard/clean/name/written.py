"""A name as it is written out."""

from __future__ import annotations

from onboard.model import PersonName


def show(name: PersonName, between: str = " and ") -> str:
    """The name as it is written out; the people of a joint sign-up with "and", or what stands `between` them.

    >>> show(PersonName("Pat", "Q", "Lee", "Jr", title="Dr"))
    'Dr Pat Q Lee Jr'
    >>> show(PersonName("Ana", family="Ruiz", called="Ani", former="Soto"))
    'Ana "Ani" Ruiz (born Soto)'
    """
    one = " ".join(
        part
        for part in (
            name.title,
            name.given,
            f'"{name.called}"' if name.called else "",
            name.middle,
            name.family,
            name.suffix,
            f"(born {name.former})" if name.former else "",
        )
        if part
    )
    return between.join([one, *map(show, name.joint)])
