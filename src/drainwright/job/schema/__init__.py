"""The published JSON Schema of the job document."""

from drainwright.job.schema.publish import PUBLISHED, job_schema

__all__ = ["PUBLISHED", "job_schema"]
