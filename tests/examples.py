"""How much of a test a quick run takes."""

import math

import pytest
from hypothesis import settings


def examples(count, **more):
    """Settings of a test with so many examples in a whole run, fewer in a quick one; see conftest.py."""
    return settings(max_examples=math.ceil(count * settings.default.max_examples / 100), **more)


def few(values, first=0, every=4):
    """The values of a parametrised test; in a quick run only every fourth from the first on."""
    return [v if k % every == first else pytest.param(v, marks=pytest.mark.slow) for k, v in enumerate(values)]
