"""Mass, unbalance and products of inertia of states of the work against the kernel in the gmsh wheel.

The bodies of each state are written down here by hand, from the drawing and from what is cut, apart from the program's
own way of building them; the kernel integrates over their exact surfaces.
"""

from pathlib import Path

import pytest

from foldsketch.part.file.read import read_part
from foldsketch.setup.formulas.couple import couple_moment, two_plane_weights
from foldsketch.setup.work.solid import Band
from foldsketch.setup.work.states import WorkStates
from setup_works import (
    COVER,
    COVER_RUN_1,
    COVER_TURNED_1,
    COVER_TURNED_B,
    RAW,
    SHAFT,
    SHAFT_B,
    SHAFT_DRIVE,
    SHAFT_JOURNALS,
    A,
    B,
    C,
    everything,
)  # fmt: skip

CRANK = read_part(Path(__file__).parents[2] / "samples" / "double-throw-crank.toml")[0]

IRON, STEEL = 7.15e-3, 7.85e-3
"""g/mm3"""

FLANGE_RAW, FLANGE = (0, 0, 94, -2, 12), (0, 0, 90, 0, 12)
INLET_RAW, OUTLET_RAW = (20, 0, 40, 12, 44), (-22, 0, 34, 12, 38)
INLET, OUTLET = (20, 0, 36, 12, 42), (-22, 0, 30, 12, 36)
INLET_BORE, OUTLET_BORE = (20, 0, 22, -5, 50), (-22, 0, 16, -5, 50)
E = 37 / 2**0.5
BOLT_HOLES = [(x, y, 9, -5, 20) for x in (E, -E) for y in (E, -E)]
DRIVE, TAIL = (0, 0, 30, 0, 50), (0, 0, 25, 72, 104)

STATES = {
    # name: part, done, cylinders (x, y, diameter, low, high) that are there, those that are cut away, density, axes
    "cover, raw": (COVER, RAW, [FLANGE_RAW, INLET_RAW, OUTLET_RAW], [], IRON, (A, B, C)),
    "cover, after the main spindle": (
        COVER, COVER_RUN_1, [(0, 0, 94, -2, 4.5), (0, 0, 90, 4.5, 12), INLET, OUTLET], [INLET_BORE, OUTLET_BORE],
        IRON, (A, B, C),
    ),
    "cover, spigots raw": (COVER, COVER_TURNED_1, [FLANGE, INLET_RAW, OUTLET_RAW], BOLT_HOLES, IRON, (A, B, C)),
    "cover, inlet turned": (
        COVER, COVER_TURNED_B, [FLANGE, INLET, OUTLET_RAW], [INLET_BORE, *BOLT_HOLES], IRON, (A, B, C),
    ),
    "cover, done": (
        COVER, None, [FLANGE, INLET, OUTLET], [INLET_BORE, OUTLET_BORE, *BOLT_HOLES], IRON, (A, B, C),
    ),
    "shaft, bar": (SHAFT, RAW, [(0, 0, 60, -2, 106)], [], STEEL, (A, SHAFT_B)),
    "shaft, drive end": (SHAFT, SHAFT_DRIVE, [DRIVE, (0, 0, 60, 50, 106)], [], STEEL, (A, SHAFT_B)),
    "shaft, both journals": (SHAFT, SHAFT_JOURNALS, [DRIVE, (0, 0, 60, 50, 72), TAIL], [], STEEL, (A, SHAFT_B)),
    "shaft, a band": (
        SHAFT, {"drive journal -z", Band("drive journal", 0, 20)}, [(0, 0, 30, 0, 20), (0, 0, 60, 20, 106)], [], STEEL,
        (A, SHAFT_B),
    ),
    "shaft, done": (SHAFT, None, [DRIVE, (6, 0, 44, 50, 72), TAIL], [], STEEL, (A, SHAFT_B)),
}  # fmt: skip


def cylinders(occ, rows):
    return [(3, occ.addCylinder(x, y, low, 0, 0, high - low, d / 2)) for x, y, d, low, high in rows]


def weighed(kernel, material, cuts, density):
    """Mass, g, centre of mass, and products of inertia Ixz and Iyz about it, g mm2, of cylinders less cylinders."""
    kernel.add("state")
    occ = kernel.occ
    body = cylinders(occ, material)
    if len(body) > 1:
        body, _ = occ.fuse(body[:1], body[1:])
    if cuts:
        body, _ = occ.cut(body, cylinders(occ, cuts))
    (one,) = body
    mass, centre, inertia = occ.getMass(*one), occ.getCenterOfMass(*one), occ.getMatrixOfInertia(*one)
    kernel.remove()
    return mass * density, centre, (-inertia[2] * density, -inertia[5] * density)


@pytest.mark.parametrize("name", STATES)
def test_states_against_the_kernel(kernel, name):
    part, done, material, cuts, density, axes = STATES[name]
    states = WorkStates(part)
    done = everything(states) if done is None else frozenset(done)
    mass, centre, (ixz, iyz) = weighed(kernel, material, cuts, density)
    assert states.mass(done).mass * 1000 == pytest.approx(mass, rel=1e-9)
    for x, y in axes:
        u = states.unbalance(done, (x, y))
        assert (u.x, u.y) == pytest.approx((mass * (centre[0] - x), mass * (centre[1] - y)), abs=1e-6)
        assert u.level == pytest.approx(centre[2], abs=1e-8)
        assert (u.couple_x, u.couple_y) == pytest.approx((ixz, iyz), abs=1e-3)


def test_a_crank_without_resultant_has_a_couple(kernel):
    """Two throws half a turn apart: no resultant about A, a couple of some 27,000 g mm2 [references 13, an
    estimate]."""
    states = WorkStates(CRANK)
    u = states.unbalance(everything(states), A)
    rows = [
        (*CRANK.axis(f.axis).point[:2], f.shape.diameter, f.start, f.end)
        for f in CRANK.features
    ]  # fmt: skip
    mass, centre, (ixz, iyz) = weighed(kernel, rows, [], STEEL)
    assert u.amount == pytest.approx(mass * (centre[0] ** 2 + centre[1] ** 2) ** 0.5, abs=1e-6)
    assert u.amount < 1e-6
    assert (u.couple_x, u.couple_y) == pytest.approx((ixz, iyz), abs=1e-3)
    assert u.couple == pytest.approx(27_000, rel=0.05)
    assert couple_moment(u.couple, 1000) == pytest.approx(u.couple * 1e-9 * 104.72**2, rel=1e-4)


def test_weights_balance_the_body_in_the_kernel(kernel):
    """The shaft about B with weights as small cylinders of lead in two planes: nothing is left, by the kernel's own
    sums."""
    states = WorkStates(SHAFT)
    u = states.unbalance(SHAFT_JOURNALS, SHAFT_B)
    mass, centre, (ixz, iyz) = weighed(kernel, [DRIVE, (0, 0, 60, 50, 72), TAIL], [], STEEL)
    at = [centre[0] - 6, centre[1]]
    first = [mass * at[0], mass * at[1]]  # resultant about B
    second = [ixz + mass * at[0] * centre[2], iyz + mass * at[1] * centre[2]]  # of moments about z = 0
    for w in two_plane_weights(u, (-20.0, 130.0)):
        for k, v in enumerate((w.x, w.y)):
            first[k] += v
            second[k] += v * w.level
    assert first == pytest.approx([0, 0], abs=1e-6)
    assert second == pytest.approx([0, 0], abs=1e-3)
