"""Made-up callers who typed wrongly, with the truth: why.

    python tests/signin/wrong_callers.py [SEED] [CASES]      prints the cases, tab-separated

Written from how people type, apart from the code that is tested: it has its own keyboard, its own
nicknames (from memory), its own marks, and imports nothing of `onboard.signin` but the shape of an
account. Handles come from `onboard.handles`, names of the people from the lists below.

A caller believes something of the handle (a nickname, their email, …), writes it in some manner
(capitals, spaces, …), may hit a wrong key, and may paste a blank with it; besides, there is the
page and the account. One or two of these go wrong; their codes are the truth.
"""

from __future__ import annotations

import random
import sys
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta

from onboard import handles
from onboard.model import Handle, PersonName, State
from onboard.settings import Group, Window
from onboard.signin import Account, PasswordState, Standing

TODAY = date(2026, 11, 25)

# First name, then what people call its bearer. From memory.
GIVEN = [
    line.split()
    for line in """
Robert Bob Rob Bobby Robbie
William Bill Will Billy Liam
James Jim Jimmy Jamie
Richard Rick Dick Rich
Margaret Peggy Maggie Meg Marge
Elizabeth Liz Beth Betty Lizzie Eliza
Katherine Kate Kathy Katie Kit
Patricia Pat Patty Trish Tricia
Thomas Tom Tommy
Michael Mike Mick Mikey
Christopher Chris Kit Topher
Jennifer Jen Jenny
Susan Sue Susie
Deborah Deb Debbie
Anthony Tony
Charles Charlie Chuck Chaz
Edward Ed Eddie Ted Ned
Theodore Ted Theo Teddy
Alexander Alex Al Sasha
Samantha Sam Sammy
Joseph Joe Joey
Daniel Dan Danny
Matthew Matt
Andrew Andy Drew
Benjamin Ben Benny
Jonathan Jon Johnny
Nicholas Nick Nicky
Rebecca Becky Becca
Victoria Vicky Tori
Stephanie Steph Stephie
Gerald Jerry Gerry
Lawrence Larry
Ronald Ron Ronnie
Donald Don Donnie
Kenneth Ken Kenny
Timothy Tim Timmy
Gregory Greg
Francisco Paco Pancho Frank
José Pepe Joe
Guadalupe Lupe Lupita
Dolores Lola
Enrique Quique Rick
Eduardo Lalo Eddie
Alejandra Ale Sandra
Concepción Concha
Rosario Charo
Jesús Chuy
Ignacio Nacho
Fernando Nando
Isabel Isa
María Mary
Sofía Sofi
Seán
Zoë
Renée
Ana
Grace
Heather
Wendy
Marvin
Arnold
Vivian
Carmen
Bernice
Omar
Lillian
Will
Kim
Rosa
Ingrid
Hugo
Nadia
Tran
Mei
Aisha
Kwame
Priya
""".strip().splitlines()
]
FAMILY = """
Lee|Smith|Johnson|Miller|Kowalski|Nguyen|Garcia|Patel|Vale|Moor|Barnes|Warner|Bowman|Turner|Corn|Olson
Larsson|Hill|Wood|Woolworth|Cole|Wills|Arnold|Burns|Horner|Zimmer|Quist|Fox|Day|Ivy|Underwood|Mercado
Brown|Davis|Wilson|Moore|Taylor|Thomas|White|Harris|Martin|Clark|Lewis|Walker|Hall|Young|King|Wright
Okafor|Yamada|Petrov|Schneider|Fischer|Rossi|Dubois|Hassan|Cohen|Ibrahim|Mensah|Singh|Tanaka|Park
O'Brien|D'Angelo|O'Neill|O'Connor|D'Souza|M'Baye|O'Hara
O'Neill-Hall|D'Arcy-Moor|Smith-Jones|Lopez-Vega|Hall-Moore|Park-Lee|Ruiz-Soto|Day-Lewis
Núñez|Muñoz|García|Peña|Müller|Söder|Lefèvre|Ibáñez|Gómez|Dvořák|Ågren|Høyer
de la Cruz|van der Berg|St John|De Leon|Le Blanc
Vandenbroucke|Papadopoulos|Wolfeschlegelsteinhausenberger|Venkatanarasimharajuvaripeta
""".strip().replace("\n", "|").split("|")  # fmt: skip
MIDDLE = [
    "Ann",
    "Lynn",
    "Ray",
    "Quinn",
    "Marie",
    "Lou",
    "Jo",
    "Dean",
    "Elena",
    "Paul",
    "Grace",
    "Xavier",
]
SUFFIX = ["Jr", "Sr", "III", "II"]

