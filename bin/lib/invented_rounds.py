"""Invented rounds with planted faults: what a reading is tried on. Seeded, so that a round can be made again.

The world (in half grade steps): a fault, a little misfit that every pattern has, the tester's habit, body, print and
size, noise, ticks at random. Every figure stands in World, so that a stress changes one of them and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from testing_rounds.reading import Shape
from testing_rounds.round_data import Report, RoundData, Zone, ZoneAnswer

Floats = NDArray[np.float64]

KINDS = ("draft", "grade", "one_size", "step")
# Small, medium, large; of a grade fault at its far end.
AMPLITUDES = {
    "draft": (1.0, 1.5, 2.2),
    "grade": (2.0, 3.0, 4.5),
    "one_size": (1.6, 2.4, 3.6),
    "step": (1.2, 1.8, 2.7),
    "ends": (2.0, 3.0, 4.5),
}
ON_BODY = ("bust", "waist", "hip")


@dataclass(frozen=True)
class World:
    """What a round is made of. `faults` is how many (None: 0 to 3), `double` puts two of them into one zone."""

    sizes: int = 12
    zones: int = 12
    reports: tuple[int, ...] = (3,)
    faults: int | None = None
    kinds: tuple[str, ...] = KINDS
    double: bool = False
    fabric: str = "woven"
    zone_misfit: float = 0.12
    cell_misfit: float = 0.15
    biased: float = 0.12
    all_fine: float = 0.07
    at_random: float = 0.03
    printed_off: float = 0.07
    wrong_size: float = 0.07
    noise_factor: float = 1.0
    careless: float = 0.04
    altered: float = 0.05
    asked: float = 0.60

    @property
    def body(self) -> float:
        return 1.8 if self.fabric == "woven" else 1.0

    @property
    def noise(self) -> float:
        return (0.5 if self.fabric == "woven" else 0.65) * self.noise_factor


@dataclass(frozen=True)
class Fault:
    """One planted fault: `effect` for each size in half steps; `size` is 0, 1 or 2."""

    zone: str
    kind: str
    shape: Shape
    size: int
    direction: int
    effect: Floats

    @property
    def touched(self) -> frozenset[int]:
        least = 0.9 if self.kind in ("grade", "ends") else 1e-9
        side = self.effect * self.direction
        return frozenset(int(i) for i in np.flatnonzero(side >= least))


@dataclass(frozen=True)
class Invented:
    """A round and what was planted in it; `units` is half a step of each size in cm."""

    data: RoundData
    faults: tuple[Fault, ...]
    units: Floats
    extra: dict[str, Any] = field(default_factory=dict)


def invent(world: World, seed: int) -> Invented:
    """One round."""
    return _Maker(world, np.random.default_rng(seed)).round()


class _Maker:
    def __init__(self, world: World, rng: np.random.Generator) -> None:
        self.world, self.rng = world, rng
        n = world.sizes
        self.labels = tuple(str(6 + 2 * i) for i in range(n))
        steps = np.where(np.arange(n - 1) < n * 0.4, 4.0, np.where(np.arange(n - 1) < n * 0.7, 5.0, 6.0))
        rise = np.concatenate([[0.0], np.cumsum(steps)])
        self.chart = {"bust": 80 + rise, "waist": 62 + rise, "hip": 86 + rise}
        around = [[steps[j] for j in (i - 1, i) if 0 <= j < n - 1] or [4.0] for i in range(n)]
        self.step: Floats = np.array([float(np.mean(one)) for one in around])
        bodies = max(1, round(world.zones * 0.4))
        self.zones = tuple(
            Zone(f"zone{i}", f"zone {i}", "tight", "loose", body_point=ON_BODY[i % 3] if i < bodies else None)
            for i in range(world.zones)
        )

    def round(self) -> Invented:
        faults = tuple(self._faults())
        effect = self._misfits()
        for fault in faults:
            effect[int(fault.zone.removeprefix("zone"))] += fault.effect
        data = RoundData(
            pattern="Invented",
            fabric=self.world.fabric,
            version="1",
            sizes=self.labels,
            base_size=self.labels[len(self.labels) // 3],
            test_square=10.0,
            body_chart={point: tuple(float(v) for v in row) for point, row in self.chart.items()},
            finished_chart={},
            zones=self.zones,
            reports=tuple(self._reports(effect)),
        )
        return Invented(data, faults, self.step / 2)

    def _misfits(self) -> Floats:
        shape = (self.world.zones, self.world.sizes)
        zone = self.rng.normal(0, self.world.zone_misfit, (shape[0], 1))
        return zone + self.rng.normal(0, self.world.cell_misfit, shape)

    def _faults(self) -> Any:
        many = self.world.faults if self.world.faults is not None else int(self.rng.integers(0, 4))
        zones = self.rng.permutation(self.world.zones)[: max(many, 1)]
        last = ""
        for number in range(many):
            at = zones[0] if self.world.double else zones[number]
            kinds = [kind for kind in self.world.kinds if not (self.world.double and kind == last)]
            last = kinds[int(self.rng.integers(len(kinds)))]
            yield self._fault(f"zone{at}", last)

    def _fault(self, zone: str, kind: str) -> Fault:
        n, size, side = self.world.sizes, int(self.rng.integers(3)), int(self.rng.choice([-1, 1]))
        along = np.arange(n) / max(n - 1, 1)
        shape: Shape
        if kind == "draft":
            shape, curve = "whole_range", np.ones(n)
        elif kind == "grade":
            begin, up = float(self.rng.choice([0.0, 0.25, 0.5])), bool(self.rng.integers(2))
            run = np.maximum(0, (along - begin) / (1 - begin))
            shape, curve = ("growing_up", run) if up else ("growing_down", run[::-1])
        elif kind == "one_size":
            shape, curve = "one_size", (np.arange(n) == self.rng.integers(n)).astype(float)
        elif kind == "ends":
            begin = (n // 3) / max(n - 1, 1)
            curve = (along - begin) / (1 - begin)
            shape = "growing_up"
        else:
            many, up = int(self.rng.integers(2, n - 1)), bool(self.rng.integers(2))
            top = (np.arange(n) >= n - many).astype(float)
            shape, curve = "from_size", top if up else top[::-1]
        return Fault(zone, kind, shape, size, side, side * AMPLITUDES[kind][size] * curve)

    def _reports(self, effect: Floats) -> Any:
        number = 0
        for size in range(self.world.sizes):
            for _ in range(self.world.reports[size % len(self.world.reports)]):
                number += 1
                yield self._report(f"T{number}", size, effect[:, size])

    def _report(self, name: str, size: int, effect: Floats) -> Report:
        rng, world = self.rng, self.world
        off = rng.normal(0, 0.3, 3) + (rng.random() < world.wrong_size) * 1.3 * rng.choice([-1, 1])
        ratio = 1 + (rng.random() < world.printed_off) * rng.choice([-0.06, -0.03, -0.025, 0.02, 0.03])
        habit = rng.normal(0, 0.95 if rng.random() < world.biased else 0.2)
        fine = 0.35 if rng.random() < world.all_fine else 1.0
        careless = 0.30 if rng.random() < world.at_random else world.careless
        noise = world.noise * float(np.exp(rng.normal(0, 0.2)))
        step = self.step[size]
        bust = self.chart["bust"][size]
        latent = effect + habit + 1.5 * (ratio - 1) * bust / step + rng.normal(0, noise, world.zones)
        on_body = np.array([ON_BODY.index(zone.body_point) if zone.body_point else -1 for zone in self.zones])
        latent = latent - np.where(on_body >= 0, world.body * off[on_body], 0.4 * off.mean() * (abs(off.mean()) > 0.85))
        answers = {}
        for at, zone in enumerate(self.zones):
            if rng.random() < 0.03:
                continue
            answers[zone.key] = self._answer(float(latent[at]) * fine, float(latent[at]), careless, step / 2)
        body = {point: round(float(self.chart[point][size] + off[i] * step), 1) for i, point in enumerate(ON_BODY)}
        if rng.random() < 0.1:
            body.pop(ON_BODY[int(rng.integers(3))])
        return Report(name, self.labels[size], body=body, test_square=round(float(10 * ratio), 2), zones=answers)

    def _answer(self, felt: float, latent: float, careless: float, unit: float) -> ZoneAnswer:
        rng, world = self.rng, self.world
        tick = int(np.sign(felt)) * (int(abs(felt) >= 1.0) + int(abs(felt) >= 2.2))
        if rng.random() < careless:
            tick = int(rng.integers(-2, 3))
        if rng.random() < world.altered:
            return ZoneAnswer(0, altered=True)
        change = None
        if tick and rng.random() < world.asked:
            change = -tick / abs(tick) * max(abs(latent), 0.5) * unit * float(np.exp(rng.normal(0, 0.25)))
            change = change / 2.54 if rng.random() < 0.02 else change
            change = -change if rng.random() < 0.02 else change
            change = round(change * 2) / 2 or None
        return ZoneAnswer(tick, change=change)
