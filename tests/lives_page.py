"""The lives of the nouns as docs/architecture.md tells them: python tests/lives_page.py prints them."""

from __future__ import annotations

from onboard.model import Standing, State
from onboard.model.outgoing import NEXT
from onboard.model.standing import FOLLOWS, FORBIDDEN


def outgoing() -> list[str]:
    """A line of the table for each state of a message."""
    lines = ["| a message that is | goes on by |", "|---|---|"]
    for state in State:
        moves = [
            f"{event} → {to}"
            for (old, event), to in NEXT.items()
            if old is state and to is not state
        ]
        lines.append(f"| {state} | {', '.join(moves) or 'nothing'} |")
    return lines


def standing() -> list[str]:
    """A line of the table for each standing of a member."""
    lines = ["| an account that is | may become | is kept from |", "|---|---|---|"]
    for here in Standing:
        follows = ", ".join(there for there in Standing if there in FOLLOWS[here])
        kept_from = ", ".join(sorted(FORBIDDEN[here])) or "nothing"
        lines.append(f"| {here} | {follows} | {kept_from} |")
    return lines


def page() -> str:
    """Both tables."""
    return "\n".join([*outgoing(), "", *standing()])


if __name__ == "__main__":
    print(page())
