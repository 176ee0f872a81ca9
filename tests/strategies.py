"""Random parts of 1 to 8 features: offset, touching, interpenetrating, cut, crossed; on a grid of half millimetres."""

from hypothesis import strategies as st

from foldsketch.part.model import Axis, Cone, Cylinder, Feature, Part, Plate, PrismShape, Ring


def random_part(r):
    """A part drawn with a random.Random (or Hypothesis's own)."""

    def grid(low, high):
        return r.randint(int(low * 2), int(high * 2)) / 2

    axes = [Axis("A")]
    axes += [Axis(name, (grid(-40, 40), grid(-40, 40), 0.0)) for name in "BCD"[: r.randint(0, 3)]]
    if r.random() < 0.3:
        axes.append(Axis("X", (0.0, grid(-10, 10), grid(0, 40)), (1.0, 0.0, 0.0)))
    if r.random() < 0.1:
        axes.append(Axis("Y", (grid(-5, 5), 0.0, grid(0, 40)), (0.6, 0.0, 0.8)))
    levels = sorted({0.0, 10.0, 25.0, 40.0, grid(5, 60)})
    features = []
    for k in range(r.randint(1, 8)):
        axis = r.choice(axes).name
        cut = k > 0 and r.random() < 0.3
        if axis in "XY":
            low, high = -60.0, 60.0
        else:
            i = r.randint(0, len(levels) - 2)
            low, high = levels[i], levels[r.randint(i + 1, len(levels) - 1)]
            if cut and r.random() < 0.5:
                low, high = low - 1, high + 1
        features.append(Feature(f"f{k}", axis, _shape(r, grid), low, high, cut))
    return Part("random", tuple(axes), tuple(features))


def _shape(r, grid):
    d = grid(8, 80)
    kind = r.random()
    if kind < 0.6:
        return Cylinder(d)
    if kind < 0.7:
        return Cone(d, r.choice([0.0, grid(5, 60)]))
    if kind < 0.8:
        return Ring(d, max(2.0, min(d - 1, grid(0.2 * d, 0.9 * d))))
    if kind < 0.9:
        return PrismShape(r.choice([3, 4, 6, 8]), d)
    if r.random() < 0.5:
        w, v, h = grid(20, 60), grid(20, 60), grid(20, 50)
        return Plate(outline=((0.0, 0.0), (w, 0.0), (v, h), (0.0, h)))
    return Plate(hull=((0.0, 0.0, grid(5, 20)), (grid(20, 50), 0.0, grid(5, 20))))


def parts():
    """Hypothesis strategy for random parts."""
    return st.randoms(use_true_random=False).map(random_part)
