"""The words of a packet: templates, per language, which a co-op can replace by its own.

A file in the folder `settings.templates` takes the place of ours of the same name, say
`en/packet.md.j2`; a folder for a further language adds that language. Templates are Jinja2 in a
sandbox; whatever a template is given is escaped, so a member's name cannot become markup.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.resources import as_file, files
from pathlib import Path
from string import punctuation
from traceback import walk_tb
from typing import Any

from jinja2 import (
    ChoiceLoader,
    FileSystemLoader,
    PackageLoader,
    StrictUndefined,
    Template,
    TemplateNotFound,
    TemplateSyntaxError,
)
from jinja2.sandbox import ImmutableSandboxedEnvironment
from markupsafe import Markup

from onboard.errors import FileTrouble, SettingsTrouble
from onboard.model import Member
from onboard.settings import LANGUAGES, Settings

# A sentence that ends with "9:00 p.m." has one dot there, also where a word in bold ends.
_DOTS = re.compile(r"(\b[ap]\\?\.\s?m\\?\.)((?:\*\*|</\w+>)?)\.(?!\.)")
_TWO_DOTS = re.compile(r"m\\?\.(?:\*\*|</\w+>)?\.")  # found in no time where there are none
Filled = Callable[[Mapping[str, object]], str]
PACKET, CALENDAR = "packet.md.j2", "calendar.md.j2"
PAGE, BLOCK = "mail.html.j2", "mail-block.html.j2"
NOTICE, MOVED, SITE = "notice.md.j2", "moved.md.j2", "site.md.j2"
REMINDER, TEXT, POSTCARD = "reminder.md.j2", "text.txt.j2", "postcard.md.j2"


# ---------------------------------------------------------------- which words


def language_of(member: Member, settings: Settings, template: str = PACKET) -> str:
    """The language in which a member is written to: their own if there are words in it, else
    the first of the settings that has some, else English."""
    return language_among(member.language, settings, template)


def language_among(language: str, settings: Settings, template: str) -> str:
    """The language of a template for somebody who speaks `language`; see `language_of`."""
    environment = _environment(settings.templates)
    wanted = (language, *settings.languages)
    for tag in (part for said in wanted for part in (said, said.partition("-")[0])):
        if re.fullmatch(r"[A-Za-z0-9-]+", tag) and _has(environment, f"{tag}/{template}"):
            return tag
    return "en"


def guide(settings: Settings, language: str) -> str:
    """The page of the guide to point a member to, in their language if it is in it; "" if there is none."""
    page = settings.guide.page
    folder = f"{language}/" if language in LANGUAGES else ""
    return f"{page}/{folder}index.html" if page else ""


def copy_templates(folder: Path) -> tuple[Path, ...]:
    """The templates, written out into `folder` as a starting point for a co-op's own.

    What stands there already is left alone. Raises `FileTrouble` if a file cannot be written.
    """
    copied = []
    with as_file(files(__package__) / "templates") as ours:
        for source in sorted(path for path in ours.rglob("*") if path.is_file()):
            target = folder / source.relative_to(ours)
            if target.exists():
                continue
            try:
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(source, target)
            except OSError as error:
                raise FileTrouble(
                    f"Can't write {target} ({error.strerror}). Choose a folder of your own."
                ) from error
            copied.append(target)
    return tuple(copied)


# ---------------------------------------------------------------- filling in


def markdown(name: str, settings: Settings, values: Mapping[str, object]) -> str:
    """The template `name` with `values` in it, which Markdown takes for nothing but text.

    Raises `SettingsTrouble` for a template that is broken.
    """
    return filled(name, settings)(values)


def filled(name: str, settings: Settings) -> Filled:
    """What fills in the template `name`, as `markdown` does, for many."""
    return _filled(_environment(settings.templates), name, settings)


def raw(name: str, settings: Settings, values: Mapping[str, object]) -> str:
    """The template `name` of plain text with `values` in it, as they are. Raises `SettingsTrouble`."""
    as_they_are = {
        key: Markup(said) if isinstance(said, str) else said for key, said in values.items()
    }
    return pages(name, settings)(as_they_are)


def pages(name: str, settings: Settings) -> Filled:
    """What fills in the HTML template `name`, and escapes what it puts in. Both raise `SettingsTrouble`."""
    return _filled(_environment(settings.templates, markdown=False), name, settings)


def _filled(environment: ImmutableSandboxedEnvironment, name: str, settings: Settings) -> Filled:
    template = _template(environment, name, settings)

    def fill(values: Mapping[str, object]) -> str:
        with told(name, settings):
            said = template.render(values)
        return _DOTS.sub(r"\1\2", said) if _TWO_DOTS.search(said) else said

    return fill


def _template(
    environment: ImmutableSandboxedEnvironment, name: str, settings: Settings
) -> Template:
    with told(name, settings):
        return environment.get_template(name)


def _has(environment: ImmutableSandboxedEnvironment, name: str) -> bool:
    try:
        environment.get_template(name)
    except TemplateNotFound as error:
        return error.name != name
    except (TemplateSyntaxError, UnicodeDecodeError):
        return True  # said when it is used
    return True


class _Sandbox(ImmutableSandboxedEnvironment):
    """Asks once of each kind of value which of its attributes a template may read, which depends on nothing else."""

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        self._safe: dict[tuple[type, str], bool] = {}

    def is_safe_attribute(self, obj: Any, attr: str, value: Any) -> bool:
        asked = type(obj), attr
        if asked not in self._safe:
            self._safe[asked] = super().is_safe_attribute(obj, attr, value)
        return self._safe[asked]


@cache
def _environment(folder: Path | None, markdown: bool = True) -> ImmutableSandboxedEnvironment:
    ours = PackageLoader("onboard.welcome")
    return _Sandbox(
        loader=ChoiceLoader([FileSystemLoader(folder), ours]) if folder else ours,
        autoescape=True,
        finalize=_as_markdown if markdown else None,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


_ESCAPED = re.compile(f"([{re.escape(punctuation)}])")


def _as_markdown(value: object) -> Markup:
    """A value as Markdown that is nothing but its text: any ASCII punctuation may stand behind a
    backslash (CommonMark 0.31, 2.4), and white space is one space, so no line begins anew."""
    if isinstance(value, Markup):
        return value
    return Markup(_ESCAPED.sub(r"\\\1", " ".join(str(value).split())))


def one_by_one(text: str) -> Markup:
    """The signs of a text, each as Markdown, with a gap between them that is wider than a space: so
    it is neither taken for a comma nor for the space of a phrase."""
    return Markup("\xa0 ").join(_as_markdown(sign) for sign in text)


# ---------------------------------------------------------------- which sentence tells what


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of a packet, where it stands in the template."""

    file: str
    line: int
    text: str  # what is filled in stands in square brackets


