"""Firms, people, customers, jobs and their revisions, attachments, books, links, acceptances, diaries."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
TIME = sa.DateTime(timezone=True)


def _id(name: str, *, nullable: bool = False) -> sa.Column[str]:
    return sa.Column(name, sa.String(36), nullable=nullable)


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text(), nullable=False)


def _word(name: str, length: int) -> sa.Column[str]:
    return sa.Column(name, sa.String(length), nullable=False)


def _number(name: str, *, nullable: bool = False) -> sa.Column[int]:
    return sa.Column(name, sa.Integer(), nullable=nullable)


def _flag(name: str) -> sa.Column[bool]:
    return sa.Column(name, sa.Boolean(), nullable=False)


def _time(name: str, *, nullable: bool = False) -> sa.Column[object]:
    return sa.Column(name, TIME, nullable=nullable)


def _json(name: str) -> sa.Column[object]:
    return sa.Column(name, sa.JSON(), nullable=False)


def _owned(name: str, *parts: sa.schema.SchemaItem, refers: tuple[tuple[str, str, str], ...] = ()) -> None:
    """A table of what belongs to a firm, with references within the firm."""
    op.create_table(
        name, _id("firm"), _id("id"), *parts, sa.PrimaryKeyConstraint("firm", "id"),
        sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
        *(sa.ForeignKeyConstraint(["firm", here], [f"{table}.firm", f"{table}.{key}"]) for here, table, key in refers),
    )  # fmt: skip


def upgrade() -> None:
    """From an empty database."""
    op.create_table("firm", _id("id"), _text("name"), _time("created"), sa.PrimaryKeyConstraint("id"))
    _owned(
        "person", _text("name"), _word("email", 254), _word("role", 40), _text("password_hash"), _flag("active"),
        _time("created"), sa.UniqueConstraint("email"),
    )  # fmt: skip
    _owned(
        "session", _id("person"), _word("token_hash", 64), _time("created"), _time("expires"),
        _time("revoked", nullable=True), sa.UniqueConstraint("token_hash"), refers=(("person", "person", "id"),),
    )  # fmt: skip
    _owned(
        "customer", _text("name"), _text("address"), _text("phone"), _text("email"), _text("note"), _flag("archived"),
        _time("created"),
    )  # fmt: skip
    _owned(
        "job", _text("title"), _text("number"), _text("customer_name"), _text("place"), _id("customer", nullable=True),
        _word("stage", 40), _number("head"), _number("faults"), _json("missing"), _text("words"), _flag("archived"),
        _time("created"), _time("changed"), refers=(("customer", "customer", "id"),),
    )  # fmt: skip
    op.create_index("job_by_change", "job", ["firm", "archived", "changed"])
    _owned(
        "revision", _id("job"), _number("number"), _number("parent", nullable=True), _number("merged", nullable=True),
        _text("text"), _word("sha256", 64), _text("who"), _time("at"), _text("what"), _json("problems"),
        sa.UniqueConstraint("firm", "job", "number"), refers=(("job", "job", "id"),),
    )  # fmt: skip
    op.create_table(
        "content", _id("firm"), _word("sha256", 64), _number("size"),
        sa.Column("data", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("firm", "sha256"), sa.ForeignKeyConstraint(["firm"], ["firm.id"]),
    )  # fmt: skip
    _owned(
        "attachment", _id("job"), _word("sha256", 64), _number("size"), _word("media_type", 100), _text("name"),
        _word("kind", 40), _text("pin"), _text("note"), _text("who"), _time("at"), _flag("archived"),
        refers=(("job", "job", "id"), ("sha256", "content", "sha256")),
    )  # fmt: skip
    op.create_index("attachment_by_job", "attachment", ["firm", "job"])
    _owned("book", _word("kind", 40), _text("name"), _number("head"), _flag("archived"), _time("created"))
    _owned(
        "book_revision", _id("book"), _number("number"), _text("text"), _word("sha256", 64), _text("who"), _time("at"),
        _text("what"), sa.UniqueConstraint("firm", "book", "number"), refers=(("book", "book", "id"),),
    )  # fmt: skip
    _owned(
        "link", _id("job"), _word("purpose", 40), _word("token_hash", 64), _text("who"), _time("created"),
        _time("expires"), _time("revoked", nullable=True), sa.UniqueConstraint("token_hash"),
        refers=(("job", "job", "id"),),
    )  # fmt: skip
    op.create_index("link_by_job", "link", ["firm", "job"])
    _owned(
        "acceptance", _id("job"), _number("revision"), _text("by"), _time("at"), _json("record"),
        _id("link", nullable=True), refers=(("job", "job", "id"), ("link", "link", "id")),
    )  # fmt: skip
    op.create_index("acceptance_by_job", "acceptance", ["firm", "job"])
    _owned(
        "event", _id("job"), _number("number"), _time("at"), _text("who"), _word("kind", 40), _text("words"),
        sa.UniqueConstraint("firm", "job", "number"), refers=(("job", "job", "id"),),
    )  # fmt: skip


def downgrade() -> None:
    """To an empty database."""
    for table in (
        "event", "acceptance", "link", "book_revision", "book", "attachment", "content", "revision", "job", "customer",
        "session", "person", "firm",
    ):  # fmt: skip
        op.drop_table(table)
