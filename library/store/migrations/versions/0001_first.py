"""The library's first form.

Revision ID: 0001
Revises: none
"""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_NUMBER = sa.BigInteger().with_variant(sa.Integer, "sqlite")
_TIME = sa.DateTime(timezone=True)
_JSON = sa.JSON()
_TABLES = (
    "setting", "person", "sign_in", "access_token", "saved_search", "task", "subject", "visit", "participant",
    "consent", "medium", "visit_medium", "draft", "item", "question", "decision", "settlement", "play", "edition",
    "journal", "sentence", "hold",
)  # fmt: skip
_SAYS = (
    "id, subject_id, visit_id, draft_id, number, content, content_sha256, published_at, published_by, is_one_person, "
    "reverify_on, replaces_id"
)
"""What an edition says; whether it was withdrawn, and why, comes later."""

_SQLITE = (
    """CREATE TRIGGER journal_stays BEFORE UPDATE ON journal
    BEGIN SELECT RAISE(ABORT, 'the journal only grows'); END""",
    """CREATE TRIGGER journal_keeps BEFORE DELETE ON journal
    BEGIN SELECT RAISE(ABORT, 'the journal only grows'); END""",
    """CREATE TRIGGER journal_follows BEFORE INSERT ON journal
    WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM journal)
    BEGIN SELECT RAISE(ABORT, 'the journal only grows'); END""",
    f"""CREATE TRIGGER edition_stays BEFORE UPDATE OF {_SAYS} ON edition
    BEGIN SELECT RAISE(ABORT, 'an edition never changes'); END""",
    """CREATE TRIGGER edition_keeps BEFORE DELETE ON edition
    BEGIN SELECT RAISE(ABORT, 'an edition never changes'); END""",
)
"""``INSERT OR REPLACE`` deletes without asking the second trigger; the third refuses it."""
_POSTGRES = (
    """CREATE FUNCTION journal_only_grows() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'the journal only grows'; END $$""",
    """CREATE TRIGGER journal_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON journal
    FOR EACH STATEMENT EXECUTE FUNCTION journal_only_grows()""",
    """CREATE FUNCTION edition_never_changes() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'an edition never changes'; END $$""",
    f"""CREATE TRIGGER edition_stays BEFORE UPDATE OF {_SAYS} ON edition
    FOR EACH ROW EXECUTE FUNCTION edition_never_changes()""",
    """CREATE TRIGGER edition_keeps BEFORE DELETE OR TRUNCATE ON edition
    FOR EACH STATEMENT EXECUTE FUNCTION edition_never_changes()""",
)


def upgrade() -> None:
    """Makes all tables, and the triggers that keep the journal and the editions as they are."""
    _make_tables()
    for statement in _POSTGRES if op.get_bind().dialect.name == "postgresql" else _SQLITE:
        op.execute(statement)


