"""That a form is not of whoever filled it out, as its remarks or its names say it: a helper's, or a child's. English and Spanish."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import lru_cache

from onboard.clean import secret
from onboard.clean.email.doubts import bears
from onboard.clean.name import doubts
from onboard.clean.name import words as name_words
from onboard.late import late
from onboard.model import Cleaned, Email, Finding, Kind, PersonName, RawRow, Weight

EMAIL = Kind(
    "email.helper",
    Weight.DOUBTFUL,
    "Somebody filled out the form for another person, so the email address may be the helper's.",
    wrong="filling this out for my mom",
    right="picking up for my mom",
)
PHONE = Kind(
    "phone.helper",
    Weight.DOUBTFUL,
    "Somebody filled out the form for another person, so the phone number may be the helper's.",
    wrong="filling this out for my mom",
    right="picking up for my mom",
)
CHILD = Kind(
    "row.child",
    Weight.BLOCKING,
    "The form seems to be a child's.",
    wrong="age 9",
    right="I have gardened since age 9",
)
NAME = Kind(
    "name.helper",
    Weight.BLOCKING,
    "Next to the name it says that somebody filled out the form for another person.",
    wrong="Marvin Pryce (filling in for my mother)",
    right="Marvin Pryce (call after six)",
)
KINDS = (EMAIL, PHONE, NAME, CHILD)  # of what a whole row says, not of one field

LONGEST = 2_000  # characters read of a remark
ADULT = 18  # years: in nearly all states a contract of somebody younger does not hold

_CHILD = (
    r"(?:(?:grand|step)?(?:son|daughter|child|kid)|nephew|niece|little (?:brother|sister)|(?:niet|sobrin|hij|nin)[oa]|hijit[oa]|"
    r"hermanit[oa])"
)
_KIN = (
    rf"(?:(?:grand|step|god)?(?:mother|father|mom|mum|ma|dad|parents|pa)|grann?y|mama|papa|papi|mami|nana|aunt(?:ie)?|uncle|sister|brother|"
    r"cousin|wife|husband|spouse|partner|in laws?|neighbou?r|friend|roommate|boss|client|patient|resident|tenant|landlady|landlord|coworker|"
    r"madre|padre|abuel(?:it)?[oa]|ti[oa]|herman[oa]|espos[oa]|marido|mujer|prim[oa]|suegr[oa]|vecin[oa]|vecinit[oa]|amig[oa]|comadre|"
    rf"compadre|patron[a]?|cunad[oa]|senora? mayor|{_CHILD})"
)
# Not "my mom's garden", nor "my husband and me".
_WHOM = (
    rf"(?:(?:my|our|an?|mi|un|una|nuestr[oa]) (?:(?!son |and )\w+ ){{0,2}}?{_KIN}|mom|mum|dad|grand(?:ma|pa)|granny|nana|mama|papa|abuelita)"
    r"(?! (?:s|and (?:me|i|myself|us)|y yo)\b)"
)
_THEM = r"(?:her|him|them|someone else|somebody else|another person)"
_FORM = r"(?:form|application|sign ?up|signup|registration|request|this(?: one)?|it|formulario|forma|solicitud|inscripcion|registro|esto|esta|este)"
_FILLS = (
    r"(?:(?:fill|sign|typ|writ|complet|submitt?|enter|register|enroll?|apply|do|send|request|join)(?:e|ed|ing|s)?|wrote|did|sent|"
    r"llen[oeé]\w*|llenando|relleno|inscrib\w+|registr\w+|hago|hice|haciendo|escrib\w+|mando|anot\w+|apunt\w+)"
)
# "Use my number, she is deaf", "call me, not her".
_TO_ME = (
    r"(?:(?:call|phone|ring|text|contact|reach|use|llam\w+|us[ea]\w*|marqu\w+)(?: please| por favor)?(?: (?:me|us|a mi|nos))?(?: (?:at|on|a|al))?"
    r"(?: (?:my|our|this|mi|este|nuestro) (?:own )?(?:cell ?)?(?:number|phone|cell|line|telephone|numero|telefono|celular))"
    r"|(?:call|phone|ring|text|contact|reach) (?:me|us)|(?:llam|marqu|habl)\w+ a mi)"
)
_CANNOT = (
    rf"\b(?:she|he|ella|el|{_WHOM})(?: \w+){{0,3}}? (?:deaf|hear(?:s|ing)?|talk|speak|phones?|dementia|alzheimer\w*|blind|english|ill|sick|stroke|understand|"
    r"memory|forgets|confused|sord[oa]|oye|oir|hablar?|ingles|enferm[oa]|entiende|mud[oa])\b"
)
_HELPS = late(
    rf"\b{_TO_ME}\b.*{_CANNOT}|{_CANNOT}.*\b{_TO_ME}\b|\b{_TO_ME} (?:not|instead of|for|and not|y no|no|en vez de|por) (?:a )?(?:her|him|ella|el|{_WHOM})\b|"
    rf"\b{_FORM}(?: form)?(?: (?:is|was|es|being|filled|filled out|filled in|llenad[oa]|hech[oa]|account|membership))* (?:for|on behalf of|para|por) (?:{_WHOM}|{_THEM}$)"
    rf"|\b{_FILLS}(?: (?!pick)\w+){{0,4}}? (?:for|on behalf of|in place of|para|por|a|de parte de) (?:{_WHOM}|{_THEM}\b)"
    rf"|\b(?:sign|register|enroll?)(?:ed|ing)?(?: up)? (?:{_WHOM}|her|him)\b"
    rf"|\b(?:on behalf of|en nombre de|a nombre de|de parte de) (?!myself|mi mism)\w+"
    rf"|^(?:it is |it s |its |es |hola |hi )?(?:for|para) {_WHOM}(?:$| (?:who|que|she|he|ella|el|so|as|since|porque)\b)"
    r"|\b(?:filled|written|completed|typed|submitted|entered|sent|llenad[oa]|escrit[oa]|enviad[oa]) (?:out |in |up )?(?:by|por)(?! (?:e ?mail|mail|post|phone|text|fax|correo|telefono)\b) (?!me\b|myself|hand|mi mism)\w+"
    rf"|\bhelp(?:ed|ing)? {_WHOM} (?:sign|join|with this|with the form|fill|register|apply)"
    rf"|\b(?:ayud(?:o|e|ando) a) {_WHOM} (?:con (?:esto|el formulario|la solicitud)|a (?:llenar|inscribir))"
    rf"|\b(?:i am|i m|im|this is|soy|habla) (?:the |her |his |their |la |el |su )(?:(?!son |and )\w+ )?{_KIN}(?! (?:s|site|host)\b)"
    r"|\b(?:caregiver|caretaker|aide|social worker|case ?worker|power of attorney) (?:for|of|to) (?!my cat|my dog)\w+"
    rf"|\b(?:email|e mail|phone|number|cell|correo|telefono|numero|celular)(?: \w+){{0,2}}? (?:is|are|es|son) (?:mine|not (?:hers|his|theirs)|mio|mia)\b"
    rf"|\b(?:she|he|{_WHOM}) (?:has|have) no (?:email|e mail|computer|internet|phone)\b"
    rf"|\b(?:she|he|{_WHOM}) (?:doesn t|doesnt|does not|can t|cannot|cant) (?:have|use|own|do|see|read|type)(?: an?| the| any)? ?(?:email|e mail|computers?|internet|phone|web|online|forms?)?\b"
    rf"|\b(?:ella|el|{_WHOM}) no (?:tiene|usa|sabe usar|maneja|puede) (?:\w+ )?(?:correo|computadora|internet|telefono|celular|leer|ver|escribir)\b"
)

# What says so in a name box, where nobody speaks of whom they pick up for. Words such as Para are last names, too.
_FOR = rf"(?:for|para|por|on behalf of|in (?:place|lieu) of|en lugar de|(?<=\w )(?:by|via)|(?:{_KIN}|guardian|tutora?) (?:of|to|de|del))"
_IN_NAME = late(
    rf"(?<!\band )(?<!\by )(?<!\be )(?<!\bwith )(?<!\bcon )\b(?:my|our|mi|nuestr[oa]|her|his|their|su) (?:(?!son |and )\w+ )?{_KIN}\b"
    rf"|\b(?:{_FOR}|c o) (?:(?:my|our|her|his|their|the|an?|mi|su|la|el|una?) )?(?:(?:\w+ )?{_KIN}|(?:mrs?|ms|sra?|don|dona|dr) \w+)\b"
    r"|^(?:for|para|por) \w+ \w|\w \w+ (?:for|para|por) \w+ \w"
    r"|\b(?:fill(?:ed|ing|s)(?: \w+)? (?:out|in)|sign(?:ed|ing) up|llenando|llenad[oa] por|l[oa] (?:llen|inscri|registr|escri|apunt|anot)\w+|help(?:ing|ed) (?:her|him|them)|for (?:her|him|them)|enviad[oa] por|acting for|representing|en representacion de)\b"
    r"|\b(?:caregiver|caretaker|power of attorney|poa|legal guardian|social worker|apoderad[oa]|cuidador[a]?)\b"
)
_WHO_FOR = late(rf"(?:(?<=\w )\b{_FOR}|^(?:on behalf|in (?:place|lieu)) of) (\w+)")

_NUMBERS = {
    word: number
    for number, words in enumerate(
        ("one un uno una", "two dos", "three tres", "four cuatro", "five cinco", "six seis", "seven siete",
         "eight ocho", "nine nueve", "ten diez", "eleven once", "twelve doce", "thirteen trece",
         "fourteen catorce", "fifteen quince", "sixteen dieciseis", "seventeen diecisiete"),
        start=1,
    )
    for word in words.split()
}  # fmt: skip
_N = rf"(?P<age>\d{{1,2}}|{'|'.join(_NUMBERS)})(?: (?:and a half|1 2|y medio))?"
_YEARS = r"(?:(?: ?(?:years?|yrs?|anitos?|anos?)(?: old| of age| de edad)?| ?y ?o)?(?=$| (?:and|but|so|y|pero|who|already)\b))"
_OLD = r"(?: ?(?:years?|yrs?|anitos?|anos?)(?: old| of age| de edad)| ?y ?o)"
_AGES = tuple(
    late(pattern)
    for pattern in (
        rf"(?<!at )(?<!since )(?<!from )(?<!until )(?<!till )(?<!by )(?<!the )(?<!under )(?<!over )(?<!desde la )\b(?:age|aged|edad)(?: is| es)? {_N}(?! ?(?:months|weeks|days|meses|to|through|and up))\b",
        rf"\b(?:i am|i m|im|he is|he s|hes|she is|she s|shes|my (?:\w+ )?{_CHILD} is|mi (?:\w+ )?{_CHILD} tiene|(?:who|child|kid) is|just turned|turns|turning|will be|soy de|cumple|cumplio)"
        rf"(?: only| just| barely| almost| about| still| now| solo| apenas)? {_N}{_YEARS}",
        rf"\b(?:tengo|tiene|de)(?: solo| apenas)? {_N} ?(?:anitos?|anos?)\b",
        rf"^(?:only |just )?{_N}{_OLD}$",
        rf"\b(?:my|our|mi|nuestr[oa]) (?:\w+ )?{_CHILD} (?:who is |que tiene |de )?{_N}{_YEARS}",
        rf"\bfor (?:my|our|an?) {_N}{_OLD}\b",
    )
)
_MINOR = late(
    r"\b(?:i am|i m|im|is|he s|she s|soy|es) (?:still )?(?:an? |una? )?(?:minors?|menor(?: de edad)?|underage|under 18|under age)\b"
    r"|\b(?:under 18|menor de edad|a minor)$|^minor\b"
    r"|\b(?:i am|i m|im|he is|he s|she is|she s) (?:in|an?)(?: the)? (?:\w+ )?(?:grade|grader|kindergart\w+)\b"
)
# Of children whom the form is not of, and of ages that are no person's.
_CHAT = late(
    r"\b(?:kids|children|grandkids|grandchildren|twins|boys|girls|hijos|hijas|ninos|ninas|nietos|nietas|ages|i have|we have|have an?|tenemos|tengo un|"
    r"mother of|father of|mom of|dad of|mom to|dad to|parent of|raising|homeschool\w*|dog|cat|horse|goat|truck|van|car|tractor|farm|orchard|"
    r"garden|business|house|trees?|wine|cheese|whiskey|hens?|months?|meses)\b"
)
# What a parent tells of a child beside their own form; "he is 9 and loves peas" is of whoever the form is.
_TOLD = late(
    r"^(?!(?:he|she|i|ella|el) ).*\b(?:loves?|likes?|enjoys?|helps?|helping|eats?|allergic|allergy|allergies|alergic[oa]|plays?|goes|comes|"
    r"drinks?|needs|wants|le gusta|ayuda|come|viene|juega)\b"
)
# Headings of a form's own column for it: "Age", "Edad del niño".
_AGE_HEADING = late(
    r"^(?:your |applicant s |child s |member s )?(?:age|edad)\b|^(?:edad|how old)\b"
)


# Without one of these words no remark says so: most are passed over.
_MARKS = frozenset((
    "her", "him", "them", "else", "another", "behalf", "by", "por", "hers", "his", "mine", "mio", "mia", "she",
    "he", "ella", "el", "nombre", "parte", "caregiver", "caretaker", "aide", "worker", "caseworker", "attorney",
    "laws", "mayor", "mother", "father", "mom", "mum", "ma", "dad", "parents", "pa", "granny", "grany", "mama",
    "papa", "papi", "mami", "nana", "aunt", "auntie", "uncle", "sister", "brother", "cousin", "wife", "husband",
    "spouse", "partner", "neighbor", "neighbour", "friend", "roommate", "boss", "client", "patient", "resident",
    "tenant", "landlady", "landlord", "coworker", "madre", "padre", "abuela", "abuelo", "abuelita", "abuelito",
    "tia", "tio", "hermana", "hermano", "esposa", "esposo", "marido", "mujer", "prima", "primo", "suegra",
    "suegro", "vecina", "vecino", "vecinita", "vecinito", "amiga", "amigo", "comadre", "compadre", "patron",
    "patrona", "cunada", "cunado", "son", "daughter", "child", "kid", "nephew", "niece", "nieta", "nieto",
    "sobrina", "sobrino", "hija", "hijo", "hijita", "hijito", "nina", "nino", "hermanita", "hermanito",
))  # fmt: skip
_BEFORE = ("grand", "step", "god")  # what stands before some of them


def helped(text: str) -> bool:
    """Whether a remark says that somebody filled out the form for another person.

    >>> helped("Filling this out for my mom"), helped("I pick up for my mom"), helped("Es para mi vecina")
    (True, False, True)
    """
    sentences = map(_plain, _sentences(text))
    return any(_HELPS.search(one) for one in sentences if any(map(_is_mark, one.split())))


@lru_cache(maxsize=64)  # two rules ask it of one form
def helped_in_name(text: str) -> bool:
    """Whether a name box says so; a second person with an account of their own is another matter.

    >>> helped_in_name("Pryce for Odessa Pryce"), helped_in_name("Tom and my wife Sue"), helped_in_name("Sokha Por")
    (True, False, False)
    """
    text = marked = text[:LONGEST]
    if not text.replace(" ", "").isalpha():  # nearly all are letters alone
        text = _LAST_FIRST.sub(r"\2 \1", text)  # "Para, Ana" has a last name
        marked = _AND.sub(" and ", _PARA.sub("para ", text))
    plain = _plain(marked)
    if " " not in plain or doubts.is_relative(text):  # of the latter only whose relative is known
        return False
    named = any(name_words.given(one[1]) for one in _WHO_FOR.finditer(plain))
    return named or bool(_IN_NAME.search(plain)) or helped(text)


_LAST_FIRST = re.compile(r"^(\w+), *([^,]+)$")
_PARA, _AND = re.compile(r"\bp/"), re.compile(r"[&+]")


def _is_mark(word: str) -> bool:
    return word in _MARKS or (word.startswith(_BEFORE) and len(word) > 5)


def is_child(text: str) -> bool:
    """Whether a remark says that the form is of somebody who is not of age.

    >>> [is_child(said) for said in ("age 9", "my son is 7", "my son is 7 and loves peas", "we have 2 kids, 4 and 6")]
    [True, True, False, False]
    """
    return any(map(_tells_child, _sentences(text)))


_MINORS = frozenset(("minor", "minors", "menor", "underage", "under", "grade", "grader", *_NUMBERS))


def _tells_child(sentence: str) -> bool:
    clauses = [plain for part in sentence.split(",") if (plain := _plain(part))]
    whole = " ".join(clauses)
    words = whole.split()
    is_marked = any(word[0].isdigit() for word in words) or not _MINORS.isdisjoint(words)
    if not is_marked and "kindergart" not in whole:
        return False
    if _CHAT.search(whole) or _TOLD.search(whole):
        return False
    return any(map(_is_of_child, {whole, *clauses}))


def _is_of_child(clause: str) -> bool:
    ages = (_NUMBERS.get(m["age"]) or int(m["age"]) for p in _AGES for m in p.finditer(clause))
    return any(age < ADULT for age in ages) or bool(_MINOR.search(clause))


def in_name(raw: RawRow) -> tuple[Finding, ...]:
    """The finding that the name boxes say that somebody filled out the form for another person: whose account it is
    to be, only they can tell."""
    said = next(filter(helped_in_name, _names(raw.fields)), None)
    if said is None:
        return ()
    note = (
        f"The name says “{_short(said)}”. Somebody seems to have filled out the form for another person. "
        "Ask who the account is for. Answer enroll, with that person's name."
    )
    return (NAME.found(said, note),)


def _names(fields: Mapping[str, str]) -> tuple[str, ...]:
    """The whole name, as the form says it in one box and in several."""
    parts = (fields.get(part, "") for part in ("given", "middle", "family", "suffix"))
    return tuple(filter(None, (fields.get("full_name", ""), " ".join(filter(None, parts)))))


_NAME_HEADING = late(r"name|nombre|apellido")


def _replaced(raw: RawRow) -> str:
    """What name boxes said in whose place a correction stands."""
    said = set(raw.fields.values())
    return " ".join(
        text
        for heading, text in raw.cells
        if text not in said and _NAME_HEADING.search(_plain(heading))
    )


def by_helper(
    raw: RawRow, name: PersonName | None, written: Cleaned[Email], *, has_phone: bool
) -> tuple[Finding, ...]:
    """What to ask where somebody filled out the form for another person: about the email address, unless it has
    that person's name in it, or else about the phone. The names say so as they came, whatever has been put in their place."""
    said = next(filter(helped, raw.remarks), None) or next(
        filter(helped_in_name, (*_names(raw.fields), _replaced(raw))), None
    )
    if said is None:
        return ()
    words = f"The form says “{_short(said)}”. Somebody seems to have filled it out for another person, so the"
    if written.value and not (name and bears(written.value.address, name)):
        return (
            EMAIL.found(
                written.said,
                f"{words} email address may be the helper's. Ask whose it is: whoever reads it can sign in as the member.",
            ),
        )
    if has_phone:
        return (PHONE.found(said, f"{words} phone number may be the helper's. Ask whose it is."),)
    return ()


