"""The pages in docs/ are current, whole, and their examples and links hold."""

from __future__ import annotations

import doctest
import re
import shutil
import subprocess
import sys
import tomllib
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages
from urllib.parse import unquote

import lives_page
import pytest

import onboard
from onboard import catalogue
from onboard.cli import manual

HOME = Path(__file__).parent.parent
DOCS = HOME / "docs"
PAGES = (HOME / "README.md", HOME / "DEVELOPERS.md", *sorted(DOCS.glob("*.md")))
MODULES = sorted(
    module.name
    for module in walk_packages(onboard.__path__, "onboard.")
    # scripts, run as they are loaded
    if not re.search(r"\.(migrations|__main__)\b", module.name)
)


def text(page: str) -> str:
    return (DOCS / page).read_text("utf-8")


# ---------------------------------------------------------------- examples


@pytest.mark.parametrize("module", ["onboard", *MODULES])
def test_the_examples_in_the_code_hold(module: str) -> None:
    assert doctest.testmod(import_module(module)).failed == 0


def test_the_examples_on_the_page_for_programmers_hold(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for file in (HOME / "fixtures_demo").iterdir():
        if file.suffix in (".csv", ".toml"):
            shutil.copy(file, tmp_path)
    monkeypatch.chdir(tmp_path)
    done = doctest.testfile(str(DOCS / "python.md"), module_relative=False)
    assert done.attempted > 30
    assert done.failed == 0


# ---------------------------------------------------------------- everything has a place


def test_every_command_has_a_place_on_the_page_of_commands_and_an_example() -> None:
    for name, command in manual.commands().items():
        assert f"\n## onboard {name}\n" in text("commands.md")
        assert f"`onboard {name}" in (command.help or ""), f"{name} has no example in its help"
        assert f"Example: `onboard {name}" in (command.help or "")


def test_every_option_says_what_it_does() -> None:
    for name, command in manual.commands().items():
        for param in command.params:
            assert getattr(param, "help", ""), f"{name} {param.name}"


def test_commands_are_shown_at_work() -> None:
    for name in manual.commands():
        assert f"onboard {name}" in text("using.md"), name


def test_pages_speak_of_no_command_that_is_not_there() -> None:
    known = {*manual.commands(), "COMMAND"}
    for page in PAGES:
        said = page.read_text("utf-8")
        used = re.findall(
            r"(?:^ {4,}|`|\n```sh\n|\$ |&& \S*)onboard ([a-z]+(?:-[a-z]+)*)\b", said, re.MULTILINE
        )
        assert set(used) <= known, f"{page.name}: {sorted(set(used) - known)}"


def test_pages_speak_of_no_option_that_is_not_there() -> None:
    known = {
        option for command in manual.commands().values() for param in command.params
        for option in param.opts
    } | {"--help"}  # fmt: skip
    for page in PAGES:
        for line in re.findall(r"onboard (?:[a-z-]+)\b[^`\n]*", page.read_text("utf-8")):
            used = set(re.findall(r"(?<=\s)--[a-z-]+", line))
            assert used <= known, f"{page.name}: {line}"


def test_every_public_name_has_a_place() -> None:
    page = text("python.md")
    for name in onboard.__all__:
        assert re.search(rf"`(onboard\.)?{name}`", page), name


def test_every_finding_has_a_place() -> None:
    for kind in catalogue.kinds():
        assert f"\n### {kind.code}\n" in text("findings.md")


def test_every_word_of_the_glossary_is_told_once_and_in_order() -> None:
    words = re.findall(r"^\| ([^|]+?) \|", text("glossary.md"), re.MULTILINE)
    words = [word for word in words if word != "word" and not word.startswith("---")]
    assert len(words) == len(set(words))
    assert words == sorted(words, key=str.casefold)


# ---------------------------------------------------------------- current and linked


def test_the_page_of_commands_is_current() -> None:
    assert text("commands.md") == manual.page(), (
        "make it again: python -m onboard.cli.manual > docs/commands.md"
    )


def test_the_floors_on_the_page_are_those_that_are_checked() -> None:
    project = tomllib.loads((HOME / "pyproject.toml").read_text("utf-8"))
    (floors, *_) = project["tool"]["importlinter"]["contracts"]
    shown = "\n".join(f"    {floor.replace('onboard.', '')}" for floor in floors["layers"])
    assert f"\n\n{shown}\n\n" in text("architecture.md")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_somewhere(page: Path) -> None:
    said = re.sub(r"```.*?```", "", page.read_text("utf-8"), flags=re.DOTALL)
    for link in re.findall(r"\]\(([^)\s]+)\)", said):
        if link.startswith(("https://", "http://", "mailto:")) or link in ("code", "no-link"):
            continue
        target, _, part = unquote(link).partition("#")
        file = page.parent / target if target else page
        assert file.exists(), f"{page.name}: {link}"
        if part:
            heads = re.findall(r"^#+ (.+)$", file.read_text("utf-8"), re.MULTILINE)
            assert part in {_anchor(head) for head in heads}, f"{page.name}: {link}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_files_that_a_page_names_are_there(page: Path) -> None:
    named = re.findall(
        r"`((?:docs|onboard|tests|fixtures_demo)/[\w./-]*)`", page.read_text("utf-8")
    )
    made = {"fixtures_demo/outbox/"}  # by the program, as it runs
    assert [name for name in named if name not in made and not (HOME / name).exists()] == []


def test_every_page_is_reached_from_the_index() -> None:
    index = text("README.md")
    for page in sorted(DOCS.glob("*.md")):
        if page.name != "README.md":
            assert f"]({page.name})" in index, page.name


def test_pictures_are_shown_somewhere() -> None:
    said = "\n".join(page.read_text("utf-8") for page in PAGES)
    for picture in sorted((DOCS / "pictures").iterdir()):
        assert f"pictures/{picture.name}" in said, picture.name


def test_the_public_names_load_when_asked_for_and_not_before() -> None:
    code = "import sys, onboard; print(sorted(m for m in sys.modules if m.startswith('onboard')))"
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "['onboard']"
    for name in onboard.__all__:
        assert getattr(onboard, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        onboard.nothing  # noqa: B018


def _anchor(head: str) -> str:
    """The anchor that a heading gets: small letters, hyphens for blanks, no other signs."""
    return re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-")


def test_the_sums_in_the_guide_are_those_of_the_demo(tmp_path: Path) -> None:
    for name in ("onboard.toml", "members.csv", "join-forms.csv"):
        shutil.copy(HOME / "fixtures_demo" / name, tmp_path)
    office = onboard.open_office(tmp_path / "onboard.toml", who="pat")
    members = onboard.intake.open_rows(tmp_path / "members.csv", needed=("name", "handle"))
    onboard.adopt_members(office, members.rows(), file="", keep=True)
    forms = onboard.intake.open_rows(
        tmp_path / "join-forms.csv", extra_questions=office.settings.extra_questions
    )
    done = onboard.process_batch(office, forms.rows(), file="", keep=False)
    office.close()
    sums = (
        f"{done.rows} rows: {done.enrolled} new members, {done.same} already members, "
        f"{done.held} on hold, {done.dropped} not enrolled, 0 already in an earlier file."
    )
    assert text("using.md").count(sums) == 2, (
        "the demo comes out otherwise now: run it, and mend docs/using.md"
    )


def test_the_page_tells_the_lives_of_messages_and_accounts_as_the_program_knows_them() -> None:
    page = (DOCS / "architecture.md").read_text("utf-8")
    for table in (lives_page.outgoing(), lives_page.standing()):
        assert "\n".join(table) in page
