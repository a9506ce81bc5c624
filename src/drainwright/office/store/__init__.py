"""The store: firms, jobs with all their revisions, and what belongs to them, in SQLite or PostgreSQL."""
