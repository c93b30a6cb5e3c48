"""Names of the shapes that the fork's statics pass around."""
from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Real = float | NDArray[np.float64]
"""A number or an array of them."""

Push = tuple[Real, Real]
"""Force (N) and stiffness (N/m)."""