def downgrade() -> None:
    """Drops everything, with all that is in it."""
    for table in reversed(_TABLES):
        op.drop_table(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION journal_only_grows(), edition_never_changes()")


def _make_tables() -> None:
    op.create_table(
        "setting",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("value", _JSON, nullable=False),
    )
    op.create_table(
        "person",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("login", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("roles", _JSON, nullable=False),
        sa.Column("password_hash", sa.Text, nullable=True),
        sa.Column("is_active", sa.Boolean, nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.UniqueConstraint("login"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "sign_in",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("token_hash", sa.Text, nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("csrf_hash", sa.Text, nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.Column("seen_at", _TIME, nullable=False),
        sa.Column("expires_at", _TIME, nullable=False),
        sa.Column("ended_at", _TIME, nullable=True),
        sa.UniqueConstraint("token_hash"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_sign_in_person_id", "sign_in", ["person_id"])
    op.create_table(
        "access_token",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("token_hash", sa.Text, nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.Column("expires_at", _TIME, nullable=True),
        sa.Column("revoked_at", _TIME, nullable=True),
        sa.UniqueConstraint("token_hash"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_access_token_person_id", "access_token", ["person_id"])
    op.create_table(
        "saved_search",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("query", _JSON, nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.UniqueConstraint("person_id", "name"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "task",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("arguments", _JSON, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("claimed_by", sa.Text, nullable=True),
        sa.Column("claimed_until", _TIME, nullable=True),
        sa.Column("progress", sa.Double, nullable=False),
        sa.Column("message", sa.Text, nullable=False),
        sa.Column("created_at", _TIME, nullable=False),
        sa.Column("finished_at", _TIME, nullable=True),
        sa.Column("result", _JSON, nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_task_state", "task", ["state", "claimed_until"])
    op.create_table(
        "subject",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("maker", sa.Text, nullable=False),
        sa.Column("model", sa.Text, nullable=False),
        sa.Column("years_from", sa.Integer, nullable=True),
        sa.Column("years_to", sa.Integer, nullable=True),
        sa.Column("energy", sa.Text, nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index(
        "uq_subject",
        "subject",
        [
            "kind",
            "maker",
            "model",
            sa.text("coalesce(years_from, 0)"),
            sa.text("coalesce(years_to, 0)"),
            sa.text("coalesce(energy, '')"),
        ],
        unique=True,
    )
    op.create_table(
        "visit",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("subject_id", _NUMBER, sa.ForeignKey("subject.id"), nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("held_on", sa.Date, nullable=False),
        sa.Column("recorded_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("created_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("created_at", _TIME, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("hold_count", sa.Integer, nullable=False),
        sa.UniqueConstraint("key"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_visit_subject_id", "visit", ["subject_id"])
    op.create_table(
        "participant",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("part", sa.Text, nullable=False),
        sa.Column("voice", sa.Text, nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_participant_visit_id", "participant", ["visit_id"])
    op.create_table(
        "consent",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("participant_id", _NUMBER, sa.ForeignKey("participant.id"), nullable=False),
        sa.Column("given", sa.Boolean, nullable=False),
        sa.Column("covers", _JSON, nullable=False),
        sa.Column("at", _TIME, nullable=False),
        sa.Column("recorded_by", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_consent_participant_id", "consent", ["participant_id"])
    op.create_table(
        "medium",
        sa.Column("sha256", sa.Text, primary_key=True),
        sa.Column("size_bytes", _NUMBER, nullable=False),
        sa.Column("media_type", sa.Text, nullable=False),
        sa.Column("added_at", _TIME, nullable=False),
        sa.Column("removed_at", _TIME, nullable=True),
        sa.Column("removed_reason", sa.Text, nullable=True),
    )
    op.create_table(
        "visit_medium",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("sha256", sa.Text, sa.ForeignKey("medium.sha256"), nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.UniqueConstraint("visit_id", "sha256", "role"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_visit_medium_sha256", "visit_medium", ["sha256"])
    op.create_table(
        "draft",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("document", _JSON, nullable=False),
        sa.Column("document_sha256", sa.Text, nullable=False),
        sa.Column("drafted_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("added_at", _TIME, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.UniqueConstraint("document_sha256"),
        sa.UniqueConstraint("visit_id", "number"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "item",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("draft_id", _NUMBER, sa.ForeignKey("draft.id"), nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("phase", sa.Text, nullable=False),
        sa.Column("hazard", sa.Text, nullable=True),
        sa.Column("signal", sa.Text, nullable=True),
        sa.Column("is_doubtful", sa.Boolean, nullable=False),
        sa.Column("origin", sa.Text, nullable=False),
        sa.Column("source_note", sa.Text, nullable=True),
        sa.Column("record", _JSON, nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.UniqueConstraint("draft_id", "key"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "question",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("draft_id", _NUMBER, sa.ForeignKey("draft.id"), nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("position", sa.Integer, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("phase", sa.Text, nullable=True),
        sa.Column("record", _JSON, nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.UniqueConstraint("draft_id", "key"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "decision",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("item_id", _NUMBER, sa.ForeignKey("item.id"), nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("at", _TIME, nullable=False),
        sa.Column("verdict", sa.Text, nullable=False),
        sa.Column("reason", sa.Text, nullable=True),
        sa.Column("note", sa.Text, nullable=True),
        sa.Column("words", _JSON, nullable=True),
        sa.Column("is_second", sa.Boolean, nullable=False),
        sa.Column("undone_at", _TIME, nullable=True),
        sa.Column("undone_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_decision_item_id", "decision", ["item_id"])
    op.create_index("ix_decision_person_id", "decision", ["person_id"])
    op.create_table(
        "settlement",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("question_id", _NUMBER, sa.ForeignKey("question.id"), nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("at", _TIME, nullable=False),
        sa.Column("outcome", sa.Text, nullable=False),
        sa.Column("answer", sa.Text, nullable=True),
        sa.Column("still_sha256", sa.Text, sa.ForeignKey("medium.sha256"), nullable=True),
        sa.Column("spot", _JSON, nullable=True),
        sa.Column("undone_at", _TIME, nullable=True),
        sa.Column("undone_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_settlement_person_id", "settlement", ["person_id"])
    op.create_index("ix_settlement_question_id", "settlement", ["question_id"])
    op.create_table(
        "play",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("sha256", sa.Text, sa.ForeignKey("medium.sha256"), nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("at", _TIME, nullable=False),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_play_visit_person", "play", ["visit_id", "person_id"])
    op.create_table(
        "edition",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("subject_id", _NUMBER, sa.ForeignKey("subject.id"), nullable=False),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("draft_id", _NUMBER, sa.ForeignKey("draft.id"), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("content", _JSON, nullable=False),
        sa.Column("content_sha256", sa.Text, nullable=False),
        sa.Column("published_at", _TIME, nullable=False),
        sa.Column("published_by", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("is_one_person", sa.Boolean, nullable=False),
        sa.Column("reverify_on", sa.Date, nullable=False),
        sa.Column("replaces_id", _NUMBER, sa.ForeignKey("edition.id"), nullable=True),
        sa.Column("withdrawn_at", _TIME, nullable=True),
        sa.Column("withdrawn_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("withdrawn_reason", sa.Text, nullable=True),
        sa.UniqueConstraint("subject_id", "number"),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_edition_draft_id", "edition", ["draft_id"])
    op.create_index("ix_edition_reverify_on", "edition", ["reverify_on"])
    op.create_index("ix_edition_visit_id", "edition", ["visit_id"])
    op.create_table(
        "journal",
        sa.Column("seq", _NUMBER, primary_key=True, autoincrement=False),
        sa.Column("at", _TIME, nullable=False),
        sa.Column("person_id", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("act", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("what_id", sa.Text, nullable=False),
        sa.Column("body", _JSON, nullable=False),
        sa.Column("before_hash", sa.Text, nullable=False),
        sa.Column("own_hash", sa.Text, nullable=False),
    )
    op.create_index("ix_journal_what", "journal", ["what", "what_id"])
    op.create_table(
        "sentence",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("draft_id", _NUMBER, sa.ForeignKey("draft.id"), nullable=False),
        sa.Column("sha256", sa.Text, sa.ForeignKey("medium.sha256"), nullable=True),
        sa.Column("item_id", _NUMBER, sa.ForeignKey("item.id"), nullable=True),
        sa.Column("start_s", sa.Double, nullable=False),
        sa.Column("end_s", sa.Double, nullable=False),
        sa.Column("voice", sa.Text, nullable=True),
        sa.Column("words", sa.Text, nullable=False),
    )
    op.create_index("ix_sentence_draft_id", "sentence", ["draft_id"])
    op.create_index("ix_sentence_item_id", "sentence", ["item_id"])
    op.create_index("ix_sentence_visit_id", "sentence", ["visit_id"])
    op.create_table(
        "hold",
        sa.Column("id", _NUMBER, primary_key=True),
        sa.Column("visit_id", _NUMBER, sa.ForeignKey("visit.id"), nullable=False),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("placed_by", _NUMBER, sa.ForeignKey("person.id"), nullable=False),
        sa.Column("placed_at", _TIME, nullable=False),
        sa.Column("lifted_by", _NUMBER, sa.ForeignKey("person.id"), nullable=True),
        sa.Column("lifted_at", _TIME, nullable=True),
        sqlite_autoincrement=True,
    )
    op.create_index("ix_hold_visit_id", "hold", ["visit_id"])
