"""The job document: schema, reading, writing, versions."""

from drainwright.job.model import SCHEMA_VERSION, Job
from drainwright.job.reading import Document, read_document, read_job, read_text
from drainwright.job.writing import edit, job_from_json, to_json, write_document

__all__ = [
    "SCHEMA_VERSION",
    "Document",
    "Job",
    "edit",
    "job_from_json",
    "read_document",
    "read_job",
    "read_text",
    "to_json",
    "write_document",
]
