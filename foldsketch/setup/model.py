"""Set-ups: one clamping each, with what it turns and all its figures. mm, radians, kg, N, r/min."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from foldsketch.base.findings import Finding, mm
from foldsketch.base.html import html_table
from foldsketch.base.tolerance import DEFAULT_TOLERANCE
from foldsketch.part.model import Part
from foldsketch.setup.formulas.centre_holes import CentreHole
from foldsketch.setup.formulas.jaws import JawPacking, frictionless_offset_limit
from foldsketch.setup.formulas.way_cost import PlanMinutes
from foldsketch.setup.formulas.work_limits import SpeedLimit
from foldsketch.setup.speed_text import Speeds, rounded_down, speed_limit_text

LENGTH_TOLERANCE_MM = DEFAULT_TOLERANCE.length
"""mm below which a length or an offset counts as 0."""

PartEnd = Literal["+z", "-z"]
HoldingMethod = Literal[
    "centred", "packed three-jaw", "four-jaw", "bored jaws", "offset fixture", "between centres", "face plate"
]


@dataclass(frozen=True, slots=True)
class Sweep:
    """The ring of space that a feature passes through: start, end along the part's z.

    Inner, outer radius about the centreline, mm.
    """

    feature: str
    start: float
    end: float
    inner: float
    outer: float


@dataclass(frozen=True, slots=True)
class ToolReach:
    """What a tool can reach.

    open_length: mm of the feature that a tool reaches; overhang: mm by which a tool must stick out; radial_clearance:
    mm between the feature and the ring around it, None where nothing turns around it; overhang_ratio: overhang over the
    tool's diameter, or height where it has none; deflection: mm of the tool at its overhang, None without one; tool:
    its kind as in `[[cutter]]`, "" where none gets there; size: its diameter or width, mm.
    """

    feature: str
    open_length: float
    overhang: float
    radial_clearance: float | None
    overhang_ratio: float
    deflection: float | None
    tool: str = ""
    size: float = 0.0


@dataclass(frozen=True, slots=True)
class Clamping:
    """A way to hold the part.

    from_end: the end that is machined; way: key of [way]; offset: mm between the held axis and the axis on the
    centreline; at: the centreline's x and y in the part; grip_range: start and end of the gripped length, part z; raw:
    the held surface is not yet machined; centre: with a tailstock centre.
    """

    spindle: str
    from_end: PartEnd
    held_on: str
    held_axis: str
    on_centreline: str
    holding_method: HoldingMethod
    way: str
    offset: float
    at: tuple[float, float]
    grip_range: tuple[float, float]
    raw: bool
    centre: bool = False


@dataclass(frozen=True, slots=True)
class CutLine:
    """One surface that is cut in a set-up.

    surface: feature or face; how: turned, driven (milled with driven tools), drilled or interpolated; band: heights of
    what is cut where it is not all, mm; minutes: without tool calls; speed: the highest, r/min; limit: what sets it;
    finish: r/min of the last pass; tools: kind and diameter of each, mm, 0 where it does not matter.
    """

    surface: str
    how: str
    band: tuple[float, float] | None
    minutes: float
    speed: float
    limit: SpeedLimit
    finish: float
    tools: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class WeightPlace:
    """A counterweight.

    mass: kg; radius: mm from the centreline; angle: radians from the part's +x; plane: mm from the chuck's face.
    """

    mass: float
    radius: float
    angle: float
    plane: float


@dataclass(frozen=True, slots=True)
class JawPlace:
    """A jaw about the chuck's own centre.

    number: from 1; angle: radians, from the direction of the offset; from_centre: mm to its face; packing: mm under it,
    0 for none; height: mm from its face to its outer end.
    """

    number: int
    angle: float
    from_centre: float
    packing: float = 0.0
    height: float = 0.0


@dataclass(frozen=True, slots=True)
class SetUp:
    """One clamping of a plan with its figures.

    run: number of the run, from 1; work: the part as it is when the set-up is done; held_at: x and y of the held
    surface's axis, mm; held_inside: it is a bore; held_across: lengths of a rectangle whose sides are held, mm, else
    (); lies_flat: it is held by its face; features, faces: cut in it; angle: radians, from the held axis to the one on
    the centreline, anticlockwise from +x seen from the +z end; orientation: the same, from the axis that was on the
    centreline before to the one on it now, which is the spindle angle at a transfer (angle where there is none);
    held_diameter: mm, of the work as it is; shift: mm that the sub-spindle moves off centre at the transfer; by_hand:
    the part is taken out and put in again; swing: diameter of the circle of the work, mm; mass: kg at the beginning, or
    None; unbalance: g mm, the greater of
    beginning and end, or None; couple: products of inertia Ixz and Iyz there, g mm2; moment: N m of the couple left at
    the recommended speed; bearing_force: N that it puts on each spindle bearing, None without a span; force: N of it on
    the spindle; weighted: the plan has a counterweight; weights: those that cancel the unbalance, also where the plan
    does without; clamping_force: N at rest that the cuts need, None where not asked; torque: N m of the hardest cut;
    contact_points: of the jaws; centre_holes: for turning between centres about the same axis, in both ends; minutes: a
    part, without loading; setting: before the batch; left_beside: what the jaws leave uncut.
    """

    number: int
    run: int
    clamping: Clamping
    work: Part
    held_at: tuple[float, float]
    held_inside: bool
    held_across: tuple[float, ...]
    lies_flat: bool
    features: tuple[str, ...]
    faces: tuple[str, ...]
    cuts: tuple[CutLine, ...]
    angle: float
    orientation: float
    held_diameter: float
    shift: float
    by_hand: bool
    indicator: float
    swing: float
    mass: float | None
    unbalance: float | None
    unbalance_angle: float
    couple: tuple[float, float] | None
    moment: float | None
    bearing_force: float | None
    grade: float
    speeds: Speeds
    force: float | None
    weighted: bool
    weights: tuple[WeightPlace, ...]
    clamping_force: float | None
    grip_force: float | None
    packing: JawPacking | None
    jaws: tuple[JawPlace, ...]
    contact_points: int
    centre_holes: tuple[CentreHole, ...]
    sweep: tuple[Sweep, ...]
    reach: tuple[ToolReach, ...]
    minutes: float
    setting: float
    findings: tuple[Finding, ...]

    def __repr__(self) -> str:
        c = self.clamping
        return f"<SetUp {self.number}: {c.spindle}, held on '{c.held_on}', axis {c.on_centreline}, {c.offset:g} mm off>"

    @property
    def packable(self) -> bool:
        """Whether a packing is known and the offset stays below the limit at which three packed jaws still hold."""
        return self.packing is not None and self.clamping.offset < frictionless_offset_limit(self.held_diameter)

    @property
    def jaw_swing(self) -> float:
        """Diameter, mm, of the circle of the outer ends of jaws off centre, 0 for none."""
        return 2 * max((j.from_centre + j.packing + j.height for j in self.jaws if self.clamping.offset), default=0.0)

    @property
    def widest_circle(self) -> float:
        """Diameter, mm, of the circle that no fixed tool may enter: of the work, or of its jaws off centre."""
        return max(self.swing, self.jaw_swing)

    @property
    def packed(self) -> bool:
        """Whether this set-up packs a three-jaw chuck."""
        return self.clamping.way == "packed_three_jaw"

    @property
    def speed_text(self) -> str:
        """The recommended speed and what stops it there, in words."""
        speed, limit = self.speeds.recommended, self.speeds.limit
        if speed is None:
            return limit or "unknown"
        return f"{rounded_down(speed)} r/min ({speed_limit_text(limit, self.weighted)})"


@dataclass(frozen=True, slots=True)
class Lane:
    """A stretch of time of one spindle for one part in steady state.

    what: load, cut, transfer or wait; start, end: minutes.
    """

    spindle: str
    what: str
    start: float
    end: float


@dataclass(frozen=True, slots=True)
class PlanRun:
    """The batch through once.

    setups: numbers of its clampings; setting: minutes before the batch; through: of the first part; cycle: from part to
    part; binding: the spindle that sets the cycle, "" where there is only one; lanes: of one part in steady state.
    """

    setups: tuple[int, ...]
    setting: float
    through: float
    cycle: float
    binding: str
    lanes: tuple[Lane, ...]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another sequence: its number among the printed plans, in words, its ways as keys of [way], and minutes a part.

    label: how it holds the work, in short; times: for other batches than the plan's;
    reason: why it was not chosen, or that it takes less.
    """

    number: int
    steps: tuple[str, ...]
    ways: tuple[str, ...]
    minutes: float
    reason: Finding
    label: str
    times: PlanMinutes


