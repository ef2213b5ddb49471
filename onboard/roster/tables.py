"""The roster's tables. `migrations/` builds them; a test holds the two together.

Times are texts, ISO 8601 in UTC ("2026-11-25T12:00:00Z"), so that they sort and read the same in
every engine. Nothing here ever holds a password in the clear.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Connection,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    Table,
    Text,
    event,
)

from onboard.model.outgoing import NOT_OUT, State

VERSION = "0027"  # of the tables: the newest migration; a test holds it to migrations/versions/

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

batch = Table(
    "batch",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("file", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
)

member = Table(
    "member",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("handle", Text, nullable=False, unique=True),
    Column("handle_steps", JSON, nullable=False),
    Column("name", JSON, nullable=False),  # PersonName, part by part
    Column("email", Text, nullable=False),  # "" if none
    Column("phone", Text, nullable=False),  # RFC 3966, "" if none
    Column("address", JSON, nullable=False),  # lines
    Column("site", Text, nullable=False),
    Column("language", Text, nullable=False),
    Column("consent", Boolean),  # NULL: never asked
    Column("extras", JSON, nullable=False),
    Column("born", Text),  # ISO date. NULL: not known
    Column("notes", Text, nullable=False, server_default=""),
    Column("joined", Text, nullable=False),
    Column("standing", Text, nullable=False),  # "open", "closed", "merged"
    Column("password_hash", Text),  # NULL until a first password was issued by us
    Column("password_expires", Text),
    Column("must_change", Boolean, nullable=False),
    # Days, as ISO dates. NULL: not known.
    Column("page_seen", Text),  # of the newest list of the ordering page that has the member
    Column("last_sign_in", Text),  # as that list says; NULL with page_seen: never
    Column("last_order", Text),
    Column("bounced", Text, index=True),  # when mail to the address on file last came back for good
    Column("confirmed", Text),  # when the member last said that all is right
    Column("closed", Text),  # when the account was closed or merged
    Column("merged_into", Integer, index=True),  # number of the member whose account stays
)

# A handle once given is never given to anyone else: rows here are never deleted.
handle = Table(
    "handle",
    metadata,
    Column("text", Text, primary_key=True),
    Column("base", Text, nullable=False, index=True),  # without the number of a collision
    Column("member_id", ForeignKey("member.id"), index=True),  # NULL: the member was forgotten
)

row = Table(
    "row",
    metadata,
    Column("key", Text, primary_key=True),  # RawRow.key
    Column("position", Integer, nullable=False, unique=True),  # order of arrival
    Column("batch_id", ForeignKey("batch.id"), nullable=False, index=True),
    Column("file", Text, nullable=False),
    Column("line", Integer, nullable=False),
    Column("cells", JSON, nullable=False),
    Column("fields", JSON, nullable=False),
    Column("repairs", JSON, nullable=False),  # the row's own findings
    # "enrol", "same", "hold", "drop", "forgotten", "again" (it says what an earlier row said)
    Column("decision", Text, nullable=False),
    Column("asks_who", Boolean, nullable=False),  # on hold as a question of who they are
    Column("member_id", ForeignKey("member.id"), index=True),
    # `clean.statement.sketch`: rows that could say the same of a person. NULL: it came again.
    Column("statement", Text, index=True),
    Column("again_of", Text, index=True),  # key of the row that said it first
    Index("ix_row_decision_position", "decision", "position"),
)

finding = Table(
    "finding",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("row_key", ForeignKey("row.key"), nullable=False, index=True),
    Column("code", Text, nullable=False, index=True),
    Column("field", Text, nullable=False),
    Column("weight", Text, nullable=False),
    Column("said", Text, nullable=False),
    Column("note", Text, nullable=False),
    # Of what a member's row left in doubt: what the member's column came to. While it is that still,
    # the doubt stands. NULL: nothing to ask about a member.
    Column("understood", JSON(none_as_null=True)),
)

decision = Table(  # every decision ever made of a row; the newest is the one that holds
    "decision",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("row_key", ForeignKey("row.key"), nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("member_id", ForeignKey("member.id"), index=True),
    Column("reasons", JSON, nullable=False),
    Column("questions", JSON, nullable=False),
    Column("matches", JSON, nullable=False),  # owner, confidence, parts
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
)

ruling = Table(
    "ruling",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("row_key", ForeignKey("row.key"), nullable=False, index=True),
    Column("answer", Text, nullable=False),
    Column("member_id", ForeignKey("member.id")),
    Column("corrections", JSON, nullable=False),
    Column("why", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
)

apart = Table(  # two owners whom a ruling told apart; never asked again
    "apart",
    metadata,
    Column("row_key", ForeignKey("row.key"), primary_key=True),
    Column("other", Text, primary_key=True),  # owner as it was then
)

person = Table(  # every spelling, email and phone by which somebody was ever known
    "person",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner", Text, nullable=False, index=True),
    Column("row_key", ForeignKey("row.key"), index=True),  # NULL: from no join form
    Column("given", Text, nullable=False),
    Column("middle", Text, nullable=False),
    Column("family", Text, nullable=False),
    Column("suffix", Text, nullable=False),
    Column("called", Text, nullable=False),
    Column("former", Text, nullable=False),
    Column("email", Text, nullable=False),
    Column("phone", Text, nullable=False),
    Column("street", Text, nullable=False),
    Column("unit", Text, nullable=False),
    Column("city", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("zip5", Text, nullable=False),
    Column("born", Text, nullable=False),
    Column("joint", JSON, nullable=False),
)

person_key = Table(
    "person_key",
    metadata,
    Column("key", Text, primary_key=True),
    Column("person_id", ForeignKey("person.id"), primary_key=True, index=True),
    sqlite_with_rowid=False,
)

journal = Table(
    "journal",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("what", Text, nullable=False),  # "enrolled", "kept spelling", "password issued", …
    Column("about", Text, nullable=False, index=True),  # an owner
    Column("why", Text, nullable=False),
    Column("before", JSON, nullable=False),
    Column("after", JSON, nullable=False),
)

applied = Table(  # changes that were made together, under the number by which they are taken back
    "applied",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("what", Text, nullable=False),  # "corrected", "tidied", "merged", …
    Column("file", Text, nullable=False),  # the review file, "" if none
)

applied_change = Table(
    "applied_change",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("applied_id", ForeignKey("applied.id"), nullable=False, index=True),
    Column("line", Integer, nullable=False),  # of the review file; what stands or falls together
    Column("member_id", ForeignKey("member.id"), nullable=False),
    Column("field", Text, nullable=False),  # a column of member, or "belongings", "spelling"
    Column("before", JSON, nullable=False),
    Column("after", JSON, nullable=False),
    Column("why", Text, nullable=False),
    Column("undone_at", Text),  # NULL: in force
    Column("undone_by", Text),
    Index("ix_applied_change_member_id_field", "member_id", "field"),
)

exported = Table(  # what the ordering page was last told of a member
    "exported",
    metadata,
    Column(
        "member_id", Integer, primary_key=True, autoincrement=False
    ),  # it may be forgotten since
    Column("at", Text, nullable=False, index=True),
    Column("account", JSON, nullable=False),  # as exported; of a password's hash only a digest
    Column("page_id", Text),  # what the page calls the account; NULL: not told yet
)

forgotten = Table(  # members deleted on request; their numbers are not given again
    "forgotten",
    metadata,
    Column("member_id", Integer, primary_key=True, autoincrement=False),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("removed", JSON, nullable=False),  # how many lines of which table
)

trace = Table(  # what knows a form or a remark again that was deleted: see `clean.trace`
    "trace",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("salt", Text, nullable=False),
    Column("digest", Text, nullable=False),  # of a form: of its `statement.sketch`
    Column("answers", JSON(none_as_null=True)),  # of a form: digests. NULL: not known
    Column(
        "places", JSON(none_as_null=True)
    ),  # of a remark: where names were. NULL: it is a form's
    Column("day", Text),  # of a form: when it was deleted. NULL: not known
)

call = Table(  # somebody asked the help desk
    "call",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False, index=True),
    Column("who", Text, nullable=False),
    Column("about", Text, nullable=False, index=True),  # an owner
    Column("site", Text, nullable=False),  # the drop site at the time, "" if none
    Column("ended", Text, nullable=False),  # "helped", "open", "passed-on"
    Column("note", Text, nullable=False),
    Column("words", Text, nullable=False, server_default=""),  # what else it was about
    Column("handed_to", Text, nullable=False, server_default=""),  # who is to come back to it
    Index("ix_call_ended_at", "ended", "at"),
)

call_cause = Table(
    "call_cause",
    metadata,
    Column("call_id", ForeignKey("call.id"), primary_key=True),
    Column("cause", Text, primary_key=True),  # code of a cause of a failed sign-in
)

attempt = Table(  # somebody wanted a new first password: counted, so that guessing is slow
    "attempt",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("ended", Text, nullable=False),  # "done", "refused", "failed"
)

outgoing = Table(  # everything told to a member; written by `outgoing.py` and by nobody else
    "outgoing",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("what", Text, nullable=False),  # `What`
    Column("way", Text, nullable=False),  # `Way`
    Column("state", Text, nullable=False),  # `State`
    Column("made", Text, nullable=False),  # when it became due
    Column("at", Text, nullable=False),  # of its last event
    Column("file", Text, nullable=False),  # in the outbox, "" until it is written
    Column("letter", Text, nullable=False),  # in the outbox: the PDF that holds it in print
    Column("claim", Text, nullable=False),  # the program that sent it last, or sends it now
    Column("why", Text, nullable=False),  # of its last event
    Column("message_id", Text, nullable=False, server_default=""),  # RFC 5322, 3.6.4, of the email
    # In the address that reports about the email come back to (RFC 5321, 4.4); "" if that is the sender's.
    Column("token", Text, nullable=False, server_default=""),
    Column("put_off", Text, nullable=False, server_default=""),  # since when a server put it off
    Column("not_before", Text, nullable=False, server_default=""),  # when to try it again
    # The ordering windows that it tells: uid, group, opens, closes, opens_at, closes_at. NULL: nobody kept it.
    Column("told", JSON(none_as_null=True)),
    Column(
        "words", Text, nullable=False, server_default=""
    ),  # of a packet: packet_words.version; "": nobody kept it
    # What it tells of a drop site: news, site, on, instead, address. NULL: it is about something else.
    Column("told_site", JSON(none_as_null=True)),
    Column("kind", Text, nullable=False, server_default=""),  # of a reminder: `ReminderKind`
    Column("of_window", Text, nullable=False, server_default=""),  # its UID
    Index("ix_outgoing_what_state_member_id", "what", "state", "member_id"),
)
packet_words = Table(  # what packets were made with; written by `packet_words.py` alone
    "packet_words",
    metadata,
    Column("version", Text, primary_key=True),
    Column("language", Text, nullable=False),
    Column("since", Text, nullable=False),
    Column("sentences", JSON, nullable=False),  # by cause of a call: the section, and the sentence
)
# What mail that came to the co-op said of a member; written by `came_back.py` alone.
came_back = Table(
    "came_back",
    metadata,
    Column("id", Integer, primary_key=True),
    # SHA-256 of the message: the same one counts once
    Column("digest", Text, nullable=False, index=True),
    Column("member_id", ForeignKey("member.id"), nullable=False, index=True),
    Column("day", Text, nullable=False),
    Column("kind", Text, nullable=False),  # `returned.Kind`
    Column("action", Text, nullable=False),  # `returned.Action`
    Column("status", Text, nullable=False),  # RFC 3463, or a reply code of RFC 5321
)
# How far each mailbox was read; written by `came_back.py` alone.
mailbox = Table(
    "mailbox",
    metadata,
    Column("place", Text, primary_key=True),  # account, server and folder
    Column(
        "validity", BigInteger, nullable=False
    ),  # RFC 3501, 2.3.1.1: UIDs count only while it is the same
    Column("uid", BigInteger, nullable=False),  # the last message that was read
)
# A member has one packet at most that is not out yet. In words that both engines know: an `Index` with
# a condition loads all of SQLAlchemy's PostgreSQL, which would be a tenth of a look-up's time.
ONE_PACKET = (
    "CREATE UNIQUE INDEX ix_outgoing_packet_not_out ON outgoing (member_id) WHERE what = 'packet' "
    f"AND state IN ({', '.join(repr(str(state)) for state in State if state in NOT_OUT)})"
)
# A member hears of a window once by each way, whoever writes at the same time.
ONE_REMINDER = (
    "CREATE UNIQUE INDEX ix_outgoing_reminder ON outgoing (member_id, of_window, kind, way) "
    "WHERE what = 'reminder' AND state <> 'void'"
)


@event.listens_for(outgoing, "after_create")
def _one_packet(_: Table, connection: Connection, **__: Any) -> None:
    connection.exec_driver_sql(ONE_PACKET)
    connection.exec_driver_sql(ONE_REMINDER)


known_window = (
    Table(  # ordering windows as members' calendars know them; written by `known_windows.py` alone
        "known_window",
        metadata,
        Column("uid", Text, primary_key=True),  # RFC 5545, 3.8.4.7
        Column("of_group", Text, nullable=False),
        Column(
            "turn", Text, nullable=False
        ),  # "2027-01", the month whose turn it is; "" of a written window
        Column("opens", Text, nullable=False),
        Column("closes", Text, nullable=False),
        Column("opens_at", Text, nullable=False),  # "08:00"; "": with the day
        Column("closes_at", Text, nullable=False),
        Column("sequence", Integer, nullable=False),
        Column("changed", Text, nullable=False),
        Column("canceled", Boolean, nullable=False),
    )
)

desk_session = Table(  # who is signed in at the desk; written by `sessions.py` alone
    "desk_session",
    metadata,
    Column("digest", Text, primary_key=True),  # SHA-256 of what the browser holds
    Column("who", Text, nullable=False, index=True),
    Column("made", Text, nullable=False),
    Column("seen", Text, nullable=False),  # when they last did something, to the minute
    Column("language", Text, nullable=False),  # of the screen; "" for the browser's own
    Column("staff_id", Integer, index=True),  # NULL: whoever works at the computer itself
    Column("browser", Text, nullable=False, server_default=""),  # "Firefox, Windows"
)

staff = Table(  # who has an account at the desk; written by `staff.py` alone
    "staff",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False),
    Column("key", Text, nullable=False, unique=True),  # the name, however it is written
    Column("role", Text, nullable=False),  # `Role`
    Column("password_hash", Text, nullable=False),  # "" until one is chosen
    Column(
        "code_key", Text, nullable=False
    ),  # of the second step (RFC 6238), sealed: `tasks/code_keys.py`
    Column("code_since", Text),  # NULL: offered, not in use
    Column("code_last", BigInteger, nullable=False),  # the step of the code that was used last
    Column("link", Text, nullable=False),  # SHA-256 of the link to choose a password; "": none
    Column("link_until", Text, nullable=False),
    Column("made", Text, nullable=False),
    Column("closed", Text),  # NULL: open
)

recovery_code = Table(  # each gone once it is used
    "recovery_code",
    metadata,
    Column("digest", Text, primary_key=True),
    Column("staff_id", ForeignKey("staff.id"), nullable=False, index=True),
)

sign_in_try = Table(  # wrong tries to sign in, in a row; written by `sign_in_tries.py` alone
    "sign_in_try",
    metadata,
    Column("about", Text, primary_key=True),  # digest of a name that was typed, or of where from
    Column("wrong", Integer, nullable=False),
    Column("at", Text, nullable=False, index=True),  # of the last one
)


audit = Table(  # audits of the roster, of which the newest is kept; written by `audits.py` alone
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("who", Text, nullable=False),
    Column("is_whole", Boolean, nullable=False),  # all its findings are here
    Column("told", JSON, nullable=False),  # what it came to: `reports.audit_kept`
)

audit_finding = Table(
    "audit_finding",
    metadata,
    Column("id", Integer, primary_key=True),  # in the order in which they are told
    Column("audit_id", ForeignKey("audit.id"), nullable=False),
    Column("code", Text, nullable=False),
    Column("owner", Text, nullable=False, index=True),
    Column("others", JSON, nullable=False),  # further owners that it is about, the first of them
    Column("name", Text, nullable=False),
    Column("handle", Text, nullable=False),
    Column("field", Text, nullable=False),
    Column("said", Text, nullable=False),
    Column("note", Text, nullable=False),
    Column("change", JSON(none_as_null=True)),  # what is proposed: `model.Change`
    Column("key", JSON, nullable=False),  # by which the next audit knows it again
    Column("is_new", Boolean, nullable=False),  # the audit before did not find it
    Column("state", Text, nullable=False),  # `model.Handled`
    Column("why", Text, nullable=False),
    Column("at", Text, nullable=False),  # of its last step; "" if there was none
    Column("who", Text, nullable=False),
    Column("applied", Integer, index=True),  # under which its change is undone
    Column("version", Integer, nullable=False),  # one more with each step
    Index("ix_audit_finding_audit_id_code_state_id", "audit_id", "code", "state", "id"),
    Index("ix_audit_finding_audit_id_state_code", "audit_id", "state", "code"),
)


# ---------------------------------------------------------------- the look-up index
# Made of the tables above by `index.py` and by nobody else. `doc` is an owner as a whole number.

# Asked for by how it begins: that needs the order of bytes, not that of a language.
_PLAIN = Text().with_variant(Text(collation="C"), "postgresql")

index_owner = Table(  # what the index knows of an owner, and all that it is found by
    "index_owner",
    metadata,
    # SQLite keeps a table by its number only if that is called INTEGER.
    Column(
        "doc", BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=False
    ),
    Column("facts", Text, nullable=False),  # lookup.facts.Facts, as text
)

index_site = Table(
    "index_site",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),  # folded; "" for none
)

index_word = Table(  # every word of a name, street or ZIP that somebody has
    "index_word",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("text", _PLAIN, nullable=False, unique=True),
)

index_near = Table(  # the keys under which a misspelt word is found
    "index_near",
    metadata,
    Column("key", Integer, primary_key=True, autoincrement=False),
    Column("word", Integer, primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

index_place = Table(  # who has the word, site by site: `place` is both in one number
    "index_place",
    metadata,
    Column("place", BigInteger, primary_key=True, autoincrement=False),
    Column("doc", BigInteger, primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

index_pair = Table(  # who has the given name and the family name: `pair` is both words in one
    "index_pair",
    metadata,
    Column("pair", BigInteger, primary_key=True, autoincrement=False),
    Column("doc", BigInteger, primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)

index_written = Table(  # mailboxes, handles and phones, forwards and turned round
    "index_written",
    metadata,
    Column("turned", Boolean, primary_key=True, autoincrement=False),
    Column("text", _PLAIN, primary_key=True),
    Column("doc", BigInteger, primary_key=True, autoincrement=False),
    sqlite_with_rowid=False,
)
