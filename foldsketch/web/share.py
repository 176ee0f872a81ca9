"""The file to send: one HTML page that folds, spins and gives the figures, without a server and without the network."""

from __future__ import annotations

import base64
import hashlib
import html
import json
from importlib.resources import files
from typing import Any

from foldsketch.job.pipeline import Model
from foldsketch.setup.model import SetUpPlan
from foldsketch.web.axis_colours import paints
from foldsketch.web.facts import MOST_PANELS, facts

PAGE = """<!doctype html>
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
<noscript>This page folds the model with a script of its own; allow scripts for this file.</noscript>
<script type="application/json" id="facts">{facts}</script>
<script>{script}</script>
</body>
</html>
"""


START = """foldsketchShow(JSON.parse(document.getElementById("facts").textContent), document.getElementById("page"));
"""


SCRIPTS = ("quick.js", "model.js", "page.js")


def share_html(made: Model, plan: SetUpPlan | None) -> bytes:
    """The page's bytes. Everything stands in it; its policy forbids any request and any other script."""
    values = shown(made, plan)
    style = page_style()
    script = "".join(file_text(name) for name in SCRIPTS) + START
    policy = (
        f"default-src 'none'; style-src 'sha256-{_digest(style)}'; script-src 'sha256-{_digest(script)}'; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    page = PAGE.format(
        policy=policy,
        title=html.escape(f"{made.part.name}: fold and spin"),
        style=style,
        facts=_embedded(values),
        script=script,
    )
    return page.encode()


def shown(made: Model, plan: SetUpPlan | None) -> dict[str, Any]:
    """What the stage shows: the facts, or a still picture in place of more panels than a browser can move."""
    values = facts(made, plan)
    if values["panels"] > MOST_PANELS:
        from foldsketch.job.preview import preview_of

        picture = preview_of(made.part, made.faceted, made.solids, made.nets.scale)
        values["pieces"] = []
        values["picture"] = "data:image/png;base64," + base64.b64encode(picture).decode()
    return values


def page_style() -> str:
    """How the page and the file to send look, with the colours of the axes."""
    return file_text("page.css") + paints()


def file_text(name: str) -> str:
    """One of the files that ship with the page."""
    return (files("foldsketch.web") / "files" / name).read_text("utf-8")


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _embedded(values: dict[str, Any]) -> str:
    """JSON that cannot end its script element, whatever the names in it are."""
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e").replace("\u2028", "\\u2028")
