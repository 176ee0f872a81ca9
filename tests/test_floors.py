"""Imports point down: each folder is a floor and sees only the floors below it; heavy libraries wait until needed."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import foldsketch

HOUSE = Path(foldsketch.__file__).parent

BELOW = {
    "base": set(),
    "part": {"base"},
    "mesh": {"base", "part"},
    "solid": {"base", "part"},
    "setup": {"base", "part"},
    "net": {"base", "part", "solid"},
    "sheet": {"base", "part", "solid", "net", "setup"},
    "write": {"base"},
}
"""What each floor may import. setup is a sibling of solid and net and knows neither."""

KNOWS_MODELS = {("write", "net_json"): {"net.model", "sheet.model"}}
"""write sees Drawings only; the net file's writer also sees the frozen models it writes down."""

ONLY_USER = {
    "manifold3d": {"solid"},
    "reportlab": {"write"},
    "svgwrite": {"write"},
    "PIL": {"write"},
    "trimesh": {"mesh"},
    "ezdxf": {"write"},
    "fast_simplification": {"mesh"},
}


def modules():
    return [p for p in HOUSE.rglob("*.py") if p.parent != HOUSE]


def imports(path):
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((a.name, node) for a in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module, node


@pytest.mark.parametrize("path", modules(), ids=lambda p: str(p.relative_to(HOUSE)))
def test_imports_point_down(path):
    floor = path.relative_to(HOUSE).parts[0]
    if floor not in BELOW:
        pytest.skip("above the floors")
    for name, _ in imports(path):
        if not name.startswith("foldsketch"):
            continue
        parts = name.split(".")
        target = parts[1] if len(parts) > 1 else ""
        if target == floor or target in BELOW[floor]:
            continue
        extra = KNOWS_MODELS.get((floor, path.stem), set())
        assert ".".join(parts[1:3]) in extra, f"{path.relative_to(HOUSE)} imports {name}"


@pytest.mark.parametrize("library", ONLY_USER)
def test_one_floor_uses_each_library(library):
    for path in modules():
        floor = path.relative_to(HOUSE).parts[0]
        for name, _ in imports(path):
            if name.split(".")[0] == library:
                assert floor in ONLY_USER[library], f"{path.relative_to(HOUSE)} imports {name}"


def test_importing_the_package_is_light():
    code = (
        "import sys, foldsketch; heavy = ('numpy','trimesh','shapely','manifold3d','reportlab','svgwrite','PIL'); "
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_part_file_needs_no_mesh_library():
    code = (
        "import sys, foldsketch.job, foldsketch.cli; "
        "print([m for m in ('trimesh','scipy','networkx') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
