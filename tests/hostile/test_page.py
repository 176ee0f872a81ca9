"""Requests to the page that are well formed and mean harm: numbers that are none, half characters, bodies too large."""

import json
import os
import signal
import sys
from pathlib import Path

import pytest

from foldsketch.web.app import make_app
from foldsketch.web.request_guard import MAX_BODY_BYTES
from foldsketch.web.tasks import run_task
from foldsketch.web.worker import WorkerPool

sys.path.insert(0, str(Path(__file__).parents[1] / "web"))
from asgi import Client
from workers import COVER, LONG, WatchedWorker

PORT = 8741


class Direct(WorkerPool):
    """Tasks done at once, in this process."""

    def run(self, tab, task):
        return run_task(task)


@pytest.fixture
def client():
    return Client(make_app(PORT, None, Direct()), f"127.0.0.1:{PORT}")


@pytest.mark.parametrize("sides", ["Infinity", "NaN", "-Infinity", "1e999", "6.5", "true", '"6"', "[6]", "-4", "1e300"])
def test_sides_that_are_no_whole_number(client, sides):
    got = client.post("/make", f'{{"text": {json.dumps(COVER)}, "sides": {sides}}}')
    assert got.status_code == 200
    assert [f["text"].split(":")[0].strip("-") for f in got.json()["findings"]] == ["sides"]


@pytest.mark.parametrize("path", ["/make", "/pages", "/download/all.zip"])
@pytest.mark.parametrize("key", ["text", "paper", "scale", "join", "radius"])
def test_half_a_surrogate_pair_is_no_text(client, path, key):
    task = {"text": COVER, key: "\ud800" + COVER}
    assert client.post(path, json.dumps(task)).status_code in (400, 404)


def test_a_body_too_large_has_one_answer():
    client = Client(make_app(PORT, None, Direct()), f"127.0.0.1:{PORT}")

    def endless():
        for _ in range(MAX_BODY_BYTES // 4_000_000 + 2):
            yield b"x" * 4_000_000

    got = client.post("/make", endless())
    assert got.status_code == 413
    assert got.content == b"refused: too large"


def said(made):
    """What a worker answers, as values."""
    return json.loads(made["json"])


def test_a_worker_killed_while_it_works_is_told_and_replaced():
    worker = WatchedWorker(seconds=120)
    try:
        asked, answers = worker.started(LONG)
        os.kill(worker._process.pid, signal.SIGKILL)
        asked.join(60)
        assert [f["level"] for f in said(answers[0])["findings"]] == ["error"]
        assert "facts" in said(worker.run({"do": "make", "text": COVER}))
        # Killed while it rests, too.
        os.kill(worker._process.pid, signal.SIGKILL)
        worker._process.join(60)
        assert "facts" in said(worker.run({"do": "make", "text": COVER}))
    finally:
        worker.stop()