# Each key's neighbours, as one sees them looking down at the hands. From memory.
_KEYS = """
q:wa w:qes e:wrd r:etf t:ryg y:tuh u:yij i:uok o:ipl p:ol a:qsz s:awdz d:sefx f:drgc g:fthv h:gyjb
j:hukn k:jilm l:kop z:asx x:zsdc c:xdfv v:cfgb b:vghn n:bhjm m:njk
"""
NEAR = {entry[0]: entry[2:] for entry in _KEYS.split()}

BELIEFS = [
    "typed.nickname", "typed.middle_name", "typed.former_name", "typed.suffix",
    "typed.last_first", "typed.initial", "typed.part", "typed.partner",
    "typed.number_missing", "typed.number_invented", "typed.whole_name", "typed.name",
]  # fmt: skip
MARKS = [
    "typed.capitals", "typed.spaces", "typed.apostrophe", "typed.hyphen", "typed.accents",
    "typed.signs",
]  # fmt: skip
HANDS = ["typed.slip", "typed.look_alike"]
PASTE = ["typed.invisible"]
WHOLE = ["typed.email", "typed.other_handle", "typed.nothing"]
PLACES = ["page.shop", "page.other", "page.locked"]
BLOCKS = ["account.hold", "account.closed", "account.merged", "packet.due", "password.expired"]
SOFT = ["packet.written", "password.unused", "password.used", "password.replaced", "window.closed"]
ONE = [*BELIEFS, *MARKS, *HANDS, *PASTE, *WHOLE, *PLACES, *BLOCKS, *SOFT]


@dataclass(frozen=True)
class Case:
    """A call: what the desk knows, what was typed, where, and the truth."""

    account: Account
    typed: str | None
    page: str
    said: str
    others: frozenset[str]
    truth: frozenset[str]


@dataclass
class Caller:
    """A member while a case is made of them."""

    given: str
    family: str
    nicknames: list[str]
    middle: str = ""
    former: str = ""
    suffix: str = ""
    partner: str = ""
    number: str = ""
    handle: str = ""
    emails: list[str] = field(default_factory=list)


def plain(text: str) -> str:
    """Small letters a to z and digits, as a person would write a name without its marks."""
    table = str.maketrans({"ø": "o", "Ø": "O", "ß": "ss"})
    parts = unicodedata.normalize("NFD", text.translate(table))
    return "".join(c for c in parts if c.isascii() and c.isalnum()).lower()


def caller(chance: random.Random, wants: set[str]) -> Caller:
    """Somebody whom all the wanted causes can happen to."""
    given, *nicknames = chance.choice(
        [g for g in GIVEN if len(g) > 1] if "typed.nickname" in wants else GIVEN
    )
    families = FAMILY
    if "typed.apostrophe" in wants:
        families = [f for f in families if "'" in f]
    if "typed.hyphen" in wants:
        families = [f for f in families if "-" in f]
    if "typed.accents" in wants:
        if "typed.apostrophe" in wants or "typed.hyphen" in wants:
            given, *nicknames = chance.choice([g for g in GIVEN if not g[0].isascii()])
        else:
            families = [f for f in families if not f.isascii()]
    if "typed.whole_name" in wants:
        families = ["Wolfeschlegelsteinhausenberger", "Venkatanarasimharajuvaripeta"]
    family = chance.choice(families)
    one = Caller(given, family, nicknames)
    if "typed.middle_name" in wants or chance.random() < 0.3:
        one.middle = chance.choice([m for m in MIDDLE if m != given])
    if "typed.former_name" in wants or chance.random() < 0.1:
        one.former = chance.choice([f for f in FAMILY if f != family and len(f) < 14])
    if "typed.suffix" in wants or chance.random() < 0.05:
        one.suffix = chance.choice(SUFFIX)
    if "typed.partner" in wants or chance.random() < 0.1:
        one.partner = chance.choice([g[0] for g in GIVEN if g[0] != given])
    if "typed.number_missing" in wants or chance.random() < 0.15:
        one.number = str(chance.choice([2, 2, 2, 3, 4, 7, 12]))
    style = chance.randrange(4)
    front = [f"{given}.{family}", f"{given[0]}{family}", f"{family}{chance.randrange(10, 99)}",
             f"{chance.choice(['sunny', 'kayak', 'oldbarn', 'tulip'])}{chance.randrange(9999)}"][style]  # fmt: skip
    local = "".join(c for c in front.lower() if c.isascii() and (c.isalnum() or c == "."))
    one.emails = [f"{local}@{chance.choice(['example.com', 'example.org', 'mail.example.net'])}"]
    return one


