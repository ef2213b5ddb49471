"""Whose something is."""

from __future__ import annotations

_MEMBER, _ROW, _LINE = "member:", "row:", "line:"


class Owner(str):
    """Whose a spelling, a note or a message is: a member's, or a join form's that is no member's yet.

    It is its own text, "member:17" or "row:<key>", so the store, JSON and a dictionary take it as it
    is. Nothing else puts such a text together or takes it apart.

    >>> Owner.of_member(17), Owner.of_member(17).member_id, Owner.of_row("3f9a").member_id
    ('member:17', 17, None)
    """

    __slots__ = ()

    @classmethod
    def of_member(cls, number: int) -> Owner:
        """The member with this number."""
        return cls(f"{_MEMBER}{number}")

    @classmethod
    def of_row(cls, key: str) -> Owner:
        """The join form with this key (`RawRow.key`)."""
        return cls(_ROW + key)

    @classmethod
    def of_line(cls, line: int, file: str = "") -> Owner:
        """Whoever a line of a spreadsheet describes, outside the roster; of the file, where there are several.

        >>> Owner.of_line(17), Owner.of_line(17, "north.csv")
        ('line:17', 'line:north.csv 17')
        """
        return cls(f"{_LINE}{file} {line}" if file else f"{_LINE}{line}")

    @classmethod
    def roster(cls) -> Owner:
        """The roster as a whole, in its journal."""
        return cls("roster")

    @property
    def is_member(self) -> bool:
        """Whether it is a member's."""
        return self.startswith(_MEMBER)

    @property
    def is_row(self) -> bool:
        """Whether it is a join form's, which is no member's yet."""
        return self.startswith(_ROW)

    @property
    def member_id(self) -> int | None:
        """The member's number; None for whoever is no member, and for a number that is nobody's.

        >>> Owner("member:many").member_id, Owner("member:99999999999999999999").member_id
        (None, None)
        """
        digits = self[len(_MEMBER) :] if self.is_member else ""
        # A database counts in 64 bits: no number of theirs has more than 18 digits.
        return int(digits) if digits.isascii() and digits.isdecimal() and len(digits) < 19 else None

    @property
    def row_key(self) -> str | None:
        """The key of the join form; None for a member."""
        return self[len(_ROW) :] if self.is_row else None

    @property
    def shown(self) -> str:
        """As people read it: the key of a form is long, and begins unlike the others.

        >>> Owner.of_member(17).shown, Owner.of_row("3f9a12bc44d1").shown
        ('member 17', 'row 3f9a12bc')
        """
        kind, _, rest = self.partition(":")
        return f"{kind} {rest[:8] if self.is_row else rest}"
