"""Every kind of finding about a name, and the sentence for the coordinator."""

from __future__ import annotations

from onboard.model import Finding, Kind, Weight

LONGEST = 120  # characters of a name on a form; the longest real full names stay well under it
_SHOWN = 80  # characters of a text that a finding repeats


_M, _D, _B = Weight.MENDED, Weight.DOUBTFUL, Weight.BLOCKING

_ALL: tuple[tuple[str, Weight, str, str, str, str], ...] = (
    # code, weight, about, wrong, right, note with {said} and {what}
    ("encoding", _M, "Letters were garbled by a wrong character encoding.",
     "JosÃ© GarcÃ­a", "José García",
     "The letters were garbled by a wrong encoding; they are put right. Nothing to do."),
    ("hidden", _M, "The name held characters that cannot be seen.",
     "Pa\u200bt Lee", "Pat Lee",
     "A character that cannot be seen ({what}) stood in the name; it is taken out. Nothing to do."),
    ("letters", _M, "Letters in an odd form, such as full-width or mathematical ones.",
     "Ｐａｔ Ｌｅｅ", "Pat Lee",
     "Letters in an odd form ({what}) are written as plain ones. Nothing to do."),
    ("symbols", _M, "Pictures, stars or other signs stood in the name.",
     "Pat* Lee", "Pat Lee",
     "A sign that is no part of a name ({what}) is taken out. Nothing to do."),
    ("punctuation", _M, "Curly quotes and odd dashes are written plainly.",
     "Sean O’Brien", "Sean O'Brien",
     "The mark {what} is written as a plain apostrophe, hyphen or comma. Nothing to do."),
    ("capitals", _M, "All capitals, or none, are put right.",
     "PAT LEE", "Pat Lee",
     "The capitals of “{said}” are put right. Nothing to do."),
    ("order", _M, "The last name came first, with a comma.",
     "Lee, Pat", "Pat Lee",
     "The last name came first; the names are put in order. Nothing to do."),
    ("columns", _M, "The whole name stood in the column of one part.",
     "", "Pat Lee",
     "The column held more than its part of the name; the name is shared out. Nothing to do."),
    ("credential", _M, "Letters after the name (a degree, a licence) are no part of it.",
     "Pat Lee, RN", "Pat Lee",
     "“{what}” is no part of the name and is left out. Nothing to do."),
    ("aside", _D, "Something else stood beside the name.",
     "Pat Lee (please call after six)", "Pat Lee",
     "Beside the name stands “{what}”, which is left out. Read it: it may be meant for you."),
    ("care_of", _D, "The form names a second person who helps, or whom it is for.",
     "Pat Lee c/o Robin Diaz", "Pat Lee",
     "The form also names “{what}”. The account is made for the first person; ask whether that"
     " is right."),
    ("email", _D, "An email address stood in the name box.",
     "Pat Lee pat@example.org", "Pat Lee",
     "The name box holds the email address {what}; it is left out of the name. See whether the"
     " email box has it."),
    ("phone", _D, "A phone number stood in the name box.",
     "Pat Lee 419-555-0143", "Pat Lee",
     "The name box holds the phone number {what}; it is left out of the name. See whether the"
     " phone box has it."),
    ("markup", _D, "Web page code stood in the name.",
     "<b>Pat</b> Lee", "Pat Lee",
     "The name holds web page code, which is taken out. Check the name with the member."),
    ("digits", _D, "The name holds a digit.",
     "Pat Lee2", "Pat Lee",
     "“{what}” holds a digit, which names seldom do. Ask how the name is spelled."),
    ("one_word", _D, "Only one name is given.",
     "Suharto", "Pat Lee",
     "There is only one name, “{what}”. Some people have only one; ask if there is another."),
    ("initial", _D, "The first or last name is only a letter.",
     "Pat L.", "Pat Lee",
     "“{what}” is only a letter. Ask for the whole name."),
    ("suffix", _D, "The last letter could be a suffix or a last name.",
     "Ivy V", "Ivy Vance",
     "“{what}” could be a suffix (the fifth, the first) or a last name. Ask which."),
    ("title", _D, "“Sr.” before a name is a title (Sister, Señor), after it a suffix (Senior).",
     "Sr. Mary Agnes", "Mary Agnes",
     "“{what}” before the name is taken for a title, not for Senior. Ask if it matters."),
    ("two_first_names", _D, "Two words at the front are taken for one first name.",
     "Mary Ann Smith", "Mary Smith",
     "“{what}” is taken for one first name. Ask whether the second word is a middle name."),
    ("two_last_names", _D, "Two words at the end are taken for two last names.",
     "Juan García López", "Juan García",
     "“{what}” is taken for two last names. Ask whether the first is a middle name."),
    ("order_unsure", _D, "The last name may have been written first.",
     "Smith Jennifer", "Jennifer Smith",
     "Last and first name seem to be exchanged in “{said}”. Ask which is the last name."),
    ("organisation", _D, "This is an organisation, not a person.",
     "Sunrise Bakery LLC", "Pat Lee",
     "“{said}” is an organisation. Ask which person the account is for."),
    ("mash", _D, "This looks like a hand run over the keyboard.",
     "asdf jkl", "Pat Lee",
     "“{said}” looks like chance letters. Ask for the name."),
    ("joke", _D, "This is a name that people give in jest.",
     "Santa Claus", "Pat Lee",
     "“{said}” is often given in jest, though some people bear it. Make sure of the person."),
    ("household", _B, "This names a home, not a person.",
     "Lee Household", "Pat Lee",
     "“{said}” names a household. Ask which person the account is for."),
    ("joint", _B, "Two people or more signed up on one form.",
     "Pat and Robin Lee", "Pat Lee",
     "“{said}” names {what} people. Ask who the account is for: an account has one person, and"
     " the others may have their own."),
    ("test", _B, "Somebody tried the form out.",
     "Test Test", "Pat Lee",
     "“{said}” looks like a trial of the form. Drop the row, or ask for the name."),
    ("empty", _B, "There is no name.",
     "n/a", "Pat Lee",
     "No name is given. Ask for it."),
    ("no_letters", _B, "The name holds no letters.",
     "12345", "Pat Lee",
     "There are no letters in “{said}”. Ask for the name."),
    ("lost_letters", _B, "Letters of the name were lost on the way.",
     "Jos? Garc?a", "José García",
     "Letters were lost where “{said}” shows a question mark. Ask for the spelling."),
    ("not_a_name", _B, "This is program text, not a name.",
     '=HYPERLINK("example.org")', "Pat Lee",
     "“{said}” is program text, not a name. Do not open it; ask for the name."),
    ("long", _B, f"The name is longer than {LONGEST} characters.",
     "Pat " * 40 + "Lee", "Pat Lee",
     f"The name box holds {{what}} characters; names have {LONGEST} at most. Ask for the name."),
    ("script", _B, "The name is not in Latin letters.",
     "王 小明", "Xiaoming Wang",
     "“{said}” is kept as the name. A handle needs Latin letters: ask the member how they spell"
     " the name with them."),
    ("mixed_scripts", _B, "Letters of several alphabets are mixed, so that it reads as another.",
     "P\u0430t Lee", "Pat Lee",
     "“{said}” mixes {what} letters, which can look alike. Ask for the spelling in Latin letters."),
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
