"""One request as a room sees it: who is at work, what was typed, how to answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import Depends, Request
from pydantic import Field
from starlette.datastructures import FormData, UploadFile
from starlette.responses import HTMLResponse, RedirectResponse

from onboard import passwords
from onboard.desk import pages, rooms, words
from onboard.desk.counted import Gather
from onboard.desk.place import Place
from onboard.office import Act, Office
from onboard.tasks import desk_sessions
from onboard.tasks.desk_sessions import Session
from onboard.tasks.staff_sign_in import Came

MOST_FIELDS, MOST_FILES = 2000, 2
LARGEST = 2**31 - 1  # number that the roster could hold
# A number in an address.
Number = Annotated[int, Field(ge=0, le=LARGEST)]
A_FILE = 20  # clicks that a file counts for: it keeps the computer busy
# Of several signs the first tells: browsers call themselves also by the names of others.
BROWSERS = (
    ("Edg/", "Edge"),
    ("OPR/", "Opera"),
    ("Firefox/", "Firefox"),
    ("Chrome/", "Chrome"),
    ("Safari/", "Safari"),
)
SYSTEMS = (
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("Windows", "Windows"), ("Mac OS X", "Mac"),
    ("CrOS", "Chromebook"), ("Linux", "Linux"),
)  # fmt: skip
CSRF = "csrf"  # the field that shows that a form is from this session's own page


class SignedOut(Exception):
    """Nobody is signed in, or no longer."""


class TooFast(Exception):
    """Somebody, or their program, sends more than a person would."""


class BeingCounted(Exception):
    """Nobody has counted yet what the page says of all members: another page tells, until it is done."""

    def __init__(self, page: HTMLResponse) -> None:
        super().__init__()
        self.page = page


class NotOurForm(Exception):
    """The form was not made for this session: what it says waits for another click."""


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong with what was typed, and in which field ("" for none in particular). The words are English, as a
    task says them: the page tells them in its language."""

    words: str
    field: str = ""


@dataclass(frozen=True)
class Visit:
    """Who is at work, what was typed, and how to answer."""

    request: Request
    place: Place
    office: Office
    token: str
    language: str
    form: FormData
    session: Session

    @property
    def csrf(self) -> str:
        """What this session's own forms say."""
        return csrf_of(self.token)

    def said(self, field: str) -> str:
        """What was typed into a field, without blanks around it; "" for nothing, and for a file."""
        value = self.form.get(field, "")
        return "" if isinstance(value, UploadFile) else value.strip()

    def said_exactly(self, field: str) -> str:
        """What was typed into a field, with the blanks around it: a password."""
        value = self.form.get(field, "")
        return value if isinstance(value, str) else ""

    def all_said(self, field: str) -> list[str]:
        """Every value of a field that may come several times, such as boxes that are ticked."""
        return [value for value in self.form.getlist(field) if isinstance(value, str) and value]

    def number(self, field: str) -> int:
        """The number in a field; 0 for nothing, and for what no table counts to."""
        return next(iter(self.numbers(field)), 0)

    def numbers(self, field: str) -> list[int]:
        """The numbers of a field that may come several times; nothing else of it."""
        said = self.all_said(field)
        return [int(one) for one in said if one.isascii() and one.isdecimal() and len(one) < 10]

    def upload(self, field: str) -> UploadFile | None:
        """The file of a field. Its name is a label, never a path."""
        value = self.form.get(field)
        return value if isinstance(value, UploadFile) and value.filename else None

    def counted(self, page: str, gather: Gather, *more: str) -> Any:
        """What `gather`, a function of a module, says of the office on a page. With many members it is what was counted
        last, and the page says so.

        Raises `BeingCounted` where nobody has counted it yet.
        """
        if self.request.method == "POST":  # a form that comes back: what it was about has changed
            self.place.counted.outdate()
        count = self.place.counted.of(self.office, page, gather, *more)
        if count.is_kept:
            self.request.state.counted = count
            if count.at is None:
                raise BeingCounted(self.page("counting"))
        return count.what

    def t(self, text: str, **values: object) -> str:
        """The words of the screen in the language of whoever is at work."""
        return words.say(text, self.language, **values)

    def page(
        self, name: str, *, mistakes: Sequence[Mistake] = (), status: int = 200, **values: Any
    ) -> HTMLResponse:
        """A page from its template. With mistakes it is a form that comes back as it was typed."""
        if mistakes and status == 200:
            status = 422
        done = "" if mistakes else words.DONE.get(self.request.query_params.get("done", ""), "")
        text = pages.draw(
            name, self.language, mistakes=mistakes, visit=self, who=self.office.who, done=done,
            settings=self.office.settings, path=self.request.url.path,
            rooms=rooms.open_to(self.office), zone=ZoneInfo(self.office.settings.timezone),
            may_staff=self.office.may(Act.STAFF),
            **({"counted": getattr(self.request.state, "counted", None)} | values),
        )  # fmt: skip
        return HTMLResponse(text, status)

    def go(self, path: str, done: str = "", at: str = "") -> RedirectResponse:
        """On to a page, after something was done: `done` is a key of `words.DONE`, `at` the id of what takes the focus
        there. 303, so that a reload of the page does not do it again."""
        self.place.counted.outdate()
        if done:
            path += f"{'&' if '?' in path else '?'}done={done}"
        if at:
            path += f"#{at}"
        return RedirectResponse(path, 303)


