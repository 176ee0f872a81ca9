"""Plan: the cheapest order of set-ups for a batch with all figures, other orders and why not, and what is left."""

from __future__ import annotations

from foldsketch.base.findings import mm
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.base.tolerance import DEFAULT_TOLERANCE, Tolerance
from foldsketch.part.details import find_fasteners
from foldsketch.part.mass.mass_properties import mass_properties
from foldsketch.part.model import Part
from foldsketch.setup import messages
from foldsketch.setup.formulas.cycle_time import OperationTimes
from foldsketch.setup.formulas.run_time import separate_minutes
from foldsketch.setup.formulas.way_cost import TOOL_MIN, PlanMinutes
from foldsketch.setup.machine import DEFAULT_MACHINE, Machine
from foldsketch.setup.machine_file.tables import MAX_BATCH
from foldsketch.setup.model import Lane, PlanRun, SetUp, SetUpPlan
from foldsketch.setup.plan.alternatives import alternatives_to, numbered_orders
from foldsketch.setup.plan.clamping_cuts import ClampingCuts, small_hole
from foldsketch.setup.plan.option import Option
from foldsketch.setup.plan.options import OptionFinder
from foldsketch.setup.plan.order import Order, OrderSearch, PlannedRun
from foldsketch.setup.plan.plan_findings import plan_findings
from foldsketch.setup.plan.setup_figures import calculate_set_up
from foldsketch.setup.plan.why_not_cut import why_not_cut
from foldsketch.setup.work.states import WorkStates


def plan(
    part: Part,
    machine: Machine = DEFAULT_MACHINE,
    tolerance: Tolerance = DEFAULT_TOLERANCE,
    listener: Listener = ignore_progress,
    batch: int | None = None,
    number: int = 1,
) -> SetUpPlan:
    """Plan the set-ups of a part: the order that takes least time for a batch.

    Parameters
    ----------
    part : Part
        The part.
    machine : Machine, optional
        The machine; by default the invented twin-spindle lathe.
    tolerance : Tolerance, optional
        What counts as the same place.
    listener : callable, optional
        Told the stage and how much is done, 0 to 1.
    batch : int, optional
        Parts to plan for; by default the batch of the machine file.
    number : int, optional
        Which of the printed plans: 1 is the cheapest, 2 and on are the alternatives that it lists.

    Returns
    -------
    SetUpPlan
        With what cannot be cut on this machine, and why.

    Raises
    ------
    FoldsketchError
        When nothing is to be cut along z, the bar is too small for the part, or there is no plan of that number.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> [s.clamping.way for s in foldsketch.plan(part, batch=1).setups]
    ['hard_jaws', 'pads', 'packed_three_jaw']
    """
    if batch is not None and not 1 <= batch <= MAX_BATCH:
        raise messages.BATCH_OUT_OF_RANGE.error("batch", given=batch, most=MAX_BATCH)
    return _Planner(part, machine, tolerance, listener).plan(batch, number)


