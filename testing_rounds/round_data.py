"""One testing round as plain values: what a round file holds, what the readings read.

Lengths are centimetres (float), as in the round file; the app stores millimetres and
converts at its edge. Nothing here knows of files, models or Django.

`extra` holds what a file said under keys that are not ours; `keys` the keys of the file in
their order, so that the same file can be written again. Two values are equal whatever the
order of their keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

Extra = dict[str, Any]
Keys = tuple[str, ...]


@dataclass(frozen=True)
class Zone:
    """A place on the garment, with its two poles (`low` is the minus side)."""

    key: str
    label: str
    low: str
    high: str
    body_point: str | None = None
    scale_cm: float | None = None
    extra: Extra = field(default_factory=dict)
    keys: Keys = field(default=(), compare=False, repr=False)


@dataclass(frozen=True)
class ZoneAnswer:
    """One tester's word on one zone: fit -2..2, the change asked for (cm, + is bigger)."""

    fit: int
    altered: bool = False
    change: float | None = None
    extra: Extra = field(default_factory=dict)
    keys: Keys = field(default=(), compare=False, repr=False)


@dataclass(frozen=True)
class Override:
    """A person's word that a zone's answer is set aside, or put back, and why."""

    zone: str
    reason: str
    extra: Extra = field(default_factory=dict)
    keys: Keys = field(default=(), compare=False, repr=False)


@dataclass(frozen=True)
class Report:
    """One tester's report. `size` is the size sewn; `sizes` the zones sewn in another (a blend)."""

    tester: str
    size: str
    stage: str = "toile"
    submitted: str | None = None
    body: Mapping[str, float | None] = field(default_factory=dict)
    test_square: float | None = None
    zones: dict[str, ZoneAnswer] = field(default_factory=dict)
    steps: tuple[Any, ...] = ()
    sizes: dict[str, str] = field(default_factory=dict)
    version: str | None = None
    file: str | None = None
    fabric: Extra = field(default_factory=dict)
    toile: Mapping[str, float | None] = field(default_factory=dict)
    set_aside: tuple[Override, ...] = ()
    put_back: tuple[Override, ...] = ()
    extra: Extra = field(default_factory=dict)
    keys: Keys = field(default=(), compare=False, repr=False)

    def size_at(self, zone: str) -> str:
        """The size sewn at a zone."""
        return self.sizes.get(zone, self.size)


@dataclass(frozen=True)
class RoundData:
    """A whole round: sizes in order, charts per size (None where unknown), zones, reports.

    `drafted_height` (cm) is the height the pattern is drafted for, `stretch` (per cent) what it
    asks of its fabric.
    """

    pattern: str
    fabric: str
    version: str
    sizes: tuple[str, ...]
    base_size: str | None
    test_square: float | None
    body_chart: dict[str, tuple[float | None, ...]]
    finished_chart: dict[str, tuple[float | None, ...]]
    zones: tuple[Zone, ...]
    reports: tuple[Report, ...]
    drafted_height: float | None = None
    stretch: float | None = None
    pattern_extra: Extra = field(default_factory=dict)
    pattern_keys: Keys = field(default=(), compare=False, repr=False)
    extra: Extra = field(default_factory=dict)
    keys: Keys = field(default=(), compare=False, repr=False)

    @property
    def stages(self) -> tuple[str, ...]:
        """The stages that were reported on, in the order of the reports."""
        return tuple(dict.fromkeys(report.stage for report in self.reports))

    def at_stage(self, stage: str | None = None) -> RoundData:
        """The round with the reports of one stage alone, so that nobody counts twice.

        Without a stage: the toiles, or the first stage reported on where there are none.
        """
        stages = self.stages
        chosen = stage or ("toile" if "toile" in stages else next(iter(stages), "toile"))
        if stages in ((chosen,), ()):
            return self
        return replace(self, reports=tuple(report for report in self.reports if report.stage == chosen))
