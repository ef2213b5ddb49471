"""What the ordering page answered, when it was told of accounts: what it calls each, and what it did not take."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from sqlalchemy import Connection

from onboard.errors import FileTrouble
from onboard.office import Act, Office
from onboard.reports.exported import Answered
from onboard.roster import page, search
from onboard.tasks.export_accounts import had_before

LARGEST = 1 << 28  # bytes of an answer that are read


def take_answer(office: Office, file: Path, *, keep: bool) -> Answered:
    """What a page answered: to a bulk request (RFC 7644, section 3.7.3), or a list of its users
    (section 3.4.2); kept if `keep`.

    Raises `FileTrouble` if the file is neither, and `StoreTrouble`.
    """
    office.see_that_one_may(Act.TELL)
    answer = _read(file)
    done = Answered()
    named: dict[int, str] = {}
    with office.work(keep=keep) as connection:
        if isinstance(answer.get("Operations"), list):
            operations = [o for o in answer["Operations"] if isinstance(o, dict)]
            never_taken, in_doubt = _take_operations(connection, operations, named, done)
            if keep:
                page.drop(connection, never_taken)
                page.unsure(connection, in_doubt)
        else:
            users = [u for u in answer["Resources"] if isinstance(u, dict)]
            _take_users(connection, users, named, done)
        known = search.members_by_number(connection, named)
        first = page.first_values(connection, named)
        has = {
            number: had_before(member, first.get(number, {}), office.settings)
            for number, member in known.items()
        }
        done.named = len(named)
        if keep:
            page.call(connection, named, has, office.signature())
    return done


def _read(file: Path) -> dict[str, Any]:
    try:
        if file.stat().st_size > LARGEST:
            raise FileTrouble(f"{file} is too large to be a page's answer. Give it in parts.")
        answer = json.loads(file.read_text("utf-8-sig"))
    except OSError as error:
        raise FileTrouble(f"Can't read {file} ({error.strerror}).") from error
    except (ValueError, RecursionError) as error:
        raise FileTrouble(
            f"{file} is not JSON ({error}). Give the page's answer as it came."
        ) from error
    if not isinstance(answer, dict) or not any(
        isinstance(answer.get(name), list) for name in ("Operations", "Resources")
    ):
        raise FileTrouble(
            f"{file} is neither the answer to a bulk request (RFC 7644, section 3.7.3) nor a list "
            "of users (section 3.4.2)."
        )
    return answer


def _take_operations(
    connection: Connection, operations: list[dict[str, Any]], named: dict[int, str], done: Answered
) -> tuple[list[int], list[int]]:
    """Of each operation: what the page calls the account, or that it must be told again: the numbers
    of those whom the page never took, and of those of whom it is not known what it has."""
    never_taken: list[int] = []
    in_doubt: list[int] = []
    ids = {_id_in(_text(o.get("location"))) for o in operations}
    ours = page.by_page_id(connection, ids - {""})
    members = search.existing(connection, {_number(o.get("bulkId")) for o in operations})
    for operation in operations:
        method = str(operation.get("method", "")).upper()
        status = _status(operation.get("status"))
        page_id = _id_in(_text(operation.get("location")))
        number = _number(operation.get("bulkId")) if method == "POST" else ours.get(page_id, 0)
        if method == "POST" and number not in members:
            done.unknown += 1
        elif status >= 400:
            done.failed += 1
            (never_taken if method == "POST" else in_doubt).append(number)
        elif method == "POST" and page_id:
            named[number] = page_id
    return never_taken, in_doubt


def _take_users(
    connection: Connection, users: list[dict[str, Any]], named: dict[int, str], done: Answered
) -> None:
    """Users of the page are known by their handle; the number they carry must not say otherwise."""
    handles = {_text(user.get("userName")) for user in users}
    members = search.members_by_handle(connection, handles)
    ours = {handle: member.id for handle, member in members.items()}
    # Who was deleted here is not deleted there before the page has said what it calls them.
    ours |= {mark.account["userName"]: mark.member_id for mark in page.deleted(connection)
             if mark.account.get("userName") in handles}  # fmt: skip
    for user in users:
        number = ours.get(_text(user.get("userName")))
        carried = _number(user.get("externalId"))
        if number is None or not _text(user.get("id")) or carried not in (0, number):
            done.unknown += 1
        else:
            named[number] = _text(user["id"])


def _text(said: Any) -> str:
    """What the page said; "" for half a character (RFC 8259, section 8.2), which no roster could hold."""
    text = str(said or "")
    return "" if any("\ud800" <= c <= "\udfff" for c in text) else text


def _id_in(location: str) -> str:
    return unquote(location.rstrip("/").rpartition("/")[2])


def _number(said: Any) -> int:
    text = str(said or "")
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 16 else 0


def _status(said: Any) -> int:
    """The status, which is a text (RFC 7644, section 3.7.3), or an object with one in older pages."""
    code = said.get("code") if isinstance(said, dict) else said
    return _number(code) or 200
