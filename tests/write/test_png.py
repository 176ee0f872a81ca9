"""The picture: nearer faces hide farther ones, edges are drawn where they are visible, the model is in the middle."""

import io

import numpy as np
import pytest
from PIL import Image, ImageChops

import parts
from foldsketch.job import pipeline
from foldsketch.job.preview import preview_png
from foldsketch.write.axis_labels import PAPER_TONE
from foldsketch.write.png import CREASE_TONE, AxisLine, ShadedFace, render_png, view_matrix
from solids import BRICK, BRICK_FACES


@pytest.mark.parametrize("part", [parts.BORED, parts.ROCKER, parts.TWO_SPIGOTS], ids=lambda p: p.name)
def test_the_model_is_in_the_middle_of_the_picture(part):
    made = pipeline.make_model(part, pipeline.Choices(scale=1.0))
    image = Image.open(io.BytesIO(preview_png(part, made.faceted, made.solids, 1.0)))
    left, top, right, foot = ImageChops.invert(image.convert("L")).getbbox()
    assert abs(left - (image.width - right)) <= 1
    assert abs(top - (image.height - foot)) <= 1


def brick(shade=0.9, moved=(0.0, 0.0, 0.0)):
    return [ShadedFace((BRICK[loop] + moved,), shade) for (loop,) in BRICK_FACES]


def tones(*args, size=(200, 160), **view):
    return np.asarray(Image.open(io.BytesIO(render_png(*args, size=size, **view)))).astype(int)


@pytest.mark.parametrize(("azimuth", "elevation"), [(-1.05, 0.6), (0.0, 0.0), (2.0, 1.4)])
def test_a_view_is_a_rotation_that_looks_from_where_it_says(azimuth, elevation):
    m = view_matrix(azimuth, elevation)
    assert m @ m.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(m) == pytest.approx(1)
    c = np.cos(elevation)
    assert m[2] == pytest.approx([c * np.cos(azimuth), c * np.sin(azimuth), np.sin(elevation)])
    assert m[0, 2] == pytest.approx(0), "the horizon is level"


def test_straight_from_above_a_brick_of_4_by_3_is_a_rectangle_of_that_ratio():
    """Its picture takes 86 % of the paper one way; its sides are 4 to 3."""
    picture = tones(brick(), [], azimuth=-np.pi / 2, elevation=np.pi / 2)
    rows, columns = np.nonzero(picture < PAPER_TONE)
    high, wide = np.ptp(rows) + 1, np.ptp(columns) + 1
    assert wide / high == pytest.approx(4 / 3, rel=0.03)
    assert max(wide / 200, high / 160) == pytest.approx(0.86, abs=0.02)


def test_a_nearer_face_hides_a_farther_one():
    """A dark brick under a light one, seen from above: nothing of it or of its edges shows."""
    alone = tones(brick(), [], azimuth=-np.pi / 2, elevation=np.pi / 2)
    both = tones([*brick(0.1, (0.0, 0.0, -5.0)), *brick()], [], azimuth=-np.pi / 2, elevation=np.pi / 2)
    assert np.array_equal(alone, both)
    assert not np.array_equal(alone, tones(brick(0.1), [], azimuth=-np.pi / 2, elevation=np.pi / 2))


def test_a_hole_shows_what_is_behind_it():
    """A square with a square hole over a dark square: dark in the middle, light around it."""
    square = np.array([(0.0, 0, 0), (30, 0, 0), (30, 30, 0), (0, 30, 0)])
    hole = (square[::-1] - 15) * (1 / 3, 1 / 3, 1.0) + 15
    faces = [ShadedFace((square, hole), 1.0), ShadedFace((square - (0, 0, 10),), 0.2)]
    picture = tones(faces, [], size=(160, 160), azimuth=-np.pi / 2, elevation=np.pi / 2)
    assert picture[80, 80] < 80 < picture[30, 30]


def test_edges_between_two_visible_faces_are_lighter_than_the_outline():
    """Three faces of the brick show: their common corner is crossed by creases, the outline is darker."""
    picture = tones(brick(1.0), [], size=(400, 320))
    inner = picture[100:220, 120:280]
    assert CREASE_TONE - 20 < inner.min() < CREASE_TONE + 60
    assert picture.min() < inner.min()


def test_an_axis_is_drawn_where_nothing_is_in_front_of_it():
    """Up through the middle of the brick, seen from the side: long dashes and dots above and below, 25 of 31 pixels
    [ISO 128-20, type 04], nothing in front of the brick."""
    middle, up = BRICK.mean(axis=0), np.array([0.0, 0.0, 6.0])
    axis = AxisLine("A", middle - up, middle + up, middle + 2 * up)
    picture = tones(brick(1.0), [axis], size=(300, 400), elevation=0.0)
    top, foot = np.flatnonzero(picture[:, 110] < CREASE_TONE)[[0, -1]]
    line = picture[:, 145:155].min(axis=1) < 160
    assert not line[top + 5 : foot - 4].any()
    for free in (line[top - 93 : top - 4], line[foot + 5 : foot + 93]):
        assert free.mean() == pytest.approx(25 / 31, abs=0.1)


def test_the_same_faces_give_the_same_bytes():
    assert render_png(brick(), [], (100, 80)) == render_png(brick(), [], (100, 80))
