"""Makes the shared test modules (parts, strategies) importable from every folder of tests."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
