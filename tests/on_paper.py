"""A model's marks with their panels, and points of a panel in space and on paper."""

import functools
import math

import numpy as np
import shapely

from foldsketch.base.lettering import text_width
from foldsketch.job import pipeline


@functools.cache
def marked(part, scale=1.0):
    """The nets, and every mark with its piece and panel."""
    nets = pipeline.make_model(part, pipeline.Choices(scale=scale)).nets
    return nets, [(p, p.panel(m.panel), m) for p in nets.pieces for m in p.marks if m.panel is not None]


def shape(panel):
    return shapely.Polygon(panel.outline, panel.holes)


def in_space(panel, p):
    return panel.origin + panel.to_space[:, :2] @ np.array(p)


def in_plane(panel, points):
    return (points - panel.origin) @ panel.to_space[:, :2]


def lies_on(panel, joint):
    return bool((np.abs((joint.outline - panel.origin) @ panel.to_space[:, 2]) < 1e-6).all())


def word_box(m):
    """The box of a mark's capitals on its net."""
    w, h = text_width(m.text, m.size) / 2, m.size / 2
    turned = shapely.affinity.rotate(shapely.box(-w, -h, w, h), math.degrees(m.angle), origin=(0, 0))
    return shapely.affinity.translate(turned, *m.at)
