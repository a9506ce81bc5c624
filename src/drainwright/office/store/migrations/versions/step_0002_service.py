"""Service reminders; edits from browsers, each made once."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
ID = sa.String(36)


def upgrade() -> None:
    """From 0001."""
    op.create_table(
        "operation",
        sa.Column("firm", ID, nullable=False),
        sa.Column("job", ID, nullable=False),
        sa.Column("id", ID, nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(64), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("firm", "job", "id"),
        sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
        sa.ForeignKeyConstraint(["firm", "job"], ["job.firm", "job.id"]),
    )
    op.create_table(
        "reminder",
        sa.Column("firm", ID, nullable=False),
        sa.Column("id", ID, nullable=False),
        sa.Column("job", ID, nullable=False),
        sa.Column("due", sa.Date(), nullable=False),
        sa.Column("what", sa.Text(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("created", sa.DateTime(timezone=True), nullable=False),
        sa.Column("done", sa.DateTime(timezone=True), nullable=True),
        sa.Column("done_by", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("firm", "id"),
        sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
        sa.ForeignKeyConstraint(["firm", "job"], ["job.firm", "job.id"]),
    )
    op.create_index("reminder_by_day", "reminder", ["firm", "due"])
    op.add_column("revision", sa.Column("operations", sa.JSON(), nullable=False, server_default="[]"))


def downgrade() -> None:
    """To 0001: reminders, and what was edited by operations, are given up; the texts stay."""
    op.drop_column("revision", "operations")
    op.drop_table("reminder")
    op.drop_table("operation")
