"""First passwords made and hashed ahead of the packets that tell them."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import date
from threading import Event, Timer

import pytest

from onboard import passwords
from onboard.model import FirstPassword
from onboard.settings import PasswordRule
from onboard.tasks.first_passwords import FirstPasswords, Wanted

TODAY = date(2026, 11, 30)
ENGLISH, SPANISH = Wanted("en", None), Wanted("es", date(2026, 12, 20))


def test_each_is_handed_out_once_with_its_own_hash() -> None:
    with FirstPasswords(PasswordRule(), TODAY) as firsts:
        firsts.expect([ENGLISH, SPANISH, ENGLISH])
        taken = [firsts.take(one) for one in (ENGLISH, SPANISH, ENGLISH, ENGLISH)]
        phrases = [one.first.phrase for one in taken]
        assert len(set(phrases)) == 4
        for one in taken:
            assert passwords.verify(one.first.phrase, one.hashed.result())
    assert taken[1].first.expires == date(2026, 12, 20)
    assert set(phrases[1].split("-")) <= set(passwords.words("es"))


def test_what_is_made_already_is_not_made_again(monkeypatch: pytest.MonkeyPatch) -> None:
    hashed: list[str] = []
    monkeypatch.setattr(passwords, "hashed", lambda first: hashed.append(first.phrase) or "x")
    with FirstPasswords(PasswordRule(), TODAY) as firsts:
        firsts.expect([ENGLISH, ENGLISH])
        firsts.expect([ENGLISH])
        firsts.take(ENGLISH).hashed.result()
        firsts.expect([ENGLISH])
        firsts.take(ENGLISH).hashed.result()
    assert len(hashed) == 2


def test_nobody_waits_for_the_hashes_of_those_that_nobody_took(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    done: list[str] = []
    held = Event()

    def hashed(first: FirstPassword) -> str:
        held.wait()
        done.append(first.phrase)
        return ""

    monkeypatch.setattr(passwords, "hashed", hashed)
    with (
        pytest.raises(OSError, match="the disk is full"),
        FirstPasswords(PasswordRule(), TODAY) as firsts,
    ):
        firsts.expect([ENGLISH] * 50)
        Timer(0.1, held.set).start()  # those that are being hashed end
        raise OSError("the disk is full")
    assert len(done) <= (os.cpu_count() or 1)


def test_the_first_that_are_hashed_in_a_program_may_be_hashed_by_several_threads() -> None:
    script = (
        "from datetime import date\n"
        "from concurrent.futures import ThreadPoolExecutor\n"
        "from onboard import passwords\n"
        "from onboard.model import FirstPassword\n"
        "firsts = [FirstPassword(f'phrase-{n}', date(2026, 12, 9)) for n in range(8)]\n"
        "print(len(set(ThreadPoolExecutor(8).map(passwords.hashed, firsts))))\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)  # fmt: skip
    assert done.stdout == "8\n", done.stderr
