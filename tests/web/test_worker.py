"""The worker's process: it lives on after a bug, and ends when nobody asks any more."""

import json

import pytest

from foldsketch.web import worker
from foldsketch.web.messages import BUG
from foldsketch.web.worker import ProgressSender


class Pipe:
    """The worker's end of a pipe: tasks to take, answers as they were sent."""

    def __init__(self, *tasks, end=EOFError):
        self.tasks, self.end, self.sent = list(tasks), end, []

    def recv(self):
        if not self.tasks:
            raise self.end
        return self.tasks.pop(0)

    def send(self, answer):
        self.sent.append(answer)


@pytest.fixture
def loop(monkeypatch):
    """The process's loop, in this process: its bound of memory is not set here."""
    monkeypatch.setattr("resource.setrlimit", lambda *bound: None)
    return worker._worker_loop


@pytest.mark.parametrize("end", [EOFError, KeyboardInterrupt])
def test_it_answers_until_nobody_asks(loop, end):
    pipe = Pipe({"do": "dance"}, {"do": "sing"}, end=end)
    loop(pipe)
    assert [json.loads(a["json"])["findings"][0]["code"] for a in pipe.sent] == ["unknown-task"] * 2


def test_a_bug_is_reported_and_the_next_task_is_done(loop, monkeypatch):
    plain = worker.run_task

    def broken(task, listener):
        if task["do"] == "break":
            raise ZeroDivisionError
        return plain(task, listener)

    monkeypatch.setattr(worker, "run_task", broken)
    pipe = Pipe({"do": "break"}, {"do": "dance"})
    loop(pipe)
    first, second = (json.loads(a["json"])["findings"][0] for a in pipe.sent)
    assert first["code"] == BUG.code and "ZeroDivisionError" in first["text"] and second["code"] == "unknown-task"


def test_memory_cannot_be_bounded_everywhere(loop, monkeypatch):
    def refuse(*bound):
        raise ValueError

    monkeypatch.setattr("resource.setrlimit", refuse)
    pipe = Pipe({"do": "dance"})
    loop(pipe)
    assert len(pipe.sent) == 1


def test_progress_is_sent_no_oftener_than_five_times_a_second(monkeypatch):
    now = [10.0]
    monkeypatch.setattr("foldsketch.web.worker.time.monotonic", lambda: now[0])
    pipe = Pipe()
    send = ProgressSender(pipe)
    for k in range(30):
        send("pack", k / 30)
        now[0] += 0.05
    assert 6 <= len(pipe.sent) <= 8 and pipe.sent[0] == {"stage": "pack", "done": 0.0}
