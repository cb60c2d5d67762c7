"""Entries, the head of their chain, and pictures."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make the first tables, and the triggers that forbid change."""
    op.create_table(
        "entry",
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("uid", sa.String(64), nullable=False, unique=True),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("author", sa.Integer, sa.ForeignKey("entry.seq"), nullable=False),
        sa.Column("corrects", sa.Integer, sa.ForeignKey("entry.seq"), nullable=True),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("received", sa.String(40), nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.Column("previous", sa.String(64), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
    )
    op.create_table(
        "head",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("count", sa.Integer, nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
    )
    op.create_table(
        "picture",
        sa.Column("digest", sa.String(64), primary_key=True),
        sa.Column("media", sa.String(20), nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    for act in ("UPDATE", "DELETE"):
        op.execute(
            f"CREATE TRIGGER entry_no_{act.lower()} BEFORE {act} ON entry "
            "BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END"
        )
