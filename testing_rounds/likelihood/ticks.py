"""The chance of a tick, given how far the garment is off and how exactly a tester tells."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from scipy.special import ndtr

from testing_rounds.likelihood.world import (
    CARELESS,
    CUTS,
    FINE_FACTOR,
    LATENT,
    SLIGHT,
    STRONG,
    VERY_CARELESS,
    Floats,
)

# The spread of an asked change round the true one: a share of it, and what a hand cannot tell (cm).
ASKED_SHARE, ASKED_CM = 0.3, 0.2
# How far an asked change is believed, and how much it may weigh at most.
BELIEVED, MOST_WEIGHT = 0.9, 6.0
# Strong ticks: the class that is averaged over ends here, and beyond the second nothing is added.
STRONG_TO, STRONG_END = 5.0, 7.0
Z_STEP = 0.1


def chance(tick: int, latent: Floats, noise: float, careless: float = CARELESS, factor: float = 1.0) -> Floats:
    """p(tick | latent mean). `factor` below 1: a tester to whom everything is nearly fine (wider cuts)."""
    low, high = CUTS[tick + 2] / factor, CUTS[tick + 3] / factor
    inside: Floats = ndtr((high - latent) / noise) - ndtr((low - latent) / noise)
    return (1 - careless) * inside + careless / 5


@lru_cache(maxsize=512)
def tables(tick: int, noise: float, careless: float = CARELESS) -> tuple[Floats, Floats, Floats]:
    """p(tick | latent) on the grid LATENT: of a usual tester, one to whom all is fine, a very careless one."""
    return (
        chance(tick, LATENT, noise, careless),
        chance(tick, LATENT, noise, careless, FINE_FACTOR),
        chance(tick, LATENT, noise, max(careless, VERY_CARELESS)),
    )


def tables_with_change(
    tick: int, noise: float, asked: float, unit: float, careless: float = CARELESS
) -> tuple[Floats, Floats, Floats]:
    """The same for a complaint with a change asked for: `asked` cm, where one unit of misfit is `unit` cm."""
    weights = change_weights(abs(tick), asked, unit)
    usual, fine = (_densities(tick, noise, factor) @ weights for factor in (1.0, FINE_FACTOR))
    kept, by_chance = 1 - careless, careless / 5
    return kept * usual + by_chance, kept * fine + by_chance, tables(tick, noise, careless)[2]


@lru_cache(maxsize=4096)
def change_weights(strength: int, asked: float, unit: float) -> Floats:
    """How much more likely the asked change makes each misfit of the tick's class; 1 on average over the class."""
    grid, inside = _grid(strength)
    spread = np.sqrt((ASKED_SHARE * grid * unit) ** 2 + ASKED_CM**2)
    fit = np.exp(-0.5 * ((asked - grid * unit) / spread) ** 2) / spread
    mean = float(fit[:inside].mean())
    share = fit / mean if mean > 0 else np.ones_like(fit)
    return np.minimum(BELIEVED * share + (1 - BELIEVED), MOST_WEIGHT)


@lru_cache(maxsize=2)
def _grid(strength: int) -> tuple[Floats, int]:
    """The misfits of a class, and how many of them lie in the part that is averaged over."""
    low, end, to = (SLIGHT, STRONG, STRONG) if strength == 1 else (STRONG, STRONG_END, STRONG_TO)
    grid: Floats = low + Z_STEP * (np.arange(round((end - low) / Z_STEP), dtype=np.float64) + 0.5)
    return grid, round((to - low) / Z_STEP)


@lru_cache(maxsize=512)
def _densities(tick: int, noise: float, factor: float) -> Floats:
    """N(misfit; latent mean, noise) times the width of a cell, on LATENT x the class of the tick."""
    misfit = np.sign(tick) * _grid(abs(tick))[0] / factor
    apart = (misfit[None, :] - LATENT[:, None]) / noise
    density: Floats = np.exp(-0.5 * apart**2) * (Z_STEP / factor / noise / np.sqrt(2 * np.pi))
    return density
