"""Segment: the surface of a body split into planes, cylinders, cones, spheres and tori."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.mesh.repair.clean import Body
from foldsketch.mesh.segmentation.border_growth import mark_off_surface_corners
from foldsketch.mesh.segmentation.claim_planes import claim_planes
from foldsketch.mesh.segmentation.edge_classes import GRAIN_FACTORS, EdgeClasses, classify_edges, surface_tolerance
from foldsketch.mesh.segmentation.merge_flats import has_corners_on_chords, merge_flats
from foldsketch.mesh.segmentation.model import Segmentation
from foldsketch.mesh.segmentation.noise import estimate_noise
from foldsketch.mesh.segmentation.region_growing import RegionGrower
from foldsketch.mesh.segmentation.regions import rims_of_regions, segment_region, smooth_regions
from foldsketch.mesh.segmentation.reject_weak import reject_weak_fits
from foldsketch.mesh.segmentation.rim_circles import find_rim_circles

MAX_FAILED_SEEDS, MAX_FAILED_SEEDS_WITHOUT_FLATS = 10, 3
"""Seeds tried in vain before a region is given up; fewer where nothing at all is flat."""

MAX_NOISE_RATIO = 2e-3
"""Noise over size above which a mesh is not taken as noisy."""

TRIAL_NOISE_RATIOS = (3e-5, 1e-4, 3e-4, 1e-3)
"""Noise over size that is tried where it cannot be estimated."""

MIN_EXPLAINED_AT_TRIAL_NOISE = 0.8
"""Share of the area that must then be on surfaces."""

MAX_NOISE_SAMPLE_RATIO = 0.08
"""Size of the neighbourhoods looked at, over that of the body, above which an estimate of noise is worth nothing."""

TOLERANCE_PER_NOISE = 3.6
"""Tolerance over standard deviation of a noisy mesh."""

MIN_EXACT_EXPLAINED_FRACTION = 0.6
"""With less of its area on exact surfaces a mesh is looked at again as a noisy one."""

MIN_FLAT_FRACTION = 0.02
"""Share of the area that is exactly flat, in patches of more than four triangles, on a mesh without noise."""

MIN_EXPLAINED_AT_GRAIN = 0.95
"""Share of the area on surfaces below which a coarser grain is tried, and from which on it is enough."""

MAX_PLANES_PER_ROUND = 8
"""Planes beside each round from which on they may be the facets of rounds that were not seen."""

MAX_SLIVER_FRACTION = 1e-3
"""Share of the area up to which a plane of a noisy mesh is a sliver."""

MIN_MORE_FLAT = 0.02
"""Share of the area that must be newly flat at a coarser grain."""

MIN_NEARLY_FLAT_FIRST, MIN_NEARLY_FLAT = 0.02, 0.002
"""Share of the edges that only a coarser tolerance makes flat: it is tried before the exact one, or after it."""

MIN_FLAT_GAIN = 1.1
"""Flat area over that at the exact tolerance from which on the coarser one is tried before it."""

MAX_STILL_NEARLY_FLAT = 0.005
"""Share of the edges that are not flat at a coarser tolerance, but nearly, from which on noise is tried before it."""

MIN_OFF_SURFACE_FRACTION = 0.3
"""Share of a region that nothing has claimed from which corners off the surface are looked for."""


def segment_surfaces(body: Body, progress: Listener = ignore_progress) -> Segmentation:
    """Split the surface of a body.

    Sure planes come first; circles on their borders name axes; about each axis everything that turns is found in the
    half-plane; what is left is tried from seeds; the rest of the flat patches are planes. A mesh that shows a coarser
    grain, or facets that were split again, is first taken as that. One of which that explains little is tried again
    with a tolerance for its noise.
    """
    exact = surface_tolerance(body)
    edges = classify_edges(body, exact)
    no_flats = _has_no_flats(edges)
    tried: tuple[float, ...] = ()
    if edges.nearly_flat[0] > MIN_NEARLY_FLAT_FIRST:
        tried = GRAIN_FACTORS if no_flats else GRAIN_FACTORS[:1]
        if coarser := _segment_at_coarser_grain(edges, tried, MIN_FLAT_GAIN, progress):
            return coarser
    whole = _segment_merged_flats(edges, progress) if has_corners_on_chords(edges) else None
    if whole is not None and _is_enough(whole):
        return whole
    found = _segment_once(edges, False, progress, MAX_FAILED_SEEDS_WITHOUT_FLATS if no_flats else MAX_FAILED_SEEDS)
    if not _is_enough(found) and not no_flats:
        whole = whole or _segment_merged_flats(edges, progress)
        if whole is not None and _round_area(whole) > _round_area(found):
            found = whole
    if not _is_enough(found) and no_flats and _is_smooth(body):
        return found
    if not _is_enough(found) and tried != GRAIN_FACTORS:
        found = _segment_at_coarser_grain(edges, GRAIN_FACTORS, 1.0, progress) or found
    if found.explained_fraction < MIN_EXACT_EXPLAINED_FRACTION and not _has_exact_planes(found):
        return _segment_noisy(body, found, exact, progress) or found
    return found


def _segment_merged_flats(edges: EdgeClasses, progress: Listener) -> Segmentation | None:
    """The segmentation of a mesh that was split again without the corners that gave it, where it explains the mesh."""
    merged = merge_flats(edges)
    if merged is None:
        return None
    whole = _segment_once(classify_edges(merged, edges.tolerance), False, progress, MAX_FAILED_SEEDS)
    return whole if whole.explained_fraction >= MIN_EXPLAINED_AT_GRAIN else None


def _segment_at_coarser_grain(
    edges: EdgeClasses, factors: tuple[float, ...], gain: float, progress: Listener
) -> Segmentation | None:
    """The segmentation at a few times the tolerance, where that shows flats that were not flat before, and is enough.

    Corners that were moved, or once stood far from the origin, are off by more than their own last digit. gain: flat
    area over that at the tolerance itself from which on it is tried. Where yet more edges are nearly flat then, noise
    is tried first: rounds that are off by more than the tolerance take long to be given up.
    """
    flat = _flat_share(edges)
    for factor, nearly in zip(factors, edges.nearly_flat, strict=False):
        if nearly < MIN_NEARLY_FLAT:
            continue
        coarser = classify_edges(edges.body, factor * edges.tolerance)
        if _flat_share(coarser) < max(flat + MIN_MORE_FLAT, gain * flat):
            continue
        if coarser.nearly_flat[0] > MAX_STILL_NEARLY_FLAT:
            noisy = _segment_noisy(edges.body, None, edges.tolerance, progress)
            if noisy is not None and noisy.tolerance > coarser.tolerance and _is_enough(noisy):
                return noisy
        rough = _segment_once(coarser, False, progress, MAX_FAILED_SEEDS_WITHOUT_FLATS)
        if _is_enough(rough):
            return rough
    return None


def _is_enough(found: Segmentation) -> bool:
    """Whether surfaces account for nearly all of a body, and rounds for more of it than their facets would.

    Facets alone always account for all: many planes beside few rounds may be the facets of others. The slivers that
    noise leaves at rims are none.
    """
    sliver = MAX_SLIVER_FRACTION * found.body.area if found.noise else 0.0
    rounds = sum(f.shape.kind != "plane" for f in found.surfaces)
    planes = sum(f.shape.kind == "plane" and found.area_of(f) > sliver for f in found.surfaces)
    few_planes = planes <= MAX_PLANES_PER_ROUND * rounds
    return few_planes and found.explained_fraction >= MIN_EXPLAINED_AT_GRAIN


def _round_area(found: Segmentation) -> float:
    """Area on rounds, mm2."""
    return sum(found.area_of(f) for f in found.surfaces if f.shape.kind != "plane")


def _segment_noisy(body: Body, found: Segmentation | None, exact: float, progress: Listener) -> Segmentation | None:
    """The segmentation of a noisy mesh; None where noise explains no more than what was found without, if anything.

    What the surfaces then show of the noise is better than the estimate: where it is much less, they are found again.
    """
    trials = _trial_noises(body, exact)
    best: Segmentation | None = None
    noise, most = 0.0, found.explained_fraction + 0.1 if found else 0.1
    for sigma in trials:
        tries = MAX_FAILED_SEEDS if len(trials) == 1 else MAX_FAILED_SEEDS_WITHOUT_FLATS
        rough = _segment_once(classify_edges(body, TOLERANCE_PER_NOISE * sigma), True, progress, tries)
        if rough.explained_fraction > most:
            best, noise, most = rough, sigma, rough.explained_fraction + 0.01
        elif best is not None:
            break
    if best is None or (len(trials) > 1 and best.explained_fraction < MIN_EXPLAINED_AT_TRIAL_NOISE):
        return None
    shown = 1.15 * _rms_misfit(best)
    if exact < shown < 0.6 * noise:
        finer = _segment_once(classify_edges(body, TOLERANCE_PER_NOISE * shown), True, progress, MAX_FAILED_SEEDS)
        if finer.explained_fraction > best.explained_fraction - 0.02:
            best, noise = finer, shown
    return replace(best, noise=noise)


def _is_smooth(body: Body) -> bool:
    """Whether a body shows no noise: what is on no surface then is a free form."""
    sigma, neighbourhood = estimate_noise(body)
    return sigma == 0 and neighbourhood > 0


def _trial_noises(body: Body, exact: float) -> list[float]:
    """Standard deviations to try, mm: the one estimated, or a few where the corners are too far apart for that."""
    sigma, neighbourhood = estimate_noise(body)
    if sigma < MAX_NOISE_RATIO * body.size:
        return [sigma] if sigma > 0.5 * exact else []
    if neighbourhood <= MAX_NOISE_SAMPLE_RATIO * body.size:
        return []
    return [ratio * body.size for ratio in TRIAL_NOISE_RATIOS if ratio * body.size > exact]


def _rms_misfit(segmentation: Segmentation) -> float:
    """Root mean square distance of corners from their surfaces, weighted with the surfaces' areas, mm."""
    area = np.array([segmentation.area_of(f) for f in segmentation.surfaces])
    rms = np.array([f.misfit_rms for f in segmentation.surfaces])
    return float(np.sqrt((area * rms**2).sum() / max(area.sum(), 1e-300)))


