"""The published JSON Schema of the job document."""

from drainwright.job.schema.publish import PUBLISHED, book_schema, job_schema

__all__ = ["PUBLISHED", "book_schema", "job_schema"]