_TELLS = re.compile(r"\{#\s*tells:([^#]*)#\}\s*")
_TO_THE_END = re.compile(r"\n|\{[#%]")
_FILLED = re.compile(r"\{\{\s*([^}]*?)\s*\}\}")
_LINK = re.compile(r"\[([^\]]*)\]\([^)]*\)")


_HEADING = re.compile(r"^#+ +(.*?)\s*$", re.M)
_TAGS = re.compile(r"\{[%#].*?[%#]\}")


def version(language: str, settings: Settings) -> tuple[str, dict[str, tuple[str, str]]]:
    """By what the words of a packet are known, and what they say: by cause of a call, the section and the sentence.

    Words that differ in a letter have another version. Raises `SettingsTrouble`.
    """
    name, source = _packet_source(language, settings)
    headings = [
        (source.count("\n", 0, found.start()) + 1, _shown(_TAGS.sub("", found[1])))
        for found in _HEADING.finditer(source)
    ]
    said = {}
    for cause, sentence in sentences(language, settings).items():
        above = [text for line, text in headings if line <= sentence.line]
        said[cause] = (above[-1] if above else "", sentence.text)
    return sha256(f"{name}\n{source}".encode()).hexdigest()[:16], said


def _packet_source(language: str, settings: Settings) -> tuple[str, str]:
    """The name of the packet's template in a language, and the template."""
    environment = _environment(settings.templates)
    name = f"{language if _has(environment, f'{language}/{PACKET}') else 'en'}/{PACKET}"
    loader = environment.loader
    assert loader is not None
    with told(name, settings):
        source, _, _ = loader.get_source(environment, name)
    return name, source


def _shown(text: str) -> str:
    return _FILLED.sub(r"[\1]", _LINK.sub(r"\1", text)).replace("**", "")


def sentences(language: str, settings: Settings) -> dict[str, Sentence]:
    """By cause of a failed sign-in (its code): the sentence of the packet that speaks of it.

    A template says so by `{# tells: typed.email #}` before the sentence. Raises `SettingsTrouble`
    when the co-op's own template cannot be read.
    """
    name, source = _packet_source(language, settings)
    found: dict[str, Sentence] = {}
    for mark in _TELLS.finditer(source):
        line = source.count("\n", 0, mark.end()) + 1
        rest = _TO_THE_END.split(source[mark.end() :], maxsplit=1)[0]
        text = _shown(rest)
        first = re.match(r".*?[.!?](?=\s|$)", text)
        sentence = Sentence(where(name, settings), line, (first[0] if first else text).strip())
        for code in mark[1].split():
            found.setdefault(code, sentence)
    return found


# ---------------------------------------------------------------- what is wrong with a template


@contextmanager
def told(name: str, settings: Settings) -> Iterator[None]:
    """Says of a template's error where it stands and what to do, as `SettingsTrouble`."""
    try:
        yield
    except SettingsTrouble:  # of a template that is used in this one
        raise
    except Exception as error:  # whatever a co-op's own template can do wrong
        line = 0
        if isinstance(error, TemplateSyntaxError):
            name, line = error.name or name, error.lineno
        else:
            # Jinja2 writes the template's own file and line into the traceback.
            for frame, number in walk_tb(error.__traceback__):
                if frame.f_code.co_filename.endswith((".j2", ".typ")):
                    name, line = frame.f_code.co_filename, number
        raise SettingsTrouble(
            f"{where(name, settings)}{f', line {line}' if line else ''}: {_why(error)} "
            "Fix it there, or delete the file to get our words back."
        ) from error


def where(name: str, settings: Settings) -> str:
    """The file of a template as a coordinator finds it."""
    own = settings.templates and settings.templates / name
    return str(own) if own and own.is_file() else name


def subject(title: str, name: str, settings: Settings) -> str:
    """The title of a template as the subject of its email. Raises `SettingsTrouble` if there is none."""
    if not title:
        raise SettingsTrouble(
            f"{where(name, settings)}: the subject is missing. Begin it with a line "
            "“# subject”, or delete the file to get our words back."
        )
    return title


def _why(error: Exception) -> str:
    match error:
        case TemplateNotFound():
            return f"there is no template “{error.message}”."
        case UnicodeDecodeError():
            return "the file is not in UTF-8. Save it as UTF-8."
        case _:
            return f"{str(error).rstrip('.')}."
