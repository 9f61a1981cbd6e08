"""Cautions that a step calls for and that the booklet does not give."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from releases.cautions import missing_cautions
from releases.wording.booklet import Booklet
from releases.wording.facts import Facts
from releases.wording.found import Found


def check_cautions(booklet: Booklet, facts: Facts) -> Iterator[Found]:
    """The first step that names an iron, a blade, a sealant, a cord or nightwear where no caution stands so far.

    Free prose has no steps, and is not asked for cautions.
    """
    texts: dict[int, list[str]] = defaultdict(list)
    for block in booklet.steps:
        texts[block.step or 0].append(block.text)
    before = " ".join(block.text for block in booklet.blocks if block.step is None)
    steps = [(number, " ".join(parts)) for number, parts in texts.items()]
    for missing in missing_cautions(steps, before=before, for_children=facts.for_children):
        block = next(one for one in booklet.steps if one.step == missing.step and missing.text in one.text)
        line = block.line(block.text.index(missing.text))
        yield Found("caution", missing.step, line, missing.text, missing.says, missing.proposed)