def of_child(raw: RawRow, born: date | None, came: date | None) -> tuple[Finding, ...]:
    """The finding that the form is a child's: by its remarks, what stands beside the name, a column for the age,
    or the day of birth and the day on which the form `came`."""
    said = next(_said_child(raw), "")
    if not said and born and came and _years(born, came) < ADULT:
        said = raw.fields.get("born", "")
    if not said:
        return ()
    note = (
        f"The form says “{_short(said)}”. It seems to be a child's. Ask a parent or guardian, and look at the law where you live "
        "before you keep anything about a child. If a parent joins, answer enroll, with the parent's name. If not, answer drop."
    )
    return (CHILD.found(said, note),)


def _said_child(raw: RawRow) -> Iterator[str]:
    names = (raw.fields.get(field, "") for field in ("full_name", "given", "family", "suffix"))
    remarks = raw.remarks
    yield from filter(is_child, remarks)
    yield from (name for name in names if any(map(str.isdigit, name)) and is_child(name))
    for heading, said in _own_columns(raw.fields) if remarks else ():
        digits = said.strip()
        if digits.isdecimal() and int(digits[:3]) < ADULT and _AGE_HEADING.search(_plain(heading)):
            yield f"{heading}: {digits}"


def _own_columns(fields: Mapping[str, str]) -> Iterable[tuple[str, str]]:
    return (
        (field.partition(":")[2], said)
        for field, said in fields.items()
        if said and field.startswith(("extra:", "aside:"))
    )


def _years(born: date, then: date) -> int:
    return then.year - born.year - ((then.month, then.day) < (born.month, born.day))


_ENDS = re.compile(r"[.!?;\n()]+")
_WORD = re.compile(r"[^\W_]+")


def _plain(text: str) -> str:
    return " ".join(_WORD.findall(_unaccented(text[:LONGEST]).casefold()))


def _unaccented(text: str) -> str:
    if text.isascii():
        return text
    return "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))


def _sentences(text: str) -> list[str]:
    """Its sentences, as they are written."""
    return [part for part in _ENDS.split(text[:LONGEST]) if part.strip()]


def _short(said: str) -> str:
    text = " ".join(secret.hidden(said[:LONGEST]).split())
    text = "".join(c if c.isprintable() else "·" for c in text)
    return text if len(text) <= 80 else text[:79] + "…"
