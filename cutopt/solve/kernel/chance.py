"""Chance for the kernel: a generator of its own, the same on every machine.

One number is state and carry together, and never leaves 63 bits, so that it needs no
unsigned arithmetic. The multiplier makes ``m * 2^31 - 1`` and ``m * 2^30 - 1`` prime: the
period is ``m * 2^30 - 1``.

Source: Marsaglia, "Random number generators", Journal of Modern Applied Statistical Methods
2(1), 2003, doi:10.22237/jmasm/1051747320 (multiply with carry).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cutopt.solve.kernel.compiling import compiled

_MULTIPLIER = 4293979518
_LOW = (1 << 31) - 1
_SCALE = 2.0**-31
_STEPS = 4096

# Rounded, so that no machine's logarithm can differ from another's.
_WAITS = np.array(
    [round(-math.log(1.0 - (step + 0.5) / _STEPS), 9) for step in range(_STEPS)], np.float64
)


def chance_from(seed: int) -> NDArray[np.int64]:
    """Give the state of a generator for a seed."""
    state = np.array([(seed * 0x9E3779B97F4A7C15 + 0x2545F4914F6CDD1D) % (1 << 61) + 1], np.int64)
    for _ in range(8):
        draw(state)
    return state


@compiled
def draw(state: NDArray[np.int64]) -> float:
    """Give a number from 0 to under 1."""
    state[0] = _MULTIPLIER * (state[0] & _LOW) + (state[0] >> 31)
    return float(state[0] & _LOW) * _SCALE


@compiled
def pick(state: NDArray[np.int64], count: int) -> int:
    """Give a whole number from 0 to under ``count``."""
    return int(draw(state) * count)


@compiled
def wait(state: NDArray[np.int64]) -> float:
    """Give a number from an exponential distribution of mean 1."""
    return _WAITS[int(draw(state) * _STEPS)]  # type: ignore[no-any-return]
