"""A hand-out of two sides for hosts to lay out: how to sign in, and when to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from onboard.guide.days import Days
from onboard.settings import Settings
from onboard.welcome import wall
from onboard.windows import say_day

MOST_DAYS = 20  # rows that fit on its second side
# By language: what stands on it. "{}" is filled in.
SAYS: Mapping[str, Mapping[str, Any]] = {
    "en": {
        "title": "How to sign in and order", "other": "When can I order?",
        "steps": (
            ("Go to the right page", "{page}"),
            ("Type your sign-in name", "{rule} One word, small letters, no spaces. Pat Lee types patlee. It is not your email address."),
            ("Type your temporary password", "It is in your welcome email or letter. It works for a short time only."),
            ("Pick a new password", "Make it long, and keep it to yourself.{question}"),
            ("Bookmark the page", "Then you can find it next time."),
        ),
        "own": ("Set your password", "On that page, click “{link}”. Make it long, and keep it to yourself.{question}"),
        "rules": {"all": "Your first and last name.", "first": "Your first name and the first of your last names.", "last": "Your first name and the last of your last names."},
        "question": " You will pick a question, too. Do not tell anyone the answer.",
        "wrong": "This is not the page: {}. It is our shop. Your sign-in name does not work there.",
        "trouble": "It does not work?",
        "causes": ("Are you on the right page?", "Did you type your email address? Type your sign-in name.",
                   "Is there a capital letter or a space? Take it out.", "Is there a number at the end of your sign-in name? Look in your welcome email or letter.",
                   "No email from us? Look in your spam folder for {sender}."),
        "help": "Still no luck? Call {phone}. We will never ask for your password.",
        "whole": "You can order only while your group is open. After it closes, you can’t add or change anything.",
        "group": "Group", "opens": "First day", "closes": "Last day", "none": "No days are set yet.",
        "code": "Scan this with your phone. It opens {}", "made": "Printed {}",
    },
    "es": {
        "title": "Cómo entrar a su cuenta y pedir", "other": "¿Cuándo puedo pedir?",
        "steps": (
            ("Vaya a la página correcta", "{page}"),
            ("Escriba su nombre de usuario", "{rule} Una sola palabra, en minúsculas, sin espacios. Pat Lee escribe patlee. No es su correo electrónico."),
            ("Escriba su contraseña temporal", "Está en su correo o carta de bienvenida. Sirve por poco tiempo."),
            ("Elija una contraseña nueva", "Que sea larga, y no la comparta con nadie.{question}"),
            ("Guarde la página", "Así la encuentra la próxima vez."),
        ),
        "own": ("Elija su contraseña", "En esa página, haga clic en “{link}”. Que sea larga, y no la comparta con nadie.{question}"),
        "rules": {"all": "Su nombre y sus apellidos.", "first": "Su nombre y su primer apellido.", "last": "Su nombre y su último apellido."},
        "question": " También va a elegir una pregunta. No le diga a nadie la respuesta.",
        "wrong": "Esta no es la página: {}. Es la tienda. Allí su nombre de usuario no sirve.",
        "trouble": "¿No funciona?",
        "causes": ("¿Está en la página correcta?", "¿Escribió su correo? Escriba su nombre de usuario.",
                   "¿Hay una mayúscula o un espacio? Quítelo.", "¿Su nombre de usuario lleva un número al final? Mire en su correo o carta de bienvenida.",
                   "¿No le llegan nuestros correos? Busque {sender} en el correo no deseado."),
        "help": "¿Todavía no puede entrar? Llame al {phone}. Nunca le vamos a pedir su contraseña.",
        "whole": "Solo puede pedir mientras su grupo está abierto. Después del cierre no se puede agregar ni cambiar nada.",
        "group": "Grupo", "opens": "Primer día", "closes": "Último día", "none": "Todavía no hay fechas.",
        "code": "Escanee este código con su teléfono. Se abre {}", "made": "Impreso el {}",
    },
}  # fmt: skip


def data(
    settings: Settings, days: Sequence[Days], now: datetime, language: str
) -> dict[str, object]:
    """What `letters.handout` prints."""
    said = SAYS[language]
    page, guide = settings.ordering_page, settings.guide.page
    opens = f"{guide}/{language}/index.html" if guide else page
    filled = {
        "page": page, "rule": said["rules"][settings.handle.last_names], "link": settings.password.set_link,
        "question": said["question"] if settings.security_question else "",
    }  # fmt: skip
    one, name, *rest = said["steps"]
    steps = (one, name, said["own"], rest[-1]) if settings.password.set_by_member else said["steps"]
    day = now.astimezone(settings.zone()).date()
    return {
        "lang": language, "coop": settings.coop, "mark": wall.MARK, "title": said["title"], "other": said["other"],
        "steps": [[head, words.format(**filled)] for head, words in steps],
        "wrong": said["wrong"].format(settings.shop_page.removeprefix("https://")) if settings.shop_page else "",
        "trouble": said["trouble"],
        "causes": [words.format(sender=settings.sender) for words in said["causes"]],
        "help": said["help"].format(phone=settings.reply_phone), "whole": said["whole"],
        "said": {key: said[key] for key in ("group", "opens", "closes", "none")},
        "groups": [[one.title, ", ".join(site.name for site in one.sites)] for one in days],
        "rows": _rows(days), "link": opens, "code_says": said["code"].format(opens.removeprefix("https://")),
        "made": said["made"].format(say_day(day, language, settings.region)),
    }  # fmt: skip


def _rows(days: Sequence[Days]) -> list[dict[str, str]]:
    """The next days of each group, as many as fit, by the day on which they open."""
    each = max(1, MOST_DAYS // max(1, len(days)))
    found = [(line, one.title) for one in days for line in one.told[:each]]
    found.sort(key=lambda row: (str(row[0]["from"]), row[1]))
    return [
        {"group": group, "opens": str(line["opens"]), "closes": str(line["closes"])}
        for line, group in found[:MOST_DAYS]
    ]
