"""A mutation pass: small faults are put into a floor one at a time, and its tests must notice.

Run it in a clone, for the files are changed and put back:
git clone . /tmp/clone && cd /tmp/clone
PYTHONPATH=. python benchmarks/mutate.py setup 200 1     # floor, mutants, seed
"""

from __future__ import annotations

import ast
import json
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import pytest

ROOT = Path(__file__).parents[1]
SECONDS = 240

VALIDATION = "tests/validation"

TESTS = {
    "setup": [
        "tests/setup",
        f"{VALIDATION}/test_balance_figures.py",
        f"{VALIDATION}/test_deflection_figures.py",
        f"{VALIDATION}/test_packing_figures.py",
        f"{VALIDATION}/test_work_states.py",
        f"{VALIDATION}/test_worked_set_ups.py",
        "tests/sheet/setup_sheets",
        "tests/commands/test_setups.py",
    ],
    "solid": [
        "tests/solid",
        f"{VALIDATION}/test_regular_polygons.py",
        f"{VALIDATION}/test_developments.py",
        f"{VALIDATION}/test_polyhedra.py",
        "tests/net/test_build.py",
    ],
    "net": [
        "tests/net",
        "tests/assembly",
        f"{VALIDATION}/test_polyhedra.py",
        "tests/write/test_net_json.py",
        f"{VALIDATION}/test_developments.py",
        f"{VALIDATION}/test_regular_polygons.py",
    ],
    "mesh": [
        "tests/mesh",
        f"{VALIDATION}/test_mesh_gmsh.py",
        f"{VALIDATION}/test_mesh_worn.py",
        "tests/commands/test_read.py",
    ],
}
"""The tests that must notice a fault in a floor; those marked slow are left out."""

COMPARE = {
    ast.Lt: "<=", ast.LtE: "<", ast.Gt: ">=", ast.GtE: ">", ast.Eq: "!=", ast.NotEq: "==", ast.Is: "is not",
    ast.IsNot: "is", ast.In: "not in", ast.NotIn: "in",
}  # fmt: skip
COUNT = {
    ast.Add: "-", ast.Sub: "+", ast.Mult: "/", ast.Div: "*", ast.FloorDiv: "*", ast.Mod: "*", ast.Pow: "*",
    ast.BitOr: "&", ast.BitAnd: "|",
}  # fmt: skip
SWAP = {"min": "max", "max": "min", "any": "all", "all": "any", "sin": "cos", "cos": "sin", "floor": "ceil"}


@dataclass(frozen=True, slots=True)
class Mutant:
    """One fault: where it is in a file, the text before and the text after.

    place: the first line of the function around it, 0 outside of functions and in those that keep their answers.
    """

    path: Path
    line: int
    start: int
    end: int
    before: str
    after: str
    place: int = 0


def mutants(path: Path) -> list[Mutant]:
    """Every fault that can be put into a file. Docstrings, annotations and messages stay as they are."""
    text = path.read_text("utf-8")
    starts = [0]
    for row in text.split("\n"):
        starts.append(starts[-1] + len(row.encode()) + 1)
    data = text.encode()
    found = []
    tree = ast.parse(text)
    defs = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)]
    for node, after in _walk(tree):
        around = [d for d in defs if d.body[0].lineno <= node.lineno <= (d.end_lineno or 0)]
        inner = max(around, key=lambda d: d.lineno, default=None)
        place = 0 if inner is None or inner.decorator_list else inner.lineno
        start = starts[node.lineno - 1] + node.col_offset
        end = starts[node.end_lineno - 1] + node.end_col_offset
        found.append(Mutant(path, node.lineno, start, end, data[start:end].decode(), after, place))
    return [m for m in found if m.after != m.before]


def _walk(tree: ast.AST) -> Iterator[tuple[ast.expr | ast.stmt, str]]:
    skip: set[int] = set()
    for node in ast.walk(tree):
        inner: list[ast.AST | None] = []
        if isinstance(node, ast.FunctionDef):
            inner = [node.returns, *(a.annotation for a in (*node.args.args, *node.args.kwonlyargs))]
        elif isinstance(node, ast.AnnAssign):
            inner = [node.annotation]
        elif (
            isinstance(node, ast.JoinedStr)
            or (
                isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("refuse", "Finding")
            )
            or (isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING")
        ):
            inner = [node]
        for top in inner:
            if top is not None:
                skip.update(id(n) for n in ast.walk(top))
    for node in ast.walk(tree):
        if id(node) not in skip:
            yield from ((node, after) for after in _changed(node))  # type: ignore[misc]


def _changed(node: ast.AST) -> Iterator[str]:
    say = ast.unparse
    match node:
        case ast.Compare(left=a, ops=[op], comparators=[b]) if type(op) in COMPARE:
            yield f"({say(a)} {COMPARE[type(op)]} {say(b)})"
        case ast.Compare(left=a, ops=[op, more], comparators=[b, c]) if type(op) in COMPARE:
            yield f"({say(a)} {COMPARE[type(op)]} {say(b)} and {say(a)} == {say(a)})"
            yield f"({say(b)} {COMPARE[type(more)]} {say(c)})"
        case ast.BinOp(left=a, op=op, right=b) if type(op) in COUNT and not isinstance(a, ast.Constant | ast.JoinedStr):
            yield f"({say(a)} {COUNT[type(op)]} {say(b)})"
        case ast.BinOp(left=ast.Constant(value=int() | float()) as a, op=op, right=b) if type(op) in COUNT:
            yield f"({say(a)} {COUNT[type(op)]} {say(b)})"
        case ast.BoolOp(op=op, values=[a, *rest]):
            word = "or" if isinstance(op, ast.And) else "and"
            yield "(" + f" {word} ".join(f"({say(v)})" for v in (a, *rest)) + ")"
            yield "(" + f" {'and' if word == 'or' else 'or'} ".join(f"({say(v)})" for v in rest) + ")"
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=a):
            yield f"({say(a)})"
        case ast.Constant(value=bool(v)):
            yield str(not v)
        case ast.Constant(value=int(v)):
            yield str(v + 1)
        case ast.Constant(value=float(v)) if v:
            yield repr(v * 1.5)
        case ast.Call(func=ast.Name(id=name), args=args, keywords=more) if name in SWAP:
            yield f"{SWAP[name]}({', '.join([*map(say, args), *(f'{k.arg}={say(k.value)}' for k in more)])})"
        case ast.Expr(value=ast.Call(func=ast.Attribute(attr="append" | "extend" | "add" | "update"))):
            yield "pass"
        case ast.AugAssign(target=a, op=op, value=b) if type(op) in COUNT:
            yield f"{say(a)} {COUNT[type(op)]}= {say(b)}"
        case ast.Continue():
            yield "break"
        case ast.Return(value=ast.expr() as v) if not isinstance(v, ast.Constant):
            yield "return None"


