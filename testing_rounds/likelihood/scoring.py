"""From ticks to evidence: the log likelihood of every effect, of every fault, and of nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from testing_rounds.likelihood.shapes import Atoms
from testing_rounds.likelihood.ticks import tables, tables_with_change
from testing_rounds.likelihood.usable import MISSING_BODY, Usable
from testing_rounds.likelihood.world import (
    CARELESS,
    EFFECT_STEP,
    EFFECTS,
    HABITS,
    LATENT,
    LATENT_STEP,
    NO_EFFECT,
    STATES,
    Floats,
    Ints,
    log_sum,
)

# Nothing may hide a small even misfit: these, and how far such misfits spread.
EVEN_MISFITS: Floats = np.round(np.linspace(-0.6, 0.6, 7), 10)
EVEN_SPREAD = 0.15

# How far each habit (then the two states without one) shifts the cells of LATENT, and which table each state reads.
_STATE_CELLS = np.concatenate([np.rint(HABITS / LATENT_STEP).astype(np.int64), [0, 0]])[:, None]
_TABLE = np.concatenate([np.zeros(len(HABITS), dtype=np.int64), [1, 2]])[:, None]


# Tick and noise; and, where a change is asked for, the change and the unit in cm.
Key = tuple[int, float] | tuple[int, float, float, float]


@dataclass(frozen=True)
class Chances:
    """p(answer | state, effect): `table` (kinds x 11 x 61), and for each answer which kind it is."""

    table: Floats
    kind: Ints

    def given(self, states: Floats) -> Floats:
        """p(answer | effect), answers x 61, for weights of the states of each answer's tester."""
        result = np.empty((len(self.kind), len(EFFECTS)))
        order = np.argsort(self.kind, kind="stable")
        ends = np.searchsorted(self.kind[order], np.arange(len(self.table) + 1))
        for kind, (begin, end) in enumerate(pairwise(ends)):
            rows = order[begin:end]
            result[rows] = states[rows] @ self.table[kind]
        return result

    def before(self, states: Floats) -> Floats:
        """The same where every tester's states weigh alike."""
        return np.einsum("s,ksm->km", states, self.table)[self.kind]

    def messages(self, weights: Floats) -> Floats:
        """log p(answer | state), answers x 11, for weights of the effects at each answer."""
        result = np.empty((len(self.kind), STATES))
        order = np.argsort(self.kind, kind="stable")
        ends = np.searchsorted(self.kind[order], np.arange(len(self.table) + 1))
        for kind, (begin, end) in enumerate(pairwise(ends)):
            rows = order[begin:end]
            result[rows] = weights[rows] @ self.table[kind].T
        return np.log(result)


def chances(answers: Usable, noise: float, body: float, k: Floats, careless: float = CARELESS) -> Chances:
    """What each answer says, for a noise, a weight of the body and a share of random ticks; `k` is each zone's unit
    of change."""
    noises = np.sqrt(noise**2 + answers.variance + answers.unknown * (MISSING_BODY * body) ** 2)
    shifts = answers.shift - body * answers.body
    units = k[answers.zone] * answers.unit
    made: dict[tuple[int, float], int] = {}
    found: dict[Key, int] = {}
    kinds = [
        made.setdefault((found.setdefault(key, len(found)), shift), len(made))
        for key, shift in zip(_table_keys(answers, noises, units), shifts.tolist(), strict=True)
    ]
    if not kinds:
        return Chances(np.ones((0, STATES, len(EFFECTS))), np.zeros(0, dtype=np.int64))
    stack = np.array([tables(*key, careless) if len(key) == 2 else tables_with_change(*key, careless) for key in found])
    number, shift = np.array(list(made)).T
    cells = np.rint((EFFECTS + shift[:, None] - LATENT[0]) / LATENT_STEP).astype(np.int64)
    at = cells[:, None, :] + _STATE_CELLS
    np.minimum(np.maximum(at, 0, out=at), len(LATENT) - 1, out=at)
    # One flat place a value: twice as quick as a place in each of three directions.
    at += (number.astype(np.int64)[:, None, None] * stack.shape[1] + _TABLE) * len(LATENT)
    return Chances(stack.ravel().take(at), np.array(kinds, dtype=np.int64))


def _table_keys(
    answers: Usable, noises: Floats, units: Floats
) -> Iterator[tuple[int, float] | tuple[int, float, float, float]]:
    """What the tables of an answer depend on: tick and noise, and the change where one is asked for."""
    rows = (answers.tick.tolist(), noises.tolist(), answers.asked.tolist(), units.tolist())
    for tick, noise, asked, unit in zip(*rows, strict=True):
        yield (tick, noise) if math.isnan(asked) else (tick, noise, asked, unit)


def by_cell(logs: Floats, answers: Usable, zones: int, sizes: int) -> Floats:
    """Log likelihoods summed over the answers of each zone and size: zones x sizes x 61."""
    total = np.zeros((zones * sizes, len(EFFECTS)))
    np.add.at(total, answers.zone * sizes + answers.size, logs)
    return total.reshape(zones, sizes, len(EFFECTS))


@dataclass(frozen=True)
class Evidence:
    """The logs of what is weighed, zone by zone: every fault (prior in), nothing (prior in), both together.

    `even` (zones x misfits) is how nothing shares out over small even misfits.
    """

    fault: Floats
    nothing: Floats
    total: Floats
    even: Floats


def evidence(likelihood: Floats, faults: Atoms, prior: float) -> Evidence:
    """Bayes' rule for each zone. `prior` is the chance of a fault in a zone before any report."""
    fault = likelihood.reshape(len(likelihood), -1) @ faults.matrix + np.log(prior * faults.prior)
    log_even, even = nothing_and_even(likelihood, EVEN_SPREAD)
    nothing = np.log1p(-prior) + log_even
    return Evidence(fault, nothing, np.logaddexp(log_sum(fault, axis=1), nothing), even)


def nothing_and_even(likelihood: Floats, spread: float, misfits: Floats = EVEN_MISFITS) -> tuple[Floats, Floats]:
    """The log evidence of nothing, which may hide a small even misfit; and how it shares out over these."""
    at = np.rint((misfits - EFFECTS[0]) / EFFECT_STEP).astype(np.int64)
    logs = -0.5 * (misfits / spread) ** 2
    logs = logs - log_sum(logs)
    hidden = logs + likelihood[:, :, at].sum(axis=1) - likelihood[:, :, NO_EFFECT].sum(axis=1)[:, None]
    total: Floats = log_sum(hidden, axis=1)
    return total, np.exp(hidden - total[:, None])