class _Planner:
    """Plans one part on one machine."""

    def __init__(self, part: Part, machine: Machine, tolerance: Tolerance, listener: Listener) -> None:
        self.part, self.machine, self.listener = part, machine, listener
        listener("blank", 0.0)
        self.states = WorkStates(part, tolerance)
        times = machine.times or DEFAULT_MACHINE.times
        assert times is not None
        self.times: OperationTimes = times
        self.cuts = ClampingCuts(self.states, machine, machine.cutting_data(part.material))
        self.asked = asked_for(part, machine, self.states)
        self.finder = OptionFinder(self.states, machine, self.cuts, frozenset(self.asked))
        self.search = OrderSearch(self.finder, machine, times)

    def plan(self, batch: int | None, number: int) -> SetUpPlan:
        part, machine = self.part, self.machine
        if not self.states.blank.bar and not any(f.stock for f in part.features) and part.blank is not None:
            raise messages.CASTING_WITHOUT_STOCK.error(f"part '{part.name}'")
        if not self.asked:
            raise messages.NOTHING_TO_TURN.error(f"part '{part.name}'")
        parts = batch if batch is not None else self.times.batch
        self.listener("order", 0.1)
        best = self.search.best(parts)
        self.listener("others", 0.5)
        orders = numbered_orders(self.search, machine, best, parts)
        if not 1 <= number <= max(1, len(orders)):
            raise messages.NO_SUCH_PLAN.error("--plan", given=number, count=max(1, len(orders)))
        order = orders[number - 1] if orders else None
        self.listener("figures", 0.8)
        setups, runs = self._set_ups(order)
        left = order.left if order is not None else self.asked
        done = order.runs[-1].options[-1].after if order is not None else frozenset()
        unturned = tuple((name, why_not_cut(name, done, machine, self.finder)) for name in left)
        untouched, elsewhere = self._not_asked_for(setups)
        finished = self.states.mass(self.cuts.access.finished).mass
        axes = len({self.finder.groups.axis_of(n) for n in self.asked if n in self.states.rounds})
        driven = any(s.c_axis for s in machine.spindles) and machine.driven is not None
        return SetUpPlan(
            part=part.name,
            machine=machine.name,
            units=part.units,
            mass=mass_properties(part, self.states.tolerance).mass if self.states.blank.bar else finished,
            raw_mass=self.states.mass(frozenset()).mass,
            blank=self._blank_text(),
            batch=parts,
            minutes=order.minutes if order is not None else PlanMinutes(0.0, 0.0, 0.0),
            runs=runs,
            separate=self._separate(order),
            queue=self.times.queue * max(0, len(setups) - 1),
            setups=setups,
            as_it_comes=tuple(n for n in untouched if n not in elsewhere),
            elsewhere=tuple(n for n in untouched if n in elsewhere),
            unturned=unturned,
            number=number,
            alternatives=alternatives_to(orders, number),
            rejected=tuple(self.finder.rejected),
            states_searched=order.states if order is not None else 0,
            lower_bound=_lower_bound(axes, driven),
            findings=plan_findings(part, machine, self.finder, order, left, setups),
        )

    # Set-ups and runs ------------------------------------------------------------------------------------------------

    def _set_ups(self, order: Order | None) -> tuple[tuple[SetUp, ...], tuple[PlanRun, ...]]:
        setups: list[SetUp] = []
        runs: list[PlanRun] = []
        before: Option | None = None
        for k, run in enumerate(order.runs if order is not None else (), 1):
            first = len(setups) + 1
            for o in run.options:
                setups.append(calculate_set_up(self.cuts, self.machine, run, len(setups) + 1, k, before, o))
                before = o
            runs.append(self._run(run, tuple(range(first, len(setups) + 1))))
        return tuple(setups), tuple(runs)

    def _run(self, run: PlannedRun, numbers: tuple[int, ...]) -> PlanRun:
        binding = run.run.binding if len(numbers) > 1 else ""
        return PlanRun(numbers, *run.minutes, binding, self._lanes(run))

    def _lanes(self, run: PlannedRun) -> tuple[Lane, ...]:
        """What the spindles do for one part in steady state."""
        r, cycle = run.run, run.minutes.cycle
        main = [("load", r.load), ("cut", r.main)]
        sub: list[tuple[str, float]] = []
        if r.sub is not None:
            beside = self.machine.load_while_cutting or run.options[0].place.parting > 0
            waits = 0.0 if beside else r.load
            if self.machine.turrets < 2:
                main, waits = [*main[:1], ("wait", 0.0 if beside else r.sub), main[1]], waits if not beside else 0.0
            sub = [("wait", waits), ("cut", r.sub)]
            end = cycle - r.hand_over
            main.append(("wait", end - sum(v for _, v in main)))
            sub.append(("wait", end - sum(v for _, v in sub)))
            main.append(("transfer", r.hand_over))
            sub.append(("transfer", r.hand_over))
        made = []
        for spindle, stretches in (("main", main), ("sub", sub)):
            at = 0.0
            for what, minutes in stretches:
                if minutes > 1e-9:
                    made.append(Lane(spindle, what, at, at + minutes))
                    at += minutes
        return tuple(made)

    def _separate(self, order: Order | None) -> PlanMinutes | None:
        """The same set-ups, each on a machine of its own: no hand-over to prove, shared tools set twice."""
        if order is None or sum(len(r.options) for r in order.runs) < 2:
            return None
        options = [o for r in order.runs for o in r.options]
        setting = sum(o.setting + TOOL_MIN * len(o.tools) for o in options)
        cycle = separate_minutes([r.run for r in order.runs], self.times.load)
        cycle += sum(o.each + o.parting - (self.times.load if o.parting else 0.0) for o in options)
        cycle -= sum(r.options[0].parting for r in order.runs if len(r.options) == 1)
        return PlanMinutes(setting, cycle, cycle)

    # What is left ----------------------------------------------------------------------------------------------------

    def _not_asked_for(self, setups: tuple[SetUp, ...]) -> tuple[tuple[str, ...], frozenset[str]]:
        """Features and faces that are not asked for, and those of them that are machined elsewhere.

        Shoulders of a bar are left out: they come with what stands on them. Of a prism that was turned to its corners
        the flats are left.
        """
        bar, faces = self.states.blank.bar, self.states.faces
        features = {f.name: f for f in self.part.features}
        cut = {c.surface for s in setups for c in s.cuts}
        names = [f"{n} flats" if n in cut else n for n in features if n not in self.asked]
        names += [n for n, face in faces.items() if n not in {*self.asked, *cut} and (face.free or not bar)]
        elsewhere = frozenset(
            n for n in names if bar or ((f := features.get(n)) and (f.stock or (f.cut and f.finish != "cast")))
        )
        return tuple(names), elsewhere

    def _blank_text(self) -> str:
        b = self.states.blank
        material = self.part.material or "material not named"
        if not b.bar:
            return f"{material} casting"
        length, diameter = (mm(v).text(self.part.units).partition(" ")[0] for v in (b.high - b.low, b.diameter))
        return f"{material}, bar d{diameter}" if b.kind == "bar" else f"{material}, sawn bar d{diameter} x {length}"


