"""Tables of one set-up sheet: the figures of the set-up, and what its tools reach."""

from __future__ import annotations

from foldsketch.base.drawing import Item, Layer, Stroke
from foldsketch.base.lettering import truncate_text
from foldsketch.base.units import normalized_degrees
from foldsketch.setup.model import SetUp
from foldsketch.setup.speed_text import SPEED_LIMIT_TEXT, rounded_down
from foldsketch.sheet.page.page_text import BODY_TEXT_HEIGHT_MM, SMALL_TEXT_HEIGHT_MM, frame_text


def draw_figures_table(s: SetUp, x: float, y: float) -> list[Item]:
    """The table of figures."""
    c = s.clamping
    rows = [
        ("offset e", f"{c.offset:.2f} mm"),
        ("indicator reading (TIR) = 2e", f"{s.indicator:.2f} mm"),
        ("swing", f"{s.swing:.1f} mm"),
    ]
    if s.shift:
        rows.append(("spindle angle", f"{normalized_degrees(s.orientation):.1f}°"))
        rows.append(("sub-spindle offset", f"{s.shift:.2f} mm"))
    v = s.speeds
    if s.mass is not None and s.unbalance is not None:
        rows += [("mass of the work", f"{s.mass:.3f} kg"), ("unbalance", f"{s.unbalance:.0f} g mm")]
        if v.balance is not None:
            rows.append((f"balance allows, G {s.grade:g}", f"{v.balance:.0f} r/min"))
        if s.force:
            rows.append(("out-of-balance force at that speed", f"{s.force:.0f} N"))
        if s.weighted:
            weights = " + ".join(f"{w.mass:.3f}" for w in s.weights)
            rows.append(("counterweight, opposite", f"{weights} kg at {s.weights[0].radius:.0f} mm"))
    if v.recommended is not None:
        rows.append(
            (f"speed at most: {SPEED_LIMIT_TEXT.get(v.limit, v.limit)}", f"{rounded_down(v.recommended)} r/min")
        )
    elif v.limit:
        rows.append(("speed", str(v.limit)))
    if s.clamping_force:
        has = f" of {s.grip_force / 1000:.0f}" if s.grip_force else ""
        rows.append(("grip at rest that the cuts need", f"{s.clamping_force / 1000:.1f}{has} kN"))
    if s.packed and s.packing:
        own, narrow = s.packing.for_chuck_jaws, s.packing.narrow
        rows.append(("packing, jaw 1 (narrow jaws)", f"{own:.2f} ({narrow:.2f}) mm"))
    if s.jaws and c.offset:
        faces = ", ".join(f"{j.from_centre:.2f}" for j in s.jaws)
        rows.append(("jaws 1, 2 … from centre", f"{faces} mm"))
    items: list[Item] = []
    wide, step = 95.0, 5.3
    for name, value in rows:
        items.append(frame_text(x, y, name, BODY_TEXT_HEIGHT_MM))
        items.append(frame_text(x + wide, y, value, 3.5, anchor="end"))
        line = ((x, y - 1.0), (x + wide, y - 1.0))
        items.append(Stroke(Layer.FRAME, line, width=0.13, colour=(0.6, 0.6, 0.6)))
        y -= step
    return items


def draw_reach_table(s: SetUp, x: float, y: float) -> list[Item]:
    """The table of what the tools reach, with its upper left corner there; nothing where no tool is listed."""
    items: list[Item] = []
    if not s.reach:
        return items
    heads = ("turned feature", "open", "stick-out", "clearance", "x bar dia.", "deflection")
    at = (x, x + 68, x + 88, x + 106, x + 122, x + 146)
    for head, p in zip(heads, at, strict=True):
        items.append(frame_text(p, y, head, SMALL_TEXT_HEIGHT_MM, anchor="start" if p == x else "end"))
    for k, r in enumerate(s.reach[:4]):
        row = y - 5 - 4.2 * k
        values = (
            truncate_text(r.feature, BODY_TEXT_HEIGHT_MM, 52),
            f"{r.open_length:.1f}",
            f"{r.overhang:.1f}" if r.overhang else "any",
            "clear" if r.radial_clearance is None else f"{r.radial_clearance:.1f}",
            f"{r.overhang_ratio:.1f}" if r.overhang else "",
            "" if r.deflection is None else f"{r.deflection:.3f} mm",
        )
        for value, p in zip(values, at, strict=True):
            items.append(frame_text(p, row, value, BODY_TEXT_HEIGHT_MM, anchor="start" if p == x else "end"))
    return items
