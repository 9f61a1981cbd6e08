"""The reading `weighed`: as `plain`, better where that is weak.

The background misfit is weighed in and its size learnt from the round; classes and amplitudes as faults are found;
opposite errors at the two ends are a shape; a print shifts a zone by the zone's own measurement; and each size that is
not cleared comes with how many more reports would do.
Method, limits and worked examples: docs/algorithms/reading.md.
"""

from __future__ import annotations

from dataclasses import replace

from testing_rounds.counts import Counts, count
from testing_rounds.likelihood.background import evidence_over_scales
from testing_rounds.likelihood.passes import Frame, Model, Weighed, weigh
from testing_rounds.likelihood.plain import reading_of, why
from testing_rounds.likelihood.said import Said, more_reports, said
from testing_rounds.likelihood.shapes import Shares
from testing_rounds.likelihood.two_faults import with_second
from testing_rounds.likelihood.usable import own_measure, usable
from testing_rounds.likelihood.world import CARELESS
from testing_rounds.reading import Reading
from testing_rounds.round_data import RoundData
from testing_rounds.set_aside import Rules

# A step is as usual as a slip; a fault at both ends is rare.
SHARES = Shares(
    prior=(0.24, 0.11, 0.11, 0.24, 0.28, 0.02),
    amplitude=((0.8, 3.2), (1.5, 5.5), (1.5, 5.5), (1.2, 4.5), (0.9, 3.6), (1.5, 5.5)),
)
# Some panels tick at random more often than the usual one.
CARELESS_SHARES = (CARELESS, 0.11, 0.20, 0.30)
MODEL = Model(SHARES, evidence_over_scales, CARELESS_SHARES)


def read_weighed(data: RoundData, rules: Rules) -> list[Reading]:
    """One reading for each zone."""
    if not data.zones:
        return []
    counts = count(data, rules)
    weighed = weigh(usable(data, counts, own_measure), Frame.of(data), MODEL)
    return [_reading(data, counts, weighed, at) for at in range(len(data.zones))]


def _reading(data: RoundData, counts: Counts, weighed: Weighed, at: int) -> Reading:
    found = said(weighed, at, own_complaints=True)
    if found.read:
        found = with_second(found, weighed.likelihood[at], weighed.atoms)
    reading = reading_of(data, counts, weighed, at, found)
    settled = {*found.cleared, *(data.sizes.index(size) for size in reading.sizes)}
    open_sizes = tuple(i for i in range(len(data.sizes)) if i not in settled)
    needed = more_reports(weighed, at, open_sizes)
    return replace(
        reading,
        why=reading.why + (_other_end(data, counts, at, found) if found.read else ""),
        more_reports={data.sizes[i]: needed[i] for i in open_sizes},
    )


def _other_end(data: RoundData, counts: Counts, at: int, found: Said) -> str:
    """The people's counts at the end that is off the other way."""
    if not found.other_end:
        return ""
    zone = data.zones[at]
    counted = {cell.size: (cell.complaints(-found.direction), cell.counted) for cell in counts.row(zone.key)}
    return "; " + why(zone, -found.direction, tuple(data.sizes[i] for i in found.other_end), counted)
