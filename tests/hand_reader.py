"""Carries out a by-hand page: knows the printed words and figures and where they stand, and nothing else."""

import re
from dataclasses import dataclass, field
from math import pi, tan

import pypdfium2

import printed

NUMBER = r"(\d+(?:\.\d+)?)"


@dataclass
class Made:
    """A body made from paper: its square, the width over its folded wall, height, and the marks on its square."""

    width: float
    depth: float
    over_wall: float
    height: float
    squares: int
    marks: dict = field(default_factory=dict)
    place: tuple = None
    low: float = None

    def mark(self, axis):
        """Where an axis is on the square; a square without figures has it where the diagonals cross."""
        return (
            self.marks.get(axis, (self.width / 2, self.depth / 2)) if self.marks else (self.width / 2, self.depth / 2)
        )


@dataclass
class Read:
    """What came out. bodies: by name; offsets: text of the line of offsets; circles: {(body, end, axis): diameter}."""

    bodies: dict
    order: list
    offsets: str
    circles: dict
    minutes: int
    words: list

    def axis(self, name):
        """Where an axis comes out, from the first body's lower left corner."""
        for made in self.bodies.values():
            if name in made.marks:
                x, y = made.marks[name]
                return (made.place[0] + x, made.place[1] + y)
        for body, _, _, at in self.order:
            if at == name:
                made = self.bodies[body]
                return (made.place[0] + made.width / 2, made.place[1] + made.depth / 2)
        return None


def carry_out(data):
    """Build the model of a page (PDF) in numbers."""
    with pypdfium2.PdfDocument(data) as document:
        assert len(document) == 1, "one side of paper"
        page = printed.read_pdf(document[0])
    words = page.words
    bodies = read_table(words)
    for title, marks in (*read_figures(page), *read_more_marks(words)):
        for name in bodies:
            if name in title:
                bodies[name].marks = marks
    order = read_order(words)
    put_together(bodies, order)
    start = heading(words, ("Offsets from", "All bodies", "No axis")).at[1]
    rounded = heading(words, "Rounded").at[1]
    offsets = " ".join(w.text for w in sorted(words, key=lambda w: -w.at[1]) if rounded < w.at[1] <= start)
    minutes = next(int(m[1]) for w in words if (m := re.search(r"about (\d+) minute", w.text)))
    return Read(bodies, order, offsets, read_circles(words, bodies), minutes, words)


def heading(words, text):
    return next(w for w in words if w.text.startswith(text))


def read_table(words):
    """Every body of the table: what its paper measures."""
    cutting = next(w.text for w in words if w.text.startswith("Strips:"))
    lap = float(re.search(rf"and {NUMBER} to glue", cutting)[1])
    flaps = [float(v) for v in re.findall(NUMBER, cutting[cutting.index("high, and") :])]
    heads = {text: heading(words, text) for text in ("squares", "strips, width", "height", "sides")}
    starts = [0.0, *(h.at[0] - 2 for h in heads.values()), 999.0]
    low = heading(words, "Fold the strip").at[1]
    inside = [w for w in words if low + 4 < w.at[1] < heads["squares"].at[1] - 1]
    lines = []
    for w in sorted(inside, key=lambda w: -w.at[1]):
        if not lines or lines[-1][0] - w.at[1] > 3.0:
            lines.append((w.at[1], {}))
        column = max(k for k in range(5) if w.at[0] >= starts[k])
        lines[-1][1][column] = w.text
    rows = []
    for _, cells in lines:
        if 3 in cells:
            rows.append(dict(cells))
        else:
            for column, text in cells.items():
                rows[-1][column] += f" {text}"
    found = {}
    for row in rows:
        found |= _bodies_of_row(row, lap, flaps)
    return found


def _bodies_of_row(row, lap, flaps):
    names, size = re.fullmatch(rf"(.+?) (Ø{NUMBER}|{NUMBER} A/F|{NUMBER} × {NUMBER})", row[0]).groups()[:2]
    names = names.split(", ")
    sizes = [float(v) for v in re.findall(NUMBER, size)]
    width, depth = sizes[0], sizes[-1]
    count, wide, long = (float(v) for v in re.fullmatch(rf"{NUMBER} of {NUMBER} × {NUMBER}", row[2]).groups())
    height = float(row[3])
    assert any(abs(wide - height - 2 * f) < 1e-9 for f in flaps), "strip as wide as the body is high, and both edges"
    around = (long - lap) * count / len(names)
    each = re.fullmatch(rf"((?:\d \+ )*\d), each {NUMBER}", row[4])
    if each:
        sides = sum(int(v) for v in each[1].split(" + "))
        assert abs(around / sides - float(each[2])) < 0.051
        over_wall = around / sides / tan(pi / sides)
    else:
        assert abs(sum(float(v) for v in row[4].split(", ")) - around) < 1e-9
        over_wall = around / 2 - depth
    squares = 0
    if row[1] != "none":
        m = re.match(rf"(\d+) of {NUMBER}(?: × {NUMBER})?", row[1])
        assert (float(m[2]), float(m[3] or m[2])) == (width, depth), "squares as large as the body"
        squares = int(m[1]) / len(names)
    return {name: Made(width, depth, over_wall, height, squares) for name in names}


