"""Parts with known round features, meshed by the exact kernel in the gmsh wheel: the outside check of the mesh reader.

Every builder draws with gmsh.model.occ and returns the truth: the round surfaces that the drawing has. Nothing here
uses foldsketch.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

import gmsh
import numpy as np
import trimesh

Array = np.ndarray
Vec = tuple[float, float, float]
X, Y, Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


@dataclass(frozen=True)
class Round:
    """A round surface that was drawn. diameter: mm; may: allowed in a reading, not required."""

    point: Vec
    direction: Vec
    diameter: float
    inner: bool = False
    kind: str = "cylinder"
    may: bool = False


@dataclass
class Drawn:
    """Triangles (m, 3, 3) mm and the truth about them."""

    name: str
    triangles: Array
    truth: list[Round]
    volume: float
    area: float
    notes: tuple[str, ...] = field(default=())


@contextmanager
def kernel() -> Iterator[None]:
    """The kernel, quiet. Inside another one it is the same, and the outer one ends it."""
    if gmsh.isInitialized():
        yield
        return
    gmsh.initialize(interruptible=False)
    gmsh.option.setNumber("General.Terminal", 0)
    gmsh.option.setNumber("General.NumThreads", 1)
    gmsh.option.setNumber("Geometry.OCCParallel", 0)
    try:
        yield
    finally:
        gmsh.finalize()


def draw(name: str, per_turn: int = 32, largest: float = 0.0) -> Drawn:
    """Draw and mesh one of PARTS. per_turn: mesh points on a full circle; largest: mesh size bound in mm or 0."""
    builder = PARTS[name]
    gmsh.model.add(name)
    try:
        truth = builder()
        gmsh.model.occ.synchronize()
        solids = gmsh.model.getEntities(3)
        volume = sum(gmsh.model.occ.getMass(*s) for s in solids)
        area = sum(gmsh.model.occ.getMass(*s) for s in gmsh.model.getBoundary(solids, oriented=False))
        gmsh.option.setNumber("Mesh.MeshSizeFromCurvature", per_turn)
        gmsh.option.setNumber("Mesh.MeshSizeMax", largest or 1e22)
        gmsh.option.setNumber("Mesh.MeshSizeExtendFromBoundary", 0)
        gmsh.model.mesh.generate(2)
        triangles = _triangles(solids)
    finally:
        gmsh.model.remove()
    return Drawn(name, triangles, truth, volume, area)


def _triangles(solids: list[tuple[int, int]]) -> Array:
    tags, xyz, _ = gmsh.model.mesh.getNodes()
    where = np.zeros(int(tags.max()) + 1, dtype=int)
    where[tags.astype(int)] = np.arange(len(tags))
    points = xyz.reshape(-1, 3)
    out = []
    for solid in solids:
        for dim, tag in gmsh.model.getBoundary([solid], oriented=False):
            kinds, _, nodes = gmsh.model.mesh.getElements(dim, tag)
            for kind, n in zip(kinds, nodes, strict=True):
                if kind != 2:
                    continue
                out.append(points[where[n.astype(int)]].reshape(-1, 3, 3))
    soup = np.concatenate(out)
    mesh = trimesh.Trimesh(soup.reshape(-1, 3), np.arange(3 * len(soup)).reshape(-1, 3), process=True)
    trimesh.repair.fix_normals(mesh, multibody=False)  # the kernel winds every face its own way
    return np.asarray(mesh.triangles)


# -- drawing -----------------------------------------------------------------------------------------------------------


def cyl(r: float, z0: float, z1: float, x: float = 0, y: float = 0) -> tuple[int, int]:
    return (3, gmsh.model.occ.addCylinder(x, y, z0, 0, 0, z1 - z0, r))


def rod(r: float, a: Vec, b: Vec) -> tuple[int, int]:
    return (3, gmsh.model.occ.addCylinder(*a, *(q - p for p, q in zip(a, b, strict=True)), r))


def con(r0: float, r1: float, z0: float, z1: float, x: float = 0, y: float = 0) -> tuple[int, int]:
    return (3, gmsh.model.occ.addCone(x, y, z0, 0, 0, z1 - z0, r0, r1))


def box(x: float, y: float, z: float, dx: float, dy: float, dz: float) -> tuple[int, int]:
    return (3, gmsh.model.occ.addBox(x, y, z, dx, dy, dz))


def fuse(*s: tuple[int, int]) -> tuple[int, int]:
    if len(s) == 1:
        return s[0]
    return gmsh.model.occ.fuse([s[0]], list(s[1:]))[0][0]


def cut(a: tuple[int, int], *s: tuple[int, int]) -> tuple[int, int]:
    return gmsh.model.occ.cut([a], list(s))[0][0]


def prism(points: list[tuple[float, float]], z0: float, z1: float) -> tuple[int, int]:
    o = gmsh.model.occ
    p = [o.addPoint(x, y, z0) for x, y in points]
    lines = [o.addLine(p[i], p[(i + 1) % len(p)]) for i in range(len(p))]
    face = o.addPlaneSurface([o.addCurveLoop(lines)])
    return next(e for e in o.extrude([(2, face)], 0, 0, z1 - z0) if e[0] == 3)


def ngon(n: int, across_flats: float, z0: float, z1: float, turn: float = 0.0) -> tuple[int, int]:
    r = across_flats / 2 / math.cos(math.pi / n)
    angles = [turn + (2 * k + 1) * math.pi / n for k in range(n)]
    return prism([(r * math.cos(t), r * math.sin(t)) for t in angles], z0, z1)


def hull(circles: list[tuple[float, float, float]], z0: float, z1: float) -> tuple[int, int]:
    """A plate round two circles (x, y, r) and their outer tangents."""
    o = gmsh.model.occ
    (x1, y1, r1), (x2, y2, r2) = circles
    d = math.hypot(x2 - x1, y2 - y1)
    t, b = math.atan2(y2 - y1, x2 - x1), math.acos((r1 - r2) / d)
    points = {}
    for k, (x, y, r) in enumerate(circles):
        for s in (1, -1):
            a = t + s * b
            points[k, s] = o.addPoint(x + r * math.cos(a), y + r * math.sin(a), z0)
    far = [
        o.addPoint(x1 - r1 * math.cos(t), y1 - r1 * math.sin(t), z0),
        o.addPoint(x2 + r2 * math.cos(t), y2 + r2 * math.sin(t), z0),
    ]
    c = [o.addPoint(x, y, z0) for x, y, _ in circles]
    loop = [
        o.addCircleArc(points[0, 1], c[0], far[0]),
        o.addCircleArc(far[0], c[0], points[0, -1]),
        o.addLine(points[0, -1], points[1, -1]),
        o.addCircleArc(points[1, -1], c[1], far[1]),
        o.addCircleArc(far[1], c[1], points[1, 1]),
        o.addLine(points[1, 1], points[0, 1]),
    ]
    face = o.addPlaneSurface([o.addCurveLoop(loop)])
    return next(e for e in o.extrude([(2, face)], 0, 0, z1 - z0) if e[0] == 3)


def soften(
    solid: tuple[int, int], choose: Callable[[float, float, float, str], bool], size: float, how: str
) -> tuple[int, int]:
    """Fillet or chamfer the edges whose middle (x, y, z) and type are chosen."""
    o = gmsh.model.occ
    o.synchronize()
    edges = [
        e[1]
        for e in gmsh.model.getBoundary(gmsh.model.getBoundary([solid], oriented=False), combined=False, oriented=False)
        if choose(*o.getCenterOfMass(*e), gmsh.model.getType(*e))
    ]
    edges = sorted(set(edges))
    if how == "fillet":
        return o.fillet([solid[1]], edges, [size])[0]
    faces = []
    for e in edges:
        up, _ = gmsh.model.getAdjacencies(1, e)
        faces.append(int(up[0]))
    return o.chamfer([solid[1]], edges, faces, [size])[0]


def c(d: float, x: float = 0, y: float = 0, inner: bool = False, kind: str = "cylinder", may: bool = False) -> Round:
    return Round((x, y, 0.0), Z, d, inner, kind, may)


def near(a: float, b: float) -> bool:
    return abs(a - b) < 1e-6


# -- parts -------------------------------------------------------------------------------------------------------------


def disc() -> list[Round]:
    cyl(45, 0, 12)
    return [c(90)]


def stack() -> list[Round]:
    fuse(cyl(45, 0, 12), cyl(25, 12, 40), cyl(15, 40, 70))
    return [c(90), c(50), c(30)]


def sleeve() -> list[Round]:
    cut(cyl(30, 0, 50), cyl(20, 0, 50))
    return [c(60), c(40, inner=True)]


def blind() -> list[Round]:
    cut(fuse(cyl(30, 0, 20), cyl(18, 20, 45)), cyl(10, 15, 45), con(0.5, 10, 9.5, 15))
    return [c(60), c(36), c(20, inner=True), c(20, inner=True, kind="cone")]


def offset_spigots() -> list[Round]:
    fuse(cyl(45, 0, 12), cyl(16, 12, 40, 14 * math.cos(math.pi / 6), 7), cyl(10, -25, 0, -20, 5))
    return [c(90), c(32, 14 * math.cos(math.pi / 6), 7), c(20, -20, 5)]


def eccentric() -> list[Round]:
    fuse(cyl(12.5, 0, 40), cyl(20, 40, 70, 0, 15), cyl(12.5, 70, 120))
    return [c(25), c(40, 0, 15)]


def small_eccentric() -> list[Round]:
    fuse(cyl(20, 0, 30), cyl(20, 30, 50, 0.15, 0), cyl(20, 50, 80))
    return [c(40), c(40, 0.15)]


def crank() -> list[Round]:
    fuse(
        cyl(12.5, -40, 0),
        hull([(0, 0, 18), (0, 30, 14)], 0, 12),
        cyl(10, 12, 42, 0, 30),
        hull([(0, 0, 18), (0, 30, 14)], 42, 54),
        cyl(12.5, 54, 94),
    )
    return [c(25), c(20, 0, 30), c(36, may=True), c(28, 0, 30, may=True)]


def bolt_circle() -> list[Round]:
    holes = [(35 * math.cos(k * math.pi / 3 + 0.2), 35 * math.sin(k * math.pi / 3 + 0.2)) for k in range(6)]
    cut(fuse(cyl(45, 0, 10), cyl(20, 10, 40)), cyl(12, 0, 40), *(cyl(4.5, 0, 10, x, y) for x, y in holes))
    return [c(90), c(40), c(24, inner=True)] + [c(9, x, y, inner=True) for x, y in holes]


def deep_grooves() -> list[Round]:
    body = cyl(30, 0, 60)
    for z, r, w in ((10, 12, 4), (24, 18, 3), (40, 8, 6)):
        body = cut(body, cut(cyl(40, z, z + w), cyl(r, z, z + w)))
    return [c(60), c(24), c(36), c(16)]


def inner_groove() -> list[Round]:
    cut(cyl(30, 0, 40), cyl(15, 0, 40), cyl(17, 10, 12.15), cyl(17, 28, 30.15))
    return [c(60), c(30, inner=True), c(34, inner=True)]


def chamfered() -> list[Round]:
    s = fuse(cyl(25, 0, 30), cyl(15, 30, 60))
    soften(s, lambda x, y, z, t: t == "Circle" and (near(z, 0) or near(z, 60)), 1.5, "chamfer")
    return [c(50), c(30)]


def filleted() -> list[Round]:
    s = fuse(cyl(40, 0, 15), cyl(18, 15, 50))
    soften(s, lambda x, y, z, t: t == "Circle", 2.5, "fillet")
    return [c(80), c(36)]


def drafted() -> list[Round]:
    t = math.tan(math.radians(2))
    cut(fuse(cyl(40, 0, 12), con(20, 20 - 40 * t, 12, 52)), cyl(10, 0, 52))
    return [c(80), c(20, inner=True), c(40, kind="cone")]


def casting() -> list[Round]:
    t = math.tan(math.radians(1.5))
    s = fuse(box(-50, -35, 0, 100, 70, 12), con(18, 18 - 30 * t, 12, 42), con(12, 12 - 20 * t, 12, 32, 34, 15))
    s = soften(s, lambda x, y, z, k: near(z, 12) and k == "Circle", 3, "fillet")
    s = soften(s, lambda x, y, z, k: near(z, 6), 10, "fillet")
    cut(s, cyl(11, -1, 43), cyl(5, -1, 33, 34, 15))
    return [
        c(22, inner=True),
        c(10, 34, 15, inner=True),
        c(36, kind="cone"),
        c(24, 34, 15, kind="cone"),
        *(c(20, sx * 40, sy * 25, may=True) for sx in (1, -1) for sy in (1, -1)),
    ]


def cross_bore() -> list[Round]:
    cut(cyl(20, 0, 60), rod(6, (-30, 0, 20), (30, 0, 20)), rod(3, (0, -30, 45), (0, 0, 45)))
    return [c(40), Round((0, 0, 20), X, 12, True), Round((0, 0, 45), Y, 6, True)]


def slant_bore() -> list[Round]:
    cut(cyl(25, 0, 60), cyl(10, 0, 60), rod(2.5, (-40, 0, 0), (40, 0, 60)))
    d = (0.8, 0.0, 0.6)
    return [c(50), c(20, inner=True), Round((0, 0, 30), d, 5, True)]


def cross_boss() -> list[Round]:
    s = fuse(cyl(22, 0, 70), rod(12, (0, 0, 35), (45, 0, 35)))
    cut(s, cyl(14, 0, 70), rod(7, (0, 0, 35), (45, 0, 35)))
    return [c(44), c(28, inner=True), Round((0, 0, 35), X, 24), Round((0, 0, 35), X, 14, True)]


def hexagon() -> list[Round]:
    cut(fuse(ngon(6, 36, 0, 15), cyl(12, 15, 50)), cyl(6, 0, 50))
    return [c(24), c(12, inner=True)]


def octagon() -> list[Round]:
    fuse(ngon(8, 40, 0, 15, 0.3), cyl(12, 15, 50))
    return [c(24)]


def square_flange() -> list[Round]:
    holes = [(sx * 28, sy * 28) for sx in (1, -1) for sy in (1, -1)]
    cut(fuse(box(-38, -38, 0, 76, 76, 12), cyl(25, 12, 45)), cyl(16, 0, 45), *(cyl(4, 0, 12, x, y) for x, y in holes))
    return [c(50), c(32, inner=True)] + [c(8, x, y, inner=True) for x, y in holes]


def keyed() -> list[Round]:
    cut(fuse(cyl(20, 0, 30), cyl(15, 30, 80)), box(-4, 11, 40, 8, 10, 40))
    return [c(40), c(30)]


def d_flat() -> list[Round]:
    cut(cyl(15, 0, 50), box(-20, 12, 20, 40, 10, 30))
    return [c(30)]


def lug() -> list[Round]:
    cut(fuse(cyl(20, 10, 25), hull([(0, 0, 20), (45, 0, 10)], 0, 10)), cyl(12, 0, 25), cyl(5, 0, 10, 45, 0))
    return [c(40), c(24, inner=True), c(10, 45, 0, inner=True), c(20, 45, 0, may=True)]


def oval() -> list[Round]:
    s = cyl(20, 0, 20)
    gmsh.model.occ.dilate([s], 0, 0, 0, 1.05, 1.0, 1.0)
    fuse(s, cyl(10, 20, 40))
    return [c(20)]


def taper() -> list[Round]:
    fuse(con(20, 20 - 40 * math.tan(math.radians(1)), 0, 40), cyl(10, 40, 60))
    return [c(20), c(40, kind="cone")]


def dome() -> list[Round]:
    o = gmsh.model.occ
    s = fuse(cyl(20, 0, 20), (3, o.addSphere(0, 0, 20, 20)))
    assert s
    return [c(40), c(40, kind="sphere")]


def egg() -> list[Round]:
    o = gmsh.model.occ
    s = (3, o.addSphere(0, 0, 0, 20))
    o.dilate([s], 0, 0, 0, 1.0, 1.0, 1.4)
    return []


def cam() -> list[Round]:
    o = gmsh.model.occ
    n = 24
    points = []
    for k in range(n):
        t = 2 * math.pi * k / n
        r = 18 + 4 * math.cos(t) + 1.2 * math.cos(2 * t)
        points.append(o.addPoint(r * math.cos(t), r * math.sin(t), 0))
    curve = o.addBSpline([*points, points[0]])
    face = o.addPlaneSurface([o.addCurveLoop([curve])])
    body = next(e for e in o.extrude([(2, face)], 0, 0, 12) if e[0] == 3)
    fuse(body, cyl(9, 12, 40))
    return [c(18)]


def ball() -> list[Round]:
    o = gmsh.model.occ
    fuse((3, o.addSphere(0, 0, 30, 15)), cyl(7, -20, 25))
    return [c(14), c(30, kind="sphere")]


def ring() -> list[Round]:
    gmsh.model.occ.addTorus(0, 0, 0, 30, 8)
    return [c(60, kind="torus")]


def countersunk() -> list[Round]:
    holes = [(25 * math.cos(k * math.pi / 2), 25 * math.sin(k * math.pi / 2)) for k in range(4)]
    tools = []
    for x, y in holes:
        tools += [cyl(3, 0, 10, x, y), con(3, 7, 6, 10, x, y)]
    cut(cyl(40, 0, 10), *tools, cyl(8, 0, 10))
    return [c(80), c(16, inner=True)] + [c(6, x, y, inner=True) for x, y in holes]


def pump_cover() -> list[Round]:
    holes = [(36 * math.cos(k * math.pi / 4), 36 * math.sin(k * math.pi / 4)) for k in range(8)]
    s = fuse(cyl(45, 0, 12), cyl(20, 12, 40, 8, 0), cyl(12, 12, 30, -22, 0))
    s = soften(s, lambda x, y, z, t: t == "Circle" and near(z, 12) and math.hypot(x, y) > 1, 2, "fillet")
    s = cut(s, cyl(13, 0, 40, 8, 0), cyl(7, 0, 30, -22, 0), *(cyl(3.3, 0, 12, x, y) for x, y in holes))
    return [
        c(90),
        c(40, 8, 0),
        c(24, -22, 0),
        c(26, 8, 0, inner=True),
        c(14, -22, 0, inner=True),
        *(c(6.6, x, y, inner=True) for x, y in holes),
    ]


def ribbed() -> list[Round]:
    s = fuse(cyl(40, 0, 8), cyl(14, 8, 40), *(_rib(k * 2 * math.pi / 3) for k in range(3)))
    cut(s, cyl(8, 0, 40))
    return [c(80), c(28), c(16, inner=True)]


def _rib(angle: float) -> tuple[int, int]:
    b = box(8, -3, 8, 27, 6, 14)
    gmsh.model.occ.rotate([b], 0, 0, 0, 0, 0, 1, angle)
    return b


def bracket() -> list[Round]:
    fuse(box(0, 0, 0, 60, 40, 8), box(0, 0, 8, 8, 40, 40), prism([(8, 16), (40, 16), (40, 24), (8, 24)], 8, 14))
    return []


def wrist() -> list[Round]:
    """Three parallel axes and a fourth across them."""
    s = fuse(cyl(18, 0, 30), cyl(11, 30, 55, 9, 4), cyl(8, 55, 80, -3, 10), hull([(0, 0, 18), (50, 10, 9)], 5, 17))
    cut(s, cyl(5, 5, 17, 50, 10), rod(4, (-30, 0, 23.5), (30, 0, 23.5)))
    d = [c(36), c(22, 9, 4), c(16, -3, 10), c(10, 50, 10, inner=True), Round((0, 0, 23.5), X, 8, True)]
    return [*d, c(18, 50, 10, may=True)]


def thin_steps() -> list[Round]:
    fuse(cyl(20, 0, 10), cyl(20.05, 10, 20), cyl(19.9, 20, 30), cyl(20, 30, 40))
    return [c(40), c(40.1), c(39.8)]


def slotted() -> list[Round]:
    cut(cyl(40, 0, 10), hull([(15, 0, 4), (28, 0, 4.0)], 0, 10), cyl(9, 0, 10))
    return [c(80), c(18, inner=True), c(8, 15, 0, inner=True, may=True), c(8, 28, 0, inner=True, may=True)]


def hollow() -> list[Round]:
    cut(cyl(30, 0, 60), cyl(20, 10, 50))
    return [c(60), c(40, inner=True)]


def round_box() -> list[Round]:
    s = box(-30, -20, 0, 60, 40, 15)
    s = soften(s, lambda x, y, z, t: near(z, 7.5), 5, "fillet")
    cut(s, cyl(8, 0, 15))
    return [c(16, inner=True)] + [c(10, sx * 25, sy * 15, may=True) for sx in (1, -1) for sy in (1, -1)]


PARTS: dict[str, Callable[[], list[Round]]] = {
    f.__name__: f
    for f in (
        disc, stack, sleeve, blind, offset_spigots, eccentric, small_eccentric, crank, bolt_circle, deep_grooves,
        inner_groove, chamfered, filleted, drafted, casting, cross_bore, slant_bore, cross_boss, hexagon, octagon,
        square_flange, keyed, d_flat, lug, oval, taper, dome, egg, cam, ball, ring, countersunk, pump_cover, ribbed,
        bracket, wrist, thin_steps, slotted, hollow, round_box,
    )
}  # fmt: skip
