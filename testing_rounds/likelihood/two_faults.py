"""Two faults in one zone: where one shape explains a zone badly, the likeliest pairs of shapes are weighed too.

A pair is rare beforehand, so it is said only where the answers ask for it. It never raises an alarm: whether a zone is
read at all is settled by single faults.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from testing_rounds.likelihood.background import CELL_SPREAD, spread_out
from testing_rounds.likelihood.said import TOUCHED_FROM, Said
from testing_rounds.likelihood.shapes import ENDS, SHAPES, Atoms
from testing_rounds.likelihood.world import EFFECT_STEP, EFFECTS, NO_EFFECT, Floats, Ints, log_sum

# How likely a second fault is in a zone that has one.
SECOND = 0.3
# The first faults that are tried (the likeliest of each class and sign), and every so many-th as the second.
OF_EACH, EVERY = 3, 2
LEAST_WEIGHT = 1e-4
# From this share on a pair has a say in the corrections; it is named where it is likelier than one fault.
HEARD_FROM, NAMED_FROM = 0.1, 0.5


def with_second(found: Said, likelihood: Floats, faults: Atoms) -> Said:
    """What was said of a zone, with a second fault weighed in."""
    if len(np.unique(faults.shape)) == 1:
        return found
    two = pairs(likelihood, faults)
    if two.share < HEARD_FROM:
        return found
    heard = replace(
        found,
        effects=np.concatenate([found.effects, two.effect]),
        weights=np.concatenate([found.weights * (1 - two.share), two.weights * two.share]),
    )
    return _named(heard, two, faults) if two.share >= NAMED_FROM else heard


def _named(found: Said, two: Pairs, faults: Atoms) -> Said:
    """The zone named by the larger of its two faults in the direction, with the other beside it."""
    classes = np.zeros((ENDS, ENDS))
    np.add.at(classes, (faults.shape[two.first], faults.shape[two.second]), two.weights)
    pair = [int(i) for i in np.unravel_index((classes + classes.T).argmax(), classes.shape)]
    larger, other = sorted(pair, key=lambda shape: -_size(shape, found.direction, two, faults))
    off = [(two.weights @ (two.effect * side >= TOUCHED_FROM)) >= 0.5 for side in (found.direction, -found.direction)]
    this_way, other_way = (tuple(int(i) for i in np.flatnonzero(one)) for one in off)
    return replace(
        found,
        shape=SHAPES[larger],
        share=two.share,
        alternatives={SHAPES[other]: two.share},
        sizes=this_way or found.sizes,
        other_end=other_way,
    )


def _size(shape: int, direction: int, two: Pairs, faults: Atoms) -> float:
    """How much of the misfit in the direction the faults of a class carry."""
    total = 0.0
    for atom in (two.first, two.second):
        here = faults.shape[atom] == shape
        total += float(two.weights[here] @ np.clip(faults.effect[atom[here]] * direction, 0, None).sum(axis=1))
    return total


@dataclass(frozen=True)
class Pairs:
    """The pairs that are not unlikely: their summed effects (pairs x sizes), weights (sum 1), and the two atoms."""

    share: float
    effect: Floats
    weights: Floats
    first: Ints
    second: Ints


def pairs(likelihood: Floats, faults: Atoms) -> Pairs:
    """Weigh pairs of faults against single ones, for a zone's log likelihoods (sizes x 61)."""
    spread = spread_out(likelihood, CELL_SPREAD)
    single = spread.reshape(-1) @ faults.matrix + np.log(faults.prior)
    first = _likeliest(single, faults)
    second = np.flatnonzero((np.arange(len(faults.prior)) // 2) % EVERY == 0)
    second = second[faults.shape[second] != ENDS]
    effect = faults.effect[first][:, None, :] + faults.effect[second][None, :, :]
    logs = _along(spread, effect) + np.log(faults.prior[first])[:, None] + np.log(faults.prior[second] * EVERY)[None, :]
    logs = np.where(faults.shape[first][:, None] == faults.shape[second][None, :], -np.inf, logs)
    both = float(log_sum(logs.ravel())) + np.log(SECOND)
    alone = float(log_sum(single)) + np.log1p(-SECOND)
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    kept = weights > LEAST_WEIGHT
    a, b = np.nonzero(kept)
    return Pairs(
        share=float(1 / (1 + np.exp(np.clip(alone - both, -700, 700)))),
        effect=effect[kept],
        weights=weights[kept] / weights[kept].sum(),
        first=first[a],
        second=second[b],
    )


def _likeliest(single: Floats, faults: Atoms) -> Ints:
    """The likeliest faults of each class and sign; both ends are a pair already."""
    chosen = []
    for shape in range(ENDS):
        for side in (-1, 1):
            here = np.flatnonzero((faults.shape == shape) & (faults.sign == side))
            chosen.append(here[np.argsort(single[here])[-OF_EACH:]])
    return np.concatenate(chosen)


def _along(spread: Floats, effect: Floats) -> Floats:
    """The log likelihood ratio of summed effects (first x second x sizes), linear between grid points."""
    grid = (np.clip(effect, EFFECTS[0], EFFECTS[-1]) - EFFECTS[0]) / EFFECT_STEP
    below = np.minimum((grid + 1e-9).astype(np.int64), len(EFFECTS) - 2)
    grid -= below
    below += np.arange(spread.shape[0]) * len(EFFECTS)
    rise = np.diff(spread, axis=1, append=0.0).ravel()
    values = spread.ravel().take(below) + grid * rise.take(below)
    result: Floats = values.sum(axis=2) - spread[:, NO_EFFECT].sum()
    return result
