"""The words that packets were made with: each version once. Nobody else writes their table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection, select

from onboard.roster import tables
from onboard.roster.journal import stamp


@dataclass(frozen=True, slots=True)
class PacketWords:
    """The words of a language's packet."""

    version: str
    language: str
    since: datetime  # UTC, when a packet was first made with them
    sentences: Mapping[str, tuple[str, str]]  # by cause of a call: the section, and the sentence


def keep(connection: Connection, words: PacketWords) -> None:
    """Keep the words, unless they are kept."""
    table = tables.packet_words
    there = select(table.c.version).where(table.c.version == words.version)
    if connection.scalar(there) is None:
        line = {
            "version": words.version, "language": words.language, "since": stamp(words.since),
            "sentences": {cause: list(said) for cause, said in words.sentences.items()},
        }  # fmt: skip
        connection.execute(table.insert(), line)


def kept(connection: Connection) -> dict[str, PacketWords]:
    """All words that packets were ever made with, by version."""
    return {
        line.version: PacketWords(
            line.version,
            line.language,
            datetime.fromisoformat(line.since),
            {cause: (said[0], said[1]) for cause, said in line.sentences.items()},
        )
        for line in connection.execute(select(tables.packet_words))
    }
