"""Set-ups: one clamping each, with what it turns and all its figures. mm, radians, kg, N, r/min."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from foldsketch.base.findings import Finding, mm
from foldsketch.base.html import html_table
from foldsketch.base.tolerance import DEFAULT_TOLERANCE
from foldsketch.setup.formulas.centre_holes import CentreHole
from foldsketch.setup.formulas.jaws import JawPacking, JawSetting, frictionless_offset_limit

LENGTH_TOLERANCE_MM = DEFAULT_TOLERANCE.length
"""mm below which a length or an offset counts as 0."""

PartEnd = Literal["+z", "-z"]
HoldingMethod = Literal[
    "centred", "packed three-jaw", "four-jaw", "bored jaws", "offset fixture", "between centres", "face plate"
]


@dataclass(frozen=True, slots=True)
class Sweep:
    """The ring of space that a feature passes through: start, end along the part's z; inner, outer radius about the
    centreline, mm."""

    feature: str
    start: float
    end: float
    inner: float
    outer: float


@dataclass(frozen=True, slots=True)
class ToolReach:
    """What a tool can reach. open_length: mm of the feature that a tool reaches; overhang: mm by which a tool must
    stick out; radial_clearance: mm between the feature and the ring around it, None where nothing turns around it;
    overhang_ratio: overhang over the tool's diameter, or height where it has none; deflection: mm of the tool at its
    overhang, None without one; tool: its kind as in `[[cutter]]`, "" where none gets there; size: its diameter or
    width, mm."""

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
    """A way to hold the part. from_end: the end that is machined; offset: mm between the held axis and the axis on the
    centreline; at: the centreline's x and y in the part; grip_range: start and end of the gripped length, part z;
    turned: features that can be turned in it, in the part's order; unbalance: g mm, or mm4 where there is no density;
    required_bore: a bore that must be turned before it can be held, or ""."""

    spindle: str
    from_end: PartEnd
    held_on: str
    held_axis: str
    on_centreline: str
    holding_method: HoldingMethod
    offset: float
    at: tuple[float, float]
    grip_range: tuple[float, float]
    turned: tuple[str, ...]
    unbalance: float
    required_bore: str = ""


@dataclass(frozen=True, slots=True)
class SetUp:
    """One clamping of a plan with its figures. angle: radians, from the held axis to the one on the centreline,
    anticlockwise from the part's +x seen from its +z end; orientation: the same, from the axis that was on the
    centreline before to the one on it now, which is the spindle angle at a transfer (angle where there is none);
    held_diameter: mm; shift: mm that the sub-spindle moves off centre at the transfer; by_hand: the part is taken out
    and put in again; mass: kg or None; unbalance: g mm or None; speed_limit: r/min at which it reaches the grade;
    machine_limit: r/min of spindle and chuck; force: N at 500 r/min; counterweight: kg, and the radius in mm at which
    it cancels the unbalance, opposite to unbalance_angle; jaws: of a four-jaw chuck, their angles from the direction
    of the offset; contact_points: of the jaws; centre_holes: for turning between centres about the same axis, in both
    ends."""

    number: int
    clamping: Clamping
    features: tuple[str, ...]
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
    grade: float
    speed_limit: float | None
    machine_limit: float
    force: float | None
    counterweight: tuple[float, float] | None
    packing: JawPacking | None
    jaws: tuple[JawSetting, ...]
    contact_points: int
    centre_holes: tuple[CentreHole, ...]
    sweep: tuple[Sweep, ...]
    reach: tuple[ToolReach, ...]
    findings: tuple[Finding, ...]

    def __repr__(self) -> str:
        c = self.clamping
        return f"<SetUp {self.number}: {c.spindle}, held on '{c.held_on}', axis {c.on_centreline}, {c.offset:g} mm off>"

    @property
    def packable(self) -> bool:
        """Whether a packing is known and the offset stays below the limit at which three packed jaws still hold."""
        return self.packing is not None and self.clamping.offset < frictionless_offset_limit(self.held_diameter)

    @property
    def speed(self) -> tuple[float, str]:
        """The lower of the two limits, r/min, and which one it is."""
        if self.speed_limit is not None and self.speed_limit < self.machine_limit:
            return self.speed_limit, f"balance, G {self.grade:g}"
        return self.machine_limit, "spindle and chuck"


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another sequence in words, and why it was not chosen."""

    steps: tuple[str, ...]
    reason: Finding


@dataclass(frozen=True, slots=True)
class SetUpPlan:
    """The chosen sequence of set-ups: what `plan` returns. In a notebook it shows a table.

    Attributes
    ----------
    part, machine : str
        Their names.
    units : {"mm", "in"}
        For texts only.
    mass : float or None
        kg; None without a density.
    setups : tuple of SetUp
        One clamping each. Lengths mm, angles radians, unbalance g mm, force N, speeds r/min.
    unturned : tuple of (str, tuple of Finding)
        Features that this machine does not turn, and the first few reasons.
    alternatives : tuple of Alternative
        The best other orders, and why they were not chosen.
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
    setups: tuple[SetUp, ...]
    unturned: tuple[tuple[str, tuple[Finding, ...]], ...]
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
        head = ("no", "spindle", "held on", "workholding", "from end", "axis", "offset", "swing", "max r/min", "turned")
        rows = [
            (
                str(s.number),
                s.clamping.spindle,
                s.clamping.held_on,
                s.clamping.holding_method,
                s.clamping.from_end,
                s.clamping.on_centreline,
                mm(s.clamping.offset).text(self.units),
                mm(s.swing, 1).text(self.units),
                f"{s.speed[0]:.0f}",
                ", ".join(s.features) or "(transfer)",
            )
            for s in self.setups
        ]
        return html_table(head, rows) + "<p>Speeds are first estimates: a qualified person decides.</p>"
