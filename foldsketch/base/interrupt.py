"""Ctrl-C that stops a run cleanly.

Compiled modules crash if it comes while they are imported, and some libraries turn it into an error of their own.
"""

from __future__ import annotations

import _thread
import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

IMPORT_FRAME_FILE = "<frozen importlib._bootstrap>"

IMPORT_RETRY_SECONDS = 0.02
"""Seconds until the next check whether an import is over."""


@contextmanager
def defer_interrupt_during_import() -> Iterator[None]:
    """Within it Ctrl-C raises KeyboardInterrupt as usual, but during an import only when that is over.

    An error raised after Ctrl-C becomes KeyboardInterrupt too, since a library may have turned the one into the other.
    A run that ends before Ctrl-C is tried again after an import is done. Does nothing outside the main thread, or if
    Ctrl-C has another handler already.
    """
    mine = threading.current_thread() is threading.main_thread()
    if not mine or signal.getsignal(signal.SIGINT) is not signal.default_int_handler:
        yield
        return
    asked, again = False, threading.Timer(IMPORT_RETRY_SECONDS, _thread.interrupt_main)

    def stop(_number: int, frame: FrameType | None) -> None:
        nonlocal asked, again
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
        again.cancel()
        signal.signal(signal.SIGINT, signal.default_int_handler)
