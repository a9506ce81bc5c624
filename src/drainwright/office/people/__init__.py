"""People: passwords, sessions, roles, limits on tries."""
