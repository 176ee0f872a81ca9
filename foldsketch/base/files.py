"""Write files so that none is ever half written: first to temporary files in the same folder, then renamed."""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from foldsketch.base.findings import FoldsketchError
from foldsketch.base.messages import FILE_NOT_WRITTEN


def write_atomically(path: Path, data: bytes) -> None:
    """Write one file; an older file of that name stays whole until the new one is complete.

    Raises FoldsketchError if it cannot be written.
    """
    write_all_atomically({path: data})


def write_all_atomically(files: Mapping[Path, bytes]) -> None:
    """Write several files; no older file is replaced before all new ones are complete on the disk.

    If the disk fills up, or a folder has one of the names, the older files all stay. Raises FoldsketchError.
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
        if stat.S_ISDIR(path.lstat().st_mode):  # raises OSError for a name that is too long
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
    return FILE_NOT_WRITTEN.error(str(path), reason=what[:1].lower() + what[1:])
