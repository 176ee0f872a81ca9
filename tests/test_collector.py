"""The collector of garbage rests only while it is told to."""

import gc
import weakref

import pytest

from foldsketch.base.collector import pause_garbage_collection


@pytest.mark.parametrize("awake", [True, False])
def test_it_is_left_as_it_was_found(awake):
    before = gc.isenabled()
    (gc.enable if awake else gc.disable)()
    try:
        with pause_garbage_collection():
            assert not gc.isenabled()
            with pause_garbage_collection():
                assert not gc.isenabled()
            assert not gc.isenabled()
        assert gc.isenabled() is awake
        with pytest.raises(KeyError), pause_garbage_collection():
            raise KeyError
        assert gc.isenabled() is awake
    finally:
        (gc.enable if before else gc.disable)()


@pytest.fixture
def awake():
    before = gc.isenabled()
    gc.enable()
    yield
    (gc.enable if before else gc.disable)()


def test_what_was_made_at_rest_counts_as_long_lived(awake):
    with pause_garbage_collection():
        made = [[k] for k in range(3)]
    assert any(o is made for o in gc.get_objects(generation=2))
    assert gc.get_freeze_count() == 0


def test_what_somebody_froze_stays_frozen(awake):
    gc.freeze()
    try:
        many = gc.get_freeze_count()
        with pause_garbage_collection():
            pass
        assert gc.get_freeze_count() == many
    finally:
        gc.unfreeze()


def test_circles_are_still_found(awake):
    class Node:
        pass

    with pause_garbage_collection():
        one = Node()
        one.own = one
        gone = weakref.ref(one)
        del one
    assert gone() is not None
    gc.collect()
    assert gone() is None
