"""What one spoken statement says: a feature, holes on a circle, bores, or something about the whole part."""

from __future__ import annotations

from dataclasses import dataclass, replace

from foldsketch.part.material import DENSITY_KG_PER_M3, material_key
from foldsketch.part.spoken.messages import ANGLES_DO_NOT_MATCH, NOT_UNDERSTOOD, NUMBER_MISSING, SIZE_ZERO
from foldsketch.part.spoken.words import Token, read_tokens

EXAMPLE, TAPER_EXAMPLE = "flange 110 x 14", "nose taper 40 to 28 x 20"
THROUGH_NAMES = ("hole", "bore")
"""A feature whose name ends so and that has no length goes through."""


@dataclass(frozen=True, slots=True)
class Bore:
    """A bore on a feature's axis. depth: from its top, None for through."""

    diameter: float
    depth: float | None = None


@dataclass(frozen=True, slots=True)
class SaidFeature:
    """A feature as it is said; lengths in the part's unit, angles in degrees.

    sizes: Ø, both Ø of a taper, or across flats; length: None for a hole right through; offset: from the datum, None
    for on it; start: None to stand on what is there; base: what it stands on, by name; stock: None if not said.
    """

    name: str
    shape: str
    sizes: tuple[float, ...]
    length: float | None
    offset: float | None = None
    angle: float = 0.0
    start: float | None = None
    base: str = ""
    bores: tuple[Bore, ...] = ()
    stock: float | None = None
    finish: str = ""


@dataclass(frozen=True, slots=True)
class SaidHoles:
    """Holes on a circle: their diameter, the circle's, and their angles in degrees."""

    name: str
    diameter: float
    circle: float
    angles: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SaidBores:
    """Bores of the features said last, in their order."""

    diameters: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class SaidOfPart:
    """Something about the whole part: key "name", "material", "stock" or "finish"."""

    key: str
    value: str


Said = SaidFeature | SaidHoles | SaidBores | SaidOfPart


def read_statement(statement: str, units: str) -> tuple[Said, ...]:
    """What a statement says. Raises FoldsketchError where it is not understood.

    >>> read_statement("bored 28 and 18", "mm")
    (SaidBores(diameters=(28.0, 18.0)),)
    """
    first, _, rest = statement.partition(" ")
    if material_key(statement) in DENSITY_KG_PER_M3:
        first, rest = "material", statement
    if first.lower() in ("name", "material") and rest.strip():
        return (SaidOfPart(first.lower(), rest.strip().strip("\"'")),)
    return _Reader(statement, read_tokens(statement, units)).read()


