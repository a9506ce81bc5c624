"""Invitations, tokens of programs, and how often something was tried."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
ID, DIGEST, TIME = sa.String(36), sa.String(64), sa.DateTime(timezone=True)


def upgrade() -> None:
    """From 0002."""
    op.create_table(
        "invitation",
        sa.Column("firm", ID, nullable=False),
        sa.Column("id", ID, nullable=False),
        sa.Column("email", sa.String(254), nullable=False),
        sa.Column("role", sa.String(40), nullable=False),
        sa.Column("token_hash", DIGEST, nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("created", TIME, nullable=False),
        sa.Column("expires", TIME, nullable=False),
        sa.Column("revoked", TIME, nullable=True),
        sa.Column("used", TIME, nullable=True),
        sa.PrimaryKeyConstraint("firm", "id"),
        sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
        sa.UniqueConstraint("token_hash"),
    )
    op.create_table(
        "token",
        sa.Column("firm", ID, nullable=False),
        sa.Column("id", ID, nullable=False),
        sa.Column("person", ID, nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("scope", sa.String(20), nullable=False),
        sa.Column("token_hash", DIGEST, nullable=False),
        sa.Column("created", TIME, nullable=False),
        sa.Column("expires", TIME, nullable=False),
        sa.Column("revoked", TIME, nullable=True),
        sa.PrimaryKeyConstraint("firm", "id"),
        sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
        sa.ForeignKeyConstraint(["firm", "person"], ["person.firm", "person.id"]),
        sa.UniqueConstraint("token_hash"),
    )
    op.create_table(
        "attempt",
        sa.Column("key", DIGEST, nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("ends", TIME, nullable=False),
        sa.PrimaryKeyConstraint("key"),
    )
    op.create_index("attempt_by_end", "attempt", ["ends"])


def downgrade() -> None:
    """To 0002: who was invited and has not come yet, and programs with a token, stay outside; the rest stays."""
    for table in ("attempt", "token", "invitation"):
        op.drop_table(table)
