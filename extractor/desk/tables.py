"""The tables of a store, as SQLAlchemy knows them; ``migrations`` makes them.

Nothing in them is ever deleted, but for sessions and counts of failed sign-ins that ran out.

Times are ISO 8601 in UTC, to the microsecond, so that as text they are in order. What is hashed stands twice, as
``text`` for reading and packed as ``copy``: where the two differ, the hash tells which was altered (``checking``).
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    text,
)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "ix": "ix_%(table_name)s_%(column_0_name)s",
    }
)

#: A case: its state, where its trail ends, and what lists show without reading it. Hidden ones stay.
cases = Table(
    "cases",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("title", Text, nullable=False),
    Column("state", String(16), nullable=False),
    Column("created_at", String(40), nullable=False),
    Column("created_by", Text, nullable=False),
    Column("updated_at", String(40), nullable=False),
    Column("head", Integer, nullable=False),
    Column("head_sha256", String(64), nullable=False),
    Column("waits", Integer, nullable=False),
    Column("events", Integer, nullable=False),
    Column("signed_by", Text),
    Column("error", Text),
    Column("done_s", Float),
    Column("total_s", Float),
    Column("claimed_by", Text),
    Column("claimed_until", String(40)),
    Column("hidden_at", String(40)),
    Column("hidden_by", Text),
    Column("hidden_why", Text),
    Index(None, "state"),
    sqlite_autoincrement=True,
)

#: The files of a case, in the order of ``position``; their bytes lie in the media folder under their hash.
files = Table(
    "files",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("case_id", Integer, ForeignKey("cases.id"), nullable=False),
    Column("name", Text, nullable=False),
    Column("kind", String(16), nullable=False),
    Column("position", Integer, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("size", BigInteger, nullable=False),
    Column("added_at", String(40), nullable=False),
    Column("added_by", Text, nullable=False),
    Column("hidden_at", String(40)),
    Column("hidden_by", Text),
    Index(
        "uq_files_shown",
        "case_id",
        "name",
        unique=True,
        sqlite_where=text("hidden_at IS NULL"),
        postgresql_where=text("hidden_at IS NULL"),
    ),
    sqlite_autoincrement=True,
)

#: What people did, a row a step. ``sha256`` is over the one before and this text: a chain.
revisions = Table(
    "revisions",
    metadata,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
    Column("copy", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
)

#: The whole timeline as it was drafted (number 0), and again every so many revisions, without its revisions.
snapshots = Table(
    "snapshots",
    metadata,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
    Column("copy", LargeBinary, nullable=False),
    Column("sha256", String(64), nullable=False),
)

#: Signed timelines as they were signed, oldest first.
signatures = Table(
    "signatures",
    metadata,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("head", Integer, nullable=False),
    Column("text", Text, nullable=False),
    Column("sha256", String(64), nullable=False),
    Column("signed_at", String(40), nullable=False),
    Column("signed_by", Text, nullable=False),
)

#: What the voice does not tell of a case; the last one counts.
particulars = Table(
    "particulars",
    metadata,
    Column("case_id", Integer, ForeignKey("cases.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("text", Text, nullable=False),
    Column("set_at", String(40), nullable=False),
    Column("set_by", Text, nullable=False),
)

#: Who may do what. ``key`` is the name as compared; ``password`` a hash, or nothing: no sign-in by password.
people = Table(
    "people",
    metadata,
    Column("key", Text, primary_key=True),
    Column("name", Text, nullable=False),
    Column("roles", Text, nullable=False),
    Column("password", Text),
    Column("added_at", String(40), nullable=False),
    Column("disabled", Boolean, nullable=False),
)

#: Who is signed in: the hash of each token, never the token.
sessions = Table(
    "sessions",
    metadata,
    Column("token_sha256", String(64), primary_key=True),
    Column("person", Text, ForeignKey("people.key"), nullable=False),
    Column("begun_at", String(40), nullable=False),
    Column("ends_at", String(40), nullable=False),
)

#: Sign-ins that failed, by name and by address, and until when the next is refused.
attempts = Table(
    "attempts",
    metadata,
    Column("whose", Text, primary_key=True),
    Column("failed", Integer, nullable=False),
    Column("last_at", String(40), nullable=False),
    Column("refused_until", String(40), nullable=False),
)

#: Who saw and did what, in order.
access_log = Table(
    "access_log",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=True),
    Column("at", String(40), nullable=False),
    Column("who", Text, nullable=False),
    Column("what", Text, nullable=False),
    Column("case_id", Integer),
    Column("why", Text, nullable=False),
    Index(None, "at"),
    sqlite_autoincrement=True,
)

#: What people decided of lexicon entries that were proposed from corrections.
suggestions = Table(
    "suggestions",
    metadata,
    Column("id", String(200), primary_key=True),
    Column("accepted", Boolean, nullable=False),
    Column("decided_at", String(40), nullable=False),
    Column("decided_by", Text, nullable=False),
)
