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
from foldsketch.web.messages import NOT_JSON
from foldsketch.web.share import SCRIPT_FILES, page_css, web_file_text
from foldsketch.web.tasks import findings_for_page
from foldsketch.web.worker import Worker, WorkerPool
from foldsketch.write.dxf import dxf_available

MAX_BODY_BYTES = 64 * 1024 * 1024
"""Largest body that is read, bytes; part files are far smaller, meshes may come near."""

SERVED_FILES = (
    *SCRIPT_FILES,
    *("page.css", "desk.css", "margin.css"),
    *("desk.js", "partfile.js", "plan.js", "side.js", "table.js", "cells.js", "pages.js"),
    *("findings.js", "moments.js", "opening.js", "titleblock.js", "entry.js", "machine.js"),
    *("adding.js", "patterns.js", "shapes.js", "sight.js"),
)

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class _BodyTooLargeError(Exception):
    """A body larger than MAX_BODY_BYTES, found while it is read."""


class RequestGuard:
    """Lets only this machine's own page ask: Host and Origin must be the server's, and a body within MAX_BODY_BYTES."""

    def __init__(self, app: ASGIApp, port: int) -> None:
        self.app = app
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
        taken = 0

        async def bounded() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > MAX_BODY_BYTES:
                raise _BodyTooLargeError
            return message

        async def alone(message: Message) -> None:
            # What the application answers to the broken request is kept back: 413 is the one answer.
            if taken <= MAX_BODY_BYTES:
                await send(message)

        try:
            await self.app(scope, bounded, alone)
        except _BodyTooLargeError:
            await Response("refused: too large", 413)(scope, receive, send)

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


class _Pages:
    """What the server answers.

    samples: a folder of part files to begin with; worker: one for all tabs, or None for one for each.
    """

    def __init__(self, samples: Path | None, worker: Worker | None) -> None:
        self.samples, self.worker, self.pool = samples, worker, WorkerPool()

    def own_worker(self, request: Request) -> Worker:
        """The worker of the tab that asks."""
        return self.worker or self.pool.worker_for(request.headers.get("x-tab", "")[:40])

    async def index(self, request: Request) -> Response:
        """The page."""
        return _page_response(web_file_text("desk.html"), "text/html")

    async def file(self, request: Request) -> Response:
        """A script or a style sheet of the page."""
        name = request.path_params["name"]
        if name not in SERVED_FILES:
            return Response("no such file", 404)
        text = page_css() if name == "page.css" else web_file_text(name)
        return _page_response(text, "text/css" if name.endswith(".css") else "text/javascript")

    async def list_samples(self, request: Request) -> Response:
        """The part files to begin with."""
        return JSONResponse(_files_of(self.samples))

    async def list_machines(self, request: Request) -> Response:
        """The machine files to choose from."""
        return JSONResponse(_files_of(self.samples and self.samples / "machines"))

    async def able(self, request: Request) -> Response:
        """Which optional packages are installed."""
        return JSONResponse({"dxf": dxf_available()})

    async def work(self, request: Request) -> Response:
        """A model, its set-ups or its pages."""
        task = await _read_task(request)
        if task is None:
            return JSONResponse(findings_for_page([NOT_JSON.at()]), 400)
        return await self._run(request, {**task, "do": request.url.path.strip("/")})

    async def read(self, request: Request) -> Response:
        """The bytes of a mesh, STEP or IGES file to a part file's text."""
        asked = request.query_params
        task: dict[str, Any] = {"do": "read", "data": await request.body(), "ending": asked.get("ending", "")}
        task |= {"units": asked.get("units", ""), "anyway": asked.get("anyway") == "1"}
        return await self._run(request, task)

    async def download(self, request: Request) -> Response:
        """A file to save."""
        what = request.path_params["what"]
        task = await _read_task(request)
        if task is None or what not in DOWNLOAD_MEDIA_TYPES:
            return Response("no such download", 404)
        return await self._run(request, {**task, "do": "download", "what": what}, DOWNLOAD_MEDIA_TYPES[what])

    async def _run(self, request: Request, task: dict[str, Any], kind: str = "") -> Response:
        """The answer to a task. kind: of the file that it should give, or nothing for values."""
        made = await run_in_threadpool(self.own_worker(request).run, task)
        if "data" in made:
            return Response(made["data"], media_type=kind, headers={"X-Content-Type-Options": "nosniff"})
        return Response(made["json"], 422 if kind else 200, media_type="application/json")

    async def stage(self, request: Request) -> Response:
        """How far the tab's task is."""
        return JSONResponse(self.own_worker(request).stage)

    async def cancel(self, request: Request) -> Response:
        """Stop the tab's task."""
        await run_in_threadpool(self.own_worker(request).stop)
        return JSONResponse({})


def make_app(port: int, samples: Path | None = None, worker: Worker | None = None) -> ASGIApp:
    """The application for a port. samples: a folder of part files to begin with."""
    pages = _Pages(samples, worker)
    app = Starlette(
        routes=[
            Route("/", pages.index),
            Route("/files/{name}", pages.file),
            Route("/samples", pages.list_samples),
            Route("/machines", pages.list_machines),
            Route("/able", pages.able),
            *(Route(f"/{name}", pages.work, methods=["POST"]) for name in ("make", "setups", "pages", "say")),
            Route("/read", pages.read, methods=["POST"]),
            Route("/download/{what}", pages.download, methods=["POST"]),
            Route("/stage", pages.stage, methods=["POST"]),
            Route("/cancel", pages.cancel, methods=["POST"]),
        ]
    )
    return RequestGuard(app, port)


def _files_of(folder: Path | None) -> list[dict[str, str]]:
    found = sorted(folder.glob("*.toml")) if folder and folder.is_dir() else []
    return [{"name": p.stem.replace("-", " "), "text": p.read_text("utf-8")} for p in found]


def _page_response(text: str, kind: str) -> Response:
    headers = {
        "Content-Security-Policy": CONTENT_SECURITY_POLICY,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cache-Control": "no-store",
    }
    return Response(text, media_type=kind, headers=headers)


async def _read_task(request: Request) -> dict[str, Any] | None:
    try:
        task = json.loads(await request.body())
        # Half of a surrogate pair is no text: nothing that quotes it could be sent back.
        json.dumps(task, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        return None
    return task if isinstance(task, dict) else None
