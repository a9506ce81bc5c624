"""Files that a job names: in the job's own folder or below, never elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from drainwright.job.loading import refusal, short


def file_beside(name: str, folder: Path | None, where: str, example: str, inline: str) -> Path:
    """The path of a file in the job's folder or below.

    Parameters
    ----------
    name : str
        As the job names it.
    folder : Path or None
        The job's folder; None where the job was not read from a file.
    where : str
        Path of that name in the job, for the error.
    example, inline : str
        A name that would be right, and what could stand in the job instead.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    JobError
        If there is no such file, or it lies elsewhere, also by a link.
    """
    wanted = f"a file in the job's folder or below, such as {example!r}"
    if folder is None:
        raise refusal(short(name), f"{inline} in the job: this document was not read from a folder", where=where)
    if not name.strip() or "\\" in name or ":" in name or "\0" in name or Path(name).is_absolute():
        raise refusal(short(name), wanted, where=where)
    root = folder.resolve()
    path = (root / name).resolve()
    if not path.is_relative_to(root):
        raise refusal(short(name), wanted, "copy the file beside the job", where=where)
    if not path.is_file():
        raise refusal(f"no file {short(name)}", wanted, where=where)
    return path


def lay_beside(files: Mapping[str, bytes], folder: Path) -> None:
    """Put files where a job read from a folder looks for them.

    Parameters
    ----------
    files : mapping of str to bytes
        Contents by the name that the job has for them: ``firm/firm.yaml``.
    folder : Path
        The job's own; must be there.

    Raises
    ------
    JobError
        If a name leads out of the folder; nothing was written then.
    """
    root = folder.resolve()
    paths = {(root / name).resolve(): name for name in files}
    for path, name in paths.items():
        if root not in path.parents:
            raise refusal(short(name), "a name in the job's own folder, such as 'rain.csv'", where="files")
    for path, name in paths.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(files[name])


__all__ = ["file_beside", "lay_beside"]
