"""Asks an ASGI application directly, without a network."""

import asyncio
import json
from dataclasses import dataclass
from urllib.parse import quote, urlencode


@dataclass
class Answer:
    """What came back."""

    status_code: int
    headers: dict
    content: bytes

    @property
    def text(self):
        return self.content.decode()

    def json(self):
        return json.loads(self.content)


class Client:
    """Requests as a browser on this machine would make them."""

    def __init__(self, app, host):
        self.app, self.host = app, host

    def get(self, path, headers=None):
        return self.ask("GET", path, b"", headers)

    def post(self, path, content=b"", headers=None, params=None):
        if params:
            path += "?" + urlencode(params)
        return self.ask("POST", path, content, headers)

    def ask(self, method, path, content, headers):
        content = content.encode() if isinstance(content, str) else content
        chunks = [content] if isinstance(content, bytes) else content
        sent = {"host": self.host, **(headers or {})}
        if isinstance(content, bytes):
            sent.setdefault("content-length", str(len(content)))
        path, _, query = path.partition("?")
        scope = request_scope(method, path, sent, query)
        return asyncio.run(answered(self.app, scope, chunks))


def request_scope(method, path, headers, query=""):
    """A request as a server hands it on."""
    return {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": method, "scheme": "http",
        "path": path, "raw_path": quote(path).encode(), "query_string": query.encode(), "root_path": "",
        "headers": [(k.lower().encode(), v.encode()) for k, v in headers.items()],
        "server": ("127.0.0.1", 0), "client": ("127.0.0.1", 1),
    }  # fmt: skip


async def answered(app, scope, chunks=(), leaves=None):
    """What an application answers. chunks: of the body; leaves: an asyncio.Event, the client goes away at it."""
    made = {"status": 0, "headers": {}, "body": b""}
    parts, whole = iter(chunks), False

    async def receive():
        nonlocal whole
        if whole:
            await (leaves or asyncio.Event()).wait()
            return {"type": "http.disconnect"}
        part = next(parts, None)
        whole = part is None
        return {"type": "http.request", "body": part or b"", "more_body": not whole}

    async def send(message):
        if message["type"] == "http.response.start":
            made["status"] = message["status"]
            made["headers"] = {k.decode().lower(): v.decode() for k, v in message["headers"]}
        else:
            made["body"] += message.get("body", b"")

    await app(scope, receive, send)
    return Answer(made["status"], made["headers"], made["body"])
