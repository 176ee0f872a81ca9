"""Drawings: items by layer, and strokes that one pen draws in one go."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from foldsketch.base.drawing import (
    DASH_PATTERNS,
    Circle,
    Drawing,
    Layer,
    LineType,
    Stroke,
    Text,
    group_strokes_by_pen,
    has_round_ends,
)

ITEMS = st.lists(
    st.builds(
        Stroke,
        st.sampled_from(Layer),
        st.just(((0.0, 0.0), (1.0, 0.0))),
        st.booleans(),
        st.sampled_from([0.25, 0.5]),
        st.sampled_from(LineType),
        fill=st.sampled_from([None, None, (1.0, 1.0, 1.0)]),
    )
    | st.builds(Circle, st.sampled_from(Layer), st.just((0.0, 0.0)), st.just(1.0))
    | st.builds(Text, st.sampled_from(Layer), st.just((0.0, 0.0)), st.just("A")),
    max_size=12,
)


def test_every_line_type_has_a_pattern_of_pairs():
    assert set(DASH_PATTERNS) == set(LineType)
    assert all(len(p) % 2 == 0 for p in DASH_PATTERNS.values())
    assert not has_round_ends(LineType.SOLID) and not has_round_ends(LineType.DASHED)


@given(ITEMS, st.sets(st.sampled_from(Layer)))
def test_layers_part_a_drawing(items, chosen):
    page = Drawing((210.0, 297.0), tuple(items))
    on, off = page.items_on(chosen), page.items_on(set(Layer) - chosen)
    assert sorted(map(repr, on + off)) == sorted(map(repr, items))
    assert all(i.layer in chosen for i in on)


@given(ITEMS)
def test_pens_keep_order_and_are_changed_only_when_needed(items):
    groups = list(group_strokes_by_pen(items))
    flat = [i for g in groups for i in (g if isinstance(g, list) else [g])]
    assert flat == items
    for g in groups:
        if isinstance(g, list):
            assert len({(s.layer, s.width, s.line, s.colour) for s in g}) == 1
            assert len(g) == 1 or all(s.fill is None for s in g)
    for g, following in pairwise(groups):
        if isinstance(g, list) and isinstance(following, list) and g[0].fill is None and following[0].fill is None:
            assert (g[0].layer, g[0].width, g[0].line, g[0].colour) != (
                following[0].layer,
                following[0].width,
                following[0].line,
                following[0].colour,
            )
