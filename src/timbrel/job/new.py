"""A new job to start from: the commented example of an invented scenario."""

from __future__ import annotations

from pathlib import Path

from timbrel.job.load import JOB_FILE
from timbrel.words import TimbrelError, say

EXAMPLE = Path(__file__).parent / "example" / "granary.toml"


def example_text() -> str:
    """The text of the commented example job."""
    return EXAMPLE.read_text(encoding="utf-8")


def write_new(folder: Path) -> Path:
    """Write ``job.toml`` into a folder, made if need be; answer the file.

    Raises TimbrelError when a job is there already, or when it cannot be written.
    """
    file = folder / JOB_FILE
    text = example_text()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with file.open("x", encoding="utf-8") as out:
            out.write(text)
    except FileExistsError as error:
        if folder.is_dir():
            message = say(
                "{file} is there already and is left as it is; give a new folder.", file=file
            )
        else:
            message = say("{folder} is a file; give a new folder.", folder=folder)
        raise TimbrelError(message) from error
    except OSError as error:
        raise TimbrelError(
            say(
                "{file} cannot be written ({reason}); give another folder.",
                file=file,
                reason=error.strerror or str(error),
            )
        ) from error
    return file