def read_figures(page):
    """For every square that is drawn the bodies named above it, and its marks: {axis: (left, up)}."""
    top, low = (
        heading(page.words, "Centres by").at[1],
        heading(page.words, ("Offsets from", "All bodies", "No axis")).at[1],
    )
    middle = heading(page.words, "Together").at[0] - 12
    thick = [line.points for line in page.lines if line.pen > 0.4 and len(line.points) == 6]
    squares = []
    for points in thick:
        (x0, y0), (x1, y1) = points.min(axis=0), points.max(axis=0)
        titles = [w for w in page.words if abs(w.at[0] - x0) < 1.5 and 0 < w.at[1] - y1 < 3.2]
        if y1 < top and titles:
            squares.append((x0, y0, x1, y1, titles[0].text))
    rows = sorted({round(s[3]) for s in squares}, reverse=True)
    for x0, _, x1, y1, title in squares:
        below = next((r + 3 for r in rows if r < y1 - 3), low)
        beside = [s[2] for s in squares if abs(s[3] - y1) < 1 and s[2] < x0]
        left = max(beside, default=-5) + 4
        right = min((s[0] for s in squares if abs(s[3] - y1) < 1 and s[0] > x1), default=middle + 8)
        right = x1 + 4 if right < middle else middle
        marks = {}
        for w in page.words:
            m = re.fullmatch(rf"((?:[A-Z] )+){NUMBER}", w.text)
            if m and left <= w.at[0] < right and below < w.at[1] < y1 + 3:
                for axis in m[1].split():
                    marks.setdefault(axis, [None, None])[int(w.at[0] < x0 - 0.5)] = float(m[2])
        assert all(None not in at for at in marks.values()), (title, marks)
        yield title.split(", "), {axis: tuple(at) for axis, at in marks.items()}


def read_more_marks(words):
    """The same for squares that are described in words."""
    if not any(w.text == "More marks" for w in words):
        return
    text = " ".join(right_column(words, "More marks", "Eight corners"))
    for line in re.finditer(
        r"(?P<title>.+?): (?P<spots>[A-Z] left [\d.]+, up [\d.]+(?:; [A-Z] left [\d.]+, up [\d.]+)*) ?", text
    ):
        spots = re.findall(rf"([A-Z]) left {NUMBER}, up {NUMBER}", line["spots"])
        yield line["title"].split(", "), {axis: (float(x), float(y)) for axis, x, y in spots}


def right_column(words, head, *ends):
    """The lines below a heading of the right column, as far as the next one."""
    start = heading(words, head)
    lows = [w.at[1] for w in words if w.text.startswith(ends) and w.at[0] > 80 and w.at[1] < start.at[1]]
    low = max(lows, default=0.0)
    found = [w for w in words if low + 2 < w.at[1] < start.at[1] - 1 and start.at[0] - 2 < w.at[0]]
    return [w.text for w in sorted(found, key=lambda w: -w.at[1])]


def read_order(words):
    """The order: (body, on or under, other, axis)."""
    lines = right_column(words, "Together")
    steps, number = [], 1
    for line in lines:
        if line.startswith(f"{number} ") and (number == 1 or " on " in line or " under " in line or len(line) > 20):
            steps.append(line.split(" ", 1)[1].strip())
            number += 1
        elif steps and not re.fullmatch(r"\d+", line) and ", at" not in steps[-1] + " " and not line.startswith("Off"):
            steps[-1] += f" {line}"
    found = [(steps[0], None, None, None)]
    for step in steps[1:]:
        m = re.match(r"(.+?) (on|under) (.+), (?:pinned )?at ([A-Z])", step)
        found.append(m.groups())
    return found


def read_circles(words, bodies):
    """Circles around marks: {(body, end, axis): diameter}."""
    if not any(w.text == "Circles around the marks" for w in words):
        return {}
    text = " ".join(right_column(words, "Circles around", "Holes are", "Together"))
    found = {}
    names = sorted(bodies, key=len, reverse=True)
    starts = sorted((m.start(), name) for name in names for m in re.finditer(rf"(?:^| ){re.escape(name)}: ", text))
    for (start, name), stop in zip(starts, [*(s for s, _ in starts[1:]), len(text)], strict=True):
        for end, circles in re.findall(r"(top|under|both ends) ([^;]+)", text[start:stop]):
            for diameter, axis in re.findall(rf"Ø{NUMBER} at ([A-Z])", circles):
                for e in ("top", "under") if end == "both ends" else (end,):
                    found[name, e, axis] = float(diameter)
    return found


def put_together(bodies, order):
    """Place the bodies: mark over mark, end on end."""
    first = bodies[order[0][0]]
    first.place, first.low = (0.0, 0.0), 0.0
    for name, where, other, axis in order[1:]:
        made, there = bodies[name], bodies[other]
        (a, b), (c, d) = there.mark(axis), made.mark(axis)
        made.place = (there.place[0] + a - c, there.place[1] + b - d)
        made.low = there.low + there.height if where == "on" else there.low - made.height
