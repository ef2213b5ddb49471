"""The interface for the co-op's own join page: judge what is typed, take a sign-up in."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Sequence
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Header, Request
from fastapi.security import HTTPBearer
from pydantic import BaseModel, ConfigDict, Field, create_model
from starlette.exceptions import HTTPException

from onboard import passwords
from onboard.errors import FileTrouble
from onboard.porch import forms, judging
from onboard.porch.judging import Noticed
from onboard.porch.place import Place
from onboard.porch.writer import OtherContent, TooMany
from onboard.spool import Answer, Entry

PROBLEM = "application/problem+json"
RETRY = 2  # seconds, where more comes in than the disk takes


class Problem(BaseModel):
    """What is wrong, in plain words (RFC 9457)."""

    type: str = "about:blank"
    title: str
    status: int
    detail: str
    errors: list[Wrong] = []


class Wrong(BaseModel):
    """One field that keeps the sign-up out."""

    field: str
    note: str


class Finding(BaseModel):
    """Something noticed about a field. Only "blocking" asks for an answer; with the others, one may go on."""

    code: str = Field(description="Stable: the page of findings has each.", examples=["email.slip"])
    field: str
    weight: str = Field(description='"mended", "doubtful" or "blocking"')
    note: str = Field(description="For the person, in their language.")
    suggestion: str | None = Field(description="What may be meant, or how it is read.")


class Findings(BaseModel):
    """What was noticed, the heaviest first."""

    findings: list[Finding]


class Received(BaseModel):
    """The sign-up is on the disk. The answer is the same for a second hand-in."""

    id: str
    findings: list[Finding]


_TEXT = Annotated[str, Field(max_length=forms.LONGEST)]
_REMARK = Annotated[str, Field(max_length=forms.LONGEST_REMARK)]
_KINDS: dict[str, Any] = {
    field: (_REMARK if field in ("notes", "address") else _TEXT, Field(None, description=asked))
    for field, asked in forms.FIELDS.items()
}
_Fields = create_model("_Fields", **_KINDS)


class Form(_Fields):  # type: ignore[valid-type, misc]
    """A join form, or a part of it. Leave out what was not asked."""

    model_config = ConfigDict(extra="forbid")

    answers: dict[Annotated[str, Field(max_length=500)], _REMARK] = Field(
        {},
        max_length=40,
        description="Answers to the co-op's own questions, by the question as the settings have it.",
    )
    consent_question: str = Field(
        "",
        max_length=500,
        description="The words with which you asked if we may email. They are kept with the answer.",
    )

    def as_answers(self) -> tuple[Answer, ...]:
        """The answers that were sent."""
        said = self.model_dump(exclude_unset=True, include=set(forms.FIELDS), exclude_none=True)
        asked = {"consent": self.consent_question} if self.consent_question.strip() else {}
        return forms.answers(said, self.answers, asked)


def _one_of(*fields: str) -> dict[str, Any]:
    """One of the fields is there, and not blank (JSON Schema)."""
    return {
        "anyOf": [
            {"required": [field], "properties": {field: {"type": "string", "pattern": r"\S"}}}
            for field in fields
        ]
    }


_REACHED = ("email", "phone", "address", "street")


class SignUp(Form):
    """A join form with a name, and a way to reach whoever it is."""

    model_config = ConfigDict(
        json_schema_extra={"allOf": [_one_of(*forms.WHOLE_NAME), _one_of(*_REACHED)]}
    )


async def caller(
    request: Request,
    _: Annotated[Any, Depends(HTTPBearer(auto_error=False, description="The key of a client."))],
) -> str:
    """The client whose key came along. Raises 401 for nobody's."""
    scheme, _, key = request.headers.get("authorization", "").partition(" ")
    name = _place(request).client(key.strip()) if scheme.lower() == "bearer" else ""
    if not name:
        raise HTTPException(401, headers={"www-authenticate": "Bearer"})
    return name


