"""The join page: where somebody lives, who they are, a look at what they typed, thanks. All of it works without a script.

A page is made of what was typed so far, which goes along in the form: nothing is kept here until it is sent.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib import resources
from typing import Any

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from onboard.guide.places import says_town
from onboard.model import Weight
from onboard.porch import forms, interface, judging, near, words
from onboard.porch.judging import Noticed
from onboard.porch.place import Place
from onboard.porch.tickets import identity
from onboard.settings import Settings
from onboard.spool import Answer, Entry
from onboard.tables import rows

router = APIRouter(include_in_schema=False)

# The pages in their order, with what Enter does on each.
PAGES = {"where": "find", "form": "check", "check": "send"}
FIELDS = {
    "where": ("state", "zip"),
    "form": ("site", "given", "middle", "family", "second_family", "email", "no_email", "helper", "helper_phone", "phone",
             "street", "unit", "city", "consent", "language", "notes"),
}  # fmt: skip
LONG = ("notes",)
UNSURE = "-"  # of the drop site
# With "no-store", the back button would lead to a page that asks whether to send all of it again.
BACK = {"cache-control": "private, no-cache"}
NAMES = {"en": "English", "es": "Español"}
LOOKS = ["GET", "HEAD"]  # whoever sees if a page is there asks for its head alone (RFC 9110, 9.1)


@dataclass
class Typed:
    """What came in with a form."""

    place: Place
    settings: Settings
    lang: str
    said: dict[str, str]
    at: str = "where"
    step: str = ""
    ticket: str = ""
    trap: str = ""
    asked: str = ""  # the place about which they were asked last
    mistakes: dict[str, str] = field(default_factory=dict)  # by field; "" for the whole form
    asks: dict[str, str] = field(default_factory=dict)  # by field; only doubtful, so one may go on

    def t(self, key: str, **values: object) -> str:
        """Words of the page."""
        return words.say(key, self.lang, **values)

    @property
    def own(self) -> list[tuple[str, str]]:
        """The co-op's own questions, with the names of their fields."""
        return [(f"q{n}", text) for n, text in enumerate(self.settings.extra_questions)]

    def of(self, page: str) -> tuple[str, ...]:
        """The fields of a page."""
        own = tuple(name for name, _ in self.own) if page == "form" else ()
        return (*FIELDS.get(page, ()), *own)


# ---------------------------------------------------------------- requests


@router.api_route("/", methods=LOOKS)
@router.api_route("/join/", methods=LOOKS)
async def front() -> Response:
    """Whoever types no more than the name of the porch, or a stroke too many, comes to the form."""
    return RedirectResponse("/join", 303)


@router.api_route("/join", methods=LOOKS)
async def begin(request: Request, lang: str = "") -> Response:
    """The first page."""
    place: Place = request.app.state.place
    return show(Typed(place, place.refresh(), spoken(request, lang), {}), "where")


@router.post("/join")
async def go_on(request: Request) -> Response:
    """The next page, or the same with what is wrong."""
    typed = await _typed(request)
    step, _, about = typed.step.partition(":")
    match step:
        case "speak":
            typed.lang = "es" if typed.lang == "en" else "en"
            return show(typed, typed.at)
        case "find":
            stays = wrong_where(typed) or doubtful_place(typed, "where")
            return show(typed, "where" if stays else "form")
        case "where" | "form":
            return show(typed, step)
        case "use":
            _use(typed, about)
            return show(typed, "check")
    if wrong_where(typed):
        return show(typed, "where")
    if wrong_form(typed):
        return show(typed, "form")
    if step != "check":
        return await _send(request, typed)
    return show(typed, "form" if doubtful_place(typed, "form") else "check")


@router.api_route("/join/thanks", methods=LOOKS)
async def thanks(request: Request, lang: str = "", site: int = -1) -> Response:
    """What is shown to whoever sent a form. It may be bookmarked: it holds nothing of theirs."""
    place: Place = request.app.state.place
    settings, lang = place.refresh(), spoken(request, lang)
    named = settings.sites[site] if 0 <= site < len(settings.sites) else None
    stands = near.stands(settings, place.now(), lang)
    return HTMLResponse(
        words.draw("thanks", lang, **frame(settings, lang, f"/join/thanks?lang={{}}&site={site}"), site=named,
                   days=settings.porch.answer_days, stands=stands.get(named.name, "") if named else "", guide=_guide(settings, lang))
    )  # fmt: skip


