"""What a reading assumes of testers, fabrics and faults, in one place, each figure with its meaning.

The unit of misfit is half a grade step (or the zone's `scale_cm`); minus is the zone's low word.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

# A tester says "slight" from the first of these on, "strong" from the second.
SLIGHT, STRONG = 1.0, 2.2
# The tick scale, lowest first, with the misfit at which each tick begins and ends.
TICKS = (-2, -1, 0, 1, 2)
CUTS = (-np.inf, -STRONG, -SLIGHT, SLIGHT, STRONG, np.inf)

# Effects that are weighed, and latent misfits of the tables.
EFFECTS: Floats = np.round(np.linspace(-6.0, 6.0, 61), 10)
EFFECT_STEP = 0.2
NO_EFFECT = 30
LATENT: Floats = np.round(np.linspace(-11.0, 11.0, 221), 10)
LATENT_STEP = 0.1

# Testers: a habit of saying more or less than another would, "everything is fine", and ticks at random.
HABITS: Floats = np.round(np.linspace(-1.6, 1.6, 9), 10)
STATES = len(HABITS) + 2
CARELESS, VERY_CARELESS = 0.06, 0.30
FINE_FACTOR = 0.35

# The step of a size where the chart has none, and the bust where the chart has none (common practice, no source).
UNKNOWN_STEP_CM, UNKNOWN_BUST_CM = 4.0, 92.0


@dataclass(frozen=True)
class Fabric:
    """What is usual for a fabric: noise of a tick, and misfit for each step that a body lies off the chart."""

    noise: float
    body: float


WOVEN, KNIT = Fabric(0.55, 1.8), Fabric(0.70, 1.0)


def fabric_of(name: str) -> Fabric:
    """The usual figures of a fabric by its name."""
    return KNIT if any(word in name.lower() for word in ("knit", "stretch", "jersey")) else WOVEN


def log_sum(logs: Floats, axis: int | None = None) -> Any:
    """log(sum(exp(logs))) over an axis, or over all: as scipy.special.logsumexp, in a tenth of its time on small
    arrays. At least one of the logs must be finite."""
    top = logs.max(axis=axis, keepdims=True)
    summed = np.log(np.exp(logs - top).sum(axis=axis, keepdims=True)) + top
    return float(summed.ravel()[0]) if axis is None else np.squeeze(summed, axis=axis)


def fault_prior(zones: int) -> float:
    """The chance, before any report, that a zone has a fault: 1.2 faults in a round, at most 0.4 a zone."""
    return min(0.4, 1.2 / zones)


def step_of(row: tuple[float | None, ...] | None, index: int) -> float:
    """The grade step of a size: the mean of its neighbouring steps, one at the ends."""
    if not row:
        return UNKNOWN_STEP_CM
    known = [
        abs(there - here)
        for lower in (index - 1, index)
        if 0 <= lower < len(row) - 1 and (here := row[lower]) is not None and (there := row[lower + 1]) is not None
    ]
    return sum(known) / len(known) or UNKNOWN_STEP_CM if known else UNKNOWN_STEP_CM
