"""Ctrl-C that stops a run cleanly whatever libraries are at work: compiled modules die of it while they are imported,
and some libraries turn it into an error of their own."""

from __future__ import annotations

import _thread
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

IMPORT_FRAME_FILE = "<frozen importlib._bootstrap>"

IMPORT_RETRY_SECONDS = 0.02
"""Seconds after which it is asked again whether an import is over."""


@contextmanager
def defer_interrupt_during_import() -> Iterator[None]:
    """Within it Ctrl-C raises KeyboardInterrupt as ever, but not in the middle of an import: then it comes right after.
    An error that follows it counts as KeyboardInterrupt too, for it is what somebody made of that."""
    mine = threading.current_thread() is threading.main_thread()
    if not mine or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    asked = False

    def stop(_number: int, frame: FrameType | None) -> None:
        nonlocal asked
        while frame is not None:
            if frame.f_code.co_filename == IMPORT_FRAME_FILE:
                again = threading.Timer(IMPORT_RETRY_SECONDS, _thread.interrupt_main)
                again.daemon = True
                again.start()
                return
            frame = frame.f_back
        asked = True
        raise KeyboardInterrupt

    signal.signal(signal.SIGINT, stop)
    try:
        yield
    except Exception as why:
        if asked:
            raise KeyboardInterrupt from why
        raise
    finally:
        signal.signal(signal.SIGINT, signal.default_int_handler)
