"""Letters of axes in a picture: outwards until visible, clear of each other."""

import numpy as np
import pytest

from foldsketch.write.axis_labels import RING_RADIUS_PX, SAMPLES_PER_PIXEL, label_half_width, place_axis_labels

RADIUS = RING_RADIUS_PX * SAMPLES_PER_PIXEL


def upwards(x, top, far):
    """An axis up the picture, in front of the background: start, end and farthest point, samples."""
    return np.array([(x, 900.0, 0.0), (x, top, 0.0), (x, far, 0.0)])


def test_a_letter_is_beyond_the_end_of_its_axis():
    depth = np.full((1000, 1000), -np.inf, dtype=np.float32)
    (label,) = place_axis_labels(depth, [("A", upwards(500.0, 600.0, 100.0))])
    assert label.at.tolist() == [500.0, 600.0 - RADIUS, 0.0]
    assert label.half_width == RADIUS


@pytest.mark.parametrize("hidden", [300, 450])
def test_a_letter_moves_outwards_past_what_hides_it(hidden):
    depth = np.full((1000, 1000), -np.inf, dtype=np.float32)
    depth[hidden:] = 10.0
    (label,) = place_axis_labels(depth, [("A", upwards(500.0, 600.0, 100.0))])
    assert label.at[1] + 2.5 * RADIUS < hidden, "the ring and a piece of its line"
    assert label.at[1] + 2.5 * RADIUS > hidden - 2 * SAMPLES_PER_PIXEL - 1, "no farther than needed"


def test_letters_of_axes_side_by_side_are_clear_of_each_other():
    depth = np.full((1000, 1000), -np.inf, dtype=np.float32)
    axes = [(name, upwards(x, 600.0, 100.0)) for name, x in (("A", 500.0), ("B", 510.0), ("a long name", 520.0))]
    placed = place_axis_labels(depth, axes)
    for k, a in enumerate(placed):
        for b in placed[k + 1 :]:
            apart = np.abs(a.at - b.at)
            assert apart[1] >= 2 * RADIUS or apart[0] >= a.half_width + b.half_width


def test_a_letter_that_is_hidden_everywhere_goes_to_the_farthest_place():
    depth = np.full((1000, 1000), 10.0, dtype=np.float32)
    (label,) = place_axis_labels(depth, [("A", upwards(500.0, 600.0, 300.0))])
    assert label.at[1] == pytest.approx(300.0 - RADIUS, abs=2 * SAMPLES_PER_PIXEL)


@pytest.mark.parametrize("width", [0.0, 10.0, 100.0, 400.0])
def test_a_ring_is_wide_enough_for_its_text_and_never_less_than_a_circle(width):
    assert label_half_width(width) >= max(RADIUS, width / 2)
