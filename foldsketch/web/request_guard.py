"""What may reach the server: requests of this machine's own page, within a size, sent in time."""

from __future__ import annotations

import asyncio
from typing import Any

from starlette.requests import ClientDisconnect
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

MAX_BODY_BYTES = 64 * 1024 * 1024
"""Largest body that is read, bytes; part files are far smaller, meshes may come near."""

MAX_WAIT_S = 20.0
"""Longest wait for the next bytes of a body, and for the head of a request on a new connection, seconds."""


class _BrokenRequestError(Exception):
    """A body that is larger than MAX_BODY_BYTES, or stays away: found while it is read. status: the answer's."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(why)
        self.status = status


class RequestGuard:
    """Lets only this machine's own page ask: Host and Origin must be the server's, and a body within bounds."""

    def __init__(self, app: ASGIApp, port: int, wait_s: float = MAX_WAIT_S) -> None:
        self.app, self.wait_s = app, wait_s
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        body = _BoundedBody(receive, self.wait_s)

        async def alone(message: Message) -> None:
            # What the application answers to the broken request is kept back: the refusal is the one answer.
            if not body.broken:
                await send(message)

        try:
            await self.app(scope, body.receive, alone)
        except _BrokenRequestError as why:
            await Response(f"refused: {why}", why.status)(scope, receive, send)
        except ClientDisconnect:
            pass  # it left while it was still sending: nobody waits for an answer

    def _refusal(self, scope: Scope) -> Response | None:
        """Why a request is refused before its body is read, if it is."""
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        origin = headers.get("origin")
        own = headers.get("host") in self.hosts and (origin is None or origin in {f"http://{h}" for h in self.hosts})
        if not own:
            return Response("refused: not this machine's own page", 403)
        elsewhere = origin is None and headers.get("sec-fetch-site", "same-origin") != "same-origin"
        if scope["method"] == "POST" and elsewhere:
            return Response("refused: asked from elsewhere", 403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MAX_BODY_BYTES:
            return Response("refused: too large", 413)
        return None


class _BoundedBody:
    """A body that is read within a size, and without long pauses. broken: it was not."""

    def __init__(self, receive: Receive, wait_s: float) -> None:
        self._receive, self._wait_s = receive, wait_s
        self._taken, self._whole, self.broken = 0, False, False

    async def receive(self) -> Message:
        """The next message of the server: a piece of the body, or that the client has left."""
        try:
            message = await (self._receive() if self._whole else asyncio.wait_for(self._receive(), self._wait_s))
        except TimeoutError:
            self.broken = True
            raise _BrokenRequestError(408, "too slow") from None
        self._taken += len(message.get("body", b""))
        self._whole = self._whole or not message.get("more_body", False)
        if self._taken > MAX_BODY_BYTES:
            self.broken = True
            raise _BrokenRequestError(413, "too large")
        return message


def timed_protocol(wait_s: float = MAX_WAIT_S) -> type[asyncio.Protocol]:
    """The HTTP server's protocol, which drops a new connection that sends no head of a request for so many seconds."""
    from uvicorn.protocols.http.auto import AutoHTTPProtocol

    base: Any = AutoHTTPProtocol

    class TimedProtocol(base):  # type: ignore[misc]
        def connection_made(self, transport: Any) -> None:
            super().connection_made(transport)
            self.loop.call_later(wait_s, self._drop_without_head)

        def _drop_without_head(self) -> None:
            if self.cycle is None and not self.transport.is_closing():
                self.transport.close()

    return TimedProtocol
