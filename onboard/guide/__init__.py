"""The guide: pages with which members help themselves, made of the settings alone.

Each page is one file that asks for nothing from anywhere, so it opens from a web space, a disk or an email, and says
everything with scripts off too. No member's data is in it.
"""

from onboard.guide.layout import LANGUAGES, MARK, PAGES
from onboard.guide.pages import Calendars, made

__all__ = ["LANGUAGES", "MARK", "PAGES", "Calendars", "made"]