@router.api_route("/static/{name}", methods=LOOKS)
async def static(name: str) -> Response:
    """The look and the script."""
    if name == "porch.css":
        look = resources.files("onboard.guide").joinpath("scripts/style.css").read_text("utf-8")
        return Response(look + _own("porch.css"), media_type="text/css")
    if name == "porch.js":
        return Response(_own("porch.js"), media_type="text/javascript")
    raise HTTPException(404)


def _own(name: str) -> str:
    return resources.files(__package__).joinpath("static", name).read_text("utf-8")


# ---------------------------------------------------------------- what was typed

_PLAIN = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


async def _typed(request: Request) -> Typed:
    form = await request.form(max_files=0, max_fields=80, max_part_size=16_384)
    came = {name: value for name, value in form.items() if isinstance(value, str)}
    place: Place = request.app.state.place
    settings = place.refresh()
    typed = Typed(
        place, settings, spoken(request, came.get("lang", "")), {}, came.get("at", ""), came.get("step", ""),
        came.get("ticket", ""), came.get("website", ""), came.get("asked", ""),
    )  # fmt: skip
    if typed.at not in PAGES:
        typed.at = "where"
    for name in (*typed.of("where"), *typed.of("form")):
        text = _PLAIN.sub("", came.get(name, "").replace("\r\n", "\n")).strip()
        typed.said[name] = text if name in LONG else " ".join(text.split())
    return typed


def spoken(request: Request, lang: str) -> str:
    """The language that was chosen, or that the browser asks for."""
    return (
        lang
        if lang in words.LANGUAGES
        else interface.spoken(request.headers.get("accept-language", ""))
    )


def wrong_where(typed: Typed) -> bool:
    """Whether something is wrong with where they live; the words for it are noted."""
    if typed.said["state"] not in {code for code, _ in states()}:
        typed.mistakes["state"] = typed.t("need.state")
    if not re.fullmatch(r"\d{5}(?:[- ]?\d{4})?", typed.said["zip"], re.ASCII):
        typed.mistakes["zip"] = typed.t("need.zip")
    return bool(typed.mistakes)


def wrong_form(typed: Typed) -> bool:
    """Whether something is wrong with the form; what is only doubtful is asked on the next page."""
    said, wrong = typed.said, typed.mistakes
    open_sites = {site.name for site in typed.settings.sites if not site.closed} | {UNSURE}
    if said["site"] not in open_sites:
        wrong["site"] = typed.t("need.site")
    if not said["given"] and not said["family"]:
        wrong["given"] = typed.t("need.name")
    if said["email"]:
        found = judging.judge([Answer("email", "", said["email"])], typed.settings, typed.lang)
        wrong |= {one.field: one.note for one in found if one.weight is Weight.BLOCKING}
    elif not said["no_email"]:
        wrong["email"] = typed.t("need.email")
    if not said["email"] and said["no_email"]:
        wrong |= {name: typed.t(f"need.{name}") for name in ("street", "city") if not said[name]}
    if said["email"] and said["consent"] not in ("yes", "no"):
        wrong["consent"] = typed.t("need.consent")
    for name in typed.of("form"):
        most = forms.LONGEST_REMARK if name in LONG or name.startswith("q") else forms.LONGEST
        if len(said[name]) > most:
            wrong[name] = typed.t("need.short", most=most)
    order = typed.of("form")
    typed.mistakes = dict(sorted(wrong.items(), key=lambda one: order.index(one[0])))
    return bool(typed.mistakes)


