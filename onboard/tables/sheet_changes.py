"""The headings of the changes of a spreadsheet, for those who write them and those who read them."""

from __future__ import annotations

HEADINGS = ("Approve", "File", "Row", "Name", "Column", "Now", "Change to", "Reason", "What it is")
