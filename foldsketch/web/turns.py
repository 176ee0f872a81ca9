"""Whose task is done when: one of each tab at a time, a few of all, none for a tab that has gone."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any
from weakref import WeakValueDictionary

import anyio
from anyio import CapacityLimiter
from starlette.requests import Request

from foldsketch.web.worker import WorkerPool

GRACE_S = 2.0
"""A task whose page has gone may go on for so long, seconds: a reload finds its worker alive."""


class Turns:
    """Tasks of all tabs. Those that wait hold no thread, so that a stop or a question is answered at once."""

    def __init__(self, pool: WorkerPool, grace_s: float = GRACE_S) -> None:
        self.pool, self.grace_s = pool, grace_s
        self._of_tab: WeakValueDictionary[str, CapacityLimiter] = WeakValueDictionary()
        self._of_all: CapacityLimiter | None = None

    async def run(self, request: Request, tab: str, task: dict[str, Any]) -> dict[str, Any] | None:
        """The answer to a task; None when the client has gone."""
        if self._of_all is None:
            self._of_all = CapacityLimiter(self.pool.max_workers)
        made: list[dict[str, Any]] = []
        own = self._of_tab.setdefault(tab, CapacityLimiter(1))
        async with anyio.create_task_group() as group:
            group.start_soon(self._until_gone, request, tab, group.cancel_scope.cancel)
            async with own:
                work = partial(self.pool.run, tab, task)
                made.append(await anyio.to_thread.run_sync(work, limiter=self._of_all))
            group.cancel_scope.cancel()
        return made[0] if made else None

    async def _until_gone(self, request: Request, tab: str, give_up: Callable[[], None]) -> None:
        while (await request.receive())["type"] != "http.disconnect":
            pass
        await anyio.sleep(self.grace_s)
        give_up()  # of a task that still waits
        with anyio.CancelScope(shield=True):
            await anyio.to_thread.run_sync(self.pool.stop, tab)
