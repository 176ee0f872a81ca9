"""Random parts of 1 to 8 round features as STEP and IGES files, written by the exact kernel in an OCP wheel.

Run: python benchmarks/ocp_parts.py [--parts 40]

Each part is drawn in a random pose, some of its rounds in two halves, and written in mm, inches and metres, as an
assembly of two, and with all its surfaces as splines. Prints for each kind of file: cylinders drawn, found, missed,
invented; worst error of diameter and axis, mm; the longest time, s.

Needs `pip install -e '.[ocp]'`. Drawing and writing use nothing of foldsketch.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeWire,
    BRepBuilderAPI_NurbsConvert,
    BRepBuilderAPI_Transform,
)
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.IGESControl import IGESControl_Controller, IGESControl_Writer
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_PrinterOStream
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Compound, TopoDS_Shape

sys.path.insert(0, str(Path(__file__).parent))

from reading import Pose, Score, random_pose, score
from reading_parts import Drawn, Round

MOST_FEATURES = 8
KINDS = ("step, mm", "step, in", "step, m", "step, assembly", "step, splines", "iges, mm", "iges, in")
Z = gp_Dir(0, 0, 1)
Message.DefaultMessenger_s().RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())  # a page of words a file


@dataclass(frozen=True)
class Disc:
    """A cylinder along z. halves: its face is in two halves."""

    x: float
    y: float
    low: float
    high: float
    radius: float
    inner: bool = False
    halves: bool = False

    def shape(self, grown: float = 0.0) -> TopoDS_Shape:
        """The solid, longer by so many mm at both ends."""
        low, height = self.low - grown, self.high - self.low + 2 * grown
        axes = gp_Ax2(gp_Pnt(self.x, self.y, low), Z)
        if not self.halves:
            return BRepPrimAPI_MakeCylinder(axes, self.radius, height).Shape()
        circle = gp_Circ(axes, self.radius)
        wire = BRepBuilderAPI_MakeWire()
        for start in (0.0, np.pi):
            wire.Add(BRepBuilderAPI_MakeEdge(circle, start, start + np.pi).Edge())
        return BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(wire.Wire()).Face(), gp_Vec(0, 0, height)).Shape()


def random_discs(seed: int) -> list[Disc]:
    """A flange with bosses and bores on it that do not meet, some bosses with a bore of their own."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(1, MOST_FEATURES + 1))
    thick, radius = rng.uniform(8, 20), rng.uniform(40, 60)
    out = [Disc(0, 0, 0, thick, radius, halves=rng.random() < 0.3)]
    taken: list[tuple[float, float, float]] = []
    while len(out) < count:
        r = rng.uniform(3, 14)
        angle, away = rng.uniform(0, 2 * np.pi), rng.uniform(0, radius - r - 1.5)
        x, y = away * np.cos(angle), away * np.sin(angle)
        if any(np.hypot(x - a, y - b) < r + c + 1.5 for a, b, c in taken):
            continue
        taken.append((x, y, r))
        if rng.random() < 0.5:
            out.append(Disc(x, y, 0, thick, r, inner=True, halves=rng.random() < 0.3))
            continue
        top = thick + rng.uniform(5, 40)
        out.append(Disc(x, y, thick, top, r, halves=rng.random() < 0.3))
        if len(out) < count and rng.random() < 0.5:
            out.append(Disc(x, y, 0, top, r * rng.uniform(0.3, 0.7), inner=True))
    return out


def solid(discs: list[Disc]) -> TopoDS_Shape:
    """The part that discs make."""
    made = discs[0].shape()
    for d in discs[1:]:
        if not d.inner:  # into the flange by a millimetre, so that the two are one
            made = BRepAlgoAPI_Fuse(made, Disc(d.x, d.y, d.low - 1, d.high, d.radius, halves=d.halves).shape()).Shape()
    for d in discs:
        if d.inner:
            made = BRepAlgoAPI_Cut(made, d.shape(1.0)).Shape()
    return made


