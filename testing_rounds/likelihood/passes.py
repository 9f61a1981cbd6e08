"""The passes: first every tester alike, then each by what their other answers say of their habit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from testing_rounds.likelihood.changes import zone_units
from testing_rounds.likelihood.habits import from_other_zones, prior
from testing_rounds.likelihood.scoring import Chances, Evidence, by_cell, chances, evidence
from testing_rounds.likelihood.shapes import PLAIN, Atoms, Shares, atoms, between
from testing_rounds.likelihood.usable import Usable
from testing_rounds.likelihood.world import (
    CARELESS,
    EFFECTS,
    NO_EFFECT,
    Fabric,
    Floats,
    Ints,
    Mask,
    fabric_of,
    fault_prior,
)
from testing_rounds.round_data import RoundData

NOISES, BODIES = (0.55, 0.72, 0.95), (1.0, 1.4, 1.8)
# How far noise and weight of the body may stray from the fabric's usual figures (as logs).
NOISE_SPREAD, BODY_SPREAD = 0.30, 0.25
# Likewise the share of random ticks, tried from the usual one on until the next fits no better.
CARELESS_SPREAD = 0.45


@dataclass(frozen=True)
class Model:
    """What sets methods apart: the shares of the shapes, how evidence is made of likelihoods, and the shares of random
    ticks that are tried, the usual one first."""

    shares: Shares
    evidence: Callable[[Floats, Atoms, float], Evidence]
    careless: tuple[float, ...] = (CARELESS,)
    passes: int = 1


PLAIN_MODEL = Model(PLAIN, evidence)


@dataclass(frozen=True)
class Weighed:
    """A round after its passes. `likelihood` is zones x sizes x 61; `k` and `k_error` those of asked changes."""

    answers: Usable
    atoms: Atoms
    likelihood: Floats
    evidence: Evidence
    k: Floats
    k_error: Floats
    noise: float
    body: float
    careless: float


@dataclass(frozen=True)
class Frame:
    """The round round the answers: how many zones and sizes, its fabric, which zones lie on a body measurement."""

    zones: int
    sizes: int
    fabric: Fabric
    on_body: Mask
    base: int | None = None

    @classmethod
    def of(cls, data: RoundData) -> Frame:
        on_body = np.array([zone.body_point is not None for zone in data.zones], dtype=bool)
        base = data.sizes.index(data.base_size) if data.base_size in data.sizes else None
        return cls(len(data.zones), len(data.sizes), fabric_of(data.fabric), on_body, base)


def weigh(answers: Usable, frame: Frame, model: Model = PLAIN_MODEL) -> Weighed:
    """Weigh a round."""
    faults, prior_of_fault = atoms(frame.sizes, frame.base, model.shares), fault_prior(frame.zones)
    k, k_error = zone_units(answers, frame.zones)
    noise, body, fits = _noise_and_body(answers, frame, k)
    careless = _careless(answers, frame, (noise, body, fits), k, model.careless)
    said = chances(answers, noise, body, k, careless)
    chance = said.before(prior())
    likelihood = by_cell(np.log(chance), answers, frame.zones, frame.sizes)
    found = model.evidence(likelihood, faults, prior_of_fault)
    for _ in range(model.passes):
        states = from_other_zones(_messages(said, chance, found, faults, answers), answers)
        chance = said.given(states)
        likelihood = by_cell(np.log(chance), answers, frame.zones, frame.sizes)
        found = model.evidence(likelihood, faults, prior_of_fault)
    return Weighed(answers, faults, likelihood, found, k, k_error, noise, body, careless)


def _noise_and_body(answers: Usable, frame: Frame, k: Floats) -> tuple[float, float, float]:
    """The noise that fits the zones off the body best, then the weight of the body that fits the others best; and the
    log evidence of all zones with these."""
    noise, body, on_body = frame.fabric.noise, frame.fabric.body, frame.on_body
    reached = 0.0
    if (~on_body).any():
        fits = {one: _total(answers, frame, one, body, k, ~on_body) for one in NOISES}
        noise = max(NOISES, key=lambda one: fits[one] - 0.5 * (np.log(one / frame.fabric.noise) / NOISE_SPREAD) ** 2)
        reached += fits[noise]
    if on_body.any():
        fits = {one: _total(answers, frame, noise, one, k, on_body) for one in BODIES}
        body = max(BODIES, key=lambda one: fits[one] - 0.5 * (np.log(one / frame.fabric.body) / BODY_SPREAD) ** 2)
        reached += fits[body]
    return noise, body, reached


def _careless(
    answers: Usable, frame: Frame, found: tuple[float, float, float], k: Floats, shares: tuple[float, ...]
) -> float:
    """The share of random ticks that fits the whole round best; `found` is what the usual one gave."""
    noise, body, most = found
    best, every = shares[0], np.ones(frame.zones, dtype=bool)
    for share in shares[1:]:
        fits = _total(answers, frame, noise, body, k, every, share)
        fits -= 0.5 * (np.log(share / shares[0]) / CARELESS_SPREAD) ** 2
        if fits <= most:
            break
        best, most = share, fits
    return best


def _total(
    answers: Usable, frame: Frame, noise: float, body: float, k: Floats, among: Mask, careless: float = CARELESS
) -> float:
    """The log evidence of some zones, every tester alike."""
    some = answers.only(among[answers.zone])
    logs = np.log(chances(some, noise, body, k, careless).before(prior()))
    likelihood = by_cell(logs, some, frame.zones, frame.sizes)[among]
    found = evidence(likelihood, atoms(frame.sizes), fault_prior(frame.zones))
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
