"""How a zone's testers size their suggested changes, against what a tick of that strength usually means."""

from __future__ import annotations

import numpy as np

from testing_rounds.likelihood.usable import Usable
from testing_rounds.likelihood.world import Floats

# The usual misfit of a slight and of a strong tick; how far one answer may count; spread beforehand and of each.
USUAL = {1: 1.5, 2: 2.9}
FARTHEST, SPREAD_BEFORE, SPREAD_EACH = 1.2, 0.25, 0.40


def zone_units(answers: Usable, zones: int) -> tuple[Floats, Floats]:
    """For each zone k, by which asked changes differ from the usual (1: as usual), and the error of its log."""
    asks = np.isfinite(answers.asked)
    usual = np.where(np.abs(answers.tick[asks]) == 1, USUAL[1], USUAL[2])
    ratio = np.clip(np.log(answers.asked[asks] / (answers.unit[asks] * usual)), -FARTHEST, FARTHEST)
    many = np.bincount(answers.zone[asks], minlength=zones)
    total = np.bincount(answers.zone[asks], weights=ratio, minlength=zones)
    certainty = many / SPREAD_EACH**2 + 1 / SPREAD_BEFORE**2
    return np.exp(total / SPREAD_EACH**2 / certainty), 1 / np.sqrt(certainty)