def asked_for(part: Part, machine: Machine, states: WorkStates) -> tuple[str, ...]:
    """Surfaces that a lathe is asked for: rounds along z and faces with stock.

    Small holes that a driven drill makes, and the pads around them, are asked for where a spindle has a C axis; else
    they are made elsewhere. A wide bore on an axis of its own is what the part is about. What is not round on a bar is
    milled elsewhere, with its ends.
    """
    features = {f.name: f for f in part.features}
    indexes = any(s.c_axis for s in machine.spindles)
    screwed = frozenset() if indexes else find_fasteners(part)
    found = []
    for name in states.to_machine:
        f = features[states.faces[name].feature if name in states.faces else name]
        if f.name in screwed and not f.turned and f.finish != "machined":
            continue
        if name in states.faces:
            if f.is_round or not states.blank.bar:
                found.append(name)
            continue
        r = states.rounds.get(name)
        if r is None or not f.is_round:
            continue
        alone = all(o.cut for o in states.rounds.values() if o.axis == r.axis)
        drilled = f.cut and alone and f.finish != "machined" and 2 * r.radius <= small_hole(part, machine)
        if indexes or not drilled:
            found.append(name)
    return tuple(found)


def _lower_bound(axes: int, driven: bool) -> tuple[int, str]:
    """A number of set-ups that no plan goes below, and why."""
    if driven:
        return 1, "driven tools cut off-centre features while the spindle only indexes"
    return axes, f"{axes} {'axis' if axes == 1 else 'axes'} must go on the spindle, one per set-up"
