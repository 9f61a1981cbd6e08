"""The reading `plain`: one shape a zone, each answer weighed by what its tester, body and print explain.

Method, limits and a worked example: docs/algorithms/reading.md.
"""

from __future__ import annotations

from testing_rounds.counts import Counts, count
from testing_rounds.likelihood.corrections import corrections, intervals
from testing_rounds.likelihood.passes import Frame, Weighed, weigh
from testing_rounds.likelihood.said import Said, counts_of, said, thin_sizes
from testing_rounds.likelihood.usable import usable
from testing_rounds.reading import Reading
from testing_rounds.round_data import RoundData, Zone
from testing_rounds.set_aside import Rules


def read_plain(data: RoundData, rules: Rules) -> list[Reading]:
    """One reading for each zone."""
    if not data.zones:
        return []
    counts = count(data, rules)
    weighed = weigh(usable(data, counts), Frame.of(data))
    return [reading_of(data, counts, weighed, at, said(weighed, at)) for at in range(len(data.zones))]


def reading_of(data: RoundData, counts: Counts, weighed: Weighed, at: int, found: Said) -> Reading:
    """What was said of a zone, as a reading."""
    zone = data.zones[at]
    named = tuple(data.sizes[i] for i in found.sizes) if found.read else ()
    seen = counts_of(weighed, at, found.direction, data.sizes)
    counted = {cell.size: (cell.complaints(found.direction), cell.counted) for cell in counts.row(zone.key)}
    correction, interval = _changes(data, weighed, at, found) if found.read else ({}, {})
    return Reading(
        zone=zone.key,
        reading=found.shape if found.read else "none",
        direction=found.direction,
        sizes=named,
        strength=found.strength,
        level=found.level,
        correction_cm=correction,
        interval_cm=interval,
        cleared_sizes=tuple(data.sizes[i] for i in found.cleared),
        thin_sizes=thin_sizes(seen),
        counts=seen,
        counted=counted,
        reading_strength=found.share,
        score=found.score,
        alternatives={shape: round(share, 3) for shape, share in found.alternatives.items()},
        why=why(zone, found.direction, named, counted),
    )


def why(zone: Zone, direction: int, named: tuple[str, ...], counted: dict[str, tuple[int, int]]) -> str:
    """The people's counts of the sizes named: "2 of 3 tight in size 16; 3 of 3 tight in size 18"."""
    word = zone.low if direction < 0 else zone.high
    return "; ".join(f"{counted[size][0]} of {counted[size][1]} {word} in size {size}" for size in named)


def _changes(
    data: RoundData, weighed: Weighed, at: int, found: Said
) -> tuple[dict[str, float], dict[str, tuple[float, float]]]:
    """The correction of each size and its interval, in cm."""
    k, units = float(weighed.k[at]), weighed.answers.units[at]
    change = corrections(found.weights, found.effects, units, k)
    ends = intervals(found.weights, found.effects, units, k, float(weighed.k_error[at]))
    return (
        {size: round(float(change[i]), 2) for i, size in enumerate(data.sizes)},
        {size: (round(float(ends[i, 0]), 2), round(float(ends[i, 1]), 2)) for i, size in enumerate(data.sizes)},
    )
