"""The two passes: first every tester alike, then each by what their other answers say of their habit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from testing_rounds.likelihood.changes import zone_units
from testing_rounds.likelihood.habits import from_other_zones, prior
from testing_rounds.likelihood.scoring import Chances, Evidence, by_cell, chances, evidence
from testing_rounds.likelihood.shapes import Atoms, atoms, between
from testing_rounds.likelihood.usable import Usable
from testing_rounds.likelihood.world import EFFECTS, NO_EFFECT, Fabric, Floats, Ints, Mask, fault_prior

NOISES, BODIES = (0.55, 0.72, 0.95), (1.0, 1.4, 1.8)
# How far noise and weight of the body may stray from the fabric's usual figures (as logs).
NOISE_SPREAD, BODY_SPREAD = 0.30, 0.25


@dataclass(frozen=True)
class Weighed:
    """A round after both passes. `likelihood` is zones x sizes x 61; `k` and `k_error` those of asked changes."""

    answers: Usable
    atoms: Atoms
    likelihood: Floats
    evidence: Evidence
    k: Floats
    k_error: Floats
    noise: float
    body: float


def weigh(answers: Usable, zones: int, sizes: int, fabric: Fabric, on_body: Sequence[bool]) -> Weighed:
    """Weigh a round. `on_body`: which zones lie on a measurement of the body."""
    faults, chance_of_fault = atoms(sizes), fault_prior(zones)
    k, k_error = zone_units(answers, zones)
    noise, body = _noise_and_body(answers, zones, sizes, fabric, np.array(on_body, dtype=bool), k)
    said = chances(answers, noise, body, k)
    first = said.before(prior())
    found = evidence(by_cell(np.log(first), answers, zones, sizes), faults, chance_of_fault)
    states = from_other_zones(_messages(said, first, found, faults, answers), answers)
    likelihood = by_cell(np.log(said.given(states)), answers, zones, sizes)
    found = evidence(likelihood, faults, chance_of_fault)
    return Weighed(answers, faults, likelihood, found, k, k_error, noise, body)


def _noise_and_body(
    answers: Usable, zones: int, sizes: int, fabric: Fabric, on_body: Mask, k: Floats
) -> tuple[float, float]:
    """The noise that fits the zones off the body best, then the weight of the body that fits the others best."""
    noise, body = fabric.noise, fabric.body
    if (~on_body).any():
        noise = max(
            NOISES,
            key=lambda one: (
                _total(answers, zones, sizes, one, body, k, ~on_body)
                - 0.5 * (np.log(one / fabric.noise) / NOISE_SPREAD) ** 2
            ),
        )
    if on_body.any():
        body = max(
            BODIES,
            key=lambda one: (
                _total(answers, zones, sizes, noise, one, k, on_body)
                - 0.5 * (np.log(one / fabric.body) / BODY_SPREAD) ** 2
            ),
        )
    return noise, body


def _total(answers: Usable, zones: int, sizes: int, noise: float, body: float, k: Floats, among: Mask) -> float:
    """The log evidence of some zones, every tester alike."""
    some = answers.only(among[answers.zone])
    logs = np.log(chances(some, noise, body, k).before(prior()))
    likelihood = by_cell(logs, some, zones, sizes)[among]
    found = evidence(likelihood, atoms(sizes), fault_prior(zones))
    return float(found.total.sum() + likelihood[:, :, NO_EFFECT].sum())


def _messages(said: Chances, first: Floats, found: Evidence, faults: Atoms, answers: Usable) -> Floats:
    """What each answer says of its tester's state, given what the others say of the garment there."""
    weights = effect_weights(found, faults)[answers.zone, answers.size] / first
    return said.messages(weights / weights.sum(axis=1, keepdims=True))


def effect_weights(found: Evidence, faults: Atoms) -> Floats:
    """The posterior of the effect in each zone and size on the grid: zones x sizes x 61."""
    fault = np.exp(found.fault - found.total[:, None])
    zones, sizes = len(fault), faults.effect.shape[1]
    below, part = between(faults.effect)
    weights = np.zeros((zones, sizes, len(EFFECTS)))
    for size in range(sizes):
        spread = np.zeros((len(EFFECTS), len(faults.prior)))
        rows: Ints = np.arange(len(faults.prior))
        spread[below[:, size], rows] = 1 - part[:, size]
        spread[below[:, size] + 1, rows] += part[:, size]
        weights[:, size] = fault @ spread.T
    weights[:, :, NO_EFFECT] += np.exp(found.nothing - found.total)[:, None]
    return weights