def handle_of(one: Caller, chance: random.Random, wants: set[str]) -> Handle:
    """The handle, by the rule of the house; with a number where somebody else had it first."""
    name = PersonName(given=one.given, family=one.family)
    made = handles.clean(name).value
    assert made, name
    if one.number:
        taken = {made.text} | {f"{made.text}{n}" for n in range(2, int(one.number))}
        made = handles.free(made, taken)
        # A long name is cut for its number, and then nobody has the first ones yet.
        one.number = made.text[len(made.text.rstrip("0123456789")) :]
    if "typed.name" in wants:  # an account that is older than the rule
        made = Handle(
            chance.choice(["grower", "valley", "basket", "harvest"])
            + str(chance.randrange(100, 999))
        )
    return made


def write(one: Caller, handle: Handle, wants: set[str], chance: random.Random) -> str | None:
    """What the caller types; None where nothing in it looks like another letter."""
    given, family, number = one.given, one.family, one.number
    if "typed.email" in wants:
        known = chance.random() < 0.7
        text = chance.choice(one.emails) if known else f"{plain(given)}@example.org"
        if known and chance.random() < 0.2:
            text = text.split("@")[0]
            if text.replace(".", "") in (handle.text, plain(given + family)):
                text += "@example.com"
        return text.title() if chance.random() < 0.1 else text
    if "typed.name" in wants:
        number = ""
    if "typed.nickname" in wants:
        given = chance.choice(one.nicknames)
    if "typed.partner" in wants:
        given = one.partner
        number = ""
    if "typed.former_name" in wants:
        family = one.former
    if "typed.middle_name" in wants:
        given = f"{given} {one.middle if chance.random() < 0.5 else one.middle[0]}"
    if "typed.number_missing" in wants:
        number = ""
    if "typed.number_invented" in wants:
        number = chance.choice(
            [
                n
                for n in ("1", "3", "01", "23", str(chance.randrange(1940, 2009)), "99", "45801")
                if n != number
            ]
        )
    if (
        "typed.whole_name" not in wants
        and "typed.name" not in wants
        and len(plain(given + family)) > 30
    ):
        family = plain(family)[: max(1, 30 - len(plain(given)) - len(one.number))]
    words = [given, family]
    if "typed.initial" in wants:
        words = [given[0], family] if chance.random() < 0.7 else [given, family[0]]
    if "typed.part" in wants:
        words = [chance.choice([given, family])]
    if "typed.last_first" in wants:
        words.reverse()
    if "typed.suffix" in wants:
        words.append(one.suffix)
    if number:
        words[-1] += number
    text = _marked(words, wants, chance)
    if "typed.look_alike" in wants:
        if not set("mwlo") & set(text.lower()) and "rn" not in text.lower():
            return None
        text = _alike(text, chance)
    if "typed.slip" in wants:
        text = _slip(text, chance)
    if "typed.invisible" in wants:
        blank = chance.choice([" ", " ", "\t", "\u00a0", "\u200b", "\ufeff", "\r\n", "\u00ad"])
        where = chance.choice([0, len(text), len(text)])
        text = text[:where] + blank + text[where:]
    return text


def _marked(words: list[str], wants: set[str], chance: random.Random) -> str:
    shown = []
    for word in words:
        text = ""
        for char in word:
            if char == "'":
                text += chance.choice("'’'`") if "typed.apostrophe" in wants else ""
            elif char == "-":
                text += chance.choice("--\u2010\u2013") if "typed.hyphen" in wants else ""
            elif char == " ":
                text += " " if "typed.spaces" in wants else ""
            elif not char.isascii():
                text += char if "typed.accents" in wants else plain(char)
            else:
                text += char
        shown.append(text)
    joint = ""
    if "typed.spaces" in wants:
        joint = " "
    elif "typed.signs" in wants:
        joint = chance.choice("._.,")
    text = joint.join(shown)
    if "typed.spaces" in wants and " " not in text:
        cut = len(plain(words[0])) // 2 or 1
        text = text[:cut] + " " + text[cut:]
    if "typed.signs" in wants and joint in ("", " "):
        text += "."
    if "typed.capitals" not in wants:
        return text.lower()
    manner = chance.randrange(3)
    if manner == 0:
        return text.upper()
    return text[:1].upper() + (text[1:].lower() if manner == 1 else text[1:])


