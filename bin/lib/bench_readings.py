"""How good a reading is: invented rounds read, held against what was planted in them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

from lib.invented_rounds import Fault, Invented
from testing_rounds.reading import Reading

Read = Callable[[Invented], Sequence[Reading]]


@dataclass
class Tally:
    """What was counted over many rounds; the shares are properties."""

    planted: int = 0
    found: int = 0
    right: int = 0
    overlap: list[float] = field(default_factory=list)
    clean: int = 0
    alarmed: int = 0
    sure: int = 0
    sure_true: int = 0
    claims: int = 0
    claims_false: int = 0
    errors: list[float] = field(default_factory=list)
    inside: list[bool] = field(default_factory=list)
    strengths: list[tuple[float, bool]] = field(default_factory=list)
    by_kind: dict[tuple[str, int], list[int]] = field(default_factory=dict)

    def add(self, made: Invented, readings: Iterable[Reading]) -> None:
        """Count one round."""
        by_zone = {reading.zone: reading for reading in readings}
        loud = [reading for reading in by_zone.values() if reading.level == "repeated"]
        if not made.faults:
            self.clean += 1
            self.alarmed += bool(loud)
        planted = {(fault.zone, fault.direction) for fault in made.faults}
        planted |= {(fault.zone, -fault.direction) for fault in made.faults if fault.kind == "ends"}
        for reading in by_zone.values():
            true = (reading.zone, reading.direction) in planted
            self.strengths.append((reading.strength or 0.0, true))
            if reading.level in ("repeated", "watch"):
                self.claims += 1
                self.claims_false += not true
                if (reading.strength or 0) >= 0.90:
                    self.sure += 1
                    self.sure_true += true
        for fault in made.faults:
            self._fault(made, fault, by_zone[fault.zone])

    def _fault(self, made: Invented, fault: Fault, reading: Reading) -> None:
        self.planted += 1
        kind = self.by_kind.setdefault((fault.kind, fault.size), [0, 0, 0])
        kind[0] += 1
        sides = (fault.direction, -fault.direction) if fault.kind == "ends" else (fault.direction,)
        if reading.level != "repeated" or reading.direction not in sides:
            return
        shapes = ("growing_up", "growing_down") if fault.kind == "ends" else (fault.shape,)
        self.found += 1
        kind[1] += 1
        right = reading.reading in shapes
        self.right += right
        kind[2] += right
        named = {made.data.sizes.index(size) for size in reading.sizes}
        both = named | fault.touched
        self.overlap.append(len(named & fault.touched) / len(both) if both else 1.0)
        together = np.sum([one.effect for one in made.faults if one.zone == fault.zone], axis=0)
        for at in named:
            size = made.data.sizes[at]
            true = -together[at] * made.units[at]
            given, ends = (reading.correction_cm or {})[size], (reading.interval_cm or {})[size]
            self.errors.append(abs(given - true) / (2 * made.units[at]))
            self.inside.append(ends[0] - 0.005 <= true <= ends[1] + 0.005)

    def figures(self) -> dict[str, float]:
        """The shares that have bars, in the order of the bars."""
        return {
            "alarms": _share(self.alarmed, self.clean),
            "found": _share(self.found, self.planted),
            "right": _share(self.right, self.found),
            "sizes": float(np.mean(self.overlap)) if self.overlap else float("nan"),
            "sure true": _share(self.sure_true, self.sure),
            "false": _share(self.claims_false, self.claims),
            "error": float(np.mean(self.errors)) if self.errors else float("nan"),
            "covers": float(np.mean(self.inside)) if self.inside else float("nan"),
        }

    def spreads(self) -> dict[str, float]:
        """The standard error of each figure; of the sizes of one reading as one."""
        figures, many = self.figures(), max(len(self.overlap), 1)
        counted = {"alarms": self.clean, "found": self.planted, "right": self.found, "sure true": self.sure}
        counted |= {"false": self.claims, "covers": many}
        means = {"sizes": self.overlap, "error": self.errors}
        return {name: _spread(figures[name], number) for name, number in counted.items()} | {
            name: float(np.std(values)) / np.sqrt(many) if values else float("nan") for name, values in means.items()
        }

    def steps(self) -> str:
        """How often small and medium steps that were found were named as steps."""
        found = [self.by_kind.get(("step", size), [0, 0, 0]) for size in (0, 1)]
        return ", ".join(f"{_share(one[2], one[1]):.2f}" for one in found) if any(one[1] for one in found) else ""


def _spread(share: float, many: int) -> float:
    return float(np.sqrt(max(share * (1 - share), 0.25 / many) / many)) if many else float("nan")


def _share(part: int, whole: int) -> float:
    return part / whole if whole else float("nan")
