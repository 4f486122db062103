"""Learning curves: how work gets quicker as the same piece is made again.

A curve of 80 percent means that a doubling of the count brings the time down to 80 percent. Two models share that
sentence: in Crawford's it is the time of the last unit that falls, in Wright's the average of all units so far. The
same percentage promises more saving under Wright, so a rate must be used with the model it was measured in.

Source: Heizer and Render, Operations Management, learning curve chapter (Tn = T1 n^b, b = ln rate / ln 2), as
reproduced in a solutions extract; for Wright's model R. M. Wideman, Appendix 2, Learning Curve Mathematics
(maxwideman.com).
"""

from math import fsum, log2


def unit_factor(rate_percent: float, n: int) -> float:
    """Return the time of the n-th unit as a multiple of the first, by Crawford's unit model."""
    return float(n ** _exponent(rate_percent))


def total_factor(rate_percent: float, n: int) -> float:
    """Return the time of the first n units together as a multiple of the first, by Crawford's unit model."""
    exponent = _exponent(rate_percent)
    return fsum(unit**exponent for unit in range(1, n + 1))


def average_factor(rate_percent: float, n: int) -> float:
    """Return the average time of the first n units as a multiple of the first, by Wright's model."""
    return float(n ** _exponent(rate_percent))


def _exponent(rate_percent: float) -> float:
    return log2(rate_percent / 100)
