"""The work in a model, estimated from its prisms before any net is laid out. Lengths paper mm."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import ceil, dist, pi, tan

from foldsketch.assembly.work_time import Work
from foldsketch.job.prism_contacts import breaks_out, overlap, paper_scale, shared_height, standing_prisms, touch
from foldsketch.net.model import Hold
from foldsketch.net.tabs.reduced_tabs import held_foot_edges
from foldsketch.net.tabs.taped_edges import tape_strips
from foldsketch.net.unfolding.strip_layouts import MIN_DISC_WALLS, is_plainly_thin
from foldsketch.net.unfolding.unfold import TAB_MARGIN_MM
from foldsketch.part.model import Cylinder, PrismShape, Ring
from foldsketch.solid.faceting.facet import FacetedPart
from foldsketch.solid.faceting.prism import Prism
from foldsketch.solid.joining.blocks import Solids, join
from foldsketch.solid.joining.joints import Joint
from foldsketch.solid.joining.skin import Skin

CUT_PER_TAB_MM, CUT_PER_SPARED_TAB_MM = 4.5, 7.5
"""What a tab adds to the cut: its two slanted ends, less what its outer edge is shorter than its root. Where tabs are
spared those that are left are wider."""

CUT_PER_TOOTH_MM = 12.6
"""The outline of a tooth of a rolled rim."""

CUT_PER_TONGUE_MM = 14.0
"""What a tongue adds to the cut: its two sides."""

MAX_BARE_EDGES_IN_ROW, MAX_BARE_LENGTH_MM = 2, 40.0
"""Where tabs are spared: so many edges beside one another have none, if they measure no more together."""


@dataclass(frozen=True, slots=True)
class _Wall:
    """A ring of flat sides.

    sides: how many; width: of one, mm; height: mm; rims: how many ends of it are glued all round; lids: how many hang
    on it by a fold; feet: how many stand on another block, without an end; rolled: it is bent and has teeth, and its
    ends are nets of their own; plain: a straight prism without a bore.
    """

    sides: int
    width: float
    height: float
    rims: int
    lids: int
    feet: int = 0
    rolled: bool = False
    plain: bool = False


def estimate_work(
    faceted: FacetedPart, spare_tabs: bool = False, page: float = 1e9, hold: Hold = "glue", on_tongues: bool = False
) -> Work:
    """Cut, folds, tabs or strips, and joints of a model. Raises FoldsketchError where features cannot be joined.

    spare_tabs: without the tabs that neighbours make needless; page: longest strip that fits the paper, mm; hold: what
    holds the cut edges; tape goes only where it is needed; on_tongues: how blocks stand on others.
    """
    spare_tabs |= hold != "glue"
    material = [p for p in faceted.prisms if not p.cut]
    groups = _fused_groups(material)
    if len(set(groups.values())) < len(groups) or any(breaks_out(p, material) for p in faceted.prisms if p.cut):
        rolled = frozenset(p.index for p in faceted.prisms if p.rolled)
        return _work_of_skins(join(faceted), spare_tabs, hold, rolled, on_tongues)
    cut = folds = tabs = 0.0
    standing = standing_prisms(faceted.prisms) if spare_tabs or on_tongues else frozenset()
    standing -= {p.index for p in faceted.prisms if p.rolled}
    tongues = slits = flaps = standing_tongues = teeth = 0
    for wall in _walls(faceted.prisms, material, standing):
        held = _held_edges(wall.sides, wall.width) if spare_tabs else wall.sides
        strips = ceil(wall.sides * wall.width / page)
        if wall.rolled:
            rims = wall.rims + wall.lids
            cut += 2 * strips * wall.height + rims * wall.sides * (wall.width + CUT_PER_TOOTH_MM)
            tabs += strips + rims
            teeth += rims * (wall.sides - 1)
            continue
        tucked = _tucked_work(wall, strips) if hold == "tuck" else None
        if tucked is None and spare_tabs and _is_disc(wall, strips, page):
            half = wall.sides // 2
            cut += 2 * (half * wall.height + (half + wall.sides - 1) * wall.width)
            folds += wall.sides + 1
            tabs += half + held - 1
            continue
        edges = wall.rims * wall.sides + wall.lids * (wall.sides - 1)
        cut += 2 * (strips * wall.height + edges * wall.width) + wall.feet * wall.sides * wall.width
        folds += wall.sides - strips + wall.lids
        seams = strips * (len(tape_strips(wall.height)) if hold != "glue" else 1)
        if tucked is None:
            tabs += seams + wall.rims * held + wall.lids * (held - 1)
        else:
            cut, folds = cut + tucked.cut, folds + tucked.folds
            flaps, slits, tongues = flaps + tucked.flaps, slits + tucked.slits, tongues + tucked.tongues
        if wall.feet and on_tongues:
            standing_tongues += ceil(wall.sides / 2)
        elif hold == "glue":
            tabs += wall.feet * len(held_foot_edges([wall.width] * wall.sides))
    edges_of_joints = _joint_edges(material)
    joints = len(edges_of_joints) - len(standing)
    if on_tongues:  # no tape there; which joints those are makes little difference
        edges_of_joints = edges_of_joints[: max(0, joints)]
    cut, folds = cut + standing_tongues * CUT_PER_TONGUE_MM, folds + standing_tongues
    own = _work(cut, folds, tabs, edges_of_joints, joints, spare_tabs, hold)
    slits, tongues = slits + standing_tongues, tongues + standing_tongues
    return replace(own, teeth=teeth, tongues=tongues, slits=slits, flaps=flaps)


def _tucked_work(wall: _Wall, strips: int) -> Work | None:
    """What tucks a wall and its lids together, beyond the outlines; None where it is taped."""
    from foldsketch.job.tucked_work import tucked_work  # few models need it

    return tucked_work(wall.sides, wall.width, wall.height, wall.lids, strips) if wall.plain and wall.lids else None


def _work(
    cut: float, folds: float, tabs: float, feet: Sequence[int], joints: int, spare_tabs: bool, hold: Hold
) -> Work:
    """The work. tabs: or strips; feet: edges of every joint that tape would hold; joints: that are glued."""
    number = round(tabs)
    if hold != "glue":
        return Work(cut, round(folds), 0, 0, strips=number + sum(feet))
    each = CUT_PER_SPARED_TAB_MM if spare_tabs else CUT_PER_TAB_MM
    return Work(cut + number * each, round(folds) + number, number, joints)


def _work_of_skins(solids: Solids, spare_tabs: bool, hold: Hold, rolled: frozenset[int], on_tongues: bool) -> Work:
    """The work in joined solids, for features that go into one another: counted by faces and edges.

    Folds hold every net of a block together; how long they are is taken from the mean edge. rolled: features whose
    walls are bent: no creases, and on either rim one number for all teeth.
    """
    cut = folds = tabs = 0.0
    teeth = 0
    open_feet = (spare_tabs or on_tongues) and not rolled
    feet_of = {k: _standing_block(solids, j) for k, j in enumerate(solids.joints)} if open_feet else {}
    standing = {k: own for k, own in feet_of.items() if own is not None}
    tucked: dict[int, Work] = {}
    for block in solids.blocks:
        skin = block.skin
        edges, total, spared = 0.0, 0.0, 0
        for face in skin.faces:
            for k, loop in enumerate(face.loops):
                around = _perimeter(skin.corners[list(loop)].tolist())
                edges += len(loop) / 2
                total += around / 2
                if face.kind == "end" or k:
                    spared += len(loop) - _held_edges(len(loop), around / len(loop))
        nets = 1 + (2 - skin.euler) // 2
        folded = len(skin.faces) - nets
        folds += folded
        cut += 2 * total * (1 - folded / edges)
        bent = Counter(f.feature for f in skin.faces if f.kind == "side" and f.feature in rolled)
        lids = 2 - (block.id in standing.values())
        if hold == "tuck" and (work := _tucked_work(_wall_of_skin(skin, lids), 1)):
            tucked[block.id] = work
            continue
        tabs += max(1, edges - folded - (spared if spare_tabs and not bent else 0))
        for sides in bent.values():
            folds -= sides
            tabs -= 2 * (sides - 1)
            teeth += 2 * (sides - 1)
            cut += 2 * sides * CUT_PER_TOOTH_MM
    feet = [len(held_foot_edges([0.0] * len(j.outline))) for j in solids.joints]
    for k in standing:  # an end less: its outline, the fold that holds it and its tabs, but for those of the foot
        around, n = _perimeter(solids.joints[k].outline.tolist()), len(solids.joints[k].outline)
        cut -= around
        folds -= 1
        if standing[k] not in tucked:
            tabs -= _held_edges(n, around / n) - 1 - (feet[k] if hold == "glue" and not on_tongues else 0)
    tongues = sum(ceil(len(solids.joints[k].outline) / 2) for k in standing) if on_tongues else 0
    more = [*tucked.values(), Work(tongues * CUT_PER_TONGUE_MM, tongues, 0, 0, tongues=tongues, slits=tongues)]
    cut, folds = cut + sum(w.cut for w in more), folds + sum(w.folds for w in more)
    if on_tongues:
        feet = [n for k, n in enumerate(feet) if k not in standing]
    own = _work(cut, folds, tabs, feet, len(solids.joints) - len(standing), spare_tabs, hold)
    counts = {name: sum(getattr(w, name) for w in more) for name in ("tongues", "slits", "flaps")}
    return replace(own, teeth=teeth, **counts)


def _wall_of_skin(skin: Skin, lids: int) -> _Wall:
    """The wall of a block that is a straight prism; of any other block one without sides. lids: ends that are built."""
    from foldsketch.net.unfolding.tucked_prisms import is_regular

    sides = [f for f in skin.faces if f.kind == "side"]
    end = next((f for f in skin.faces if f.kind == "end"), skin.faces[0])
    rim = skin.corners[list(end.loops[0])].tolist()
    width = _perimeter(rim) / len(rim)
    plain = len(skin.faces) == len(sides) + 2 and all(len(f.loops) == 1 and len(f.loops[0]) == 4 for f in sides)
    if not plain or not is_regular([dist(a, b) for a, b in zip(rim, [*rim[1:], rim[0]], strict=True)]):
        return _Wall(0, 0.0, 0.0, 0, lids)
    height = _perimeter(skin.corners[list(sides[0].loops[0])].tolist()) / 2 - width
    return _Wall(len(sides), width, height, 0, lids, plain=True)


def _standing_block(solids: Solids, joint: Joint) -> int | None:
    """The block of which an end lies wholly in a joint, the second one before the first."""
    around = _perimeter(joint.outline.tolist())
    for block, k in reversed(list(zip(joint.blocks, joint.faces, strict=True))):
        skin = solids.blocks[block].skin
        face = skin.faces[k]
        own = _perimeter(skin.corners[list(face.loops[0])].tolist())
        if face.kind == "end" and len(face.loops) == 1 and not joint.holes and abs(own - around) < 1e-6 * own:
            return block
    return None


def _is_disc(wall: _Wall, strips: int, page: float) -> bool:
    """Whether every second wall hangs on an end, and both ends with two walls go on the page in a row.

    strips: of its belt on the page.
    """
    if strips == 1 and not is_plainly_thin(wall.sides, wall.sides * wall.width, wall.height):
        return False
    across = wall.width / tan(pi / wall.sides)
    ends = wall.lids == 2 and not wall.feet and wall.sides >= MIN_DISC_WALLS and wall.sides % 2 == 0
    return ends and 2 * (across + wall.height + TAB_MARGIN_MM) <= page


def _held_edges(sides: int, width: float) -> int:
    """How many edges of a rim hold where tabs are spared."""
    row = min(MAX_BARE_EDGES_IN_ROW, int(MAX_BARE_LENGTH_MM / width)) if sides > 3 else 0
    return ceil(sides / (row + 1))


def _walls(prisms: Sequence[Prism], material: Sequence[Prism], standing: Collection[int]) -> Iterator[_Wall]:
    """The outer walls and tubes of every feature. standing: features with an end less."""
    for p in material:
        sides, width = _rim(p)
        height = p.feature.length * paper_scale(p)
        feet = int(p.index in standing)
        bored = isinstance(p.feature.shape, Ring) or any(c.cut and c.index > p.index and overlap(p, c) for c in prisms)
        plain = isinstance(p.feature.shape, Cylinder | PrismShape) and not bored
        yield _Wall(sides, width, height, 0, sum(f.kind == "end" for f in p.faces) - feet, feet, p.rolled, plain)
        if isinstance(p.feature.shape, Ring):
            yield _Wall(sides, width * p.feature.shape.bore / p.feature.shape.diameter, height, 2, 0, 0, p.rolled)
    for c in (p for p in prisms if p.cut):
        sides, width = _rim(c)
        for p in material:
            if p.index < c.index and overlap(p, c):
                yield _Wall(sides, width, shared_height(p, c), 2, 0, 0, c.rolled)


def _rim(p: Prism) -> tuple[int, float]:
    """Number of sides of the outer wall and their mean width."""
    end = max((f for f in p.faces if f.kind == "end"), key=lambda f: len(f.loops[0]))
    sides = len(end.loops[0])
    return sides, _perimeter(p.corners[list(end.loops[0])].tolist()) / sides


def _perimeter(corners: list[list[float]]) -> float:
    return sum(dist(a, b) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True))


def _fused_groups(material: Sequence[Prism]) -> dict[int, int]:
    """For every feature the first one of those that it is one body with."""
    first = {p.index: p.index for p in material}
    for p, q in combinations(material, 2):
        if first[p.index] != first[q.index] and overlap(p, q):
            old, new = sorted((first[p.index], first[q.index]), reverse=True)
            first = {k: new if v == old else v for k, v in first.items()}
    return first


def _joint_edges(material: Sequence[Prism]) -> list[int]:
    """For every feature that stands on the end of another how many edges of the smaller face hold it."""
    pairs = [(p, q) for p, q in combinations(material, 2) if touch(p, q)]
    rims = [min(_rim(p), _rim(q), key=lambda rim: rim[0] * rim[1]) for p, q in pairs]
    return [len(held_foot_edges([width] * sides)) for sides, width in rims]
