"""A job as one file: a zip of its folder, to send and to take in.

What comes in is not trusted: its size, its number of files and every path in it are checked
before anything is written, and it is unpacked beside the jobs, never over one.
"""

from __future__ import annotations

import io
import shutil
import stat
import tempfile
import tomllib
import zipfile
from pathlib import Path, PurePosixPath

from timbrel.web.jobs import JOB_FILE, LARGEST_JOB, JobStore, title_of
from timbrel.words import TimbrelError, say

LARGEST_PARCEL = 16 * 1024 * 1024
LARGEST_UNPACKED = 64 * 1024 * 1024
MOST_FILES = 2000
LEFT_OUT = ("pack", ".pack")


def pack_job(store: JobStore, name: str) -> bytes:
    """The whole folder of a job, its history too, as the bytes of a zip; the pack is left out."""
    store.read(name)
    folder = store.folder(name)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as parcel:
        for path in sorted(folder.rglob("*")):
            inside = path.relative_to(folder)
            if path.is_file() and not path.is_symlink() and inside.parts[0] not in LEFT_OUT:
                parcel.write(path, f"{name}/{inside.as_posix()}")
    return out.getvalue()


def unpack_job(store: JobStore, data: bytes) -> str:
    """Take in a job from a zip made by :func:`pack_job` or from a bare job file.

    Answers the name that it has here. Raises TimbrelError when it is too large, is neither, or
    holds a path that leads elsewhere.
    """
    if len(data) > LARGEST_PARCEL:
        raise TimbrelError(
            say("The file is larger than {most:count} MB.", most=LARGEST_PARCEL // 2**20)
        )
    files = _open_zip(data) if data[:2] == b"PK" else {PurePosixPath(JOB_FILE): data}
    text = _job_text(files[PurePosixPath(JOB_FILE)])
    workshop = Path(tempfile.mkdtemp(dir=store.root, prefix=".import-"))
    try:
        target = workshop / "job"
        for inside, content in files.items():
            path = target.joinpath(*inside.parts)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        return store.adopt(target, title_of(text) or "job")
    except OSError as error:
        raise TimbrelError(say("The file holds paths that cannot stand side by side.")) from error
    finally:
        shutil.rmtree(workshop, ignore_errors=True)


def _job_text(data: bytes) -> str:
    refusal = say("This is not a job: send a file that was exported here, or a job.toml.")
    if len(data) > LARGEST_JOB:
        raise TimbrelError(say("The job file is larger than a job can be."))
    try:
        text = data.decode("utf-8")
        stated = tomllib.loads(text)
    except (UnicodeDecodeError, tomllib.TOMLDecodeError, RecursionError) as error:
        raise TimbrelError(refusal) from error
    if not isinstance(stated.get("job"), dict) or "room" not in stated:
        raise TimbrelError(refusal)
    return text


def _open_zip(data: bytes) -> dict[PurePosixPath, bytes]:
    """The files of a zip by their path inside the job's folder."""
    broken = say("The file cannot be unpacked: it is damaged or not a zip.")
    files: dict[PurePosixPath, bytes] = {}
    room = LARGEST_UNPACKED
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parcel:
            entries = [entry for entry in parcel.infolist() if not entry.is_dir()]
            if len(entries) > MOST_FILES:
                raise TimbrelError(say("The file holds more than {n:count} files.", n=MOST_FILES))
            for entry in entries:
                path = _plain(entry)
                with parcel.open(entry) as source:
                    content = source.read(room + 1)
                room -= len(content)
                if room < 0:
                    raise TimbrelError(say("The file is too large when unpacked."))
                files[path] = content
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError) as error:
        raise TimbrelError(broken) from error
    except ValueError as error:
        raise TimbrelError(broken) from error
    return _from_job_folder(files)


def _plain(entry: zipfile.ZipInfo) -> PurePosixPath:
    name = entry.orig_filename if hasattr(entry, "orig_filename") else entry.filename
    path = PurePosixPath(name)
    mode = entry.external_attr >> 16
    tricks = (
        path.is_absolute()
        or ".." in path.parts
        or not path.parts
        or any(sign in name for sign in "\\:\0")
        or len(name) > 240
        or (mode and not stat.S_ISREG(mode) and stat.S_IFMT(mode) != 0)
    )
    if tricks:
        raise TimbrelError(
            say("The file holds a path that leads out of the job: {path}", path=name)
        )
    return path


def _from_job_folder(files: dict[PurePosixPath, bytes]) -> dict[PurePosixPath, bytes]:
    job = PurePosixPath(JOB_FILE)
    if job in files:
        return files
    tops = {path.parts[0] for path in files}
    if len(tops) == 1 and PurePosixPath(next(iter(tops))) / job in files:
        return {PurePosixPath(*path.parts[1:]): data for path, data in files.items()}
    raise TimbrelError(say("This is not a job: send a file that was exported here, or a job.toml."))
