"""Deadlines end a run that takes too long, and no other."""

import time

import pytest

from foldsketch.base.findings import FoldsketchError
from foldsketch.base.progress import Deadline


def test_the_time_is_over_after_its_seconds():
    late = Deadline(5.0, started=time.monotonic() - 6.0)
    with pytest.raises(FoldsketchError) as caught:
        late.check("unfold")
    (f,) = caught.value.findings
    assert (f.code, f.where, f.value("limit").value) == ("time-limit", "unfold", 5.0)


def test_within_the_time_nothing_happens():
    assert Deadline(3600.0).check("unfold") is None
