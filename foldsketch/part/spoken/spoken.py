"""Spoken lines to the text of a part file, with what was understood of each."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, radians, sin
from string import ascii_uppercase

from foldsketch.base.findings import Finding, FoldsketchError
from foldsketch.base.units import MM_PER_UNIT
from foldsketch.part.model import Part, Units
from foldsketch.part.spoken.messages import BORES_WITHOUT_FEATURES, NO_FLANGE, NOTHING_SAID, OF_NO_FEATURE, UNKNOWN_BASE
from foldsketch.part.spoken.part_text import Placed, Row, part_text, quoted, shape_rows, shown
from foldsketch.part.spoken.statements import Bore, SaidBores, SaidFeature, SaidHoles, SaidOfPart, read_statement
from foldsketch.part.spoken.words import split_statements

PAST = {"mm": 1.0, "in": 0.04}
"""How far a cut runs past the material, in the part's unit."""

SAME_PLACE = 1e-6
"""Axes nearer to each other than this are one, in the part's unit."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What was understood of one statement. axes: letters; words: in full; fault: None if it was understood."""

    said: str
    axes: tuple[str, ...]
    words: str
    fault: Finding | None = None


@dataclass(frozen=True, slots=True)
class SpokenPart:
    """Lines as they were heard. text: of the part file, or what is added to it; "" if a line was not understood.

    of_part: name and material, as far as they were said.
    """

    heard: tuple[Heard, ...]
    text: str
    of_part: tuple[tuple[str, str], ...] = ()

    @property
    def faults(self) -> tuple[Finding, ...]:
        """Errors, one for each line that was not understood."""
        return tuple(h.fault for h in self.heard if h.fault)


def hear_part(said: str, units: Units = "mm", onto: Part | None = None) -> SpokenPart:
    """The part file of lines as they are spoken: `name, Ø x length, at distance, angle`, parted by semicolons.

    Parameters
    ----------
    said : str
        Lines such as ``"flange 110 x 14; inlet 42 x 35 at 24; bored 28; 4 holes 9 on 90 from 45 deg"``.
    units : {"mm", "in"}
        The unit of every length.
    onto : Part, optional
        A part that the lines are added to: its axes are used again, and `text` has only what is new.

    Returns
    -------
    SpokenPart
        What was heard of every line, with a fault where one was not understood, and the text.

    Examples
    --------
    >>> heard = hear_part("flange 90 x 12; spigot 36 x 30 at 20; bored 22")
    >>> [h.words for h in heard.heard]
    ['flange Ø90 x 12, from 0 to 12', 'spigot Ø36 x 30, from 12 to 42', 'spigot bore Ø22 through']
    >>> hear_part("boss 1,250 x 20").faults[0].text
    "'boss 1,250 x 20': 1,250 may be 1.250 or 1250; write 1.250 or 1250"
    """
    hearing = _Hearing(units, onto)
    heard = [hearing.hear(statement) for statement in split_statements(said)]
    if not heard:
        heard = [Heard("", (), "", NOTHING_SAID.at())]
    whole = not any(h.fault for h in heard)
    return SpokenPart(tuple(heard), hearing.text() if whole else "", tuple(hearing.of_part.items()))