def doubtful_place(typed: Typed, page: str) -> bool:
    """Whether the parts of where they live do not go together, as far as the page asks for them; the words for it are
    noted. It is asked once: whoever presses the button again goes on."""
    said = typed.said
    is_apart = not _APART.isdisjoint(_of_place(typed, "state", "zip"))
    at = "zip"
    if page == "form":
        is_heard = is_apart  # whoever went on with such a state and ZIP code has heard it
        is_of_it = says_town(said["city"], said["zip"][:5])  # by any name that is in use
        is_apart = not _APART.isdisjoint(_of_place(typed, "state", "zip", "city"))
        is_apart, at = is_apart and bool(said["city"]) and not (is_heard or is_of_it), "city"
    here = near.town(said["zip"])
    if here and is_apart and said_place(typed) != typed.asked:
        named = said[{"zip": "state"}.get(at, at)]
        button = typed.t(PAGES[page])
        typed.asks[at] = typed.t(
            f"ask.{at}", zip=said["zip"][:5], town=here, typed=named, button=button
        )
    return bool(typed.asks)


def _of_place(typed: Typed, *parts: str) -> set[str]:
    """What is noticed about where they live, as far as these parts tell."""
    alone = [Answer(part, "", typed.said[part]) for part in parts]
    return {one.code for one in judging.judge(alone, typed.settings, typed.lang)}


_APART = frozenset(("place.state_at_odds", "place.at_odds", "place.unknown_city"))
_UNKNOWN = "place.unknown_zip"


def said_place(typed: Typed) -> str:
    """Where they live, as it was typed."""
    return " ".join(typed.said[part] for part in ("state", "zip", "city"))


def _use(typed: Typed, name: str) -> None:
    """Take what was suggested for a field."""
    meant = next(
        (one.suggestion for one in doubts(typed) if one.field == name and one.suggestion), ""
    )
    if meant and name in typed.said:
        typed.said[name] = meant


def doubts(typed: Typed) -> list[Noticed]:
    """What to look at once more before it is sent. Of where they live they were told on the pages before."""
    asked = _of_place(typed, "state", "zip", "city") & (_APART | {_UNKNOWN})
    found = judging.judge(answers(typed), typed.settings, typed.lang)
    heard = [
        one for one in found
        if one.weight is not Weight.MENDED and one.code != "email.missing" and one.code not in asked
    ]  # fmt: skip
    once = {(one.field, one.note): one for one in reversed(heard)}
    return list(reversed(once.values()))


def answers(typed: Typed) -> tuple[Answer, ...]:
    """The form as the spool keeps it: what was asked, in the words in which it was asked."""
    said, t = typed.said, typed.t
    given = {name: said[name] for name in FIELDS["form"] if name in forms.FIELDS} | {
        "state": said["state"], "zip": said["zip"], "language": NAMES.get(said["language"], NAMES[typed.lang]),
        "consent": t(f"consent.{said['consent']}") if said["consent"] in ("yes", "no") else "",
    }  # fmt: skip
    if not said["email"]:
        del given["consent"]  # nothing to agree to
    if said["site"] == UNSURE:
        given["site"] = ""
    asked = {name: t(name) for name in given if name not in ("site", "language")} | {
        "site": t("site"), "language": t("language"),
    }  # fmt: skip
    helper = " ".join(filter(None, (said["helper"], said["helper_phone"])))
    if helper:
        given["notes"] = "\n".join(filter(None, (f"{t('helper')} {helper}", said["notes"])))
    own = {question: said[name] for name, question in typed.own}
    return forms.filled(forms.answers(given, own, asked))


# ---------------------------------------------------------------- sent


