"""Writing so that nothing is ever half written: a temporary neighbour, then a rename."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from foldsketch.base.findings import refuse


def write_whole(path: Path, data: bytes) -> None:
    """Put data at path in one step; an older file stays whole until the new one is complete.

    Raises FoldsketchError when the folder cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
    except OSError as why:
        raise refuse(str(path), f"cannot be written ({why.strerror})", "choose another --out folder") from why
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)
        os.replace(name, path)
    except OSError as why:
        Path(name).unlink(missing_ok=True)
        raise refuse(str(path), f"cannot be written ({why.strerror})", "choose another --out folder") from why
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
