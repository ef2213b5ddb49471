"""Join forms to working accounts, and a roster that stays healthy.

    >>> from onboard import email
    >>> email.clean("Pat Lee <Pat@Example.org>").value.address
    'Pat@example.org'

The public names, each loaded when it is first asked for, so that `import onboard` costs nothing.
docs/python.md shows how they are used; whatever is not listed here may move.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from onboard import decide as decide
    from onboard import errors as errors
    from onboard import handles as handles
    from onboard import intake as intake
    from onboard import match as match
    from onboard import model as model
    from onboard import nearby as nearby
    from onboard import passwords as passwords
    from onboard import returned as returned
    from onboard import settings as settings
    from onboard import signin as signin
    from onboard import welcome as welcome
    from onboard import windows as windows
    from onboard.clean import address as address
    from onboard.clean import email as email
    from onboard.clean import name as name
    from onboard.clean import phone as phone
    from onboard.clean import place as place
    from onboard.clean import row as row
    from onboard.clean import sites as sites
    from onboard.office import Office as Office
    from onboard.office import open_office as open_office
    from onboard.office import open_workplace as open_workplace
    from onboard.tasks.adopt_members import adopt_members as adopt_members
    from onboard.tasks.audit_roster import audit_roster as audit_roster
    from onboard.tasks.audit_sheets import audit_sheet as audit_sheet
    from onboard.tasks.calls import count_calls as count_calls
    from onboard.tasks.calls import note_call as note_call
    from onboard.tasks.calls import settle_call as settle_call
    from onboard.tasks.check_sending import check_sending as check_sending
    from onboard.tasks.close_members import close_members as close_members
    from onboard.tasks.close_members import reopen_members as reopen_members
    from onboard.tasks.correct_member import correct_member as correct_member
    from onboard.tasks.due_reminders import count_due_reminders as count_due_reminders
    from onboard.tasks.explain_sign_in import explain_sign_in as explain_sign_in
    from onboard.tasks.export_accounts import export_accounts as export_accounts
    from onboard.tasks.find_duplicates import find_duplicates as find_duplicates
    from onboard.tasks.forget_member import forget_member as forget_member
    from onboard.tasks.from_porch import from_spool as from_spool
    from onboard.tasks.host_sheets import write_host_sheets as write_host_sheets
    from onboard.tasks.list_sites import list_sites as list_sites
    from onboard.tasks.list_windows import list_windows as list_windows
    from onboard.tasks.look_up import look_up as look_up
    from onboard.tasks.merge_members import merge_members as merge_members
    from onboard.tasks.move_roster import move_roster as move_roster
    from onboard.tasks.moved_windows import tell_moved_windows as tell_moved_windows
    from onboard.tasks.note_activity import note_activity as note_activity
    from onboard.tasks.numbers import numbers as numbers
    from onboard.tasks.process_batch import process_batch as process_batch
    from onboard.tasks.publish_guide import publish_guide as publish_guide
    from onboard.tasks.publish_windows import publish_windows as publish_windows
    from onboard.tasks.reissue import reissue as reissue
    from onboard.tasks.reminders_by_hand import write_postcards as write_postcards
    from onboard.tasks.reminders_by_hand import write_texts as write_texts
    from onboard.tasks.send_packets import send_packets as send_packets
    from onboard.tasks.send_reminders import send_reminders as send_reminders
    from onboard.tasks.site_news import close_site as close_site
    from onboard.tasks.site_news import move_site as move_site
    from onboard.tasks.site_news import open_site as open_site
    from onboard.tasks.take_clicks import take_clicks as take_clicks
    from onboard.tasks.take_mailbox import take_mailbox as take_mailbox
    from onboard.tasks.take_returned import take_returned as take_returned
    from onboard.tasks.tidy import tidy as tidy
    from onboard.tasks.today import today as today
    from onboard.tasks.undo import undo as undo
    from onboard.tasks.write_packets import write_packets as write_packets
    from onboard.tasks.write_reminders import preview_reminders as preview_reminders
    from onboard.tasks.write_reminders import write_reminders as write_reminders

# Where each name is: a module itself, or the one that holds what has that name.
_MODULES = {
    name: f"onboard.{name}"
    for name in (
        "decide",
        "errors",
        "handles",
        "intake",
        "match",
        "model",
        "nearby",
        "passwords",
        "settings",
        "signin",
        "welcome",
        "windows",
    )
} | {
    name: f"onboard.clean.{name}"
    for name in ("address", "email", "name", "phone", "place", "row", "sites")
}
_FUNCTIONS = {
    "Office": "onboard.office",
    "open_office": "onboard.office",
    "open_workplace": "onboard.office",
    "audit_sheet": "onboard.tasks.audit_sheets",
    "count_due_reminders": "onboard.tasks.due_reminders",
    "write_postcards": "onboard.tasks.reminders_by_hand",
    "write_texts": "onboard.tasks.reminders_by_hand",
    "preview_reminders": "onboard.tasks.write_reminders",
    "close_site": "onboard.tasks.site_news",
    "move_site": "onboard.tasks.site_news",
    "open_site": "onboard.tasks.site_news",
    "write_host_sheets": "onboard.tasks.host_sheets",
    "count_calls": "onboard.tasks.calls",
    "note_call": "onboard.tasks.calls",
    "settle_call": "onboard.tasks.calls",
    "reopen_members": "onboard.tasks.close_members",
    "tell_moved_windows": "onboard.tasks.moved_windows",
    "from_spool": "onboard.tasks.from_porch",
} | {
    name: f"onboard.tasks.{name}"
    for name in (
        "adopt_members", "audit_roster", "check_sending", "close_members", "correct_member", "explain_sign_in",
        "export_accounts", "find_duplicates", "forget_member", "list_sites", "list_windows", "look_up", "merge_members", "move_roster", "note_activity",
        "numbers", "process_batch", "publish_guide", "publish_windows", "reissue", "send_packets", "send_reminders", "take_clicks", "take_mailbox", "take_returned", "tidy", "today", "undo", "write_packets",
        "write_reminders",
    )
}  # fmt: skip

__all__ = sorted(_MODULES | _FUNCTIONS)


def __getattr__(name: str) -> object:
    if name in _MODULES:
        found: object = import_module(_MODULES[name])
    elif name in _FUNCTIONS:
        found = getattr(import_module(_FUNCTIONS[name]), name)
    else:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    return __all__
