"""A number or an array of them: what the kernels take and give."""
from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Real = float | NDArray[np.float64]
"""A number or an array of them, SI."""

Push = tuple[Real, Real]
"""Force (N) and stiffness (N/m)."""


def plain(values: Any) -> Real:
    """Return a float for a scalar result and the array for an array."""
    array = np.asarray(values, dtype=np.float64)
    return float(array) if array.ndim == 0 else array
