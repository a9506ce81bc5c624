"""The language that a person reads the pages of a crew in."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """From 0003: nobody has chosen one yet."""
    op.add_column("person", sa.Column("language", sa.String(5), nullable=False, server_default=""))


def downgrade() -> None:
    """To 0003: what was chosen is given up."""
    op.drop_column("person", "language")
