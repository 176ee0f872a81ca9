"""The kinds of arrays that pass from hand to hand: floats, whole numbers, and what is or is not."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
