"""A fix in the reader's language: whether it is confirmed or why not, and what the exact tests say."""

from __future__ import annotations

from typing import TYPE_CHECKING

from measurements.translated import in_words

if TYPE_CHECKING:
    from testing_rounds.fixed_or_not import Comparison, FixVerdict


class Told:
    """What both kinds of story say of their verdict and their comparisons."""

    verdict: FixVerdict
    comparisons: tuple[Comparison, ...]

    @property
    def says(self) -> list[str]:
        return [in_words(one) for one in self.verdict.says]

    @property
    def tests(self) -> list[str]:
        return [in_words(one.says()) for one in self.comparisons]