@dataclass(frozen=True, slots=True)
class SetUpPlan:
    """The chosen sequence of set-ups: what `plan` returns. In a notebook it shows a table.

    Attributes
    ----------
    part, machine : str
        Their names.
    units : {"mm", "in"}
        For texts only.
    mass, raw_mass : float or None
        kg, of the finished part and of the blank; None without a density.
    batch : int
        Parts that the plan is the cheapest for.
    minutes : PlanMinutes
        Setting before the batch, the first part through, and the cycle.
    runs : tuple of PlanRun
        The batch through once: one clamping, or main and sub-spindle in one cycle.
    separate : PlanMinutes or None
        The same set-ups, each on a machine of its own; None where there is only one.
    queue : float
        Minutes that the batch then waits before further machines.
    blank : str
        What the part is made from.
    setups : tuple of SetUp
        One clamping each. Lengths mm, angles radians, unbalance g mm, force N, speeds r/min.
    unturned : tuple of (str, tuple of Finding)
        Features and faces that this machine does not cut though it should, and the first few reasons.
    as_it_comes : tuple of str
        Faces and features of a casting that nobody asked to machine.
    elsewhere : tuple of str
        Faces and features that are machined, and not in these set-ups: holes to drill, flats to mill, cross holes.
    number : int
        Which of the printed plans this is: 1 is the cheapest.
    alternatives : tuple of Alternative
        The best other orders with their numbers, and why they were not chosen.
    rejected : tuple of Finding
        Clampings that cannot be made and features that a tool does not reach, and why.
    states_searched : int
        Combinations checked.
    lower_bound : (int, str)
        No plan has fewer set-ups, and why.
    findings : tuple of Finding
        Notes and warnings about the plan.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> [s.indicator for s in foldsketch.plan(part).setups]
    [0.0, 0.0, 12.0]
    """

    part: str
    machine: str
    units: Literal["mm", "in"]
    mass: float | None
    raw_mass: float | None
    blank: str
    batch: int
    minutes: PlanMinutes
    runs: tuple[PlanRun, ...]
    separate: PlanMinutes | None
    queue: float
    setups: tuple[SetUp, ...]
    as_it_comes: tuple[str, ...]
    elsewhere: tuple[str, ...]
    unturned: tuple[tuple[str, tuple[Finding, ...]], ...]
    number: int
    alternatives: tuple[Alternative, ...]
    rejected: tuple[Finding, ...]
    states_searched: int
    lower_bound: tuple[int, str]
    findings: tuple[Finding, ...]

    def __repr__(self) -> str:
        turned = f"{len(self.unturned)} features not turned" if self.unturned else "turned complete"
        return f"<SetUpPlan '{self.part}': {len(self.setups)} set-ups, {turned}>"

    def _repr_html_(self) -> str:
        """The sequence as a table, for notebooks."""
        head = ("no", "spindle", "held on", "workholding", "from end", "axis", "offset", "swing", "speed", "turned")
        rows = []
        for s in self.setups:
            c = s.clamping
            held = (str(s.number), c.spindle, c.held_on, c.holding_method, c.from_end, c.on_centreline)
            figures = (mm(c.offset).text(self.units), mm(s.swing, 1).text(self.units), s.speed_text)
            rows.append((*held, *figures, ", ".join(s.features) or "(transfer)"))
        return html_table(head, rows) + "<p>Speeds are first estimates: a qualified person decides.</p>"
