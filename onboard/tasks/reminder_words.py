"""What the reminders that are due say, one of each kind, to be read before they go out."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from datetime import date

from onboard.clean import name as names
from onboard.model import PersonName, ReminderKind, Way
from onboard.office import Office
from onboard.tasks import due_reminders
from onboard.tasks.due_reminders import Due
from onboard.tasks.shown_message import shown
from onboard.tasks.try_mail import INVENTED
from onboard.tasks.write_reminders import Sayings
from onboard.welcome import blocks, postcard, texts, words
from onboard.welcome.reminder import Reminders, Says

TEMPLATES = {Way.EMAIL: words.REMINDER, Way.TEXT: words.TEXT, Way.LETTER: words.POSTCARD}


@dataclass(frozen=True, slots=True)
class Sample:
    """The words that some members get, to an invented member."""

    kind: ReminderKind
    group: str
    way: Way
    language: str
    members: int  # who get these words, but for what is said to those who can't sign in yet
    subject: str  # of an email
    text: str  # "" for a text message that does not fit
    page: str = ""  # the same as a page of HTML, of an email
    uid: str = ""  # of the window

    @property
    def key(self) -> str:
        """What no other sample of the day has."""
        return f"{self.uid} {self.kind} {self.way} {self.language}"


def sample_reminders(office: Office, day: date | None = None) -> list[Sample]:
    """One sample of each reminder that is due at this moment, or on a day: by kind, group, way and language.

    Nothing is saved. Raises `StoreTrouble`, and `SettingsTrouble` where a template is broken.
    """
    wanted = due_reminders.on_day(office, day) if day else due_reminders.is_due_at(office.now())
    day = day or office.today()
    sayings = {way: Sayings(office.settings, day, name) for way, name in TEMPLATES.items()}
    first: dict[tuple[str, ReminderKind, Way, str], tuple[Due, Says]] = {}
    counts: Counter[tuple[str, ReminderKind, Way, str]] = Counter()
    with office.reading() as connection:
        plan = due_reminders.agenda(connection, office.settings, office.now(), wanted)
        for page in due_reminders.pages(connection, plan, day):
            for one in page.due:
                says = sayings[one.way].of(one)
                key = one.known.uid, one.kind, one.way, says.language
                counts[key] += 1
                if key not in first or (first[key][1].hint and not says.hint):
                    first[key] = one, says
    order = list(ReminderKind)
    found = sorted(first, key=lambda key: (order.index(key[1]), key[0], key[2], key[3]))
    return [_sample(office, *first[key], counts[key]) for key in found]


def next_day(office: Office, after: date | None = None) -> date | None:
    """The next day, after today or after the one given, on which a reminder becomes due to anybody's drop site; None if none is known.

    Raises `StoreTrouble`.
    """
    now, zone = office.now(), office.settings.zone()
    past = max(after or office.today(), office.today())
    with office.reading() as connection:
        plan = due_reminders.agenda(connection, office.settings, now, lambda one: one.due > now)
    days = {one.due.astimezone(zone).date() for found in plan.by_site.values() for one in found}
    return min((day for day in days if day > past), default=None)


def _sample(office: Office, due: Due, says: Says, members: int) -> Sample:
    settings = office.settings
    subject = page = ""
    if due.way is Way.TEXT:
        text = texts.text(says, settings)
    elif due.way is Way.LETTER:
        text = blocks.as_text(postcard.said(says, settings))
    else:
        name = _invented(says.language)
        mail = Reminders(settings, office.now()).email(says, name, settings.sender)
        read = shown(mail)
        text, page, subject = read.text, read.page, read.subject
    return Sample(
        due.kind, due.known.group, due.way, says.language, members, subject, text, page, due.known.uid
    )  # fmt: skip


def _invented(language: str) -> PersonName:
    said, _ = INVENTED.get(language.partition("-")[0], INVENTED["en"])
    name = names.clean(said).value
    assert name is not None
    return name
