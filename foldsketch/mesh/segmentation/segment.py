"""Surfaces: the skin of a body told apart into planes, cylinders, cones, spheres and tori."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from foldsketch.base.arrays import Array, Bools, Ints
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.mesh.geometry.analytic_surface import AnalyticSurface
from foldsketch.mesh.geometry.components import label_components
from foldsketch.mesh.geometry.measure import corners_used, row_dots
from foldsketch.mesh.geometry.surface_fit import fit_plane
from foldsketch.mesh.repair.clean import Body
from foldsketch.mesh.segmentation.angular_coverage import on_surface_corners
from foldsketch.mesh.segmentation.edge_classes import EdgeClasses, classify_edges, fit_patch_planes, surface_tolerance
from foldsketch.mesh.segmentation.noise import estimate_noise
from foldsketch.mesh.segmentation.region_growing import FittedSurface, RegionGrower, mark_off_surface_corners
from foldsketch.mesh.segmentation.reject_weak import reject_weak_fits
from foldsketch.mesh.segmentation.rim_circles import RimCircle, find_rim_circles
from foldsketch.mesh.segmentation.seed_growing import grow_from_seeds
from foldsketch.mesh.segmentation.surfaces_of_revolution import claim_surfaces_of_revolution

MAX_FAILED_SEEDS, MAX_FAILED_SEEDS_WITHOUT_FLATS = 10, 3
"""Seeds tried in vain before a region is given up; the few where nothing at all is flat."""

MAX_NOISE_RATIO = 2e-3
"""Noise over size above which a mesh is not taken as noisy."""

TRIAL_NOISE_RATIOS = (3e-5, 1e-4, 3e-4, 1e-3)
"""Noise over size that is tried where it cannot be estimated; WELL: the share that must then be explained."""

MIN_EXPLAINED_AT_TRIAL_NOISE = 0.8

MAX_NOISE_SAMPLE_RATIO = 0.08
"""Reach over size of the corners looked at together above which an estimate of noise is worth nothing."""

MIN_SEED_GROWTH_FRACTION = 0.01
"""A region of most of the body from whose seeds no more than this share of the body grew is a free form."""

MIN_EXACT_EXPLAINED_FRACTION = 0.6
"""With less of its area explained by exact surfaces a mesh is looked at again as a noisy one."""


@dataclass(frozen=True, slots=True, eq=False)
class Segmentation:
    """found: the surfaces, each with its triangles; owner: (m,) number of the surface of every triangle, -1 for none;
    rejected: rounds that turned out to be polygons; reach: mm that corners may lie off; noise: mm, standard deviation
    of the corners where the mesh is noisy, else 0."""

    body: Body
    surfaces: tuple[FittedSurface, ...]
    owner: Ints
    rejected: tuple[tuple[str, AnalyticSurface, Ints], ...]
    tolerance: float
    noise: float = 0.0
    off_surface: Bools | None = None

    def fit_points(self, triangles: Ints) -> Array:
        """Corners (n, 3) of triangles, without those that only lie on a flat side of a round."""
        return on_surface_corners(self.body, self.off_surface, triangles)

    @property
    def explained_fraction(self) -> float:
        """Share of the area that lies on a surface found."""
        return float(self.body.areas[self.owner >= 0].sum() / max(self.body.area, 1e-300))


def segment_surfaces(body: Body, progress: Listener = ignore_progress, tolerance: float | None = None) -> Segmentation:
    """Tell the skin of a body apart.

    Flat patches beyond doubt come first; circles on their borders name axes; about each axis everything that turns is
    found in the half-plane; what is left is tried from seeds; the rest of the flat patches are planes.
    """
    exact = surface_tolerance(body) if tolerance is None else tolerance
    facets = classify_edges(body, exact)
    found = _segment_once(
        facets, False, progress, MAX_FAILED_SEEDS_WITHOUT_FLATS if _has_no_flats(facets) else MAX_FAILED_SEEDS
    )
    if tolerance is None and found.explained_fraction < MIN_EXACT_EXPLAINED_FRACTION and not _has_exact_planes(found):
        return _segment_noisy(body, found, exact, progress)
    return found


def _segment_noisy(body: Body, found: Segmentation, exact: float, progress: Listener) -> Segmentation:
    """The surfaces of a mesh whose corners stray, or those that were found without that where it explains no more.

    The noise is estimated from the mesh; where its corners lie too far apart for that, a few values are tried. What
    the surfaces found then show of the noise is better than the estimate: where it is much less, they are sought again.
    """
    sigma, far = estimate_noise(body)
    ladder = [sigma] if 0.5 * exact < sigma < MAX_NOISE_RATIO * body.size else []
    if sigma >= MAX_NOISE_RATIO * body.size and far > MAX_NOISE_SAMPLE_RATIO * body.size:
        ladder = [step * body.size for step in TRIAL_NOISE_RATIOS if step * body.size > exact]
    best, noise = found, 0.0
    for sigma in ladder:
        tries = MAX_FAILED_SEEDS if len(ladder) == 1 else MAX_FAILED_SEEDS_WITHOUT_FLATS
        rough = _segment_once(classify_edges(body, 3.6 * sigma), True, progress, tries)
        if rough.explained_fraction > best.explained_fraction + (0.1 if best is found else 0.01):
            best, noise = rough, sigma
        elif best is not found:
            break
    if best is found or (len(ladder) > 1 and best.explained_fraction < MIN_EXPLAINED_AT_TRIAL_NOISE):
        return found
    shown = 1.15 * _rms_misfit(best)
    if exact < shown < 0.6 * noise:
        finer = _segment_once(classify_edges(body, 3.6 * shown), True, progress, MAX_FAILED_SEEDS)
        if finer.explained_fraction > best.explained_fraction - 0.02:
            best, noise = finer, shown
    return replace(best, noise=noise)


def _rms_misfit(segmentation: Segmentation) -> float:
    """Root mean square distance of corners from their surfaces, weighted with the surfaces' areas, mm."""
    area = [float(segmentation.body.areas[f.triangles].sum()) for f in segmentation.surfaces]
    total = sum(a * f.misfit_rms**2 for a, f in zip(area, segmentation.surfaces, strict=True))
    return float(np.sqrt(total / max(sum(area), 1e-300)))


