"""Read a firm's settings beside the job that names them, and its logo."""

from __future__ import annotations

from pathlib import Path

from drainwright.exchange.logos import logo_of, read_logo
from drainwright.exchange.shots import FileError
from drainwright.job.beside import file_beside
from drainwright.job.explain import record_of
from drainwright.job.firm import Firm, FirmFile
from drainwright.job.loading import decode, load, read_bytes, refusal
from drainwright.job.model import Job

NOUN = "a firm's settings"


def read_firm_text(text: str, name: str = "firm.yaml") -> FirmFile:
    """Read a firm's settings from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    return record_of(FirmFile, load(text, name, NOUN, "name"), name)


def fill_firm(job: Job, folder: Path | None) -> Job:
    """The job with the firm's settings that it names in it, and the logo's content.

    Parameters
    ----------
    job : Job
        A validated job.
    folder : Path, optional
        The job file's folder; settings and logo lie in it or below. A logo that the settings name is looked for beside
        the settings.

    Returns
    -------
    Job
        With ``firm.file`` cleared and ``firm.logo`` as a data URI. What the job gives itself outranks the file.

    Raises
    ------
    JobError
        If a file is missing, lies elsewhere, or is not what it should be; each problem with its line.
    """
    own, where, logo_folder = job.firm, "firm.logo", folder
    if own.file is not None:
        path = file_beside(own.file, folder, "firm.file", "firm.yaml", "the firm's values")
        told = read_firm_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), own.file), own.file)
        taken = {
            name: getattr(told, name)
            for name in told.model_fields_set & Firm.model_fields.keys() - own.model_fields_set
        }
        if "logo" in taken:
            where, logo_folder = "firm.file", path.parent
        own = own.model_copy(update={**taken, "file": None})
    if own.logo:
        own = own.model_copy(update={"logo": _logo(own.logo, logo_folder, where)})
    return job if own is job.firm else job.model_copy(update={"firm": own})


def _logo(logo: str, folder: Path | None, where: str) -> str:
    try:
        if logo.startswith("data:"):
            return logo_of(logo)
        return read_logo(file_beside(logo, folder, where, "logo.svg", "a data URI"))
    except FileError as error:
        problem = error.problem
        name = "" if logo.startswith("data:") else f" in {logo}"
        raise refusal(f"{problem.found}{name}", problem.expected, problem.hint, where=where) from None


__all__ = ["NOUN", "fill_firm", "read_firm_text"]
