"""The shapes that a fault can take in a range of sizes: curves, amplitudes, and how likely each is beforehand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from testing_rounds.likelihood.world import EFFECT_STEP, EFFECTS, NO_EFFECT, Floats, Ints
from testing_rounds.reading import Shape

SHAPES: tuple[Shape, ...] = ("whole_range", "growing_up", "growing_down", "one_size", "from_size")
PRIOR = {"whole_range": 0.25, "growing_up": 0.125, "growing_down": 0.125, "one_size": 0.25, "from_size": 0.25}
# A growing fault begins at one end, or after so much of the range.
BEGINS = (0.0, 0.25, 0.5)
LEVELS = 12
AMPLITUDES = {True: (1.5, 6.0), False: (1.0, 4.5)}


@dataclass(frozen=True)
class Atoms:
    """Every fault that is weighed: a curve with an amplitude and a sign.

    `shape` indexes SHAPES, `effect` is atoms x sizes, `prior` sums to 1. `matrix` (sizes*61 x atoms) turns
    log likelihoods on the grid of effects into those of the atoms.
    """

    shape: Ints
    sign: Ints
    effect: Floats
    prior: Floats
    matrix: Floats


def curves(sizes: int) -> Iterator[tuple[Shape, Floats, float]]:
    """Each curve of the range (1 where the fault is full), with its share of its shape."""
    place = np.arange(sizes)
    along = place / (sizes - 1) if sizes > 1 else np.zeros(1)
    yield "whole_range", np.ones(sizes), 1.0
    if sizes >= 3:
        for begin in BEGINS:
            yield "growing_up", np.maximum(0.0, (along - begin) / (1 - begin)), 1 / len(BEGINS)
            yield "growing_down", np.maximum(0.0, (1 - along - begin) / (1 - begin)), 1 / len(BEGINS)
    if sizes >= 2:
        for at in place:
            yield "one_size", (place == at).astype(float), 1 / sizes
    if sizes >= 4:
        for many in range(2, sizes - 1):
            share = 1 / (2 * (sizes - 3))
            yield "from_size", (place >= sizes - many).astype(float), share
            yield "from_size", (place < many).astype(float), share


@lru_cache(maxsize=4)
def atoms(sizes: int) -> Atoms:
    """All faults in a range of so many sizes: 888 for twelve."""
    shape, sign, effect, prior = [], [], [], []
    for name, curve, share in curves(sizes):
        for amplitude in np.geomspace(*AMPLITUDES[name.startswith("growing")], LEVELS):
            for side in (-1, 1):
                shape.append(SHAPES.index(name))
                sign.append(side)
                effect.append(side * amplitude * curve)
                prior.append(PRIOR[name] * share / (2 * LEVELS))
    effects, weights = np.array(effect), np.array(prior)
    return Atoms(np.array(shape), np.array(sign), effects, weights / weights.sum(), _matrix(effects))


def between(effects: Floats) -> tuple[Ints, Floats]:
    """For each effect the grid point below it, and how far (0 to 1) it lies towards the next."""
    places = np.clip((effects - EFFECTS[0]) / EFFECT_STEP, 0, len(EFFECTS) - 1)
    below = np.minimum(np.floor(places + 1e-9).astype(np.int64), len(EFFECTS) - 2)
    return below, places - below


def _matrix(effects: Floats) -> Floats:
    """Linear between grid points, less what no effect would give."""
    count, sizes = effects.shape
    below, part = between(effects)
    matrix = np.zeros((sizes, len(EFFECTS), count))
    size, atom = np.meshgrid(np.arange(sizes), np.arange(count), indexing="ij")
    np.add.at(matrix, (size, below.T, atom), 1 - part.T)
    np.add.at(matrix, (size, below.T + 1, atom), part.T)
    matrix[:, NO_EFFECT, :] -= 1
    return matrix.reshape(sizes * len(EFFECTS), count)
