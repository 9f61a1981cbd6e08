"""What is said of a zone: the direction, how strongly, the shape, the sizes touched and cleared, the level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import expit

from testing_rounds.counts import LEAST_ANSWERS, LEAST_COMPLAINTS, Level
from testing_rounds.likelihood.passes import Weighed
from testing_rounds.likelihood.shapes import DOWN, ENDS, ONE, SHAPES, UP
from testing_rounds.likelihood.world import EFFECTS, NO_EFFECT, Floats, Ints, log_sum
from testing_rounds.reading import Pole, Shape

# Found on rounds that serve for nothing else: the stated strength is a little too modest without it.
MODESTY, MOST = 0.5, 0.99
REPEATED_FROM, WATCH_FROM = 0.0, -1.0
ALTERNATIVE_FROM = 0.10
# A size belongs to a growing fault from this effect on; a size is cleared when faults of two half-steps are ruled out.
TOUCHED_FROM, CLEARED_EFFECT, CLEARED_BY = 0.9, 2.0, np.log(10.0)
# What one more answer that fits says against a fault of two half-steps (nats), from a usual tester of a woven fabric.
ONE_FIT = 1.9
GROWING = (UP, DOWN, ENDS)
_CLEARED_AT = [int(np.abs(EFFECTS - side * CLEARED_EFFECT).argmin()) for side in (-1, 1)]


@dataclass(frozen=True)
class Said:
    """One zone as read. `effects` (faults x sizes) are the faults in its direction and `weights` theirs (sum 1);
    `sizes` index the range. `other_end` are the sizes that are off the other way, where both ends are."""

    direction: Pole
    score: float
    strength: float
    level: Level
    shape: Shape
    share: float
    alternatives: dict[Shape, float]
    weights: Floats
    effects: Floats
    sizes: tuple[int, ...]
    cleared: tuple[int, ...]
    other_end: tuple[int, ...] = ()

    @property
    def read(self) -> bool:
        """Whether a reading is made at all."""
        return self.level in ("repeated", "watch")


def said(weighed: Weighed, zone: int, *, own_complaints: bool = False) -> Said:
    """What is said of one zone. `own_complaints`: one size needs its two complaints in that size."""
    faults, found = weighed.atoms, weighed.evidence
    direction, score = _direction(found.fault[zone], float(found.nothing[zone]), faults.sign)
    logs = np.where(faults.sign == direction, found.fault[zone], -np.inf)
    weights: Floats = np.exp(logs - log_sum(logs))
    shares: Floats = np.bincount(faults.shape, weights=weights, minlength=len(SHAPES) + 1).astype(np.float64)
    best = int(shares.argmax())
    inside = np.where(faults.shape == best, weights, 0.0)
    sizes, other = touched(inside, faults.effect, best, direction)
    cleared = cleared_sizes(weighed.likelihood[zone])
    complaints = _complaints(weighed, zone, direction, sizes if own_complaints and best == ONE else None)
    shape = _name(best, faults.effect)
    return Said(
        direction=direction,
        score=score,
        strength=strength(score),
        level=level(score, complaints, len(cleared), weighed.likelihood.shape[1]),
        shape=shape,
        share=float(shares[best]),
        alternatives=_alternatives(shares, best, faults.effect),
        weights=weights,
        effects=faults.effect,
        sizes=sizes,
        cleared=cleared,
        other_end=other,
    )


def _name(shape: int, effects: Floats) -> Shape:
    """The word for a class; a fault at both ends goes by its far end."""
    if shape < ENDS:
        return SHAPES[shape]
    return "growing_up" if np.abs(effects[-1]).argmax() else "growing_down"


def _alternatives(shares: Floats, best: int, effects: Floats) -> dict[Shape, float]:
    """The other classes that are not unlikely, by name."""
    named = _name(best, effects)
    others = {i: float(share) for i, share in enumerate(shares) if i != best and share > ALTERNATIVE_FROM}
    return {_name(i, effects): share for i, share in others.items() if _name(i, effects) != named}


def _direction(fault: Floats, nothing: float, sign: Ints) -> tuple[Pole, float]:
    """The direction with the better log odds against everything else, and those odds."""
    low, high = (log_sum(fault[sign == side]) for side in (-1, 1))
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


def _complaints(weighed: Weighed, zone: int, direction: int, sizes: tuple[int, ...] | None) -> int:
    answers = weighed.answers
    here = (answers.zone == zone) & (answers.tick * direction > 0)
    return int((here if sizes is None else here & np.isin(answers.size, sizes)).sum())


def touched(weights: Floats, effects: Floats, shape: int, direction: int) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The sizes that the faults of a class touch more likely than not, and those that they touch the other way.

    Of one size the likeliest.
    """
    total = weights.sum()
    if not total > 0:
        return (), ()
    if shape == ONE:
        return (int((weights @ np.abs(effects)).argmax()),), ()
    least = TOUCHED_FROM if shape in GROWING else 1e-9
    this_way, other_way = (
        tuple(int(i) for i in np.flatnonzero(weights @ (effects * side >= least) / total >= 0.5))
        for side in (direction, -direction)
    )
    return this_way, other_way


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


def more_reports(weighed: Weighed, zone: int, sizes: tuple[int, ...]) -> dict[int, int]:
    """For each of these sizes how many more reports that fit would clear it."""
    likelihood = weighed.likelihood[zone]
    apart = (likelihood[:, NO_EFFECT, None] - likelihood[:, _CLEARED_AT]).min(axis=1)
    return {size: max(1, int(np.ceil((CLEARED_BY - apart[size]) / ONE_FIT))) for size in sizes}
