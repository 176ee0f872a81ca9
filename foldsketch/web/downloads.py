"""The pages that the page previews and the files that it offers, made in memory."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from foldsketch.base.drawing import Drawing
    from foldsketch.web.session_cache import SessionCache

DOWNLOAD_MEDIA_TYPES = {
    "sheets.pdf": "application/pdf",
    "booklet.pdf": "application/pdf",
    "set-ups.pdf": "application/pdf",
    "sheets-svg.zip": "application/zip",
    "sheets-dxf.zip": "application/zip",
    "model.net.json": "application/json",
    "model.html": "text/html",
    "all.zip": "application/zip",
}
"""Every file that may be asked for, and its kind."""


def draw_pages(kept: SessionCache, task: dict[str, Any], which: str) -> tuple[Drawing, ...]:
    """The pages of one kind: sheets (with their backs when asked for), booklet, or talk sheets."""
    from foldsketch.job.outputs import booklet_pages, sheet_pages
    from foldsketch.setup.machine import DEFAULT_MACHINE
    from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets

    part, made = kept.model(task)
    if which == "talk":
        planned = kept.plans(task)[0]
        return draw_talk_sheets(part, DEFAULT_MACHINE, planned) if planned else ()
    if which == "booklet":
        return booklet_pages(made)
    return sheet_pages(made, backs=task.get("backs") is True)


def make_download(kept: SessionCache, task: dict[str, Any], what: str) -> bytes:
    """One of the DOWNLOADS. Raises FoldsketchError."""
    if what != "all.zip":
        return _download_bytes(kept, task, what)
    from foldsketch.write.dxf import dxf_available

    files = {}
    for name in ("sheets.pdf", "booklet.pdf", "set-ups.pdf", "model.net.json", "model.html"):
        if name != "set-ups.pdf" or kept.plans(task)[0]:
            files[name] = _download_bytes(kept, task, name)
    files["part.toml"] = str(task.get("text", "")).encode()
    files |= _sheet_svgs(kept, task)
    if dxf_available():
        files |= _sheet_dxfs(kept, task)
    return _zip_files(files)


def _download_bytes(kept: SessionCache, task: dict[str, Any], what: str) -> bytes:
    from foldsketch.base.findings import input_error
    from foldsketch.job.outputs import require_dxf
    from foldsketch.web.share import share_html
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf

    part, made = kept.model(task)
    match what:
        case "sheets.pdf":
            return pdf(draw_pages(kept, task, "sheets"), part.name)
        case "booklet.pdf":
            return pdf(draw_pages(kept, task, "booklet"), f"{part.name}, booklet")
        case "set-ups.pdf":
            pages = draw_pages(kept, task, "talk")
            if not pages:
                raise input_error("set-ups", "there are none to draw", "see the findings")
            return pdf(pages, f"{part.name}, set-ups")
        case "sheets-svg.zip":
            return _zip_files(_sheet_svgs(kept, task))
        case "sheets-dxf.zip":
            require_dxf("DXF")
            return _zip_files(_sheet_dxfs(kept, task))
        case "model.net.json":
            return net_json(made.nets, made.sheets)
        case "model.html":
            return share_html(made, kept.plans(task)[0])
    raise input_error(what, "is no file that is offered")


def _sheet_svgs(kept: SessionCache, task: dict[str, Any]) -> dict[str, bytes]:
    from foldsketch.write.svg import svg

    return {f"sheet-{k}.svg": svg(page) for k, page in enumerate(draw_pages(kept, task, "sheets"), 1)}


def _sheet_dxfs(kept: SessionCache, task: dict[str, Any]) -> dict[str, bytes]:
    from foldsketch.job.outputs import dxf_pages

    return {f"sheet-{k}.dxf": data for k, data in enumerate(dxf_pages(kept.model(task)[1]), 1)}


def _zip_files(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as z:
        for name, data in files.items():
            z.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
