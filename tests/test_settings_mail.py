"""How email goes out, as the settings have it: what is wrong is told when they are read."""

from __future__ import annotations

from pathlib import Path

import pytest
from cli.office import SETTINGS

from onboard import settings
from onboard.errors import SettingsTrouble

SEED = "nWGxne/9WmC6hEr0kuwsxERJxWl7MmkZcDusAxyuf2A="  # RFC 8463, A.2
SIGNS = 'dkim_selector = "mail2026"\ndkim_key = "dkim.key"'


def read(folder: Path, lines: str, table: str = "mail") -> settings.Settings:
    file = folder / "onboard.toml"
    file.write_text(f"{SETTINGS}\n[{table}]\n{lines}\n")
    return settings.read(file)


def wrong(folder: Path, lines: str, table: str = "mail") -> str:
    with pytest.raises(SettingsTrouble) as told:
        read(folder, lines, table)
    return str(told.value)


@pytest.fixture
def key(tmp_path: Path) -> Path:
    file = tmp_path / "dkim.key"
    file.write_text(SEED)
    file.chmod(0o600)
    return file


def test_a_key_is_found_beside_the_settings(tmp_path: Path, key: Path) -> None:
    found = read(tmp_path, SIGNS).mail
    assert (found.dkim_selector, found.dkim_key) == ("mail2026", str(key))


def test_a_key_that_is_broken_or_open_is_told_and_never_shown(tmp_path: Path, key: Path) -> None:
    key.chmod(0o644)
    said = wrong(tmp_path, SIGNS)
    assert '[mail] dkim_key is "dkim.key", which can be read by others' in said
    assert "chmod 600 dkim.key" in said
    key.write_text("not a key: " + SEED)
    key.chmod(0o600)
    said = wrong(tmp_path, SIGNS)
    assert "which is not a private key" in said
    assert SEED not in said
    key.unlink()
    assert "can't be read (No such file" in wrong(tmp_path, SIGNS)


def test_a_key_and_its_name_go_together(tmp_path: Path, key: Path) -> None:
    only = 'dkim_selector = "mail2026"'
    assert "[mail] has dkim_selector and no dkim_key: fill in both" in wrong(tmp_path, only)
    assert "[mail] has dkim_key and no dkim_selector" in wrong(tmp_path, 'dkim_key = "dkim.key"')
    assert 'is "a b"' in wrong(tmp_path, 'dkim_selector = "a b"')


@pytest.mark.parametrize(
    "said", ["bounce@coop.example", "bounce@TOKEN.example", "TOKEN", "TOKEN+TOKEN@coop.example", "a b+TOKEN@coop.example", f"{'b' * 60}TOKEN@coop.example"]
)  # fmt: skip
def test_where_reports_come_back_to_has_one_part_of_its_own(tmp_path: Path, said: str) -> None:
    assert "[mail] bounces_to is" in wrong(tmp_path, f'bounces_to = "{said}"')


def test_a_return_path_that_works(tmp_path: Path) -> None:
    said = "bounce+TOKEN@growers.example.org"
    assert read(tmp_path, f'bounces_to = "{said}"').mail.bounces_to == said


PASSWORD = "furrow and fen"


@pytest.mark.parametrize("table", ["mail", "mailbox"])
def test_a_password_is_in_the_environment_or_in_a_file_of_its_own(
    tmp_path: Path, table: str
) -> None:
    file = tmp_path / "its-password"
    file.write_bytes(f"\ufeff{PASSWORD}\r\n".encode())
    file.chmod(0o600)
    found = getattr(read(tmp_path, 'secret_file = "its-password"', table), table)
    assert found.secret({}) == PASSWORD
    assert found.secret({found.secret_from: "another"}) == "another"
    assert found.secret_in == str(file)
    assert PASSWORD not in repr(found)
    file.unlink()
    with pytest.raises(ValueError, match=r"can't be read \(No such file"):
        found.secret({})
    without = getattr(read(tmp_path, "", table), table)
    assert (without.secret({}), without.secret_in) == ("", without.secret_from)


@pytest.mark.parametrize("table", ["mail", "mailbox"])
def test_a_file_that_is_no_password_or_open_to_others_is_told_and_never_shown(
    tmp_path: Path, table: str
) -> None:
    file, line = tmp_path / "its-password", 'secret_file = "its-password"'
    assert f'[{table}] secret_file is "its-password", which can\'t be read' in wrong(
        tmp_path, line, table
    )
    file.write_text(f"{PASSWORD}\n")
    for mode in (0o644, 0o640, 0o602):
        file.chmod(mode)
        said = wrong(tmp_path, line, table)
        assert "can be read by others on this computer" in said
        assert "chmod 600 its-password" in said
    file.chmod(0o600)
    for content in (b"", b" \n", b"export A=b\nexport C=d\n", b"\xff\xfe", b"x" * 5000):
        file.write_bytes(content)
        said = wrong(tmp_path, line, table)
        assert "is not a password. Write it into the file on one line" in said
        assert "export" not in said
