"""Wiring.  Every process of an installation comes through this room before it loads numpy."""
import os

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")  # the engine's matrices are small: threads double their cost and save nothing
