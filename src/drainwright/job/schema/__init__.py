"""The published JSON Schema of the job document."""

from drainwright.job.schema.publish import (
    PUBLISHED,
    RECORDS,
    book_schema,
    described,
    job_schema,
    key_words,
    record_schema,
)

__all__ = ["PUBLISHED", "RECORDS", "book_schema", "described", "job_schema", "key_words", "record_schema"]
