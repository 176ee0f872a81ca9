"""Makes the shared test modules (parts, strategies) importable from every folder of tests; no example has a deadline,
for a machine may be busy."""

import sys
from pathlib import Path

from hypothesis import settings

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
sys.path.insert(0, str(Path(__file__).parent))
