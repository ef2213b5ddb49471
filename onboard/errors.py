"""Trouble with files, settings and storage; never with a member's data.

A member's untidy data is a value and becomes a `Finding`. Only what a person must fix
before anything can run is raised, with a message that says what is wrong and what to do.
"""


class Trouble(Exception):
    """Base of everything `onboard` raises on purpose; commands print it and end with code 2."""


class FileTrouble(Trouble):
    """A file that cannot be read or written."""


class SettingsTrouble(Trouble):
    """The settings file is missing or wrong; the message lists every mistake, a line each."""


class NotAllowed(SettingsTrouble):
    """The settings do not let whoever is at work do this."""


class StoreTrouble(Trouble):
    """The roster cannot be opened, is locked, is full, or is of another version."""


class StoreBusy(StoreTrouble):
    """Somebody else is writing to the roster: the same may go well in a while."""


class AlreadyRunning(Trouble):
    """The same command is at work already; commands end with code 3."""


class ChangedMeanwhile(Trouble):
    """Somebody else changed it since it was shown to whoever changes it now. Nothing was changed."""


class SendTrouble(Trouble):
    """The mail server cannot be reached or refuses us altogether."""


class NotDone(Trouble):
    """What somebody at the desk asked for was not done: sentences, and what goes into their {names}, so that
    a page can say them in another language."""

    def __init__(self, *sentences: str, **values: object) -> None:
        self.sentences, self.values = sentences, values
        super().__init__(" ".join(sentence.format(**values) for sentence in sentences))


class EngineTrouble(Trouble):
    """A process that shared the work was stopped before its end."""


def in_words(trouble: Trouble | OSError) -> str:
    """What is wrong and what to do."""
    if isinstance(trouble, OSError):
        file = trouble.filename or "a file"
        return (
            f"Can't use {file} ({trouble.strerror}). Make sure that you are allowed to, and that "
            "there is room on the disk."
        )
    return str(trouble)


def where(fault: BaseException) -> str:
    """Where a fault of the program happened. It holds no value: not the message of the fault, not a
    variable. Either could hold a member's data, or a first password."""
    import sys  # a command that goes well needs neither
    import traceback

    lines = [f"onboard, Python {sys.version.split()[0]}, {sys.platform}\n"]
    told: BaseException | None = fault
    while told:
        lines.append(f"{type(told).__module__}.{type(told).__qualname__}\n")
        lines += traceback.format_tb(told.__traceback__, limit=-50)
        told = told.__cause__ or told.__context__
    return "".join(lines)
