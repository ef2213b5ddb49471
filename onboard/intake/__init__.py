"""Files to `RawRow`s: encodings, headings, and what spreadsheets do to values.

sheet = intake.open_rows(Path("forms.csv"))
sheet.columns.questions     # what must be told first, in words
for row in sheet.rows():    # RawRow, read as asked for
    ...
"""

from onboard.intake.answers import answer_said, read_answers
from onboard.intake.columns import ColumnQuestion, Columns, recognise
from onboard.intake.damage import KINDS
from onboard.intake.fields import EXTRA, FIELDS
from onboard.intake.headings import field_called
from onboard.intake.remembered import recall, remember
from onboard.intake.sheet import Sheet, open_rows

__all__ = [
    "EXTRA", "FIELDS", "KINDS", "ColumnQuestion", "Columns", "Sheet", "answer_said", "field_called",
    "open_rows", "read_answers", "recall", "recognise", "remember",
]  # fmt: skip