def placed(shape: TopoDS_Shape, pose: Pose) -> TopoDS_Shape:
    """A shape turned and shifted."""
    t, s = pose.turn, pose.shift
    move = gp_Trsf()
    move.SetValues(*(float(v) for k in range(3) for v in (*t[k], s[k])))
    return BRepBuilderAPI_Transform(shape, move, True).Shape()


def write(shape: TopoDS_Shape, path: Path, unit: str = "MM") -> None:
    """Write a STEP or IGES file with its numbers in a unit: MM, INCH or M."""
    if path.suffix == ".step":
        writer = STEPControl_Writer()
        Interface_Static.SetCVal_s("write.step.unit", unit)
        Interface_Static.SetIVal_s("write.step.assembly", 2)
        writer.Transfer(shape, STEPControl_AsIs)
        writer.Write(str(path))
    else:
        IGESControl_Controller.Init_s()
        igs = IGESControl_Writer({"INCH": "IN"}.get(unit, unit), 1)
        igs.AddShape(shape)
        igs.ComputeModel()
        igs.Write(str(path))


def two_of(shape: TopoDS_Shape, apart: float) -> TopoDS_Compound:
    """An assembly of a shape and of a second one so many mm beside it."""
    pair, builder, move = TopoDS_Compound(), BRep_Builder(), gp_Trsf()
    builder.MakeCompound(pair)
    builder.Add(pair, shape)
    move.SetTranslation(gp_Vec(apart, 0, 0))
    builder.Add(pair, shape.Located(TopLoc_Location(move)))
    return pair


def write_random(seed: int, kind: str, path: Path) -> tuple[Drawn, Pose]:
    """Write one random part as a kind of file; its truth and its pose."""
    discs, pose = random_discs(seed), random_pose(seed)
    shape = placed(solid(discs), pose)
    if kind.endswith("splines"):
        shape = BRepBuilderAPI_NurbsConvert(shape, True).Shape()
    truth = [Round((d.x, d.y, 0.0), (0.0, 0.0, 1.0), 2 * d.radius, d.inner) for d in discs]
    if kind.endswith("assembly"):
        aside = (pose.turn.T @ np.array([300.0, 0, 0])).tolist()
        shape = two_of(shape, 300.0)
        truth += [
            Round((d.x + aside[0], d.y + aside[1], aside[2]), (0.0, 0.0, 1.0), 2 * d.radius, d.inner) for d in discs
        ]
    write(shape, path, {"in": "INCH", "m": "M"}.get(kind.split(", ")[1], "MM"))
    return Drawn(f"random {seed}", np.zeros((0, 3, 3)), truth, 0.0, 0.0), pose


def read_random(seed: int, kind: str, folder: Path) -> Score:
    """Write a random part, read it, and hold what was found against what was drawn."""
    from foldsketch.mesh.features.recognise import recognise_mesh

    path = folder / f"random{'.iges' if kind.startswith('iges') else '.step'}"
    drawn, pose = write_random(seed, kind, path)
    start = time.perf_counter()
    found = score(drawn, pose, recognise_mesh(path), 0.01)
    found.seconds = time.perf_counter() - start
    return found


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--parts", type=int, default=40)
    a = ask.parse_args()
    print(
        "| file | parts | cylinders | found | missed | invented | diameter off | axis off |", "|" + "---|" * 8, sep="\n"
    )
    with tempfile.TemporaryDirectory() as folder:
        for kind in KINDS:
            done = [read_random(seed, kind, Path(folder)) for seed in range(a.parts)]
            for seed, s in enumerate(done):
                if s.missed or s.invented or max(s.diameter, s.position) > 1e-6:
                    print(f"  {kind}, {seed}: {s.found} of {s.drawn}, {s.invented} invented, {s.diameter:.1e}")
            sums = [sum(getattr(s, key) for s in done) for key in ("drawn", "found", "missed", "invented")]
            worst = max(s.diameter for s in done), max(s.position for s in done)
            cells = [kind, len(done), *sums, *(f"{x:.0e} mm" if x > 1e-9 else "< 1e-9 mm" for x in worst)]
            print(f"| {' | '.join(map(str, cells))} | slowest {max(s.seconds for s in done):.1f} s", flush=True)


if __name__ == "__main__":
    main()
