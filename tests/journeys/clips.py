"""Films of a bounce with known motion, drawn here and packed as WebM."""
from __future__ import annotations

import math
import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import imageio_ffmpeg
import numpy as np
from numpy.typing import NDArray

WIDTH, HEIGHT = 480, 360
MM_PER_PIXEL = 0.8
RULER = ((420, 60), (420, 310))
"""The ends of a length of 200 mm."""
REST = (210.0, 190.0)
LEAN = np.array([-0.42, 0.9075])
"""The way down the fork, in pixels: right of upright as one looks at it."""
TAPE = (230, 60, 20)
Floats = NDArray[np.float64]
Frame = NDArray[np.uint8]


@dataclass(frozen=True)
class Clip:
    """A film: its file, the real time and the tape's true place in each picture."""

    path: Path
    times: Floats
    places: Floats

    @property
    def first(self) -> tuple[int, int]:
        """Where the tape's middle is in the first picture."""
        return round(float(self.places[0, 0])), round(float(self.places[0, 1]))


def film(
    path: Path, *, zeta: float, friction_mm: float = 0.0, taken_at: float = 240, plays_at: float = 30,
    seconds: float = 1.9, spoil: Callable[[int, Frame], Frame] = lambda number, frame: frame,
    tape: tuple[int, int, int] = TAPE, uneven: bool = False,
) -> Clip:
    """Film a bounce: held 0.15 s, let go from 60 mm below the middle, 2.1 Hz.

    ``spoil`` changes each picture; ``uneven`` leaves pictures out here and there, as phones do in poor light.
    """
    times = np.arange(round(seconds * taken_at)) / taken_at
    below = _bounce(times, zeta, friction_mm)
    places = np.array(REST) + below[:, None] / MM_PER_PIXEL * LEAN
    scene = _scene()
    frames = [spoil(number, _with_tape(scene, *place, tape)) for number, place in enumerate(places)]
    _pack(path, frames, plays_at, uneven)
    return Clip(path, times, places)


def _bounce(times: Floats, zeta: float, friction: float) -> Floats:
    """Step ``x″ + 2ζω x′ + ω² (x + f sign x′) = 0`` from 60 mm; it sticks where it stops within ``f`` of the middle."""
    omega, step = 2 * math.pi * 2.1, 1e-4
    place, speed, now, found = 60.0, 0.0, 0.15, []
    for wanted in times:
        while now < wanted:
            way = math.copysign(1.0, speed or -place)
            pull = -2 * zeta * omega * speed - omega**2 * (place + friction * way)
            after = speed + step * pull
            if speed * after < 0 and abs(place) <= friction:
                after = 0.0
            if speed or abs(place) > friction:
                speed, place = after, place + step * after
            now += step
        found.append(place)
    return np.array(found)


def _scene() -> Frame:
    """A workshop wall with something on it, a fork and a ruler."""
    noise = np.random.default_rng(5)
    rough = noise.normal(0, 26, (HEIGHT // 12, WIDTH // 12, 1)).repeat(12, 0).repeat(12, 1)
    scene = np.clip(118 + rough + np.zeros((HEIGHT, WIDTH, 3)), 0, 255)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    across = (x - REST[0]) * LEAN[1] - (y - REST[1]) * LEAN[0]
    scene[np.abs(across) < 26] = (168, 172, 178)
    (left, top), (_, foot) = RULER
    scene[top:foot, left - 6:left + 6] = (235, 228, 190)
    for end in (top, foot):
        scene[end - 1:end + 2, left - 10:left + 10] = 10
    return scene.astype(np.uint8)


def _with_tape(scene: Frame, x: float, y: float, colour: tuple[int, int, int]) -> Frame:
    """Lay the tape on, its edges shared out among the pixels they cross, so that its place is exact."""
    top, left = round(y) - 15, round(x) - 15
    share = (_cover(y - top, 9)[:, None] * _cover(x - left, 11)[None, :])[..., None]
    frame = scene.copy()
    under = frame[top:top + 31, left:left + 31]
    under[:] = under * (1 - share) + np.array(colour) * share
    return frame


def _cover(middle: float, half: float) -> Floats:
    edges = np.arange(31) - 0.5
    return np.clip(np.minimum(edges + 1, middle + half) - np.maximum(edges, middle - half), 0, 1)


def _pack(path: Path, frames: list[Frame], plays_at: float, uneven: bool) -> None:
    gaps = ["-vf", "select='mod(n,5)*mod(n,7)*mod(n,11)'", "-fps_mode", "vfr"] if uneven else []
    subprocess.run(
        [imageio_ffmpeg.get_ffmpeg_exe(), "-loglevel", "error", "-y", "-f", "rawvideo", "-pix_fmt", "rgb24",
         "-s", f"{WIDTH}x{HEIGHT}", "-r", str(plays_at), "-i", "-", *gaps, "-c:v", "libvpx", "-deadline", "realtime",
         "-cpu-used", "8", "-b:v", "3M", str(path)],
        input=b"".join(frame.tobytes() for frame in frames), check=True)
