"""Whether we may write by email: a yes or a no on the form. A box that nobody checked is no yes."""

from __future__ import annotations

import re

from onboard.clean import remarks
from onboard.model import Cleaned, Kind, Weight

UNCLEAR = Kind(
    "consent.unclear",
    Weight.DOUBTFUL,
    "The answer to “May we email you?” is not a yes or a no. It counts as no until you ask.",
    wrong="maybe later",
    right="yes",
)
UNSAID = Kind(
    "consent.unsaid",
    Weight.DOUBTFUL,
    "The form asks “May we email you?”, and nothing was answered. It counts as no until you ask.",
    wrong="",
    right="no",
)
KINDS = (UNCLEAR, UNSAID)
NO_ANSWER = frozenset(kind.code for kind in KINDS)  # counts as no, and nobody said so

# What a box that was not checked is in some exports: words, signs, or a cell with nothing in it.
_EMPTY = frozenset(("", "☐", "□", "[ ]", "[]", "( )", "()", "-", "–", "—", "unchecked", "not checked",
                    "unticked", "not ticked", "unselected", "not selected", "null", "blank",
                    "no answer", "sin marcar", "sin respuesta"))  # fmt: skip
_CHECKED = frozenset(
    ["x", "✓", "✔", "☑", "☒", "✅", "🗹", "[x]", "(x)", "1", "+", "•", "●", "y", "t", "s"]
)
# A yes whatever stands behind it, but for what takes it back.
_YES = re.compile(
    r"(?:no problem|no hay problema|no worries|yes|yep|yeah|yup|true|ok|okay|k|sure|agree[ds]?|accept(?:s|ed)?|granted|"
    r"allowed|consent(?:s|ed)?|check(?:ed)?|tick(?:ed)?|marked|selected|subscribed|opt(?:ed)? in|of course|"
    r"absolutely|certainly|definitely|gladly|"
    r"i (?:do|agree|accept|consent|am (?:ok|okay|fine|happy)|give|allow|understand)|"
    r"you (?:may|can)|email me|e mail me|"
    r"s[ií]|claro|por supuesto|desde luego|con gusto|de acuerdo|estoy de acuerdo|acept[oóa]\w*|"
    r"autori[sz]o|doy mi|verdadero|marcado|marcada|vale|est[aá] bien)\b"
)
# The beginning of a yes only where email is all that follows: "send me letters" is none.
_BEGINS = re.compile(
    r"(?:on|fine|allow|subscribe|please(?: do)?|i (?:want|would like|d like)|send me|keep me|write to me|add me|sign me up|"
    r"quiero|deseo|por favor)\b"
)
_NO = re.compile(
    r"(?:no|nope|nah|n|false|f|off|0|none|never|don t|do not|i (?:do not|don t|decline|refuse|disagree)|"
    r"not|decline[ds]?|refuse[ds]?|disagree[ds]?|opt(?:ed)? out|unsubscribed?|stop|falso|nunca|"
    r"jam[aá]s|rechaz[oóa]\w*)\b"
)
# A yes with one of these in it has a condition, which only a person can read.
_BUT = re.compile(
    r"\b(?:no|not|never|don t|but|only|except|unless|if|maybe|later|until|stop|pero|solo|s[oó]lo|excepto|"
    r"salvo|si no|nunca|menos|instead|rather|prefer\w*|prefier\w*)\b"
)
# And one with one of these takes itself back.
_BACK = re.compile(
    r"\b(?:remove|take (?:me|us|my)|took|hate\w*|quit\w*|cancel\w*|delete|unsubscribe\w*|borr\w+|elimin\w+|baja|nada|sin)\b"
)
# The words beside the box, which some form tools write where it was checked: "Email updates".
_LABEL = re.compile(r"\b(?:e ?mails?|newsletters?|correos?|boletin|bolet[ií]n(?:es)?)\b")
# What else may stand in them. With any other word ("hates email") only a person can read it.
_BESIDE = frozenset(
    re.findall(
        r"\w+",
        "e mail emails email mails mailing list newsletter newsletters update updates news notice notices "
        "notification notifications announcement announcements alert alerts reminder reminders message messages "
        "information info receive receiving get getting send sending me us you your our the a an and or for about "
        "of to from on in by via with this that all new co op coop cooperative group site order orders ordering "
        "window windows pickup delivery event events weekly monthly occasional regular i we my am would d like "
        "want wish agree accept consent be contact contacted allow give permission keep wants likes great fine "
        "subscribe sign signed up add opt in please yes ok okay sure electronic do may when thanks thank correo "
        "correos electronico electrónico electronicos electrónicos boletin boletín boletines recibir quiero deseo "
        "acepto por de la el los las un una y o sobre del al pedido pedidos aviso avisos noticias recordatorios "
        "informacion información mensajes mensaje enviarme envienme envíenme mandenme mándenme enviar mandar nos "
        "su sus mi cooperativa semanal mensual si sí gracias favor con para que",
    )
)


def is_empty(said: str) -> bool:
    """Whether a cell is a box that nobody checked.

    >>> is_empty(" "), is_empty("☐"), is_empty("no")
    (True, True, False)
    """
    return " ".join(said.split()).casefold() in _EMPTY


def clean(said: str) -> Cleaned[bool]:
    """Whether we may write by email, as the cell of a column that asks so says.

    >>> clean("Sí, acepto").value, clean("No thanks").value, clean("").value
    (True, False, False)
    >>> clean("email bounced").findings[0].code
    'consent.unclear'
    """
    if is_empty(said):
        note = (
            "The form asks if we may email, and nothing was answered. That is no yes: we send no "
            "email until you ask the member."
        )
        return Cleaned(said, False, (UNSAID.found(said, note),))
    text = " ".join(said.split()).casefold()
    if text in _CHECKED:
        return Cleaned(said, True)
    answer = " ".join(re.findall(r"\w+", text))
    yes = _YES.match(answer)
    if yes and not _BUT.search(answer, yes.end()) and not _BACK.search(answer, yes.end()):
        return Cleaned(said, True)
    is_no = not yes and not _BUT.search(answer) and remarks.clean(said).value is False
    if is_no or _NO.match(answer):
        return Cleaned(said, False)
    if (_LABEL.search(answer) or _BEGINS.match(answer)) and _BESIDE.issuperset(answer.split()):
        return Cleaned(said, True)
    note = f"{_short(said)!r} is not a yes or a no. We send no email until you ask the member."
    return Cleaned(said, False, (UNCLEAR.found(said, note),))


def opted_out(said: str) -> Cleaned[bool]:
    """Whether we may write by email, as the cell of a column says in which a check means no.

    >>> opted_out("x").value, opted_out("No").value
    (False, True)
    """
    turned = clean(said)
    if turned.findings:
        return turned  # no yes either way
    return Cleaned(said, not turned.value)


def _short(said: str) -> str:
    text = " ".join(said.split())
    return text if len(text) <= 40 else text[:39] + "…"
