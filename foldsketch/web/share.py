"""The file to send: one HTML page that shows the model folding and turning, with its figures, without a server."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from importlib.resources import files
from typing import Any

from foldsketch.job.model import Model
from foldsketch.setup.machine import Machine
from foldsketch.setup.model import SetUpPlan
from foldsketch.web.axis_colours import axis_style_sheet
from foldsketch.web.facts import MAX_ANIMATED_PANELS, model_facts

SHARE_PAGE_TEMPLATE = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title}</title>
<style>{style}</style>
</head>
<body>
<main id="page"></main>
<noscript>This page needs its own script to fold the model; allow scripts for this file.</noscript>
<script type="application/json" id="facts">{facts}</script>
<script>{script}</script>
</body>
</html>
"""


START_SCRIPT = (
    'foldsketchShow(JSON.parse(document.getElementById("facts").textContent), document.getElementById("page"));\n'
)


SCRIPT_FILES = (
    *("motion.js", "paper.js", "quick.js", "centreline.js"),
    *("holding.js", "model.js", "view.js", "steps.js", "setups.js", "page.js"),
)
"""The scripts of the file to send, in the order in which they run; the page has them too."""


def share(made: Model, planned: SetUpPlan | None = None, machine: Machine | None = None) -> bytes:
    """One HTML page that shows the model folding and turning in any browser, without a network.

    Parameters
    ----------
    made : Model
        From `model`.
    planned : SetUpPlan, optional
        From `plan`; without it the page shows no set-ups.
    machine : Machine, optional
        The one that was planned for; without it the page shows no chuck and no jaws.

    Returns
    -------
    bytes
        The page. All of it is in this one file; its policy forbids any request and any other script.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> foldsketch.share(foldsketch.model(part), foldsketch.plan(part))[:15]
    b'<!doctype html>'
    """
    values = facts_or_picture(made, planned, machine)
    style = page_css()
    script = "".join(web_file_text(name) for name in SCRIPT_FILES) + START_SCRIPT
    policy = (
        f"default-src 'none'; style-src 'sha256-{_sha256_base64(style)}'; script-src "
        f"'sha256-{_sha256_base64(script)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    page = SHARE_PAGE_TEMPLATE.format(
        policy=policy,
        title=html.escape(f"{made.part.name}: fold and spin"),
        style=style,
        facts=_embeddable_json(values),
        script=script,
    )
    return page.encode()


def facts_or_picture(made: Model, planned: SetUpPlan | None, machine: Machine | None = None) -> dict[str, Any]:
    """What the stage shows: the facts, or a still picture of a model with more panels than a browser can move."""
    values = model_facts(made, planned, machine)
    if values["panels"] > MAX_ANIMATED_PANELS:
        from foldsketch.job.preview import preview_png

        picture = preview_png(made.part, made.faceted, made.solids, made.nets.scale, made.nets)
        values["pieces"] = []
        values["picture"] = "data:image/png;base64," + base64.b64encode(picture).decode()
    return values


def page_css() -> str:
    """How the page and the file to send look, with the colours of the axes."""
    return web_file_text("page.css") + axis_style_sheet()


def web_file_text(name: str) -> str:
    """One of the files that ship with the page."""
    return (files("foldsketch.web") / "files" / name).read_text("utf-8")


def _sha256_base64(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _embeddable_json(values: dict[str, Any]) -> str:
    """JSON that cannot end its script element, whatever the names in it are."""
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e").replace("\u2028", "\\u2028")
