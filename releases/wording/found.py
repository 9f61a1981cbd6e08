"""One finding of the wording check."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from measurements.sentences import Sentence

Kind = Literal[
    "pair", "partner", "unit",
    "allowance", "notch", "hem", "zip", "length", "lining",
    "count", "fold", "piece", "unsewn", "notion", "tool",
    "reference", "numbering", "size", "page",
    "abbreviation", "dialect", "person", "caution",
]  # fmt: skip


@dataclass(frozen=True)
class Found:
    """Where in the booklet, what kind, the words as printed, what is wrong, and the words that should stand there.

    `step` is None outside the steps and `line` counts from 1; both are None for what stands nowhere (a piece in no
    step). `proposed` is None where only a person can say what is right.
    """

    kind: Kind
    step: int | None
    line: int | None
    text: str
    says: Sentence
    proposed: str | None = None

    def as_dict(self) -> dict[str, Any]:
        """The finding as values of JSON."""
        return {
            "step": self.step, "line": self.line, "kind": self.kind, "text": self.text, "says": str(self.says),
            "proposed": self.proposed,
        }  # fmt: skip
