"""What to explain: the steps by the share of testers who got lost there, with the words that helped the others.

Plain values in and out. Method, limits and a worked example: docs/algorithms/what-to-explain.md.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

# Who noted one of these at a step got lost there: the words did not carry them. A typing error is no such thing.
LOST = frozenset({"lost", "missing", "disagrees"})
HELPED = "instead"
# A share is read as if so many more had sewn the step, with the usual share: one of one is no certainty
# (common practice, no source).
MORE = 2


@dataclass(frozen=True)
class Said:
    """One note: its kind and its words."""

    kind: str
    text: str = ""


@dataclass(frozen=True)
class Sewer:
    """One tester, with notes by step. `up_to`: the last step that they are known to have sewn; None is all of them."""

    name: str
    size: str = ""
    up_to: int | None = None
    notes: Mapping[int, Sequence[Said]] = field(default_factory=dict)

    def sewed(self, step: int) -> bool:
        return self.up_to is None or step <= self.up_to

    def lost_at(self, step: int) -> bool:
        return any(note.kind in LOST for note in self.notes.get(step, ()))


@dataclass(frozen=True)
class Words:
    """What one tester wrote at a step."""

    name: str
    size: str
    text: str


@dataclass(frozen=True)
class ToExplain:
    """A step at which somebody got lost: `lost` of the `sewed` who sewed it.

    `weighed` is the share by which steps are ordered. `helped`: what those did who did not get lost; `found_out`: what
    those did who got lost and wrote how they went on; `asked`: the words of those who got lost.
    """

    step: int
    lost: int
    sewed: int
    weighed: float
    helped: tuple[Words, ...]
    found_out: tuple[Words, ...]
    asked: tuple[Words, ...]

    @property
    def share(self) -> float:
        return self.lost / self.sewed


def what_to_explain(sewers: Iterable[Sewer]) -> tuple[ToExplain, ...]:
    """The steps at which anyone got lost, the largest weighed share first, then in the order of the booklet."""
    told = list(sewers)
    steps = sorted({step for one in told for step in one.notes})
    sewed = {step: sum(one.sewed(step) for one in told) for step in steps}
    lost = {step: sum(one.lost_at(step) for one in told) for step in steps}
    every = sum(sewed.values())
    usual = sum(lost.values()) / every if every else 0.0
    found = [
        ToExplain(
            step,
            lost[step],
            sewed[step],
            (lost[step] + MORE * usual) / (sewed[step] + MORE),
            _words(told, step, lost=False, kinds=frozenset({HELPED})),
            _words(told, step, lost=True, kinds=frozenset({HELPED})),
            _words(told, step, lost=True, kinds=LOST),
        )
        for step in steps
        if lost[step]
    ]
    return tuple(sorted(found, key=lambda one: (-one.weighed, one.step)))


def _words(told: Sequence[Sewer], step: int, *, lost: bool, kinds: frozenset[str]) -> tuple[Words, ...]:
    return tuple(
        Words(one.name, one.size, note.text.strip())
        for one in told
        if one.lost_at(step) == lost
        for note in one.notes.get(step, ())
        if note.kind in kinds and note.text.strip()
    )