def _has_exact_planes(segmentation: Segmentation) -> bool:
    """Whether there are planes of many triangles that are exactly flat: noise leaves none."""
    area = segmentation.body.areas
    flat = sum(
        float(area[f.triangles].sum())
        for f in segmentation.surfaces
        if f.shape.kind == "plane" and len(f.triangles) > 4
    )
    return flat > 0.02 * segmentation.body.area


def _has_no_flats(edges: EdgeClasses) -> bool:
    """Whether nothing is exactly flat: noise, a free form, or a body of rounds alone, which few tries show."""
    many = np.bincount(edges.patch)[edges.patch] > 4
    return float(edges.body.areas[many].sum()) < 0.02 * edges.body.area


def _segment_once(edges: EdgeClasses, noisy: bool, progress: Listener, tries: int) -> Segmentation:
    body = edges.body
    field = RegionGrower(edges, noisy)
    rims = find_rim_circles(edges)
    progress("surfaces", 0.2)
    regions = _smooth_regions(edges)
    by_triangle = _rims_by_region(rims, regions, len(body.triangles))
    for k, pool in enumerate(regions):
        _segment_region(field, pool, [rims[i] for i in by_triangle.get(k, [])], tries)
        if k % 16 == 0:
            progress("surfaces", 0.2 + 0.6 * k / len(regions))
    for k, pool in enumerate(regions):
        left = field.unclaimed(pool)
        if (
            len(left) >= 8
            and body.areas[left].sum() > 0.3 * body.areas[pool].sum()
            and mark_off_surface_corners(field, pool)
        ):
            _segment_region(field, pool, [rims[i] for i in by_triangle.get(k, [])], tries)
    _claim_planes(field)
    reject_weak_fits(field)
    progress("surfaces", 0.9)
    return Segmentation(
        body, tuple(field.surfaces), field.owner, tuple(field.rejected), field.tolerance, 0.0, field.off_surface
    )


def _smooth_regions(edges: EdgeClasses) -> list[Ints]:
    """Triangles that are no sure planes, in pieces that hang together over smooth edges, the largest first."""
    body = edges.body
    candidate = ~edges.surely_flat & (body.areas > 0)
    one, other = body.face_adjacency[:, 0], body.face_adjacency[:, 1]
    link = (edges.smooth | edges.flat) & candidate[one] & candidate[other]
    label = label_components(body.face_adjacency[link], len(body.triangles))
    rows = np.flatnonzero(candidate)
    if len(rows) == 0:
        return []
    order = rows[np.argsort(label[rows], kind="stable")]
    breaks = np.flatnonzero(np.diff(label[order])) + 1
    pieces = [p for p in np.split(order, breaks) if len(p) >= 4]
    pieces.sort(key=lambda p: -float(body.areas[p].sum()))
    return pieces


def _rims_by_region(rims: list[RimCircle], regions: list[Ints], count: int) -> dict[int, list[int]]:
    home = np.full(count, -1, dtype=np.int64)
    for k, pool in enumerate(regions):
        home[pool] = k
    out: dict[int, list[int]] = {}
    for i, rim in enumerate(rims):
        for k in np.unique(home[rim.triangles]).tolist():
            if k >= 0:
                out.setdefault(k, []).append(i)
    return out


