"""Nothing -> the first tables of a store."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    op.create_table(
        "access_log",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("at", sa.String(length=40), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("case_id", sa.Integer(), nullable=True),
        sa.Column("why", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_access_log")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_access_log_at"), "access_log", ["at"], unique=False)
    op.create_table(
        "attempts",
        sa.Column("whose", sa.Text(), nullable=False),
        sa.Column("failed", sa.Integer(), nullable=False),
        sa.Column("last_at", sa.String(length=40), nullable=False),
        sa.Column("refused_until", sa.String(length=40), nullable=False),
        sa.PrimaryKeyConstraint("whose", name=op.f("pk_attempts")),
    )
    op.create_table(
        "cases",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("created_at", sa.String(length=40), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.Column("updated_at", sa.String(length=40), nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.Column("head_sha256", sa.String(length=64), nullable=False),
        sa.Column("waits", sa.Integer(), nullable=False),
        sa.Column("events", sa.Integer(), nullable=False),
        sa.Column("signed_by", sa.Text(), nullable=True),
        sa.Column("error", sa.Text(), nullable=True),
        sa.Column("done_s", sa.Float(), nullable=True),
        sa.Column("total_s", sa.Float(), nullable=True),
        sa.Column("claimed_by", sa.Text(), nullable=True),
        sa.Column("claimed_until", sa.String(length=40), nullable=True),
        sa.Column("hidden_at", sa.String(length=40), nullable=True),
        sa.Column("hidden_by", sa.Text(), nullable=True),
        sa.Column("hidden_why", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cases")),
        sqlite_autoincrement=True,
    )
    op.create_index(op.f("ix_cases_state"), "cases", ["state"], unique=False)
    op.create_table(
        "people",
        sa.Column("key", sa.Text(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("roles", sa.Text(), nullable=False),
        sa.Column("password", sa.Text(), nullable=True),
        sa.Column("added_at", sa.String(length=40), nullable=False),
        sa.Column("disabled", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_people")),
    )
    op.create_table(
        "suggestions",
        sa.Column("id", sa.String(length=200), nullable=False),
        sa.Column("accepted", sa.Boolean(), nullable=False),
        sa.Column("decided_at", sa.String(length=40), nullable=False),
        sa.Column("decided_by", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_suggestions")),
    )
    op.create_table(
        "files",
        sa.Column("id", sa.Integer(), autoincrement=True, nullable=False),
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.BigInteger(), nullable=False),
        sa.Column("added_at", sa.String(length=40), nullable=False),
        sa.Column("added_by", sa.Text(), nullable=False),
        sa.Column("hidden_at", sa.String(length=40), nullable=True),
        sa.Column("hidden_by", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name=op.f("fk_files_case_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_files")),
        sqlite_autoincrement=True,
    )
    op.create_index(
        "uq_files_shown",
        "files",
        ["case_id", "name"],
        unique=True,
        sqlite_where=sa.text("hidden_at IS NULL"),
        postgresql_where=sa.text("hidden_at IS NULL"),
    )
    op.create_table(
        "particulars",
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("set_at", sa.String(length=40), nullable=False),
        sa.Column("set_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name=op.f("fk_particulars_case_id")),
        sa.PrimaryKeyConstraint("case_id", "number", name=op.f("pk_particulars")),
    )
    op.create_table(
        "revisions",
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("copy", sa.LargeBinary(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name=op.f("fk_revisions_case_id")),
        sa.PrimaryKeyConstraint("case_id", "number", name=op.f("pk_revisions")),
    )
    op.create_table(
        "sessions",
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("person", sa.Text(), nullable=False),
        sa.Column("begun_at", sa.String(length=40), nullable=False),
        sa.Column("ends_at", sa.String(length=40), nullable=False),
        sa.ForeignKeyConstraint(["person"], ["people.key"], name=op.f("fk_sessions_person")),
        sa.PrimaryKeyConstraint("token_sha256", name=op.f("pk_sessions")),
    )
    op.create_table(
        "signatures",
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("head", sa.Integer(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("signed_at", sa.String(length=40), nullable=False),
        sa.Column("signed_by", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name=op.f("fk_signatures_case_id")),
        sa.PrimaryKeyConstraint("case_id", "number", name=op.f("pk_signatures")),
    )
    op.create_table(
        "snapshots",
        sa.Column("case_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("copy", sa.LargeBinary(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["case_id"], ["cases.id"], name=op.f("fk_snapshots_case_id")),
        sa.PrimaryKeyConstraint("case_id", "number", name=op.f("pk_snapshots")),
    )


def downgrade() -> None:
    op.drop_table("snapshots")
    op.drop_table("signatures")
    op.drop_table("sessions")
    op.drop_table("revisions")
    op.drop_table("particulars")
    op.drop_index(
        "uq_files_shown",
        table_name="files",
        sqlite_where=sa.text("hidden_at IS NULL"),
        postgresql_where=sa.text("hidden_at IS NULL"),
    )
    op.drop_table("files")
    op.drop_table("suggestions")
    op.drop_table("people")
    op.drop_index(op.f("ix_cases_state"), table_name="cases")
    op.drop_table("cases")
    op.drop_table("attempts")
    op.drop_index(op.f("ix_access_log_at"), table_name="access_log")
    op.drop_table("access_log")
