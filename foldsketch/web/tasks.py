"""What the page asks for: a model, its set-ups, its pages, its files, a mesh read. Bad input comes back as findings."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable
from importlib.util import find_spec
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Any

from foldsketch.base.progress import Listener, silent

if TYPE_CHECKING:
    from foldsketch.base.drawing import Drawing
    from foldsketch.job import Choices, Model
    from foldsketch.part.model import Part
    from foldsketch.setup.model import SetUpPlan

ENDINGS = (".stl", ".ply", ".obj", ".off", ".3mf", ".glb")

KEYS = ("text", "paper", "scale", "sides", "radius", "join", "card", "walls", "quick")
"""What a model depends on: the part file's text and the choices beside it."""

NO_DXF = "DXF needs the dxf extra: pip install 'foldsketch[dxf]'"


def answer(task: dict[str, Any], listener: Listener = silent) -> dict[str, Any]:
    """One task done. Values for the page come back as JSON in `json`, files as bytes in `data`."""
    from foldsketch.base.findings import FoldsketchError

    task = {**task, "listener": listener}

    tasks: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
        "make": _make,
        "setups": _setups,
        "pages": _pages,
        "read": _read,
        "download": _download,
    }
    try:
        made = tasks[task["do"]](task) if task.get("do") in tasks else _told("unknown task")
    except FoldsketchError as why:
        made = {"findings": [f.as_dict() for f in why.findings]}
    except MemoryError:
        made = _told("this takes more memory than a run may have; leave features out, or use fewer sides")
    return made if "data" in made else {"json": json.dumps(made, ensure_ascii=False, separators=(",", ":")).encode()}


def _told(text: str) -> dict[str, Any]:
    return {"findings": [{"level": "error", "text": text}]}


class Known:
    """The last part, model and plan of a process, kept while neither text nor choices change."""

    def __init__(self) -> None:
        self.text = self.key = ""
        self.part: Part | None = None
        self.made: Model | None = None
        self.plan: SetUpPlan | None = None
        self.findings: list[dict[str, str]] = []
        self.planned: list[dict[str, str]] | None = None

    def model(self, task: dict[str, Any]) -> tuple[Part, Model]:
        """The part and the model of a task."""
        from foldsketch import job
        from foldsketch.part.read import parse_part

        text = str(task.get("text", ""))
        if self.part is None or text != self.text:
            self.part = self.planned = None
            kind = "json" if text.lstrip().startswith("{") else "toml"
            self.part, found = parse_part(text, "json" if kind == "json" else "toml", "part file")
            self.text, self.key = text, ""
            self.findings = [f.as_dict() for f in found]
        key = json.dumps([task.get(k) for k in KEYS[1:]], sort_keys=True)
        if self.made is None or key != self.key:
            self.made, self.key = job.model(self.part, choices_of(task), task.get("listener", silent)), key
        return self.part, self.made

    def plans(self, task: dict[str, Any]) -> tuple[SetUpPlan | None, list[dict[str, str]]]:
        """The set-ups of a task's part, or none and why."""
        from foldsketch.base.findings import FoldsketchError
        from foldsketch.setup.machine import INVENTED
        from foldsketch.setup.plan import plan

        part, _ = self.model(task)
        if self.planned is None:
            try:
                self.plan, self.planned = plan(part, INVENTED), []
            except FoldsketchError as why:
                self.plan, self.planned = None, [{"level": "note", "text": f.text} for f in why.findings]
        return self.plan, self.planned


_known = Known()


def _whole(sides: object) -> int | None:
    """A number of sides, None for an empty field or 0. Raises FoldsketchError for what is no whole number."""
    from foldsketch.base.findings import refuse

    if sides is None or sides == "":
        return None
    if isinstance(sides, bool) or not isinstance(sides, int | float) or not isfinite(sides) or sides != int(sides):
        raise refuse("sides", "is no whole number", "give a whole number, or nothing")
    return int(sides) or None


def choices_of(task: dict[str, Any]) -> Choices:
    """The choices that a task names; what is no choice is left at its usual value. Raises FoldsketchError."""
    from foldsketch import job
    from foldsketch.base.card import parse_card
    from foldsketch.sheet.paper import parse_scale
    from foldsketch.solid.sides import QUICK, FacetChoice

    sides, radius, join, quick = (
        _whole(task.get("sides")),
        task.get("radius"),
        task.get("join"),
        task.get("quick") is True,
    )
    error, smallest = QUICK if quick else (0.5, 5.0)
    return job.Choices(
        paper=str(task.get("paper") or "A4"),
        scale=parse_scale(str(task.get("scale") or "auto")),
        facets=FacetChoice(
            error,
            smallest,
            sides,
            radius if radius in ("inside", "equal-area", "outside") else "equal-area",
            "rolled" if task.get("walls") == "rolled" else "folded",
        ),
        join=join if join in ("faces", "fuse") else "faces",
        quick=quick,
        card=parse_card(str(task.get("card") or "0mm")),
    )


def _make(task: dict[str, Any]) -> dict[str, Any]:
    """The model for the stage; its set-ups are asked for apart, so that the nets are seen the sooner."""
    from foldsketch.account import summary
    from foldsketch.web.share import shown

    _, made = _known.model(task)
    told = [*_known.findings, *(f.as_dict() for f in made.findings)]
    return {"facts": shown(made, None), "sheets": len(made.sheets), "summary": summary(made), "findings": told}


