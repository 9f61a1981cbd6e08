"""What each tester's habit may be, and what their answers on other zones say of it."""

from __future__ import annotations

import numpy as np

from testing_rounds.likelihood.usable import Usable
from testing_rounds.likelihood.world import HABITS, STATES, Floats

# Most testers are even, some strongly biased; a few find everything fine, a few tick at random.
EVEN, EVEN_SPREAD, BIASED, BIASED_SPREAD, CELL = 0.88, 0.2, 0.12, 0.95, 0.1
USUAL, ALL_FINE, AT_RANDOM = 0.9, 0.07, 0.03


def prior() -> Floats:
    """The chance of each state: nine habits, everything fine, at random."""
    even, biased = (
        _on_grid(np.sqrt(spread**2 + CELL**2)) * share
        for share, spread in ((EVEN, EVEN_SPREAD), (BIASED, BIASED_SPREAD))
    )
    return np.concatenate([USUAL * (even + biased), [ALL_FINE, AT_RANDOM]])


def _on_grid(spread: float) -> Floats:
    weight: Floats = np.exp(-0.5 * (HABITS / spread) ** 2)
    return weight / weight.sum()


def from_other_zones(messages: Floats, answers: Usable) -> Floats:
    """Each answer's weights of its tester's states (answers x 11), from that tester's other answers alone."""
    testers = int(answers.report.max(initial=-1)) + 1
    total = np.zeros((testers, STATES))
    np.add.at(total, answers.report, messages)
    logs = np.log(prior()) + total[answers.report] - messages
    weights: Floats = np.exp(logs - logs.max(axis=1, keepdims=True))
    return weights / weights.sum(axis=1, keepdims=True)
