"""How much to change in each size, with an interval."""

from __future__ import annotations

import numpy as np

from testing_rounds.likelihood.world import Floats

# Equal-weight nodes of a normal variable, and the spread of an effect inside a cell of the grid.
NODES: Floats = np.array([-1.64, -0.84, -0.385, 0.0, 0.385, 0.84, 1.64])
EFFECT_SPREAD = 0.18
ENDS = (0.05, 0.95)
# Faults less likely than this do not move an interval.
LEAST_WEIGHT = 1e-4


def corrections(weights: Floats, effects: Floats, units: Floats, k: float) -> Floats:
    """The change in cm for each size, + is bigger: the mean effect undone. `weights` of the atoms sum to 1."""
    return -(weights @ effects) * k * units


def intervals(weights: Floats, effects: Floats, units: Floats, k: float, k_error: float) -> Floats:
    """The 90 % interval of each size (sizes x 2), in cm."""
    kept = weights > LEAST_WEIGHT
    weights, effects = weights[kept], effects[kept]
    result = np.empty((effects.shape[1], 2))
    scales = k * np.exp(k_error * NODES)
    spread = np.repeat(weights / len(NODES) ** 2, len(NODES) ** 2)
    for size in range(effects.shape[1]):
        sums = effects[:, size, None] + EFFECT_SPREAD * NODES[None, :]
        misfits = (sums[:, :, None] * scales[None, None, :]).ravel() * units[size]
        result[size] = -quantiles(misfits, spread, ENDS)[::-1]
    return result


def quantiles(values: Floats, weights: Floats, at: tuple[float, ...]) -> Floats:
    """Weighted quantiles: the first value at which the weights below and of it reach the share."""
    order = np.argsort(values)
    summed = np.cumsum(weights[order])
    places = np.searchsorted(summed, np.array(at) * summed[-1])
    return values[order][np.minimum(places, len(values) - 1)]