@dataclass
class _Hearing:
    """The part as it grows, line by line."""

    units: Units
    onto: Part | None = None
    axes: dict[str, tuple[float, float, list[Row]]] = field(default_factory=dict)
    standing: list[Placed] = field(default_factory=list)
    of_part: dict[str, str] = field(default_factory=dict)
    old: int = 0

    def __post_init__(self) -> None:
        if self.onto is None:
            return
        mm = MM_PER_UNIT[self.units]
        self.axes = {a.name: (a.point[0] / mm, a.point[1] / mm, []) for a in self.onto.axes}
        level = [f for f in self.onto.features if self.onto.axis(f.axis).along_z]
        for f in level:
            low, high = (v / mm for v in self.onto.extent(f, self.onto.datum))
            self.standing.append(Placed(f.name, f.axis, low, high, [], f.cut))
        self.old = len(self.standing)

    def hear(self, statement: str) -> Heard:
        """Take one statement in."""
        try:
            axes: list[str] = []
            words: list[str] = []
            for said in read_statement(statement, self.units):
                one, text = self._take(said, statement)
                axes += [a for a in one if a not in axes]
                words.append(text)
        except FoldsketchError as why:
            return Heard(statement, (), "", why.findings[0])
        return Heard(statement, tuple(axes), ", ".join(words))

    def _take(self, said: SaidFeature | SaidHoles | SaidBores | SaidOfPart, statement: str) -> tuple[list[str], str]:
        match said:
            case SaidFeature():
                return self._stand(said, statement)
            case SaidHoles():
                return self._drill(said, statement)
            case SaidBores(diameters):
                return self._bore_last(diameters, statement)
            case SaidOfPart(key, value):
                shown_words = f"{key} {value.removesuffix('.0')}"
                if key in ("stock", "finish"):
                    solids = self._new_solids()
                    if not solids:
                        raise OF_NO_FEATURE.error(f"'{statement}'")
                    for f in solids:
                        self._finish(f, key, value)
                else:
                    self.of_part[key] = value
                return [], shown_words

    # ---- features --------------------------------------------------------------------------------------------------

    def _solids(self) -> list[Placed]:
        return [f for f in self.standing if not f.cut]

    def _new_solids(self) -> list[Placed]:
        return [f for f in self.standing[self.old :] if not f.cut]

    def _stand(self, said: SaidFeature, statement: str) -> tuple[list[str], str]:
        axis = self._axis_at(said.offset or 0.0, said.angle)
        solids = self._solids()
        if said.length is None:
            start, end = self._through(solids[0] if solids else None, statement)
        else:
            start = self._foot(said, axis, statement)
            end = start + said.length
        made = Placed(self._free_name(said.name), axis, start, end, shape_rows(said), said.length is None)
        self.standing.append(made)
        for key, value in (("stock", said.stock), ("finish", said.finish)):
            if value not in (None, ""):
                self._finish(made, key, value if isinstance(value, str) else repr(value))
        bores = [self._bore(made, bore, statement) for bore in said.bores]
        size = "Ø" + " to ".join(shown(v) for v in said.sizes)
        if said.shape in ("hexagon", "square"):
            size = f"{said.shape} {shown(said.sizes[0])}"
        reach = "through" if said.length is None else f"x {shown(said.length)}, from {shown(start)} to {shown(end)}"
        return [axis], ", ".join([f"{made.name} {size} {reach}", *bores])

    def _foot(self, said: SaidFeature, axis: str, statement: str) -> float:
        """Where a feature stands: as said, on the one named, on the last of its axis, or on the first of all."""
        solids = self._solids()
        if said.start is not None:
            return said.start
        if said.base:
            named = [f for f in solids if f.name == said.base]
            if not named:
                raise UNKNOWN_BASE.error(f"'{statement}'", name=said.base)
            return named[-1].end
        own = [f for f in solids if f.axis == axis]
        return (own[-1] if own else solids[0]).end if solids else 0.0

    def _through(self, base: Placed | None, statement: str) -> tuple[float, float]:
        if base is None:
            raise NO_FLANGE.error(f"'{statement}'")
        return base.start - PAST[self.units], base.end + PAST[self.units]

    def _bore(self, f: Placed, bore: Bore, statement: str) -> str:
        low = min(s.start for s in self._solids())
        start = low - PAST[self.units] if bore.depth is None else f.end - bore.depth
        rows = [("shape", '"cylinder"'), ("diameter", shown(bore.diameter))]
        name = self._free_name(f"{f.name} bore")
        self.standing.append(Placed(name, f.axis, start, f.end + PAST[self.units], rows, True))
        return f"{name} Ø{shown(bore.diameter)} " + ("through" if bore.depth is None else f"{shown(bore.depth)} deep")

    def _bore_last(self, diameters: tuple[float, ...], statement: str) -> tuple[list[str], str]:
        solids = self._solids()
        if len(solids) < len(diameters):
            raise BORES_WITHOUT_FEATURES.error(f"'{statement}'", bores=len(diameters), features=len(solids))
        last = solids[-len(diameters) :]
        words = [self._bore(f, Bore(d), statement) for f, d in zip(last, diameters, strict=True)]
        return list(dict.fromkeys(f.axis for f in last)), ", ".join(words)

    def _drill(self, said: SaidHoles, statement: str) -> tuple[list[str], str]:
        solids = self._solids()
        start, end = self._through(solids[0] if solids else None, statement)
        axes = [self._axis_at(said.circle / 2, angle) for angle in said.angles]
        for k, axis in enumerate(axes, 1):
            name = said.name if len(axes) == 1 else f"{said.name} {k}"
            rows = [("shape", '"cylinder"'), ("diameter", shown(said.diameter))]
            self.standing.append(Placed(self._free_name(name), axis, start, end, rows, True))
        at = ", ".join(shown(a) for a in said.angles)
        return axes, f"{len(axes)} x Ø{shown(said.diameter)} through, on Ø{shown(said.circle)}, at {at} deg"

    def _axis_at(self, offset: float, angle: float) -> str:
        """The axis at a place: one that is there, or a new one with the next letter."""
        x0, y0 = next(((x, y) for x, y, _ in self.axes.values()), (0.0, 0.0))
        x, y = x0 + offset * cos(radians(angle)), y0 + offset * sin(radians(angle))
        for name, (u, v, _) in self.axes.items():
            if hypot(u - x, v - y) < SAME_PLACE:
                return name
        free = (c for c in (*ascii_uppercase, *(f"A{k}" for k in range(1, 400))) if c not in self.axes)
        letter: str = next(free)
        rows = [("offset", shown(offset)), ("angle", shown(angle))] if self.axes else [("at", "[0, 0]")]
        if not self.axes and offset:  # the first axis is the datum; what is said to be off centre is off that
            self.axes[letter] = (0.0, 0.0, [("at", "[0, 0]")])
            return self._axis_at(offset, angle)
        self.axes[letter] = (x, y, rows)
        return letter

    def _finish(self, f: Placed, key: str, value: str) -> None:
        text = quoted(value) if key == "finish" else shown(float(value))
        f.rows[:] = [r for r in f.rows if r[0] != key] + [(key, text)]

    def _free_name(self, name: str) -> str:
        taken = {f.name for f in self.standing}
        numbered = (name if k == 1 else f"{name} {k}" for k in range(1, len(taken) + 2))
        return next(n for n in numbered if n not in taken)

    def text(self) -> str:
        """The part file, or the tables that are new in it."""
        axes = {name: rows for name, (_, _, rows) in self.axes.items() if rows}
        top: list[Row] = []
        if self.onto is None:
            solids = self._solids()
            name = self.of_part.get("name", solids[0].name.capitalize() if solids else "New part")
            top = [("name", quoted(name)), ("units", quoted(self.units))]
            top += [("material", quoted(self.of_part["material"]))] if "material" in self.of_part else []
        return part_text(top, axes, self.standing[self.old :])
