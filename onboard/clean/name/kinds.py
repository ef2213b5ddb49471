"""Every kind of finding about a name, and the sentence for the coordinator."""

from __future__ import annotations

from dataclasses import dataclass

from onboard.model import Finding, Kind, Weight

LONGEST = 120  # characters of a name on a form; the longest real full names stay well under it
_SHOWN = 80  # characters of a text that a finding repeats


@dataclass(frozen=True, slots=True)
class Hints:
    """What is known of a name beside its words."""

    spanish: bool = (
        False  # a form in Spanish or Portuguese, or a home where such names are the rule
    )
    mailbox: str = ""  # of the email address: what stands before the @
    told: bool = (
        False  # somebody asked: what stands before the comma is the last name, and all of it
    )


NO_HINTS = Hints()


class Noticed(dict[str, str]):
    """What was noticed while a name was read: code to a word about it."""

    __slots__ = ("hints",)

    def __init__(self, hints: Hints = NO_HINTS) -> None:
        self.hints = hints


_M, _D, _B = Weight.MENDED, Weight.DOUBTFUL, Weight.BLOCKING

_ALL: tuple[tuple[str, Weight, str, str, str, str], ...] = (
    # code, weight, about, wrong, right, note with {said} and {what}
    ("encoding", _M, "Letters were garbled when the file was saved.",
     "JosÃ© GarcÃ­a", "José García",
     "The letters were garbled when the file was saved. They are fixed. Nothing to do."),
    ("hidden", _M, "The name had hidden characters.",
     "Pa\u200bt Lee", "Pat Lee",
     "A hidden character ({what}) was in the name. It was removed. Nothing to do."),
    ("letters", _M, "Some letters have an odd form, such as full-width or mathematical letters.",
     "Ｐａｔ Ｌｅｅ", "Pat Lee",
     "Letters in an odd form ({what}) are now plain letters. Nothing to do."),
    ("symbols", _M, "Pictures, stars or other signs were in the name.",
     "Pat* Lee", "Pat Lee",
     "A sign that does not belong in a name ({what}) was removed. Nothing to do."),
    ("punctuation", _M, "Curly quotes and odd dashes were made plain.",
     "Sean O’Brien", "Sean O'Brien",
     "The mark {what} is now a plain apostrophe, hyphen or comma. Nothing to do."),
    ("capitals", _M, "The name was all capitals, or had none. The capitals are fixed.",
     "PAT LEE", "Pat Lee",
     "The capitals in “{said}” are fixed. Nothing to do."),
    ("order", _M, "The last name came first, with a comma.",
     "Lee, Pat", "Pat Lee",
     "The last name came first. The names are now in order. Nothing to do."),
    ("columns", _M, "The whole name was in the column for one part of it.",
     "", "Pat Lee",
     "The column had more than its part of the name. The name was split up. Nothing to do."),
    ("credential", _M, "The letters after the name (a degree, a license) are not part of it.",
     "Pat Lee, RN", "Pat Lee",
     "“{what}” is not part of the name and was left out. Nothing to do."),
    ("widow", _M, "“Vda. de” (widow of) before a married name is not part of it.",
     "Petra Silva vda. de Mora", "Petra Mora",
     "“{what}” (widow of) is not part of the name and was left out. Nothing to do."),
    ("aside", _D, "Something else was next to the name.",
     "Pat Lee (please call after six)", "Pat Lee",
     "Next to the name it says “{what}”. It was left out. Read it: it may be meant for you."),
    ("care_of", _D, "The form names a second person: a helper, or whoever it is for.",
     "Pat Lee c/o Robin Diaz", "Pat Lee",
     "The form also names “{what}”. The account is for the first person. Ask if that is"
     " right."),
    ("email", _D, "An email address was in the name box.",
     "Pat Lee pat@example.org", "Pat Lee",
     "The email address {what} was in the name box. It was left out of the name. Check that the"
     " email box has it."),
    ("phone", _D, "A phone number was in the name box.",
     "Pat Lee 419-555-0143", "Pat Lee",
     "The phone number {what} was in the name box. It was left out of the name. Check that the"
     " phone box has it."),
    ("markup", _D, "Web page code was in the name.",
     "<b>Pat</b> Lee", "Pat Lee",
     "Web page code was in the name. It was removed. Check the name with the member."),
    ("digits", _D, "The name has a number in it.",
     "Pat Lee2", "Pat Lee",
     "“{what}” has a number in it. Names rarely do. Ask how they spell the name."),
    ("one_word", _D, "There is only one name.",
     "Suharto", "Pat Lee",
     "There is only one name, “{what}”. Some people have only one. Ask if there is another."),
    ("initial", _D, "The first or last name is only a letter.",
     "Pat L.", "Pat Lee",
     "“{what}” is only a letter. Ask for the whole name."),
    ("suffix", _D, "The last letter could be a suffix or a last name.",
     "Ivy V", "Ivy Vance",
     "“{what}” could be a suffix (the fifth, the first) or a last name. Ask which."),
    ("generation", _D, "“Hijo” or “padre” after a name was read as a suffix (Junior, Senior).",
     "José Núñez hijo", "José Núñez",
     "“{what}” after the name was read as Junior (hijo) or Senior (padre). Ask if it is a last name instead."),
    ("title", _D, "“Sr.” before a name is a title (Sister, Señor). After a name, it is a suffix (Senior).",
     "Sr. Mary Agnes", "Mary Agnes",
     "“{what}” before the name was read as a title, not as Senior. Ask if it matters."),
    ("don", _D, "“Don” can be a title in Spanish, or a first name.",
     "Don Evaristo Luján", "Don Miller",
     "“Don” was read as {what}. Ask if that is right."),
    ("two_first_names", _D, "The first two words were read as one first name.",
     "Mary Ann Smith", "Mary Smith",
     "“{what}” was read as one first name. Ask if the second word is a middle name."),
    ("two_last_names", _D, "The last two words were read as two last names.",
     "Juan García López", "Juan García",
     "“{what}” was read as two last names. Ask if the first one is a middle name."),
    ("last_or_middle", _D, "A middle name may be the first of two last names.",
     "Jennifer Soto Keller", "Mary Walsh Keller",
     "“{what}” was read as a middle name. Ask if it is part of the last name."),
    ("order_unsure", _D, "The last name may have come first.",
     "Smith Jennifer", "Jennifer Smith",
     "The first and last name may be switched in “{said}”. It was read as {what}. Ask which is the last name."),
    ("organisation", _B, "This is an organization, not a person.",
     "Sunrise Bakery LLC", "Pat Lee",
     "“{said}” is an organization. Ask which person the account is for."),
    ("mash", _D, "This looks like random typing.",
     "asdf jkl", "Pat Lee",
     "“{said}” looks like random letters. Ask for the name."),
    ("joke", _D, "This is a name that people give as a joke.",
     "Santa Claus", "Pat Lee",
     "People often give “{said}” as a joke, but some people really have this name. Make sure who it is."),
    ("household", _B, "This is a household, not a person.",
     "Lee Household", "Pat Lee",
     "“{said}” is a household. Ask which person the account is for."),
    ("relative", _B, "This says whose relative somebody is, not who they are.",
     "Mother of Toby Marsh", "Toby Marsh",
     "“{said}” is nobody's name. Ask who the account is for, and for that person's name."),
    ("joint", _B, "Two or more people are on one join form.",
     "Pat and Robin Lee", "Pat Lee",
     "“{said}” is {what} people. Ask who the account is for. An account is for one person. The"
     " others can have their own."),
    ("test", _B, "Somebody was testing the form.",
     "Test Test", "Pat Lee",
     "“{said}” looks like a test of the form. Answer drop, or ask for the name."),
    ("empty", _B, "There is no name.",
     "n/a", "Pat Lee",
     "There is no name. Ask for it."),
    ("no_letters", _B, "The name has no letters.",
     "12345", "Pat Lee",
     "There are no letters in “{said}”. Ask for the name."),
    ("lost_letters", _B, "Some letters of the name were lost.",
     "Jos? Garc?a", "José García",
     "“{said}” has question marks where letters were lost. Ask how they spell it."),
    ("not_a_name", _B, "This is program text or a tangle of signs, not a name.",
     '=HYPERLINK("example.org")', "Pat Lee",
     "“{said}” is program text or a tangle of signs. Do not open it. Ask for the name."),
    ("long", _B, f"The name is longer than {LONGEST} characters.",
     "Pat " * 40 + "Lee", "Pat Lee",
     f"The name box has {{what}} characters. A name can have {LONGEST} at most. Ask for the name."),
    ("script", _B, "The name is not in Latin letters.",
     "王 小明", "Xiaoming Wang",
     "“{said}” is kept as the name. A sign-in name needs Latin letters. Ask the member how they"
     " spell the name in them."),
    ("mixed_scripts", _B, "Letters from different alphabets are mixed, so the name can pass for another one.",
     "P\u0430t Lee", "Pat Lee",
     "“{said}” mixes {what} letters, which can look alike. Ask how they spell it in Latin letters."),
)  # fmt: skip

KINDS: tuple[Kind, ...] = tuple(
    Kind(
        f"name.{code}",
        weight,
        about,
        wrong,
        right,
        {"given": "Pat Lee"} if code == "columns" else {},
    )
    for code, weight, about, wrong, right, _ in _ALL
)
_BY_CODE = {kind.code: (kind, row[-1]) for kind, row in zip(KINDS, _ALL, strict=True)}


def found(code: str, said: str, what: str = "") -> Finding:
    """The finding of this code about `said`; `what` is the piece that its note speaks of."""
    kind, note = _BY_CODE[code]
    return kind.found(_short(said), note.format(said=_visible(said), what=_visible(what)))


def _short(text: str) -> str:
    text = text if len(text) <= _SHOWN else f"{text[: _SHOWN - 1]}…"
    return text if text.isascii() else text.encode("utf-8", "replace").decode("utf-8")


def _visible(text: str) -> str:
    """A text as a sentence may hold it: what would turn the sentence round or hide is a dot."""
    text = _short(text)
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() else "·" for char in text)