class _Reader:
    """One statement, read from left to right."""

    def __init__(self, statement: str, tokens: list[Token]) -> None:
        self.statement, self.tokens, self.k = statement, tokens, 0

    def read(self) -> tuple[Said, ...]:
        """All that it says."""
        if self.sees("cast") or self.sees("stock") or self.sees("machined"):
            said: tuple[Said, ...] = self.of_part()
        elif self.sees("bore"):
            self.k += 1
            said = (SaidBores(self.numbers("Ø of the bore", "bored 28 and 18")),)
        elif self.tokens[0].kind == "number":
            said = (self.holes(),)
        elif self.sees("bolt", "circle") or self.sees("pitch", "circle"):
            self.k += 2
            self.passes("of")
            said = (self.holes("bolt hole"),)
        else:
            said = (self.feature(),)
        if self.k < len(self.tokens):
            raise self.fault()
        return said

    def sees(self, *words: str) -> bool:
        """Whether these words come next."""
        ahead = self.tokens[self.k : self.k + len(words)]
        return [t.word for t in ahead] == list(words)

    def passes(self, *words: str) -> bool:
        """Whether one of these words comes next; it is passed."""
        if self.k < len(self.tokens) and self.tokens[self.k].word in words:
            self.k += 1
            return True
        return False

    def has_number(self) -> bool:
        """Whether a number comes next."""
        return self.k < len(self.tokens) and self.tokens[self.k].kind == "number"

    def number(self, what: str, example: str = EXAMPLE, zero: bool = False) -> float:
        """The number that comes next."""
        if not self.has_number():
            raise NUMBER_MISSING.error(f"'{self.statement}'", what=what, example=example)
        value = self.tokens[self.k].number
        if not (value or zero):
            raise SIZE_ZERO.error(f"'{self.statement}'", what=what)
        self.k += 1
        return value

    def numbers(self, what: str, example: str, zero: bool = False) -> tuple[float, ...]:
        """Numbers, parted by a comma, `and` or both."""
        found = [self.number(what, example, zero)]
        while True:
            here = self.k
            while self.passes(",", "and", "deg"):
                pass
            if not self.has_number():
                self.k = here
                return tuple(found)
            found.append(self.number(what, example, zero))

    def fault(self) -> Exception:
        """The error about the word that comes next."""
        return NOT_UNDERSTOOD.error(f"'{self.statement}'", word=self.tokens[self.k].said)

    def name(self, stops: tuple[str, ...]) -> str:
        """The words up to a number or one of these."""
        words = []
        for token in self.tokens[self.k :]:
            if token.kind != "word" or token.word in stops:
                break
            words.append(token.said)
        self.k += len(words)
        return " ".join(words)

    def of_part(self) -> tuple[SaidOfPart, ...]:
        """`cast 2`, `stock 2`, `machined`: what holds for every feature that is not bored or drilled."""
        finish = self.tokens[self.k].word
        self.k += 1
        said = [] if finish == "stock" else [SaidOfPart("finish", finish)]
        if finish == "stock" or self.has_number():
            said.append(SaidOfPart("stock", repr(self.number("the stock", "cast 2", zero=True))))
        return tuple(said)

    def holes(self, usual: str = "hole") -> SaidHoles:
        """`4 holes 9 on 74 from 45 deg`, also with an angle for each. usual: their name where none is said."""
        example = "4 holes 9 on 74 from 45 deg"
        count = self.number("the count", example)
        name = ("" if self.passes("x") else self.name(("dia", "on")).removesuffix("s")) or usual
        self.passes("dia")
        diameter = self.number("Ø of the holes", example)
        if not self.passes("on"):
            raise NUMBER_MISSING.error(f"'{self.statement}'", what="Ø of the circle after 'on'", example=example)
        self.passes("dia")
        circle = self.number("Ø of the circle", example)
        while self.passes(",", "first"):
            pass
        angles = self.numbers("the angle", example, zero=True) if self.passes("from", "at") else (0.0,)
        self.passes("deg")
        if count != int(count) or count > 360 or len(angles) not in (1, int(count)):
            raise ANGLES_DO_NOT_MATCH.error(f"'{self.statement}'", holes=int(count), angles=len(angles))
        if len(angles) == 1:
            angles = tuple((angles[0] + 360 * k / int(count)) % 360 for k in range(int(count)))
        return SaidHoles(name, diameter, circle, angles)

    def feature(self) -> SaidFeature:
        """`inlet 42 x 35 at 24, 150 deg, bore 28`."""
        name = self.name(("x", "dia", "hexagon", "square", "taper"))
        shape = "cylinder"
        if self.sees("hexagon") or self.sees("square") or self.sees("taper"):
            shape = self.tokens[self.k].word
            self.k += 1
        self.passes("dia")
        sizes = [self.number("the size")]
        if shape == "taper":
            if not self.passes("to"):
                raise NUMBER_MISSING.error(f"'{self.statement}'", what="the other Ø", example=TAPER_EXAMPLE)
            self.passes("dia")
            sizes.append(self.number("the other Ø", TAPER_EXAMPLE))
        made = SaidFeature(name or shape, shape, tuple(sizes), None)
        if self.passes("x") or self.sees(","):
            if self.passes(",") and not (self.has_number() and self._then("x")):
                self.k -= 1
            else:
                made = replace(made, length=self.number("the length"))
                self.passes("x")
        if made.length is None and made.name.split()[-1].lower() not in THROUGH_NAMES:
            raise NUMBER_MISSING.error(f"'{self.statement}'", what="the length", example=EXAMPLE)
        while self.k < len(self.tokens):
            made = self.clause(made)
        return made

    def _then(self, word: str) -> bool:
        return self.k + 1 < len(self.tokens) and self.tokens[self.k + 1].word == word

    def clause(self, f: SaidFeature) -> SaidFeature:
        """One thing more about a feature."""
        if self.passes(",", "and", "with", "through", "deg"):
            return f
        if self.passes("at", "offset"):
            offset = self.number("the distance", "inlet 42 x 35 at 24", zero=True)
            here = self.k
            self.passes(",")
            if not self.has_number():
                self.k = here
                return replace(f, offset=offset)
            angle = self.number("the angle", zero=True)
            self.passes("deg")
            return replace(f, offset=offset, angle=angle % 360)
        if self.passes("from"):
            return replace(f, start=self.number("where it begins", "collar 60 x 8 from 20", zero=True))
        if self.passes("on"):
            return replace(f, base=self.name((",", "at", "from", "bore", "cast", "stock")))
        if self.passes("bore"):
            self.passes("dia")
            diameter = self.number("Ø of the bore", "inlet 42 x 35, bore 28")
            depth = self.number("the depth", "bore 28 deep 20") if self.passes("deep", "x") else None
            return replace(f, bores=(*f.bores, Bore(diameter, depth)))
        if self.passes("stock"):
            return replace(f, stock=self.number("the stock", "boss 40 x 12, stock 2", zero=True))
        if self.passes("cast", "machined"):
            return replace(f, finish=self.tokens[self.k - 1].word)
        raise self.fault()