Caller = Annotated[str, Depends(caller)]
Language = Annotated[
    str, Header(max_length=200, alias="accept-language", description='"en" or "es"')
]
_REFUSED: dict[int | str, dict[str, Any]] = {
    status: {"model": Problem, "description": what, "content": {PROBLEM: {}}}
    for status, what in (
        (400, "Cannot be read"), (401, "No key, or nobody's"), (408, "Too slow"), (409, "The Idempotency-Key stands for another sign-up"), (413, "Too large"), (421, "Not our name"), (422, "A field is missing or wrong"),
        (429, "Too many: see Retry-After"), (500, "A fault of the program"), (503, "Not saved: see Retry-After"),
    )
}  # fmt: skip
router = APIRouter(prefix="/v1", responses=_REFUSED)


@router.post("/check", summary="Judge one field, or a whole form")
async def check(
    request: Request, client: Caller, form: Form, language: Language = "en"
) -> Findings:
    """Findings about the fields that were sent. Nothing is kept."""
    settings = _place(request).refresh()
    return Findings(findings=_shown(judging.judge(form.as_answers(), settings, spoken(language))))


@router.post("/sign-ups", status_code=201, summary="Hand a sign-up in")
async def hand_in(
    request: Request, client: Caller, form: SignUp, language: Language = "en",
    idempotency_key: Annotated[str, Header(max_length=200, description="A second hand-in with it is the same sign-up. If left out, one that says the same is.")] = "",
) -> Received:  # fmt: skip
    """Kept on the disk when you hear so. It becomes an account once the co-op has looked at it."""
    place = _place(request)
    settings, spoken_as = place.refresh(), spoken(language)
    given = forms.filled(form.as_answers())
    noticed = judging.judge(given, settings, spoken_as)
    if wrong := lacks(given, spoken_as):
        raise Lacking(wrong)
    name = idempotency_key or json.dumps(given)
    entry = Entry(passwords.digest(f"{client}\n{name}")[:24], stamp(place), client, given)
    await keep(place, entry, f"{client} {request.scope['from']}", may_change=False)
    return Received(id=entry.identity, findings=_shown(noticed))


class Lacking(Exception):
    """A sign-up that nobody could do anything with: the fields that it needs, with words for each."""

    def __init__(self, wrong: Sequence[tuple[str, str]]) -> None:
        self.wrong = wrong


_NEEDED = {
    "name": ("Type your name.", "Escriba su nombre."),
    "contact": (
        "Type your email address, phone number or street address, so that we can reach you.",
        "Escriba su correo electrónico, su teléfono o su dirección, para que le podamos avisar.",
    ),
}


def lacks(given: Sequence[Answer], language: str) -> list[tuple[str, str]]:
    """What a sign-up cannot do without: a name, and a way to reach whoever it is."""
    said = {one.field for one in given if one.said}
    wrong = []
    if said.isdisjoint(forms.WHOLE_NAME):
        wrong.append(("given", _NEEDED["name"][language == "es"]))
    if said.isdisjoint(_REACHED):
        wrong.append(("email", _NEEDED["contact"][language == "es"]))
    return wrong


async def keep(place: Place, entry: Entry, who: str, *, may_change: bool) -> None:
    """The entry, on the disk when this ends. Raises 429 where too many come from there, 503 where the disk does not
    take it, 409 where the identity stands for another sign-up."""
    if wait := place.sign_ups.wait(who):
        raise HTTPException(429, headers={"retry-after": str(int(wait) + 1)})
    try:
        await asyncio.wrap_future(place.writer.add(entry, may_change=may_change))
    except OtherContent:
        raise HTTPException(409) from None
    except (TooMany, OSError, FileTrouble):
        raise HTTPException(503, headers={"retry-after": str(RETRY)}) from None


def stamp(place: Place) -> str:
    """The moment, to the second."""
    return place.now().isoformat(timespec="seconds")


def spoken(accepted: str) -> str:
    """The language of the two that is asked for first.

    >>> spoken("es-MX,es;q=0.9,en;q=0.8"), spoken("de, es"), spoken("")
    ('es', 'es', 'en')
    """
    for part in accepted.split(","):
        if (language := part.strip().lower()[:2]) in ("en", "es"):
            return language
    return "en"


def _shown(noticed: Sequence[Noticed]) -> list[Finding]:
    return [
        Finding(code=one.code, field=one.field, weight=one.weight.value, note=one.note, suggestion=one.suggestion or None)
        for one in noticed
    ]  # fmt: skip


def _place(request: Request) -> Place:
    place: Place = request.app.state.place
    return place
