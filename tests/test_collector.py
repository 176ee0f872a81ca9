"""The collector of garbage rests only while it is told to."""

import gc

import pytest

from foldsketch.base.collector import collector_at_rest


@pytest.mark.parametrize("awake", [True, False])
def test_it_is_left_as_it_was_found(awake):
    before = gc.isenabled()
    (gc.enable if awake else gc.disable)()
    try:
        with collector_at_rest():
            assert not gc.isenabled()
            with collector_at_rest():
                assert not gc.isenabled()
            assert not gc.isenabled()
        assert gc.isenabled() is awake
        with pytest.raises(KeyError), collector_at_rest():
            raise KeyError
        assert gc.isenabled() is awake
    finally:
        (gc.enable if before else gc.disable)()
