"""The local page's server: a few routes, every request checked, heavy work done elsewhere."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from foldsketch.web.downloads import DOWNLOAD_MEDIA_TYPES
from foldsketch.web.share import page_css, web_file_text
from foldsketch.web.worker import Worker, WorkerPool
from foldsketch.write.dxf import dxf_available

MAX_BODY_BYTES = 64 * 1024 * 1024
"""Bytes of a body that are read; part files are far smaller, meshes may come near."""

SERVED_FILES = (
    *("quick.js", "model.js", "page.js", "page.css"),
    *("desk.js", "partfile.js", "plan.js", "side.js", "table.js", "pages.js", "desk.css"),
)

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class _BodyTooLarge(Exception):
    """A body beyond the bound, found while it is read."""


class RequestGuard:
    """Only this machine's own page may ask: Host and Origin must be the server's, and a body stays within bounds."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, or refuse it."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        origin = headers.get("origin")
        allowed = {f"http://{h}" for h in self.hosts}
        if headers.get("host") not in self.hosts or (origin is not None and origin not in allowed):
            await Response("refused: not this machine's own page", 403)(scope, receive, send)
            return
        if (
            scope["method"] == "POST"
            and origin is None
            and headers.get("sec-fetch-site", "same-origin") != "same-origin"
        ):
            await Response("refused: asked from elsewhere", 403)(scope, receive, send)
            return
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MAX_BODY_BYTES:
            await Response("refused: too large", 413)(scope, receive, send)
            return
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > MAX_BODY_BYTES:
                raise _BodyTooLarge
            return message

        async def alone(message: Message) -> None:
            # What the application says of the broken request is kept back: 413 is the one answer.
            if taken <= MAX_BODY_BYTES:
                await send(message)

        try:
            await self.app(scope, bounded, alone)
        except _BodyTooLarge:
            await Response("refused: too large", 413)(scope, receive, send)


def make_app(port: int, samples: Path | None = None, worker: Worker | None = None) -> ASGIApp:
    """The application for a port. samples: a folder of part files to begin with."""
    pool = WorkerPool()

    def own(request: Request) -> Worker:
        return worker or pool.of(request.headers.get("x-tab", "")[:40])

    async def index(request: Request) -> Response:
        return _page_response(web_file_text("desk.html"), "text/html")

    async def file(request: Request) -> Response:
        name = request.path_params["name"]
        if name not in SERVED_FILES:
            return Response("no such file", 404)
        text = page_css() if name == "page.css" else web_file_text(name)
        return _page_response(text, "text/css" if name.endswith(".css") else "text/javascript")

    async def list_samples(request: Request) -> Response:
        found = sorted(samples.glob("*.toml")) if samples and samples.is_dir() else []
        return JSONResponse([{"name": p.stem.replace("-", " "), "text": p.read_text("utf-8")} for p in found])

    async def able(request: Request) -> Response:
        return JSONResponse({"dxf": dxf_available()})

    async def work(request: Request) -> Response:
        task = await _task(request)
        if task is None:
            return JSONResponse({"findings": [{"level": "error", "text": "the request is no JSON object"}]}, 400)
        made = await run_in_threadpool(own(request).run, {**task, "do": request.url.path.strip("/")})
        return Response(made["json"], media_type="application/json")

    async def read(request: Request) -> Response:
        data = await request.body()
        task = {
            "do": "read",
            "data": data,
            "ending": request.query_params.get("ending", ""),
            "units": request.query_params.get("units", ""),
        }
        made = await run_in_threadpool(own(request).run, task)
        return Response(made["json"], media_type="application/json")

    async def download(request: Request) -> Response:
        what = request.path_params["what"]
        task = await _task(request)
        if task is None or what not in DOWNLOAD_MEDIA_TYPES:
            return Response("no such download", 404)
        made = await run_in_threadpool(own(request).run, {**task, "do": "download", "what": what})
        if "data" not in made:
            return Response(made["json"], 422, media_type="application/json")
        return Response(
            made["data"], media_type=DOWNLOAD_MEDIA_TYPES[what], headers={"X-Content-Type-Options": "nosniff"}
        )

    async def stage(request: Request) -> Response:
        return JSONResponse(own(request).stage)

    async def cancel(request: Request) -> Response:
        await run_in_threadpool(own(request).stop)
        return JSONResponse({})

    app = Starlette(
        routes=[
            Route("/", index),
            Route("/files/{name}", file),
            Route("/samples", list_samples),
            Route("/able", able),
            Route("/make", work, methods=["POST"]),
            Route("/setups", work, methods=["POST"]),
            Route("/pages", work, methods=["POST"]),
            Route("/read", read, methods=["POST"]),
            Route("/download/{what}", download, methods=["POST"]),
            Route("/stage", stage, methods=["POST"]),
            Route("/cancel", cancel, methods=["POST"]),
        ]
    )
    return RequestGuard(app, port)


def _page_response(text: str, kind: str) -> Response:
    headers = {
        "Content-Security-Policy": CONTENT_SECURITY_POLICY,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "no-store",
    }
    return Response(text, media_type=kind, headers=headers)


async def _task(request: Request) -> dict[str, Any] | None:
    try:
        task = json.loads(await request.body())
        # Half of a surrogate pair is no text: nothing that quotes it could be sent back.
        json.dumps(task, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        return None
    return task if isinstance(task, dict) else None
