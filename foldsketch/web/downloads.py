"""The sheets that the page previews and the files that it offers, made in memory."""

from __future__ import annotations

import io
import zipfile
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from foldsketch.base.findings import FoldsketchError
from foldsketch.web.messages import NO_JAWS, NO_SETUPS, UNKNOWN_FILE
from foldsketch.web.session_cache import choices_from_task, machine_from_task

if TYPE_CHECKING:
    from foldsketch.base.drawing import Drawing
    from foldsketch.web.session_cache import SessionCache

DOWNLOAD_MEDIA_TYPES = {
    "sheets.pdf": "application/pdf",
    "booklet.pdf": "application/pdf",
    "set-ups.pdf": "application/pdf",
    "sheets-svg.zip": "application/zip",
    "sheets-dxf.zip": "application/zip",
    "by-hand.pdf": "application/pdf",
    "model.net.json": "application/json",
    "model.html": "text/html",
    "jaws.zip": "application/zip",
    "in-hand.zip": "application/zip",
    "all.zip": "application/zip",
}
"""Every file that may be asked for, and its kind."""


def draw_pages(kept: SessionCache, task: dict[str, Any], which: str) -> tuple[Drawing, ...]:
    """The pages of one kind: sheets (with backs when asked for), booklet, set-up sheets, by-hand page."""
    from foldsketch.job.outputs import booklet_pages, by_hand_page, sheet_pages
    from foldsketch.sheet.setup_sheets.talk_sheets import draw_talk_sheets

    part, made = kept.part_and_model(task)
    if which == "talk":
        planned, _ = kept.plan_and_findings(task)
        return draw_talk_sheets(part, machine_from_task(task), planned) if planned else ()
    if which == "booklet":
        return booklet_pages(made)
    if which == "by-hand":
        return (by_hand_page(made, choices_from_task(task).scale)[0],)
    return sheet_pages(made, backs=task.get("backs") is True)


def make_download(kept: SessionCache, task: dict[str, Any], what: str) -> bytes:
    """One of DOWNLOAD_MEDIA_TYPES. Raises FoldsketchError."""
    if what != "all.zip":
        return _download_bytes(kept, task, what)
    from foldsketch.write.dxf import dxf_available

    files = {}
    for name in ("sheets.pdf", "booklet.pdf", "set-ups.pdf", "model.net.json", "model.html"):
        if name != "set-ups.pdf" or kept.plan_and_findings(task)[0]:
            files[name] = _download_bytes(kept, task, name)
    for name in ("jaws.zip", "in-hand.zip"):
        with suppress(FoldsketchError):  # there are none, or they cannot be made: asked for alone, they say why
            files |= _workholding_files(kept, task, name)
    files["part.toml"] = str(task.get("text", "")).encode()
    files |= _sheet_svgs(kept, task)
    if dxf_available():
        files |= _sheet_dxfs(kept, task)
    return _zip_files(files)


def _download_bytes(kept: SessionCache, task: dict[str, Any], what: str) -> bytes:
    from foldsketch.job.outputs import booklet, require_dxf
    from foldsketch.job.setup_outputs import setup_sheets
    from foldsketch.web.share import share
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf

    part, made = kept.part_and_model(task)
    match what:
        case "sheets.pdf":
            return pdf(draw_pages(kept, task, "sheets"), part.name)
        case "booklet.pdf":
            return booklet(made)
        case "set-ups.pdf":
            planned, _ = kept.plan_and_findings(task)
            if planned is None:
                raise NO_SETUPS.error("set-ups")
            return setup_sheets(part, planned, machine_from_task(task))
        case "by-hand.pdf":
            return pdf(draw_pages(kept, task, "by-hand"), f"{part.name}, by hand")
        case "sheets-svg.zip":
            return _zip_files(_sheet_svgs(kept, task))
        case "sheets-dxf.zip":
            require_dxf("DXF")
            return _zip_files(_sheet_dxfs(kept, task))
        case "model.net.json":
            return net_json(made.nets, made.sheets)
        case "jaws.zip" | "in-hand.zip":
            return _zip_files(_workholding_files(kept, task, what))
        case "model.html":
            planned, _ = kept.plan_and_findings(task)
            return share(made, planned, machine_from_task(task) if planned else None)
    raise UNKNOWN_FILE.error(what)


def _workholding_files(kept: SessionCache, task: dict[str, Any], what: str) -> dict[str, bytes]:
    """The drawings of jaws and fixture plates, or the paper chucks. Raises FoldsketchError where there are none."""
    from foldsketch.job.in_hand_outputs import set_up_in_hand
    from foldsketch.job.jaw_outputs import jaw_drawings

    part, made = kept.part_and_model(task)
    planned, _ = kept.plan_and_findings(task)
    if planned is None:
        raise NO_SETUPS.error("set-ups")
    machine = machine_from_task(task)
    if what == "in-hand.zip":
        return set_up_in_hand(made, planned, machine).files
    drawn = jaw_drawings(part, planned, machine)
    if not drawn.files:
        raise NO_JAWS.error("jaw drawings")
    return drawn.files


def _sheet_svgs(kept: SessionCache, task: dict[str, Any]) -> dict[str, bytes]:
    from foldsketch.write.svg import svg

    return {f"sheet-{k}.svg": svg(page) for k, page in enumerate(draw_pages(kept, task, "sheets"), 1)}


def _sheet_dxfs(kept: SessionCache, task: dict[str, Any]) -> dict[str, bytes]:
    from foldsketch.job.outputs import dxf_pages

    return {f"sheet-{k}.dxf": data for k, data in enumerate(dxf_pages(kept.part_and_model(task)[1]), 1)}


def _zip_files(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as z:
        for name, data in files.items():
            z.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