def noticed(mutant: Mutant, tests: list[str]) -> str:
    """killed, survived or slow: what the tests say in a process of their own."""
    whole = mutant.path.read_bytes()
    mutant.path.write_bytes(whole[: mutant.start] + mutant.after.encode() + whole[mutant.end :])
    try:
        child = os.fork()
        if child == 0:
            os.setsid()
            _child(tests)
        end = time.monotonic() + SECONDS
        while time.monotonic() < end:
            done, status = os.waitpid(child, os.WNOHANG)
            if done:
                return "survived" if os.waitstatus_to_exitcode(status) == 0 else "killed"
            time.sleep(0.05)
        os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        return "slow"
    finally:
        mutant.path.write_bytes(whole)


class Reach:
    """A pytest plugin that notes which functions of a floor each test calls, and how long the test takes.

    Of tests that share a cached model or a fixture only the first calls what makes it: what survives here may still be
    noticed when the whole file runs.
    """

    def __init__(self, floor: Path) -> None:
        self.floor = str(floor)
        self.calls: dict[str, list[tuple[float, str]]] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """Around each test."""
        seen: set[tuple[str, int]] = set()

        def note(frame: FrameType, event: str, argument: object) -> None:
            if frame.f_code.co_filename.startswith(self.floor):
                seen.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

        begun = time.monotonic()
        sys.settrace(note)
        try:
            return (yield)
        finally:
            sys.settrace(None)
            spent = time.monotonic() - begun
            for file, line in {*seen, ("all", 0)}:
                self.calls.setdefault(f"{file}:{line}", []).append((spent, item.nodeid))


def reach(floor: Path, tests: list[str]) -> dict[str, list[str]]:
    """file:line of every function of a floor that tests call, with those tests, the quickest first; all:0 has all."""
    with tempfile.NamedTemporaryFile() as out:
        child = os.fork()
        if child == 0:
            told = Reach(floor)
            _child(tests, [told], lambda: Path(out.name).write_text(json.dumps(told.calls)))
        if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
            raise SystemExit("the tests fail without any mutant")
        calls = json.loads(Path(out.name).read_text())
    return {place: [name for _, name in sorted(found)] for place, found in calls.items()}


def _child(tests: list[str], plugins: Sequence[object] = (), after: Callable[[], object] = lambda: None) -> None:
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, 1)
    os.dup2(quiet, 2)
    code = 3
    try:
        code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "--hypothesis-seed=1", *tests], list(plugins)))
        after()
    finally:
        os._exit(code)


def main(floor: str, count: int, seed: int) -> int:
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    os.chdir(ROOT)
    for cache in ROOT.glob("foldsketch/**/__pycache__"):
        shutil.rmtree(cache)
    # The libraries are loaded once, ours anew for every mutant.
    for name in ("numpy", "shapely", "shapely.ops", "scipy.spatial", "manifold3d", "reportlab"):
        __import__(name)
    tests = TESTS[floor]
    every = [m for p in sorted((ROOT / "foldsketch" / floor).rglob("*.py")) for m in mutants(p)]
    chosen = random.Random(seed).sample(every, min(count, len(every)))
    calls = reach(ROOT / "foldsketch" / floor, tests)
    tally: Counter[str] = Counter()
    for k, m in enumerate(chosen, 1):
        try:
            ast.parse((b := m.path.read_bytes())[: m.start] + m.after.encode() + b[m.end :])
        except SyntaxError:
            tally["no program"] += 1
            continue
        those = calls.get(f"{m.path}:{m.place}", []) if m.place else calls["all:0"]
        what = noticed(m, those) if those else "survived"
        tally[what] += 1
        if what == "survived":
            where = m.path.relative_to(ROOT)
            print(f"{where}:{m.line}: {m.before}  ->  {m.after}{'' if those else '  (no test comes here)'}", flush=True)
        if k % 50 == 0:
            print(f"# {k} of {len(chosen)}: {dict(tally)}", flush=True)
    noted = tally["killed"] + tally["slow"]
    tried = noted + tally["survived"]
    print(f"{floor}: {len(every)} mutants can be made, {tried} tried, {noted} noticed ({noted / max(1, tried):.0%})")
    return 0


if __name__ == "__main__":
    words = [*sys.argv[1:], *("setup", "200", "1")[len(sys.argv) - 1 :]]
    raise SystemExit(main(words[0], int(words[1]), int(words[2])))