async def _send(request: Request, typed: Typed) -> Response:
    """Keep it, and say thank you; or give it back as it was typed, with what to do."""
    place, send = typed.place, typed.t("send")
    if typed.trap:
        return _again(typed, typed.t("spam.box", send=send))
    if not place.tickets.known(typed.ticket):
        typed.ticket = ""
        return _again(typed, typed.t("spam.old", send=send))
    if place.tickets.is_quick(typed.ticket):
        return _again(typed, typed.t("spam.quick", send=send))
    name = " ".join(typed.said[part] for part in ("given", "middle", "family", "second_family"))
    entry = Entry(identity(typed.ticket, name), interface.stamp(place), "form", answers(typed))
    try:
        await interface.keep(place, entry, f"form {request.scope['from']}", may_change=True)
    except HTTPException as refused:
        wait = int((refused.headers or {}).get("retry-after", "60"))
        key = "spam.many" if refused.status_code == 429 else "not.saved"
        phone = typed.settings.reply_phone
        words_ = typed.t(key, send=send, minutes=wait // 60 + 1, phone=phone)
        return _again(typed, words_, refused.status_code)
    names = [site.name for site in typed.settings.sites]
    site = names.index(typed.said["site"]) if typed.said["site"] in names else -1
    return RedirectResponse(f"/join/thanks?lang={typed.lang}&site={site}", 303)


def _again(typed: Typed, why: str, status: int = 422) -> Response:
    typed.mistakes = {"": why}
    return show(typed, "check", status)


# ---------------------------------------------------------------- shown


def show(typed: Typed, page: str, status: int = 0) -> Response:
    """A page, with what was typed so far."""
    settings, lang = typed.settings, typed.lang
    values: dict[str, Any] = {
        **frame(settings, lang, "/join?lang={}"), "typed": typed.said, "mistakes": typed.mistakes,
        "step": [*PAGES].index(page) + 1, "enter": PAGES[page], "ticket": typed.ticket or typed.place.tickets.new(),
        "rest": [name for other in ("where", "form") if other != page for name in typed.of(other)],
        "days": settings.porch.answer_days, "site": None, "stands": "", "asks": typed.asks,
        "asked": said_place(typed) if typed.asks else typed.asked,
    }  # fmt: skip
    parts = {"where": _where, "form": _form, "check": _check}
    text = words.draw(page, lang, **values | parts[page](typed))
    return HTMLResponse(text, status or (422 if typed.mistakes else 200), BACK)


def frame(settings: Settings, lang: str, path: str) -> dict[str, Any]:
    """What stands around every page; `path` is where the other language is, with {} for it."""
    other = "es" if lang == "en" else "en"
    return {
        "coop": settings.coop, "phone": settings.reply_phone, "tel": f"tel:{re.sub(r'[^0-9+]', '', settings.reply_phone)}",
        "sender": settings.sender, "other": other, "other_name": NAMES[other], "other_path": path.format(other),
        "typed": None, "mistakes": {}, "asks": {}, "step": 0,
    }  # fmt: skip


def _where(typed: Typed) -> dict[str, Any]:
    return {"states": states()}


def _form(typed: Typed) -> dict[str, Any]:
    said, settings = typed.said, typed.settings
    found = near.choices(settings, said["state"], said["zip"], typed.place.now(), typed.lang)
    return {
        "near": found.near, "others": found.others, "is_far": found.is_far, "zip_known": near.is_known(said["zip"]),
        "own": typed.own, "own_lang": settings.languages[0],
        "languages": [(code, NAMES[code]) for code in settings.languages],
    }  # fmt: skip


def _check(typed: Typed) -> dict[str, Any]:
    given = answers(typed)
    site = typed.settings.site(typed.said["site"])
    stands = near.stands(typed.settings, typed.place.now(), typed.lang)
    shown = [(one.asked, one.said) for one in given if one.said and one.field != "email"]
    if typed.said["site"] == UNSURE:
        shown.append((typed.t("site"), typed.t("site.unsure")))
    return {
        "doubts": doubts(typed), "said": shown, "site": site,
        "stands": stands.get(site.name, "") if site else "",
    }  # fmt: skip


def _guide(settings: Settings, lang: str) -> str:
    return f"{settings.guide.page}/{lang}/index.html" if settings.guide.page else ""


def states() -> list[tuple[str, str]]:
    """The states and what counts as one, by their letters."""
    return [
        (code, name.title().replace(" Of ", " of ")) for code, name, *_ in rows("address_states")
    ]


def trouble(request: Request, settings: Settings, status: int, reference: str) -> Response:
    """The page for all trouble."""
    lang = spoken(request, request.query_params.get("lang", ""))
    key = {404: "404", 413: "413", 429: "429", 500: "500"}.get(status, "other")
    said: Mapping[str, Any] = frame(settings, lang, "/join?lang={}")
    return HTMLResponse(
        words.draw("trouble", lang, **said, words=words.say(f"trouble.{key}", lang), reference=reference), status
    )  # fmt: skip
