"""The page of findings, made from the rules: `python tests/findings_page.py > docs/findings.md`."""

from __future__ import annotations

from collections.abc import Iterable

from onboard import catalogue
from onboard.model import Kind

HEAD = """# Findings

What the program notices about a join form, by field, and what an audit notices about a roster. Each finding has a stable
code and a weight:

- **mended** (fixed): the program fixed it. Nothing to do.
- **doubtful** (please check): good enough to enroll. Ask when you can.
- **blocking** (needs an answer): the row is on hold until someone answers.

In an audit, *blocking* means that someone can't order, or an account is at risk, until you do something.
*Mended* means that it can be fixed without asking, or is only good to know. Examples of an audit's findings
are what is on file about one account, or about several with | between them.

A code is `field.what_it_is`, and does not change from one version to the next. Causes of a failed sign-in
have a page of their own, [sign-in.md](sign-in.md). This page is made from the rules themselves
(`python tests/findings_page.py`).
"""


def page(kinds: Iterable[Kind]) -> str:
    """The catalogue as Markdown."""
    lines, field = [HEAD], ""
    for kind in kinds:
        if kind.field != field:
            field = kind.field
            lines.append(f"## {field}\n")
        given = "".join(f", {name} {_code(text)}" for name, text in kind.context.items())
        lines.append(
            f"### {kind.code}\n\n*{kind.weight}.* {kind.about}\n\n"
            f"- found in: {_code(kind.wrong)}{given}\n- not in: {_code(kind.right)}\n"
        )
    return "\n".join(lines)


def _code(text: str) -> str:
    if not text:
        return "(nothing)"
    shown = ascii(text) if not text.isprintable() else text
    return f"`` {shown} ``" if "`" in shown else f"`{shown}`"


if __name__ == "__main__":
    print(page(catalogue.kinds()), end="")
