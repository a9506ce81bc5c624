"""The job document: schema, reading, writing, versions."""