def _has_exact_planes(segmentation: Segmentation) -> bool:
    """Whether there are planes of many triangles that are exactly flat: noise leaves none."""
    planes = [f for f in segmentation.surfaces if f.shape.kind == "plane" and len(f.triangles) > 4]
    return sum(map(segmentation.area_of, planes)) > MIN_FLAT_FRACTION * segmentation.body.area


def _has_no_flats(edges: EdgeClasses) -> bool:
    """Whether nothing is exactly flat: noise, a free form, or a body of rounds alone, which few tries show."""
    return _flat_share(edges) < MIN_FLAT_FRACTION


def _flat_share(edges: EdgeClasses) -> float:
    """Share of the area in flat patches of more than four triangles."""
    many = np.bincount(edges.patch)[edges.patch] > 4
    return float(edges.body.areas[many].sum()) / max(edges.body.area, 1e-300)


def _segment_once(edges: EdgeClasses, noisy: bool, progress: Listener, tries: int) -> Segmentation:
    """The segmentation at one tolerance. tries: seeds in vain before a region is given up."""
    grower = RegionGrower(edges, noisy)
    body = edges.body
    rims = find_rim_circles(edges)
    progress("surfaces", 0.2)
    regions = smooth_regions(edges)
    rims_at = rims_of_regions(rims, regions, len(body.triangles))
    for k, pool in enumerate(regions):
        segment_region(grower, pool, rims_at[k], tries)
        if k % 16 == 0:
            progress("surfaces", 0.2 + 0.6 * k / len(regions))
    for k, pool in enumerate(regions):
        left = grower.unclaimed(pool)
        much = len(left) >= 8 and grower.area_of(left) > MIN_OFF_SURFACE_FRACTION * grower.area_of(pool)
        if much and mark_off_surface_corners(grower, pool):
            segment_region(grower, pool, rims_at[k], tries)
    claim_planes(grower)
    reject_weak_fits(grower)
    progress("surfaces", 0.9)
    polygons = tuple(shape for shape, _ in grower.polygons)
    return Segmentation(
        body, tuple(grower.surfaces), grower.owner, polygons, grower.tolerance, off_surface=grower.off_surface
    )
