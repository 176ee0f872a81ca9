"""Any part ends in a model that folds right, or in a clear finding."""

import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldsketch.base.findings import FoldsketchError
from foldsketch.net.build import build_nets
from foldsketch.solid.faceting.facet import facet
from foldsketch.solid.faceting.sides import FacetChoice
from foldsketch.solid.joining import kernel
from foldsketch.solid.joining.blocks import join
from foldsketch.solid.joining.skin import is_closed
from strategies import parts, random_part

SLOW = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])


def nets_of(part, rule, **choice):
    faceted = facet(part, 1.0, FacetChoice(**choice))
    return build_nets(faceted, join(faceted, rule), 1.0)


@pytest.mark.slow
@SLOW
@given(parts(), st.sampled_from(["faces", "fuse"]), st.sampled_from(["inside", "equal-area", "outside"]))
def test_a_checked_model_or_a_clear_finding(part, rule, radius):
    try:
        nets = nets_of(part, rule, radius_rule=radius)
    except FoldsketchError as why:
        assert all(f.where and f.what and f.cure for f in why.findings)  # noqa: PT017
        return
    assert nets.checks.passed(), nets.checks
    joints = [j.number for p in nets.pieces for j in (*p.tabs, *p.butts)]
    assert sorted(joints) == list(range(1, len(joints) + 1)), "every cut edge once"


@pytest.mark.parametrize("seed", [912, 7363, 7447, 8916, 9917])
def test_parts_that_once_failed(seed, monkeypatch):
    """Seeds of the long run: a hole that touches its outline; two panels that overlap by a quarter of a micrometre;
    material that hangs in a hole by a corner; two tabs that overlap at their common corner. The last has a crack of no
    width, for which it is refused now: here it is let through, for the sake of its tabs."""
    if seed == 9917:
        monkeypatch.setattr(kernel, "_is_sound", lambda skin, tolerance: is_closed(skin))
    r = random.Random(seed)
    part = random_part(r)
    rule = r.choice(["faces", "fuse"])
    radius = r.choice(["inside", "equal-area", "outside"])
    assert nets_of(part, rule, radius_rule=radius, chord_error=r.choice([0.3, 0.5, 1.5])).checks.passed()


@pytest.mark.slow
@settings(SLOW, max_examples=20)
@given(parts())
def test_the_same_part_gives_the_same_nets(part):
    try:
        a, b = nets_of(part, "faces"), nets_of(part, "faces")
    except FoldsketchError:
        return
    for p, q in zip(a.pieces, b.pieces, strict=True):
        assert [x.outline.tolist() for x in p.panels] == [x.outline.tolist() for x in q.panels]
        assert p.marks == q.marks


def test_an_axis_along_the_edge_of_a_bore_is_marked_without_fault():
    """Seed 5608 of the long run: the centre falls on a corner of the hole."""
    import random

    r = random.Random(5608)
    part = random_part(r)
    rule = r.choice(["faces", "fuse"])
    radius, error = r.choice(["inside", "equal-area", "outside"]), r.choice([0.3, 0.5, 1.5])
    assert nets_of(part, rule, radius_rule=radius, chord_error=error).checks.passed()
