"""Many clients at once, slow ones, and such as go away: all others are served, and nothing is told as a bug."""

import asyncio
import socket
import sys
import threading
from pathlib import Path

import pytest

from foldsketch.web.app import make_app
from foldsketch.web.request_guard import RequestGuard, timed_protocol
from foldsketch.web.tasks import json_answer
from foldsketch.web.turns import Turns
from foldsketch.web.worker import Worker, WorkerPool

sys.path.insert(0, str(Path(__file__).parent))
from asgi import answered, request_scope
from browser import free_port

HOST = "127.0.0.1:8737"


class HeldWorker(Worker):
    """Works until it is let go or stopped; `pool` counts."""

    def __init__(self, pool):
        super().__init__()
        self.pool, self.busy, self.let_go = pool, False, threading.Event()

    def run(self, task):
        with self._lock, self.pool.counting:
            self.busy = True
            self.pool.at_work += 1
            self.pool.most = max(self.pool.most, self.pool.at_work)
            self.pool.counting.notify_all()
            self.pool.counting.wait_for(lambda: self.pool.open or self.let_go.is_set())
            self.pool.at_work -= 1
            self.busy = False
        return json_answer({"done": task["text"]})

    def stop(self):
        with self.pool.counting:
            self.pool.stopped.append(self.busy)
            self.let_go.set()
            self.pool.counting.notify_all()


class HeldPool(WorkerPool):
    """Workers that hold what they do until the pool is opened."""

    def __init__(self):
        super().__init__()
        self.counting, self.open, self.at_work, self.most, self.stopped = threading.Condition(), False, 0, 0, []

    def new_worker(self):
        return HeldWorker(self)

    def let_all_go(self):
        with self.counting:
            self.open = True
            self.counting.notify_all()

    async def until_at_work(self, many):
        def wait():
            with self.counting:
                assert self.counting.wait_for(lambda: self.at_work >= many, 30)

        await asyncio.to_thread(wait)


def asked(app, tab, path="/make", text="x", **how):
    body = [b'{"text": "%s"}' % text.encode()] if path == "/make" else []
    return asyncio.create_task(answered(app, request_scope("POST", path, {"host": HOST, "x-tab": tab}), body, **how))


def test_a_tab_with_many_tasks_does_not_delay_the_stop_of_another():
    async def journey():
        pool = HeldPool()
        app = make_app(8737, None, pool)
        queue = [asked(app, "greedy", text=str(k)) for k in range(80)]  # more than the server has threads
        other = asked(app, "other")
        await pool.until_at_work(2)
        stop = await asyncio.wait_for(asked(app, "other", "/cancel"), 30)
        assert stop.status_code == 200 and (await asyncio.wait_for(other, 30)).status_code == 200
        assert not any(t.done() for t in queue), "answered while all of them waited"
        assert pool.at_work == 1, "one task of a tab at a time"
        pool.let_all_go()
        assert {(await t).json()["done"] for t in queue} == {str(k) for k in range(80)}

    asyncio.run(journey())


def test_eight_clients_at_once_are_all_served_and_none_is_stopped():
    async def journey():
        pool = HeldPool()
        app = make_app(8737, None, pool)
        clients = [asked(app, f"tab {k}", text=str(k)) for k in range(8)]
        await pool.until_at_work(pool.max_workers)
        pool.let_all_go()
        assert [(await c).json()["done"] for c in clients] == [str(k) for k in range(8)]
        assert pool.most == pool.max_workers, "the others wait"
        assert len(pool.stopped) == 4 and not any(pool.stopped), "only workers that had nothing to do went"

    asyncio.run(journey())


def test_the_work_of_a_client_that_has_gone_is_ended(monkeypatch):
    monkeypatch.setattr("foldsketch.web.app.Turns", lambda pool: Turns(pool, grace_s=0.0))

    async def journey():
        pool, leaves = HeldPool(), asyncio.Event()
        app = make_app(8737, None, pool)
        gone, waits = asked(app, "gone", leaves=leaves), asked(app, "gone", leaves=leaves)
        await pool.until_at_work(1)
        leaves.set()
        await asyncio.wait_for(asyncio.gather(gone, waits), 30)
        assert pool.stopped[0] and pool.at_work == 0

    asyncio.run(journey())


def test_a_body_that_stays_away_is_refused():
    async def never():
        await asyncio.Event().wait()

    async def journey():
        app = make_app(8737, None, HeldPool())
        app.wait_s = 0.05
        sent = []

        async def send(message):
            sent.append(message)

        await app(request_scope("POST", "/make", {"host": HOST, "content-length": "9"}), never, send)
        assert [m["status"] for m in sent if "status" in m] == [408]

    asyncio.run(journey())


def test_a_client_that_leaves_while_it_sends_is_no_bug():
    async def receive():
        return {"type": "http.disconnect"}

    async def journey():
        sent = []

        async def send(message):
            sent.append(message)

        await make_app(8737, None, HeldPool())(request_scope("POST", "/make", {"host": HOST}), receive, send)
        return sent

    asyncio.run(journey())  # raises nothing: the server would write it to the terminal as its own fault


@pytest.mark.parametrize("begun", [b"", b"GET / HTTP/1.1\r\nHost:"])
def test_a_connection_that_asks_nothing_is_dropped(begun):
    import uvicorn

    async def app(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-length", b"2")]})
        await send({"type": "http.response.body", "body": b"ok"})

    async def journey():
        port = free_port()
        server = uvicorn.Server(
            uvicorn.Config(
                RequestGuard(app, port), port=port, log_level="error", lifespan="off", http=timed_protocol(0.3)
            )
        )
        with socket.socket() as listening:
            listening.bind(("127.0.0.1", port))
            running = asyncio.create_task(server.serve(sockets=[listening]))
            while not server.started:
                await asyncio.sleep(0)
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(begun)
            assert await asyncio.wait_for(reader.read(), 30) == b""
            writer.close()
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(f"GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n\r\n".encode())
            assert (await asyncio.wait_for(reader.read(99), 30)).startswith(b"HTTP/1.1 200")
            writer.close()
            server.should_exit = True
            await running

    asyncio.run(journey())
