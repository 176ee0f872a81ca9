"""The collector of garbage at rest while many small values are made and none of them forms a circle."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def pause_garbage_collection() -> Iterator[None]:
    """Within it, or within a function that it decorates, nothing looks for circles; afterwards all is as before, but
    that whatever is alive counts as long-lived: it is looked through with the next full search, not at once."""
    if not gc.isenabled():
        yield
        return
    gc.disable()
    try:
        yield
    finally:
        if not gc.get_freeze_count():
            # Frozen and thawed again all goes to the oldest generation, and neither step looks at anything.
            gc.freeze()
            gc.unfreeze()
        gc.enable()
