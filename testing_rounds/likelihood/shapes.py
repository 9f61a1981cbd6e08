"""The shapes that a fault can take in a range of sizes: curves, amplitudes, and how likely each is beforehand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from testing_rounds.likelihood.world import EFFECT_STEP, EFFECTS, NO_EFFECT, Floats, Ints
from testing_rounds.reading import Shape

SHAPES: tuple[Shape, ...] = ("whole_range", "growing_up", "growing_down", "one_size", "from_size")
# A further class: one way at one end of the range and the other way at the other. It is named by its stronger end.
ENDS = len(SHAPES)
WHOLE, UP, DOWN, ONE, FROM = range(len(SHAPES))
# A growing fault begins at one end, or after so much of the range.
BEGINS = (0.0, 0.25, 0.5)
LEVELS = 12


@dataclass(frozen=True)
class Shares:
    """How likely each class is beforehand (whole range, growing up, growing down, one size, from one size on, both
    ends), and the least and the most of its amplitude, in half grade steps."""

    prior: tuple[float, ...]
    amplitude: tuple[tuple[float, float], ...]


PLAIN = Shares(
    prior=(0.25, 0.125, 0.125, 0.25, 0.25, 0.0),
    amplitude=((1.0, 4.5), (1.5, 6.0), (1.5, 6.0), (1.0, 4.5), (1.0, 4.5), (1.5, 6.0)),
)


@dataclass(frozen=True)
class Atoms:
    """Every fault that is weighed: a curve with an amplitude and a sign.

    `shape` indexes SHAPES (or is ENDS), `sign` is that of the far end, `effect` is atoms x sizes, `prior` sums
    to 1. `matrix` (sizes*61 x atoms) turns log likelihoods on the grid of effects into those of the atoms.
    """

    shape: Ints
    sign: Ints
    effect: Floats
    prior: Floats
    matrix: Floats


def curves(sizes: int, base: int | None = None) -> Iterator[tuple[int, Floats, float]]:
    """Each curve of the range (1 where the fault is full), with its class and its share of that class."""
    place = np.arange(sizes)
    along = place / (sizes - 1) if sizes > 1 else np.zeros(1)
    yield WHOLE, np.ones(sizes), 1.0
    if sizes >= 3:
        for begin in BEGINS:
            yield UP, np.maximum(0.0, (along - begin) / (1 - begin)), 1 / len(BEGINS)
            yield DOWN, np.maximum(0.0, (1 - along - begin) / (1 - begin)), 1 / len(BEGINS)
    if sizes >= 2:
        for at in place:
            yield ONE, (place == at).astype(float), 1 / sizes
    if sizes >= 4:
        for many in range(2, sizes - 1):
            share = 1 / (2 * (sizes - 3))
            yield FROM, (place >= sizes - many).astype(float), share
            yield FROM, (place < many).astype(float), share
        yield from _both_ends(sizes, base)


def _both_ends(sizes: int, base: int | None) -> Iterator[tuple[int, Floats, float]]:
    """A line through nothing at the base size (the middle, where it is unknown or near an end), full at the far end."""
    middle = (sizes - 1) / 2
    through = middle if base is None or min(base, sizes - 1 - base) < sizes / 5 else base
    line = np.arange(sizes) - through
    yield ENDS, line / np.abs(line).max() * (1 if sizes - 1 - through >= through else -1), 1.0


@lru_cache(maxsize=4)
def atoms(sizes: int, base: int | None = None, shares: Shares = PLAIN) -> Atoms:
    """All faults in a range of so many sizes: 888 for twelve, by the plain shares."""
    shape, sign, effect, prior = [], [], [], []
    for name, curve, share in curves(sizes, base):
        if not shares.prior[name]:
            continue
        for amplitude in np.geomspace(*shares.amplitude[name], LEVELS):
            for side in (-1, 1):
                shape.append(name)
                sign.append(side)
                effect.append(side * amplitude * curve)
                prior.append(shares.prior[name] * share / (2 * LEVELS))
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
