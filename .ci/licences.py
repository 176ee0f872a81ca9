"""Writes the second half of docs/licence.md: what an installation brings along, under which licence, and why.

    python .ci/licences.py

Names and licences come from the metadata of the packages installed here, reasons from the remarks in pyproject.toml.
tests/packaging compares every licence with the list of those that are allowed.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass, replace
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).resolve().parents[1]
PAGE = ROOT / "docs" / "licence.md"

PERMISSIVE = ("MIT", "MIT-CMU", "HPND", "BSD", "0BSD", "ISC", "Zlib", "CC0-1.0", "Apache-2.0", "PSF-2.0", "Unlicense")
"""Allowed for code. Every BSD licence is named by its beginning."""

FOR_LIBRARIES = ("LGPL-",)
FOR_FONTS = ("OFL-1.1",)

EXCEPTION = "WITH GCC-exception-3.1"
"""The run-time library of the compiler may go with anything that it compiled."""

CLASSIFIED = {
    "MIT License": "MIT",
    "The MIT License (MIT)": "MIT",
    "BSD License": "BSD",
    "Apache Software License": "Apache-2.0",
    "Python Software Foundation License": "PSF-2.0",
    "ISC License (ISCL)": "ISC",
}
"""Classifiers and licence lines of the older metadata, and what they are called today."""

CARRIED = {
    "openblas": ("BSD-3-Clause", "linear algebra"),
    "gfortran": ("GPL-3.0-or-later WITH GCC-exception-3.1", "run-time library of the compiler"),
    "quadmath": ("LGPL-2.1-or-later", "run-time library of the compiler"),
    "gomp": ("GPL-3.0-or-later WITH GCC-exception-3.1", "run-time library of the compiler"),
    "geos": ("LGPL-2.1", "plane geometry, loaded as a library of its own"),
    "TKernel": ("LGPL-2.1 WITH OCCT-exception-1.0", "the CAD kernel of cascadio, loaded as libraries of its own"),
}
"""Compiled libraries inside the wheels that are not under the wheel's own licence, or are worth a word."""


@dataclass(frozen=True, slots=True)
class Brought:
    """One package: by: which packages ask for it; extra: the extra that brings it, or nothing."""

    name: str
    version: str
    licence: str
    by: tuple[str, ...]
    extra: str


def brought() -> list[Brought]:
    """Everything that a plain installation and the extras dxf, web, panels and cad bring, in the order of asking."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    made: dict[str, Brought] = {}
    _follow("foldsketch", project["dependencies"], "", made)
    for extra in ("dxf", "web", "panels", "cad"):
        _follow("foldsketch", project["optional-dependencies"][extra], extra, made)
    return list(made.values())


def _follow(name: str, lines: Iterable[str], extra: str, made: dict[str, Brought]) -> None:
    """Add what the requirements of a package ask for, and what those ask for in turn."""
    for line in lines:
        wanted = Requirement(line)
        if wanted.marker is not None and not wanted.marker.evaluate({"extra": ""}):
            continue
        try:
            found = distribution(wanted.name)
        except PackageNotFoundError:
            raise SystemExit(f"{wanted.name} is not installed, and {name} asks for it") from None
        own = found.metadata["Name"]
        before = made.get(own)
        if before is not None:
            if name not in before.by:
                made[own] = replace(before, by=(*before.by, name))
            continue
        made[own] = Brought(own, found.version, licence_of(found), (name,), extra)
        _follow(own, found.requires or (), extra, made)


def licence_of(found: Distribution) -> str:
    """The licence in today's short names, from the newest kind of metadata that the package has."""
    data = found.metadata
    told = data.get("License-Expression")
    if told:
        return str(told)
    classes = [c.rsplit(" :: ", 1)[-1] for c in data.get_all("Classifier") or [] if c.startswith("License ::")]
    named = [CLASSIFIED[c] for c in classes if c in CLASSIFIED]
    if named:
        return " AND ".join(named)
    first = str(data.get("License") or "").split("\n")[0].strip()
    return CLASSIFIED.get(first, first) or "unknown"


def allowed(licence: str) -> bool:
    """Whether a licence expression is one that may ship: every part joined by AND, one of those joined by OR."""
    text = licence.replace("(", " ").replace(")", " ")
    return all(any(_one(o) for o in re.split(r"\bOR\b", part)) for part in re.split(r"\bAND\b", text))


def _one(name: str) -> bool:
    name = name.strip()
    if name.endswith(EXCEPTION):
        return True
    return name in PERMISSIVE or name.startswith(("BSD-", *FOR_LIBRARIES)) or name in FOR_FONTS


def reasons() -> dict[str, str]:
    """Why each package is here, from the remarks in pyproject.toml."""
    text = (ROOT / "pyproject.toml").read_text("utf-8")
    found: dict[str, str] = {}
    for names, why in re.findall(r"^#   ([\w-]+(?:, [\w-]+)*) +(.*?)(?: \([^()]*\))?$", text, re.M):
        found.update(dict.fromkeys(names.split(", "), why))
    return found


def carried() -> list[tuple[str, str, str, str]]:
    """Compiled libraries inside the wheels: wheel, library, licence, what for."""
    rows = []
    for package in brought():
        for file in distribution(package.name).files or []:
            folder = file.parts[0]
            if folder.endswith((".libs", ".")):  # cascadio names its folder so
                for key, (licence, what) in CARRIED.items():
                    if key in file.name:
                        rows.append((package.name, key, licence, what))
    return sorted(set(rows))


HEADING = "## What an installation brings along"

HEAD = """
Written by `python .ci/licences.py` from the packages' own metadata. A test compares every licence with the list of
those allowed: permissive ones, LGPL for libraries that are loaded as such, OFL for fonts.

| package | version seen | licence | required by | why |
|---|---|---|---|---|"""

INSIDE = """
## Compiled libraries inside the wheels

Wheels for Linux contain libraries of their own. The ones to know about:

| wheel | library | licence | what for |
|---|---|---|---|"""

FOOT = """
pillow's wheel contains the usual libraries for picture formats; its own licence file lists them. reportlab's wheel
contains some fonts, one of them (Dark Garden) under the GPL with an exception for documents: Foldsketch uses none of
them. The sheets embed a subset of Noto Sans (OFL-1.1), as its licence allows. The tests use more packages (extra
`test`), among them gmsh (GPL); nothing that ships imports them."""


def page() -> str:
    """The page, as Markdown: the licence of Foldsketch as it is, and what comes with it."""
    own_licence = PAGE.read_text("utf-8").partition(HEADING)[0]
    why = {k.lower().replace("_", "-"): v for k, v in reasons().items()}
    lines = [own_licence + HEADING, HEAD]
    for b in brought():
        own = why.get(b.name.lower().replace("_", "-"), "")
        extra = f" (extra `{b.extra}`)" if b.extra else ""
        lines.append(f"| {b.name} | {b.version} | {b.licence} | {', '.join(b.by)}{extra} | {own} |")
    lines.append(INSIDE)
    lines += [f"| {w} | {k} | {lic} | {what} |" for w, k, lic, what in carried()]
    lines.append(FOOT)
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PAGE.write_text(page(), "utf-8")
    print(f"wrote {PAGE.relative_to(ROOT)}")
