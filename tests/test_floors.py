"""Imports point down: each folder is a floor and sees only the floors below it; heavy libraries wait until needed."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

import foldsketch

HOUSE = Path(foldsketch.__file__).parent

BELOW = {
    "base": set(),
    "geometry": {"base"},
    "part": {"base", "geometry"},
    "mesh": {"base", "geometry", "part"},
    "solid": {"base", "geometry", "part"},
    "setup": {"base", "geometry", "part"},
    "net": {"base", "geometry", "part", "solid"},
    "assembly": {"base", "geometry", "net"},
    "sheet": {"base", "geometry", "part", "solid", "net", "assembly", "setup"},
    "write": {"base"},
    "job": {"base", "part", "mesh", "solid", "net", "assembly", "setup", "sheet", "write"},
    "web": {"base", "part", "mesh", "solid", "net", "setup", "sheet", "write", "job"},
    "commands": {"base", "part", "mesh", "solid", "setup", "assembly", "sheet", "write", "job", "web"},
}
"""What each floor may import. setup is a sibling of solid and net and knows neither."""

ROOMS = {
    "part": [
        "picture",
        "model",
        "material",
        "cutting",
        "messages",
        "mass",
        "file",
        "spoken",
        "bore_openings",
        "details",
        "reduction",
        "tiny_steps",
        "collisions",
        "check",
    ],
    "mesh": [
        "geometry",
        "files",
        "repair",
        "segmentation",
        "cad",
        "features",
        "comparison",
        "rebuild",
        "panels",
        "report",
    ],
    "solid": ["messages", "faceting", "joining", "card"],
    "net": [
        "messages",
        "model",
        "labels",
        "rolled_strips",
        "folding",
        "unfolding",
        "slit_check",
        "tuck_check",
        "refold",
        "edge_tabs",
        "tucked_tabs",
        "foot_tongues",
        "tabs",
        "open_feet",
        "marks",
        "pieces",
        "build",
    ],
    "setup": [
        "messages",
        "formulas",
        "speed_text",
        "model",
        "cutters",
        "spindle",
        "machine",
        "machine_file",
        "access",
        "work",
        "plan",
    ],
    "sheet": ["messages", "layout", "page", "booklet", "setup_sheets", "by_hand", "lessons"],
}
"""The rooms of a floor, folders and modules, from below: each imports only those before it."""

KNOWS_MODELS = {("write", "net_json"): {"net.model", "sheet.layout"}}
"""write sees Drawings only; the net file's writer also sees the frozen models it writes down."""

ONLY_USER = {
    "manifold3d": {"solid", "mesh"},
    "reportlab": {"write"},
    "svgwrite": {"write"},
    "PIL": {"write"},
    "trimesh": {"mesh"},
    "ezdxf": {"write"},
    "fast_simplification": {"mesh"},
    "cascadio": {"mesh"},
}


def modules():
    return [p for p in HOUSE.rglob("*.py") if p.parent != HOUSE]


@cache
def imports(path):
    found = []
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found += [(a.name, node) for a in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append((node.module, node))
    return found


def targets(path):
    """Every module of ours that a module imports, as parts of its name below foldsketch."""
    for name, node in imports(path):
        if not name.startswith("foldsketch."):
            continue
        parts = name.split(".")[1:]
        if isinstance(node, ast.ImportFrom) and HOUSE.joinpath(*parts).is_dir():
            yield from ([*parts, a.name] for a in node.names)
        else:
            yield parts


@pytest.mark.parametrize("floor", sorted({p.relative_to(HOUSE).parts[0] for p in modules()}))
def test_imports_point_down(floor):
    for path in HOUSE.joinpath(floor).rglob("*.py"):
        check_imports(path)


def check_imports(path):
    own = path.relative_to(HOUSE).with_suffix("").parts
    floor, rooms = own[0], ROOMS.get(own[0], [])
    for parts in targets(path):
        if parts[0] != floor:
            known = KNOWS_MODELS.get((floor, path.stem), set())
            assert parts[0] in BELOW[floor] or ".".join(parts[:2]) in known, f"{path} imports {'.'.join(parts)}"
        elif rooms and own[1] != "__init__" and parts[1] in rooms and parts[1] != own[1]:
            assert rooms.index(parts[1]) < rooms.index(own[1]), f"{path} imports {'.'.join(parts)}"


def test_every_room_is_named():
    for floor, rooms in ROOMS.items():
        found = {p.stem for p in (HOUSE / floor).iterdir() if p.suffix == ".py" or (p / "__init__.py").exists()}
        assert found - {"__init__"} == set(rooms)


def test_one_floor_uses_each_library():
    for path in modules():
        floor = path.relative_to(HOUSE).parts[0]
        for name, _ in imports(path):
            users = ONLY_USER.get(name.split(".")[0], {floor})
            assert floor in users, f"{path.relative_to(HOUSE)} imports {name}"


def test_importing_the_package_is_light():
    code = (
        "import sys, foldsketch; heavy = ('numpy','trimesh','shapely','manifold3d','reportlab','svgwrite','PIL'); "
        "print([m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_a_part_file_needs_no_mesh_library():
    code = (
        "import sys, foldsketch.job.pipeline, foldsketch.cli; "
        "print([m for m in ('trimesh','scipy','networkx') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


MAX_MODULE_LINES, MAX_FUNCTION_LINES = 250, 60
"""Lines of a module and of a function at most, docstrings apart."""


def docstring_lines(node):
    """Lines that the docstrings in a syntax tree take."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    texts = [n.body[0] for n in ast.walk(node) if isinstance(n, documented) and ast.get_docstring(n) is not None]
    return sum(t.end_lineno - t.lineno + 1 for t in texts)


def test_modules_and_functions_are_short():
    for path in modules():
        text = path.read_text("utf-8")
        tree = ast.parse(text)
        assert len(text.splitlines()) - docstring_lines(tree) <= MAX_MODULE_LINES, path
        functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)]
        long = [f for f in functions if f.end_lineno - f.lineno >= MAX_FUNCTION_LINES]
        long = [f.name for f in long if f.end_lineno - f.lineno + 1 - docstring_lines(f) > MAX_FUNCTION_LINES]
        assert not long, path
