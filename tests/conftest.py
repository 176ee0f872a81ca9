"""Makes the shared test modules (parts, strategies) importable from every folder of tests; sets how many examples
Hypothesis tries; lets the processes that the tests start share compiled code."""

import os
import sys
from pathlib import Path

from hypothesis import settings

# No example has a deadline, for a machine may be busy. A run without the slow tests tries a quarter of the examples.
settings.register_profile("whole", deadline=None, max_examples=100)
settings.register_profile("quick", deadline=None, max_examples=25)
sys.path.insert(0, str(Path(__file__).parent))


def pytest_configure(config):
    settings.load_profile("quick" if config.option.markexpr == "not slow" else "whole")
    # Where Python may write no compiled code beside the sources, some hundred processes would compile all of it again.
    if os.environ.get("PYTHONDONTWRITEBYTECODE") and config.pluginmanager.has_plugin("cacheprovider"):
        os.environ["PYTHONPYCACHEPREFIX"] = str(config.cache.mkdir("compiled"))
        del os.environ["PYTHONDONTWRITEBYTECODE"]
