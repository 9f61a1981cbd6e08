"""The small misfits that every pattern has, weighed in: of a zone as a whole, and of each size in it.

How large they are differs from pattern to pattern, so three scales are weighed by what the whole round says.
"""

from __future__ import annotations

import numpy as np

from testing_rounds.likelihood.scoring import Evidence, nothing_and_even
from testing_rounds.likelihood.shapes import Atoms
from testing_rounds.likelihood.world import EFFECT_STEP, EFFECTS, NO_EFFECT, Floats, log_sum

# Half steps: the spread of a zone's misfit, and of a size's in a zone, in the usual pattern.
ZONE_SPREAD, CELL_SPREAD = 0.15, 0.15
# How much larger both may be, and how likely that is beforehand (logs, in proportion).
SCALES = (1.0, 1.5, 2.2)
SCALE_LOGS = (0.0, -0.5, -1.0)
# Even misfits up to this are looked for: more than three of the largest spread.
MISFITS: Floats = np.round(np.linspace(-1.0, 1.0, 11), 10)
# A spread as three points of the same spread: none, and the root of three either way.
_POINT, _SIDE, _MIDDLE = np.sqrt(3.0), np.log(1 / 6), np.log(2 / 3)


def spread_out(likelihood: Floats, spread: float) -> Floats:
    """Log likelihoods (... x 61) where each size may be off by so much besides: the mean over the misfit."""
    cells = spread * _POINT / EFFECT_STEP
    sides = [_moved(likelihood, side * cells) + _SIDE for side in (-1, 1)]
    result: Floats = log_sum(np.stack([likelihood + _MIDDLE, *sides]), axis=0)
    return result


def _moved(likelihood: Floats, cells: float) -> Floats:
    """The values so many cells further along, linear between grid points, the ends held."""
    whole = int(np.floor(cells))
    part, last = cells - whole, len(EFFECTS) - 1
    here = np.clip(np.arange(len(EFFECTS)) + whole, 0, last)
    moved: Floats = (1 - part) * likelihood[..., here] + part * likelihood[..., np.minimum(here + 1, last)]
    return moved


def evidence_over_scales(likelihood: Floats, faults: Atoms, prior: float) -> Evidence:
    """Bayes' rule for each zone, over the scales of the background that the whole round makes likely."""
    found, level, round_logs = [], [], []
    for scale, log in zip(SCALES, SCALE_LOGS, strict=True):
        spread = spread_out(likelihood, scale * CELL_SPREAD)
        nothing, even = nothing_and_even(spread, scale * ZONE_SPREAD, MISFITS)
        fault = spread.reshape(len(spread), -1) @ faults.matrix + np.log(prior * faults.prior)
        nothing = np.log1p(-prior) + nothing
        total = np.logaddexp(log_sum(fault, axis=1), nothing)
        found.append((fault, nothing, total, even))
        level.append(spread[:, :, NO_EFFECT].sum(axis=1))
        round_logs.append(log + float((total + level[-1]).sum()))
    weights = np.array(round_logs) - log_sum(np.array(round_logs))
    fault = log_sum(np.stack([w + one[0] - one[2][:, None] for w, one in zip(weights, found, strict=True)]), axis=0)
    nothing = log_sum(np.stack([w + one[1] - one[2] for w, one in zip(weights, found, strict=True)]), axis=0)
    even = sum(np.exp(w) * one[3] for w, one in zip(weights, found, strict=True))
    return Evidence(fault, nothing, np.zeros(len(likelihood)), even)
