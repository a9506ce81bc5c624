"""Steps between the formats of a store, run by Alembic."""