def _slip(text: str, chance: random.Random) -> str:
    places = [i for i, c in enumerate(text) if c.lower() in NEAR]
    for _ in range(20):
        at = chance.choice(places)
        char = text[at]
        manner = chance.choice(["near", "near", "miss", "double", "swap", "extra"])
        if manner == "near":
            made = text[:at] + chance.choice(NEAR[char.lower()]) + text[at + 1 :]
        elif manner == "miss":
            made = text[:at] + text[at + 1 :]
        elif manner == "double":
            made = text[:at] + char.lower() + text[at:]
        elif manner == "extra":
            made = text[: at + 1] + chance.choice(NEAR[char.lower()]) + text[at + 1 :]
        else:
            if at + 1 not in places:
                continue
            made = text[:at] + text[at + 1] + char + text[at + 2 :]
        # A capital or a blank that went with the letter would undo another cause.
        if made != text and plain(made) and (text.lower() == text) == (made.lower() == made):
            return made
    return text + "x"


def _alike(text: str, chance: random.Random) -> str:
    pairs = [("m", "rn"), ("rn", "m"), ("w", "vv"), ("l", "1"), ("l", "I"), ("o", "0")]
    fits = [(a, b) for a, b in pairs if a in text.lower()]
    a, b = chance.choice(fits)
    at = chance.choice([i for i in range(len(text)) if text.lower().startswith(a, i)])
    return text[:at] + b + text[at + len(a) :]


def case(chance: random.Random, wants: set[str]) -> Case | None:
    """A case of these causes; None if they can't come together in the one who was drawn."""
    one = caller(chance, wants)
    handle = handle_of(one, chance, wants)
    name = PersonName(
        one.given, one.middle, one.family, one.suffix, former=one.former,
        joint=(PersonName(one.partner, family=one.family),) if one.partner else (),
    )  # fmt: skip
    base = handle.steps[-1].before if handle.steps and handle.steps[-1].what == "number" else ""
    others = {f"{plain(chance.choice(GIVEN)[0])}{plain(chance.choice(FAMILY))}" for _ in range(200)}
    others |= {base} if base else set()
    if one.partner and chance.random() < 0.5:
        others.add(plain(one.partner + one.family))
    others.discard(handle.text)
    typed: str | None = handle.text
    if wants & {*BELIEFS, *MARKS, *HANDS, *PASTE, "typed.email"}:
        typed = write(one, handle, wants, chance)
        if typed is None or typed == handle.text:
            return None
    if "typed.other_handle" in wants:
        typed = chance.choice(sorted(others - {base}))
    if "typed.nothing" in wants:
        typed = chance.choice(["", "", " "])
    truth = set(wants)
    if typed and typed.lower().replace(" ", "") in others:
        truth.add("typed.other_handle")
    if not any(w.startswith("typed") for w in wants) and wants & {*BLOCKS, "page.shop"}:
        typed = chance.choice([handle.text, None])
    return Case(
        _account(one, name, handle, wants, chance), typed,
        _page(wants, chance), _said(wants, chance), frozenset(others), frozenset(truth),
    )  # fmt: skip


def _account(
    one: Caller, name: PersonName, handle: Handle, wants: set[str], chance: random.Random
) -> Account:
    standing = Standing.OPEN
    for code, stands in (
        ("hold", Standing.HOLD),
        ("closed", Standing.CLOSED),
        ("merged", Standing.MERGED),
    ):
        if f"account.{code}" in wants:
            standing = stands
    later, earlier = TODAY + timedelta(9), TODAY - timedelta(20)
    state = chance.choice([PasswordState(earlier, used=True), PasswordState(earlier, used=True),
                           PasswordState(later), None])  # fmt: skip
    packet = State.SENT if state else None
    opens = TODAY + timedelta(chance.choice([-2, -1, 3, 8]))
    if "password.expired" in wants:
        state, packet = PasswordState(earlier), State.SENT
    if "password.unused" in wants:
        state, packet = PasswordState(later), State.SENT
    if "packet.written" in wants:
        state, packet = PasswordState(later), State.WRITTEN
    if "packet.due" in wants:
        state, packet = None, State.DUE
    if "password.replaced" in wants:
        state, packet = PasswordState(later, replaced=True), State.SENT
    if "password.used" in wants:
        state, packet, opens = PasswordState(earlier, used=True), State.SENT, TODAY - timedelta(1)
    if "window.closed" in wants:
        state = chance.choice([PasswordState(earlier, used=True), None])
        packet = State.SENT if state else None
        opens = TODAY + timedelta(chance.choice([1, 3, 8, -30]))
    if "account.hold" in wants:
        state, packet = None, None
    windows = (
        Window(opens, opens + timedelta(5)),
        Window(opens + timedelta(35), opens + timedelta(40)),
    )
    return Account(
        None if "account.hold" in wants and chance.random() < 0.5 else handle,
        (name,), tuple(one.emails), standing, packet, state, Group("Lake", windows),
    )  # fmt: skip


