"""How sure a share counted over a sample is: Wilson's limits.

Source: Wilson, "Probable inference, the law of succession, and statistical inference", Journal
of the American Statistical Association 22(158), 1927, doi:10.1080/01621459.1927.10502953.
"""

from __future__ import annotations

import math

ONE_SIDE_95 = 1.6448536269514722
"""Standard deviations that a normal variable exceeds in 5 of 100 cases."""

_UNLIKELY = 0.05


def lower_limit(found: int, tried: int, deviations: float = ONE_SIDE_95) -> float:
    """Give what the true share exceeds with 95 % confidence (by default)."""
    return _middle(found, tried, deviations) - _reach(found, tried, deviations)


def upper_limit(found: int, tried: int, deviations: float = ONE_SIDE_95) -> float:
    """Give what the true share stays under with 95 % confidence (by default)."""
    return _middle(found, tried, deviations) + _reach(found, tried, deviations)


def most_misses(share: float, tried: int) -> int:
    """Give how often a sample may miss for the lower limit to reach ``share``; -1 for never."""
    misses = -1
    while misses < tried and lower_limit(tried - misses - 1, tried) >= share:
        misses += 1
    return misses


def hopeless_misses(share: float, tried: int) -> int:
    """Give the most misses with which the upper limit still reaches ``share``."""
    misses = 0
    while misses < tried and upper_limit(tried - misses - 1, tried) >= share:
        misses += 1
    return misses


def too_many_misses(share: float, tried: int) -> int:
    """Give how many misses, or more, a true share from 0 to 1 makes in at most 5 of 100 samples.

    Counted exactly, without Wilson's approximation, as nothing is ruled out without it.

    Source: Clopper and Pearson, "The use of confidence or fiducial limits illustrated in the case
    of the binomial", Biometrika 26(4), 1934, doi:10.1093/biomet/26.4.404.
    """
    log_hit, log_miss = math.log(share), math.log1p(-share)
    tail, misses = 0.0, tried
    while misses >= 0:
        ways = math.lgamma(tried + 1) - math.lgamma(misses + 1) - math.lgamma(tried - misses + 1)
        tail += math.exp(ways + misses * log_miss + (tried - misses) * log_hit)
        if tail > _UNLIKELY:
            return misses + 1
        misses -= 1
    return 0


def _middle(found: int, tried: int, deviations: float) -> float:
    square = deviations * deviations
    return (found + square / 2) / (tried + square)


def _reach(found: int, tried: int, deviations: float) -> float:
    square = deviations * deviations
    spread = found * (tried - found) / tried + square / 4
    return deviations * math.sqrt(spread) / (tried + square)