def csrf_of(token: str) -> str:
    """What the forms of a session say, so that nobody else can make one."""
    return passwords.digest(f"form {token}")


async def typed(request: Request) -> FormData:
    """What was typed. Raises `HTTPException` for what is too large."""
    if request.method in ("GET", "HEAD"):
        return FormData()
    return await request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS)


def visit(request: Request, form: Annotated[FormData, Depends(typed)]) -> Visit:
    """The visit of whoever is signed in. Raises `SignedOut`, `NotOurForm`, and `Trouble` of the roster."""
    place: Place = request.app.state.place
    token = request.cookies.get(place.cookie, "")
    office = place.office_of(place.office.who)
    found = desk_sessions.session(office, token)
    if found is None:
        raise SignedOut
    if request.method not in ("GET", "HEAD"):
        said = form.get(CSRF, "")
        if not (isinstance(said, str) and passwords.is_same(said, csrf_of(token))):
            raise NotOurForm
        cost = A_FILE if request.url.path.endswith("/file") else 1
        if place.pace.wait(token, cost):
            raise TooFast
    request.state.language = language = found.language or language_of(request)
    office = request.state.office = place.office_of(found.who, found.role)
    return Visit(request, place, office, token, language, form, found)


def came(request: Request) -> Came:
    """Where a request comes from: of a proxy of ours, what it says; nobody else is believed."""
    place: Place = request.app.state.place
    address = request.client.host if request.client else ""
    if address in place.proxies:
        address = request.headers.get("x-forwarded-for", "").rpartition(",")[2].strip() or address
    return Came(address[:100], browser_of(request.headers.get("user-agent", "")))


def browser_of(said: str) -> str:
    """What a browser calls itself, in two words; "" for what says nothing that we know.

    >>> browser_of("Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36 Edg/140.0")
    'Edge, Windows'
    >>> browser_of("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 Version/18.0 Mobile/15E148 Safari/604.1")
    'Safari, iPhone'
    """
    found = (
        next((shown for sign, shown in signs if sign in said), "") for signs in (BROWSERS, SYSTEMS)
    )
    return ", ".join(filter(None, found))


def language_of(request: Request) -> str:
    """The language that the browser asks for first, of those we speak (RFC 9110, 12.5.4; without weights,
    as browsers list the likeliest first)."""
    for part in request.headers.get("accept-language", "").split(","):
        language = part.partition(";")[0].strip()[:2].lower()
        if language in words.LANGUAGES:
            return language
    return words.LANGUAGES[0]


Here = Annotated[Visit, Depends(visit)]
