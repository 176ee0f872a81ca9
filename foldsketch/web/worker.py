"""The process behind the page that does the heavy work: it can be stopped, and is bounded in time and memory."""

from __future__ import annotations

import multiprocessing
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any

from foldsketch.base.findings import Finding, Quantity
from foldsketch.web.messages import BUG, MESH_OUT_OF_TIME, OUT_OF_TIME, STOPPED
from foldsketch.web.tasks import findings_for_page, json_answer, run_task

MAX_RUN_SECONDS = 60.0
"""Time limit for a run."""

MAX_MEMORY_BYTES = 3 * 1024**3
"""Bytes of address space that a run may take, where the system can bound it."""


def _error_answer(finding: Finding) -> dict[str, Any]:
    return json_answer(findings_for_page([finding]))


def _worker_loop(pipe: Connection) -> None:
    """The process: tasks in, answers out."""
    try:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MAX_MEMORY_BYTES, MAX_MEMORY_BYTES))
    except (ImportError, ValueError, OSError):
        pass  # this system cannot bound it
    while True:
        try:
            task = pipe.recv()
        except (EOFError, KeyboardInterrupt):
            return
        try:
            pipe.send(run_task(task, ProgressSender(pipe)))
        except Exception as why:  # a bug: reported as such, and the process lives on
            pipe.send(_error_answer(BUG.at(kind=type(why).__name__)))


class ProgressSender:
    """A listener that sends on how far a stage is, about as often as the page asks."""

    def __init__(self, pipe: Connection) -> None:
        self.pipe, self.last = pipe, 0.0

    def __call__(self, stage: str, done: float) -> None:
        """Send a stage and its share from 0 to 1, or nothing if the last was sent less than 0.2 s ago."""
        if time.monotonic() - self.last > 0.2:
            self.last = time.monotonic()
            self.pipe.send({"stage": stage, "done": done})


@dataclass
class Worker:
    """One process that does one task at a time; stop ends what it is doing. stage: how far it is, as it last said."""

    seconds: float = MAX_RUN_SECONDS
    stage: dict[str, Any] = field(default_factory=dict)
    _process: BaseProcess | None = None
    _pipe: Connection | None = None
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def start(self) -> None:
        """Have the process ready."""
        if self._process is not None and self._process.is_alive():
            return
        context = multiprocessing.get_context("spawn")
        self._pipe, other = context.Pipe()
        self._process = context.Process(target=_worker_loop, args=(other,), daemon=True)
        self._process.start()
        other.close()

    def run(self, task: dict[str, Any]) -> dict[str, Any]:
        """The answer to a task, or a finding that it was stopped."""
        with self._lock:
            self.start()
            self.stage = {}
            pipe = self._pipe
            assert pipe is not None
            try:
                pipe.send(task)
                end = time.monotonic() + self.seconds
                while pipe.poll(max(0.0, end - time.monotonic())):
                    found: dict[str, Any] = pipe.recv()
                    if "stage" not in found:
                        return found
                    self.stage = found
                late = MESH_OUT_OF_TIME if task.get("do") == "read" else OUT_OF_TIME
                finding = late.at(seconds=Quantity(self.seconds, "s"))
            except (EOFError, OSError):
                finding = STOPPED.at()
            self.stop()
            return _error_answer(finding)

    def stop(self) -> None:
        """End the process and what it is doing."""
        process, self._process = self._process, None
        if process is not None and process.is_alive():
            process.kill()
            process.join(5)


class WorkerPool:
    """A worker for each tab, so that tabs do not wait for or stop each other; of too many the oldest idle one goes."""

    def __init__(self, max_workers: int = 4, seconds: float = MAX_RUN_SECONDS) -> None:
        self.max_workers, self.seconds = max_workers, seconds
        self._own: dict[str, Worker] = {}
        self._tasks: Counter[str] = Counter()
        self._lock = threading.Lock()

    def run(self, tab: str, task: dict[str, Any]) -> dict[str, Any]:
        """The answer to a task of a tab, named by whatever the tab calls itself."""
        with self._lock:
            worker = self._own.pop(tab, None) or self.new_worker()
            self._own[tab] = worker
            self._tasks[tab] += 1
            idle = [name for name in self._own if not self._tasks[name]]
            for name in idle[: max(0, len(self._own) - self.max_workers)]:
                self._own.pop(name).stop()
        try:
            return worker.run(task)
        finally:
            with self._lock:
                self._tasks -= Counter({tab: 1})

    def new_worker(self) -> Worker:
        """A worker that has no process yet."""
        return Worker(self.seconds)

    def stage(self, tab: str) -> dict[str, Any]:
        """How far the task of a tab is."""
        worker = self._own.get(tab)
        return worker.stage if worker else {}

    def stop(self, tab: str) -> None:
        """End what a tab's worker is doing."""
        worker = self._own.get(tab)
        if worker:
            worker.stop()
