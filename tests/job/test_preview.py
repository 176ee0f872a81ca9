"""The picture: every face of the model drawn, every used axis with its letter, no axis behind another."""

import io
from itertools import combinations
from math import cos, sin

import numpy as np
from PIL import Image

import parts
from foldsketch.job import preview
from foldsketch.job.pipeline import make_model
from foldsketch.part.model import Axis, Cylinder, Feature


def drawn(part, monkeypatch):
    """What the picture is made of: faces, axis lines, azimuth."""
    kept = {}
    made = make_model(part)

    def render(faces, lines, azimuth, elevation, drawn):
        kept.update(faces=faces, lines=lines, azimuth=azimuth)
        return b""

    monkeypatch.setattr(preview, "render_png", render)
    preview.preview_png(part, made.faceted, made.solids, made.nets.scale)
    return made, kept


def test_a_png_of_a_part():
    made = make_model(parts.TWO_SPIGOTS)
    picture = Image.open(io.BytesIO(preview.preview_png(made.part, made.faceted, made.solids, made.nets.scale)))
    assert picture.format == "PNG" and len(np.unique(picture.convert("L"))) > 5


def test_what_is_drawn_and_not_built_is_in_the_picture():
    """A dark ring on the lid of a spigot, where its bore opens; without nets there is none."""
    part = parts.part([parts.FLANGE, Feature("bore", "A", Cylinder(40), -1, 13, cut=True)])
    made = make_model(part, level="no shown bores")
    given = (made.part, made.faceted, made.solids, made.nets.scale)
    plain, marked = (
        np.array(Image.open(io.BytesIO(p)))
        for p in (preview.preview_png(*given), preview.preview_png(*given, made.nets))
    )
    assert 300 < (marked < plain).sum() < 0.05 * plain.size and not (marked > plain).any()


def test_every_face_and_every_used_axis(monkeypatch):
    part = parts.part(
        [parts.FLANGE, Feature("inlet", "B", Cylinder(36), 12, 42)], parts.at("B", 20, 0), parts.at("C", 9, 9)
    )
    made, kept = drawn(part, monkeypatch)
    assert len(kept["faces"]) == sum(len(b.skin.faces) for b in made.solids.blocks)
    assert [line.letter for line in kept["lines"]] == ["A", "B"]


def test_an_axis_ends_outside_the_part_even_where_its_bore_is_longer(monkeypatch):
    """The bore is given from -200 to 200 mm in a body of 40: the line sticks out by a share of the part's size only."""
    part = parts.part(
        [Feature("body", "A", Cylinder(60), 0, 40), Feature("bore", "B", Cylinder(20), -200, 200, cut=True)],
        parts.at("B", 8, 0),
    )
    made, kept = drawn(part, monkeypatch)
    scale = made.nets.scale
    for line in kept["lines"]:
        assert -0.1 * 60 * scale <= line.low[2] < 0 and 40 * scale < line.high[2] <= (40 + 0.11 * 60) * scale


def test_no_axis_stands_behind_another(monkeypatch):
    """Axes in a row along the usual line of sight: seen from there all would be one."""
    usual = preview.PREVIEW_AZIMUTHS_RAD[0]
    along = cos(usual), sin(usual)
    row = [Axis(n, (20 * k * along[0], 20 * k * along[1], 0.0)) for k, n in enumerate("BCD", 1)]
    features = [Feature(f"pin {a.name}", a.name, Cylinder(12), 0, 20) for a in row]
    part = parts.part([Feature("base", "A", Cylinder(200), -10, 0), *features], *row)
    _, kept = drawn(part, monkeypatch)
    from foldsketch.write.png import view_matrix

    right = view_matrix(kept["azimuth"], preview.PREVIEW_ELEVATION_RAD)[0]
    places = [float(np.array(a.point) @ right) for a in part.axes]
    assert min(abs(p - q) for p, q in combinations(places, 2)) > 3
