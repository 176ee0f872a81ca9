"""Writing so that nothing is ever half written: temporary neighbours first, then renames."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from foldsketch.base.findings import FoldsketchError, input_error


def write_atomically(path: Path, data: bytes) -> None:
    """Put data at path in one step; an older file stays whole until the new one is complete.

    Raises FoldsketchError when the folder cannot be written.
    """
    write_all_atomically({path: data})


def write_all_atomically(files: Mapping[Path, bytes]) -> None:
    """Put several files in place; no name changes hands before all of them are complete on the disk.

    So a disk that fills up, or a name that is taken by a folder, leaves the whole older set. Raises FoldsketchError.
    """
    ready: list[tuple[str, Path]] = []
    try:
        for path, data in files.items():
            try:
                ready.append((_create_temporary_file(path), path))
                with open(ready[-1][0], "wb") as out:
                    out.write(data)
                    out.flush()
                    os.fsync(out.fileno())
            except OSError as why:
                raise _write_error(path, why) from why
        for name, path in ready:
            try:
                os.replace(name, path)
            except OSError as why:
                raise _write_error(path, why) from why
    finally:
        for name, _ in ready:
            Path(name).unlink(missing_ok=True)


def _create_temporary_file(path: Path) -> str:
    """The name of a new empty file in path's folder, with the permissions that any new file has."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with suppress(FileNotFoundError):
        if stat.S_ISDIR(path.lstat().st_mode):  # a name that is too long is told here
            raise IsADirectoryError(0, "there is a folder of that name")
    handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    os.close(handle)
    mask = os.umask(0)
    os.umask(mask)
    os.chmod(name, 0o666 & ~mask)
    return name


def _write_error(path: Path, why: OSError) -> FoldsketchError:
    what = why.strerror or str(why)
    if isinstance(why, FileExistsError | NotADirectoryError):
        what = "its folder is a file"
    return input_error(str(path), f"cannot be written ({what[:1].lower()}{what[1:]})", "choose another --out folder")
