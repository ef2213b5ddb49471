"""The frame of every page: its templates, look and scripts, what may run in it, and the code to scan."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files

import segno
from jinja2 import ChoiceLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

LANGUAGES = ("en", "es")
PAGES = ("where", "when", "sign-in", "email")
MARK = '<meta name="generator" content="onboard guide">'  # by which a page is known for ours


def page(template: str, values: Mapping[str, object], scripts: tuple[str, ...] = ()) -> bytes:
    """A page of a template, with the look and the scripts in it, and a policy that lets nothing else run or load."""
    style, script = _part("style.css"), "\n".join(map(_part, scripts))
    policy = (
        f"default-src 'none'; style-src {_hash(style)}; img-src data:; base-uri 'none'; form-action 'none'; "
        f"script-src {_hash(script) if script else chr(39) + 'none' + chr(39)}"
    )
    frame = {
        "style": Markup(style),
        "script": Markup(script),
        "policy": policy,
        "mark": Markup(MARK),
    }
    return _environment().get_template(template).render({**values, **frame}).encode()


def code(url: str) -> Markup:
    """A QR code (ISO/IEC 18004) as SVG, of medium error correction, dark on white on every screen."""
    made = segno.make(url, error="m", micro=False)
    return Markup(
        made.svg_inline(border=4, omitsize=True, light="#fff", svgclass=None, lineclass=None)
    )


@cache
def _part(name: str) -> str:
    """A style or a script, without the notes and the white space that only its writers need."""
    text = (files(__package__) / "scripts" / name).read_text("utf-8")
    lines = (line.strip() for line in text.splitlines())
    between = (
        "" if name.endswith(".css") else "\n"
    )  # a line of a style ends with a sign that parts it
    return between.join(line for line in lines if line and not line.startswith("//"))


def _hash(content: str) -> str:
    """How a policy names what may run: CSP Level 3, 2.3.1."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(content.encode()).digest()).decode()}'"


@cache
def _environment() -> Environment:
    made = Environment(
        loader=ChoiceLoader([PackageLoader("onboard.guide"), PackageLoader("onboard.reports")]),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.policies["json.dumps_kwargs"] = {"sort_keys": True, "separators": (",", ":")}
    return made
