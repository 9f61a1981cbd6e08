"""Do notes at a step repeat? Counted against how many sewed the step, and how often notes fall anywhere.

Method and limits: docs/algorithms/fixed-or-not.md.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import comb
from typing import Literal

from measurements.sentences import Sentence, gettext_noop, sentence

# One tester in fifty notes something at any step, at least (common practice, no source).
LEAST_RATE = 0.02
# So many clean rounds in twenty may name a step for nothing.
ALARMS = 0.05
LEAST_NOTES = 2

_ = gettext_noop


@dataclass(frozen=True)
class StepNotes:
    """One step: how many noted something of how many who sewed it, and what would come about by itself."""

    step: int
    noted: int
    sewed: int
    usual: float
    chance: float
    level: Literal["repeated", "watch", "quiet"]

    def says(self) -> Sentence:
        template = {"repeated": _REPEATED, "watch": _WATCH, "quiet": _QUIET}[self.level]
        return sentence(f"step_{self.level}", template, step=self.step, k=self.noted, n=self.sewed)


def weigh_steps(noted: Mapping[int, int], sewed: int, steps: int) -> dict[int, StepNotes]:
    """Weigh the steps at which `noted` testers (each once a step) of `sewed` wrote something; `steps` there are in all.

    The usual rate is that of the other steps. A step is repeated when two or more noted it, and so many would come by
    chance at any step of the instructions in fewer than one round of twenty.
    """
    steps, every = max(steps, *noted, 1) if noted else steps, sum(noted.values())
    found = {}
    for step, k in sorted(noted.items()):
        others = sewed * (steps - 1)
        usual = max(LEAST_RATE, (every - k) / others if others else 0.0)
        chance = min(1.0, steps * at_least(k, sewed, usual))
        level: Literal["repeated", "watch", "quiet"] = (
            "quiet" if k < LEAST_NOTES else "repeated" if chance < ALARMS else "watch"
        )
        found[step] = StepNotes(step, k, sewed, usual, chance, level)
    return found


def at_least(k: int, n: int, p: float) -> float:
    """The chance of k or more of n, each with the chance p: the exact binomial tail."""
    p = min(1.0, p)
    return sum(comb(n, i) * p**i * (1 - p) ** (n - i) for i in range(k, n + 1))


_REPEATED = _(
    "So many do not come by chance: of the %(n)s who sewed step %(step)s, %(k)s noted something. Look at its words and "
    "its numbers before you look at the cloth."
)
_WATCH = _("Of the %(n)s who sewed step %(step)s, %(k)s noted something; as many may come by chance.")
_QUIET = _("Of the %(n)s who sewed step %(step)s, %(k)s noted something.")