def _page(wants: set[str], chance: random.Random) -> str:
    if "page.shop" in wants:
        return chance.choice(
            ["https://shop.example.com/login", "shop.example.com", "the shop page", "your store's page",
             "la tienda", "http://www.shop.example.com/my-account?x=1", "on the shop"]
        )  # fmt: skip
    if "page.other" in wants:
        return chance.choice(
            ["https://example.net/login", "http://order-example.example.net", "mail.example.com"]
        )
    if "page.locked" in wants or "window.closed" in wants or chance.random() < 0.5:
        return chance.choice(
            [
                "https://order.example.org/",
                "order.example.org/signin",
                "the ordering page",
                "la página de pedidos",
            ]
        )
    return ""


def _said(wants: set[str], chance: random.Random) -> str:
    if "page.locked" in wants:
        return chance.choice(["Too many attempts, try again in 15 minutes", "Your account is locked",
                              "Cuenta bloqueada, demasiados intentos"])  # fmt: skip
    if wants == {"window.closed"} and chance.random() < 0.3:
        return chance.choice(
            ["Ordering is closed", "The window is not open yet", "Los pedidos están cerrados"]
        )
    if any(w.startswith("typed") for w in wants) and chance.random() < 0.3:
        return "Wrong user name or password"
    return ""


def _pairs() -> list[set[str]]:
    """Which causes come two at a time."""
    typed = [*BELIEFS, *MARKS, *HANDS, *PASTE]
    found = [{a, b} for a in BELIEFS for b in [*MARKS, *HANDS, *PASTE]]
    found += [{a, b} for a in MARKS for b in [*MARKS, *HANDS, *PASTE] if a < b or b not in MARKS]
    found += [{a, "typed.invisible"} for a in HANDS]
    found += [
        {a, b}
        for a in [*typed, "typed.email"]
        for b in ["page.shop", "password.expired", "account.closed"]
    ]
    found += [{a, "page.locked"} for a in ["typed.email", "typed.capitals", "typed.slip"]]
    # A part of a name has no second word to mark; a short handle's end is gone with the name.
    never = [
        {"typed.part", "typed.spaces"}, {"typed.part", "typed.signs"},
        {"typed.former_name", "typed.apostrophe"}, {"typed.former_name", "typed.hyphen"},
        {"typed.former_name", "typed.accents"}, {"typed.part", "typed.apostrophe"},
        {"typed.part", "typed.hyphen"}, {"typed.part", "typed.accents"},
        {"typed.initial", "typed.apostrophe"}, {"typed.initial", "typed.hyphen"},
        {"typed.initial", "typed.accents"}, {"typed.whole_name", "typed.apostrophe"},
        {"typed.whole_name", "typed.hyphen"}, {"typed.whole_name", "typed.accents"},
        {"typed.spaces", "typed.signs"},
    ]  # fmt: skip
    return [pair for pair in found if pair not in never and len(pair) == 2]


PAIRS = _pairs()


def cases(seed: int, count: int) -> Iterator[Case]:
    """That many cases of this seed; half of one cause, half of two, all causes alike often."""
    chance = random.Random(seed)
    made = 0
    while made < count:
        wants = {ONE[made // 2 % len(ONE)]} if made % 2 == 0 else set(chance.choice(PAIRS))
        for _ in range(50):
            if found := case(chance, wants):
                yield found
                break
        made += 1


def main(seed: int = 1, count: int = 100) -> None:
    for one in cases(seed, count):
        handle = one.account.handle
        print(
            handle.text if handle else "-",
            repr(one.typed),
            one.page,
            one.said,
            *sorted(one.truth),
            sep="\t",
        )


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
