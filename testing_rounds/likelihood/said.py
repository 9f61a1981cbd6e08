"""What is said of a zone: the direction, how strongly, the shape, the sizes touched and cleared, the level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import expit, logsumexp

from testing_rounds.counts import LEAST_ANSWERS, LEAST_COMPLAINTS, Level
from testing_rounds.likelihood.passes import Weighed
from testing_rounds.likelihood.shapes import SHAPES
from testing_rounds.likelihood.world import EFFECTS, NO_EFFECT, Floats, Ints
from testing_rounds.reading import Pole, Shape

# Found on rounds that serve for nothing else: the stated strength is a little too modest without it.
MODESTY, MOST = 0.5, 0.99
REPEATED_FROM, WATCH_FROM = 0.0, -1.0
ALTERNATIVE_FROM = 0.10
# A size belongs to a growing fault from this effect on; a size is cleared when faults of two half-steps are ruled out.
TOUCHED_FROM, CLEARED_EFFECT, CLEARED_BY = 0.9, 2.0, np.log(10.0)
_CLEARED_AT = [int(np.abs(EFFECTS - side * CLEARED_EFFECT).argmin()) for side in (-1, 1)]


@dataclass(frozen=True)
class Said:
    """One zone as read. `weights` are those of the faults in its direction (sum 1); `sizes` index the range."""

    direction: Pole
    score: float
    strength: float
    level: Level
    shape: Shape
    share: float
    alternatives: dict[Shape, float]
    weights: Floats
    sizes: tuple[int, ...]
    cleared: tuple[int, ...]

    @property
    def read(self) -> bool:
        """Whether a reading is made at all."""
        return self.level in ("repeated", "watch")


def said(weighed: Weighed, zone: int) -> Said:
    """What is said of one zone."""
    faults, found = weighed.atoms, weighed.evidence
    direction, score = _direction(found.fault[zone], float(found.nothing[zone]), faults.sign)
    logs = np.where(faults.sign == direction, found.fault[zone], -np.inf)
    weights: Floats = np.exp(logs - logsumexp(logs))
    shares = np.bincount(faults.shape, weights=weights, minlength=len(SHAPES))
    best = int(shares.argmax())
    cleared = cleared_sizes(weighed.likelihood[zone])
    complaints = _complaints(weighed, zone, direction)
    return Said(
        direction=direction,
        score=score,
        strength=strength(score),
        level=level(score, complaints, len(cleared), weighed.likelihood.shape[1]),
        shape=SHAPES[best],
        share=float(shares[best]),
        alternatives={
            SHAPES[i]: float(share) for i, share in enumerate(shares) if i != best and share > ALTERNATIVE_FROM
        },
        weights=weights,
        sizes=touched(np.where(faults.shape == best, weights, 0.0), faults.effect, SHAPES[best]),
        cleared=cleared,
    )


def _direction(fault: Floats, nothing: float, sign: Ints) -> tuple[Pole, float]:
    """The direction with the better log odds against everything else, and those odds."""
    low, high = (float(logsumexp(fault[sign == side])) for side in (-1, 1))
    odds = {-1: low - np.logaddexp(high, nothing), 1: high - np.logaddexp(low, nothing)}
    direction: Pole = 1 if odds[1] > odds[-1] else -1
    return direction, float(odds[direction])


def strength(score: float) -> float:
    """The chance that is stated for log odds: never above 99 %."""
    return min(MOST, float(expit(MODESTY + score)))


def level(score: float, complaints: int, cleared: int, sizes: int) -> Level:
    """The level of a zone. A claim needs two usable complaints, so that it can be checked by hand."""
    if complaints >= LEAST_COMPLAINTS and score >= WATCH_FROM:
        return "repeated" if score >= REPEATED_FROM else "watch"
    return "quiet" if 2 * cleared >= sizes else "too_few"


def _complaints(weighed: Weighed, zone: int, direction: int) -> int:
    here = weighed.answers.zone == zone
    return int((weighed.answers.tick[here] * direction > 0).sum())


def touched(weights: Floats, effects: Floats, shape: Shape) -> tuple[int, ...]:
    """The sizes that the faults of a class touch more likely than not; of one size the likeliest."""
    total = weights.sum()
    if not total > 0:
        return ()
    if shape == "one_size":
        return (int((weights @ np.abs(effects)).argmax()),) if effects.shape[1] > 1 else (0,)
    least = TOUCHED_FROM if shape in ("growing_up", "growing_down") else 1e-9
    shares = weights @ (np.abs(effects) >= least) / total
    return tuple(int(i) for i in np.flatnonzero(shares >= 0.5))


def cleared_sizes(likelihood: Floats) -> tuple[int, ...]:
    """The sizes in which faults of two half-steps either way are ten times less likely than none."""
    apart = likelihood[:, NO_EFFECT, None] - likelihood[:, _CLEARED_AT]
    return tuple(int(i) for i in np.flatnonzero((apart >= CLEARED_BY).all(axis=1)))


def counts_of(weighed: Weighed, zone: int, direction: int, sizes: Sequence[str]) -> dict[str, tuple[int, int]]:
    """{size: (complaints in the direction, usable answers)} as the reading saw them."""
    answers = weighed.answers
    here = answers.zone == zone
    many = np.bincount(answers.size[here], minlength=len(sizes))
    complaints = np.bincount(answers.size[here & (answers.tick * direction > 0)], minlength=len(sizes))
    return {size: (int(complaints[i]), int(many[i])) for i, size in enumerate(sizes)}


def thin_sizes(counts: dict[str, tuple[int, int]]) -> tuple[str, ...]:
    """The sizes with fewer than two usable answers."""
    return tuple(size for size, (_, many) in counts.items() if many < LEAST_ANSWERS)
