"""Attempts to enter with a wrong link are counted; entries are found by kind and by correction."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Add the table of attempts and two indexes."""
    op.create_table(
        "attempt",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("source", sa.String(64), nullable=False),
        sa.Column("at", sa.Integer, nullable=False),
    )
    op.create_index("attempt_source", "attempt", ["source", "at"])
    op.create_index("entry_kind", "entry", ["kind", "seq"])
    op.create_index("entry_corrects", "entry", ["corrects"])