def _segment_region(grower: RegionGrower, pool: Ints, rims: list[RimCircle], tries: int) -> None:
    axes: list[tuple[Array, Array]] = []
    wide = float(grower.body.areas[pool].sum()) > 0.5 * grower.body.area
    first = len(grower.surfaces)
    for rim in rims:
        if any(_is_on_axis(rim, axis, grower.tolerance) for axis in axes):
            continue
        axes.append((rim.centre, rim.normal))
        claim_surfaces_of_revolution(grower, pool, rim.centre, rim.normal)
        if len(grower.unclaimed(pool)) < 4:
            break
    for _ in range(6):
        for number in range(first, len(grower.surfaces)):
            grower.absorb_border(number)
        first = len(grower.surfaces)
        if len(grower.unclaimed(pool)) < 4:
            return
        made = grow_from_seeds(grower, pool, tries)
        gained = sum(float(grower.body.areas[f.triangles].sum()) for f in made)
        if not made or (wide and gained < MIN_SEED_GROWTH_FRACTION * grower.body.area):
            return
        for found in made:
            if found.shape.kind != "sphere":
                claim_surfaces_of_revolution(grower, pool, found.shape.point, found.shape.direction)


def _is_on_axis(rim: RimCircle, axis: tuple[Array, Array], tolerance: float) -> bool:
    point, direction = axis
    if abs(float(direction @ rim.normal)) < 1 - 1e-10:
        return False
    off = rim.centre - point
    off = off - direction * float(off @ direction)
    return float(np.linalg.norm(off)) < 4 * tolerance


def _continues_smoothly(grower: RegionGrower, free: Ints, patch: Ints, count: int) -> Bools:
    """Patches that run on smoothly into another patch that nobody has: facets of something that is not known."""
    facets = grower.edge_classes
    number = np.full(len(grower.owner), -1, dtype=np.int64)
    number[free] = patch
    for _, _, triangles in grower.rejected:
        number[triangles] = -1
    one, other = number[grower.body.face_adjacency[:, 0]], number[grower.body.face_adjacency[:, 1]]
    rows = (one >= 0) & (other >= 0) & (one != other) & facets.smooth & (np.abs(facets.bend_angle) < np.radians(31.0))
    rows &= ~facets.surely_flat[grower.body.face_adjacency].any(axis=1)
    out = np.zeros(count, dtype=bool)
    out[one[rows]] = True
    out[other[rows]] = True
    return out


def _claim_planes(grower: RegionGrower) -> None:
    """Flat patches that no round has claimed, patches of one plane together; strips of one triangle stay free."""
    body, facets = grower.body, grower.edge_classes
    free = np.flatnonzero((grower.owner < 0) & (body.areas > 0))
    if len(free) == 0:
        return
    normal, centre = fit_patch_planes(body, facets.patch)
    patches, inverse = np.unique(facets.patch[free], return_inverse=True)
    size = np.bincount(inverse)
    area = np.bincount(inverse, weights=body.areas[free])
    sure = np.zeros(len(patches), dtype=bool)
    sure[inverse[facets.surely_flat[free]]] = True
    good = sure | ((size >= 2) | (area > 1e-3 * body.area)) & ~_continues_smoothly(grower, free, inverse, len(patches))
    order = np.argsort(inverse, kind="stable")
    pieces = np.split(free[order], np.cumsum(np.bincount(inverse))[:-1])
    table = np.column_stack((normal[patches], row_dots(normal[patches], centre[patches])))
    todo = [int(i) for i in np.argsort(-area) if good[i]]
    taken = np.zeros(len(patches), dtype=bool)
    for i in todo:
        if taken[i]:
            continue
        same = good & ~taken & (table[:, :3] @ table[i, :3] > 1 - 1e-8) & (np.abs(table[:, 3] - table[i, 3]) < 0.1)
        if same.sum() > 1:
            off = np.abs((centre[patches[same]] - centre[patches[i]]) @ table[i, :3])
            same[np.flatnonzero(same)[off > 3 * grower.tolerance]] = False
            same[i] = True
        same[i] = True
        taken |= same
        mine = np.concatenate([pieces[k] for k in np.flatnonzero(same)])
        corners = body.corners[corners_used(len(body.corners), body.triangles[mine])]
        shape = fit_plane(corners)
        if shape.direction @ table[i, :3] < 0:
            shape = AnalyticSurface("plane", shape.point, -shape.direction)
        if len(corners) < 4 or np.abs(shape.distance(corners)).max() > 4 * grower.tolerance:
            shape = AnalyticSurface("plane", centre[patches[i]], table[i, :3].copy())
        misfit = np.abs(shape.distance(corners))
        grower.claim(
            FittedSurface(shape, mine, False, 0.0, 0.0, float(misfit.max()), float(np.sqrt((misfit**2).mean())))
        )