def _setups(task: dict[str, Any]) -> dict[str, Any]:
    from foldsketch.web.facts import set_ups

    _, made = _known.model(task)
    planned, told = _known.plans(task)
    return {**set_ups(made, planned), "findings": told}


def _drawn(task: dict[str, Any], which: str) -> tuple[Drawing, ...]:
    """The pages of one kind: sheets (with their backs when asked for), booklet, or talk sheets."""
    from foldsketch import job
    from foldsketch.setup.machine import INVENTED
    from foldsketch.sheet.backs import draw_both
    from foldsketch.sheet.booklet import draw_booklet
    from foldsketch.sheet.draw import draw_sheets
    from foldsketch.sheet.talk import draw_talk

    part, made = _known.model(task)
    if which == "talk":
        planned = _known.plans(task)[0]
        return tuple(draw_talk(part, INVENTED, planned)) if planned else ()
    if which == "booklet":
        count = job.facts(made)
        cut, folds, glued = count["cut length"], int(count["folds"]), int(count["glue joints"])
        return tuple(draw_booklet(made.nets, made.sheets, job.build_minutes(made), cut, folds, glued))
    draw = draw_both if task.get("backs") is True else draw_sheets
    return tuple(draw(made.nets, made.sheets))


def _pages(task: dict[str, Any]) -> dict[str, Any]:
    """Pages as SVG, exactly as they print."""
    from foldsketch.write.svg import svg

    return {"pages": [svg(p).decode() for p in _drawn(task, str(task.get("which")))], "findings": []}


def _read(task: dict[str, Any]) -> dict[str, Any]:
    """A mesh's bytes to a part file's text. The client's name never becomes a path: only its ending is looked at."""
    from foldsketch.base.units import MM_PER
    from foldsketch.mesh.rebuild import rebuild
    from foldsketch.mesh.recognise import read_mesh
    from foldsketch.part.write import part_to_toml

    ending, units = str(task.get("ending", "")).lower(), task.get("units")
    if ending not in ENDINGS:
        return _told(f"meshes end in {', '.join(ENDINGS)}")
    if units not in MM_PER:
        return _told("in which unit is the mesh? it is never guessed; choose mm, cm, m or in")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"mesh{ending}"
        path.write_bytes(task["data"])
        readings = read_mesh(path, units, False, None, task.get("listener", silent))
    found = [f.as_dict() for f in readings[0].findings]
    if not readings[0].turned:
        return {"findings": [*found, *_told("no round features: make it on the command line")["findings"]]}
    part, told = rebuild(readings[0], False)
    text = part_to_toml(part, "Read from a mesh. Edit freely.")
    return {"text": text, "findings": [*found, *(f.as_dict() for f in told)]}


def _download(task: dict[str, Any]) -> dict[str, Any]:
    """A file, or several packed, made in memory."""
    part, made = _known.model(task)
    what = str(task.get("what"))
    if what != "all.zip":
        return {"data": _file(task, part, made, what)}
    files = {}
    for name in ("sheets.pdf", "booklet.pdf", "set-ups.pdf", "model.net.json", "model.html", "part.toml"):
        if name != "set-ups.pdf" or _known.plans(task)[0]:
            files[name] = _file(task, part, made, name)
    files |= _svgs(task)
    if find_spec("ezdxf") is not None:
        files |= _dxfs(made)
    return {"data": _packed(files)}


def _file(task: dict[str, Any], part: Part, made: Model, what: str) -> bytes:
    from foldsketch.base.findings import refuse
    from foldsketch.web.share import share_html
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf

    match what:
        case "sheets.pdf":
            return pdf(_drawn(task, "sheets"), part.name)
        case "booklet.pdf":
            return pdf(_drawn(task, "booklet"), f"{part.name}, booklet")
        case "set-ups.pdf":
            pages = _drawn(task, "talk")
            if not pages:
                raise refuse("set-ups", "there are none to draw", "see the findings")
            return pdf(pages, f"{part.name}, set-ups")
        case "sheets-svg.zip":
            return _packed(_svgs(task))
        case "sheets-dxf.zip":
            if find_spec("ezdxf") is None:
                raise refuse("DXF", "needs the dxf extra", "pip install 'foldsketch[dxf]'")
            return _packed(_dxfs(made))
        case "model.net.json":
            return net_json(made.nets, made.sheets)
        case "model.html":
            return share_html(made, _known.plans(task)[0])
        case _:
            return str(task.get("text", "")).encode()


def _svgs(task: dict[str, Any]) -> dict[str, bytes]:
    from foldsketch.write.svg import svg

    return {f"sheet-{k}.svg": svg(page) for k, page in enumerate(_drawn(task, "sheets"), 1)}


def _dxfs(made: Model) -> dict[str, bytes]:
    from foldsketch.job import dxf_pages

    return {f"sheet-{k}.dxf": data for k, data in enumerate(dxf_pages(made), 1)}


def _packed(files: dict[str, bytes]) -> bytes:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as z:
        for name, data in files.items():
            z.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()
