"""Layouts against an exact solver: OR-Tools CP-SAT (Perron and Furnon, Google, Apache-2.0), under the same rules.

The whole comparison, with more lists and times, is `bin/bench lay`.
"""

from __future__ import annotations

import statistics

import pytest

from lib.lay_exact import invented_list, shortest
from releases.lay_plan import plan

LISTS = range(100, 112)


@pytest.fixture(scope="module")
def longer() -> list[float]:
    """How much longer than the solver's, list by list; the solver may stop before it has proved its own."""
    found = []
    for seed in LISTS:
        pieces, cloth = invented_list(seed)
        exact, _proved = shortest(pieces, cloth, seconds=1)
        length = plan(pieces, cloth).length
        assert length is not None
        found.append(length / exact - 1)
    return found


def test_half_of_the_layouts_are_at_most_three_per_cent_longer_than_the_shortest(longer):
    assert statistics.median(longer) <= 0.03


def test_no_layout_is_more_than_six_per_cent_longer_than_the_shortest(longer):
    assert max(longer) <= 0.06


def test_the_shirt_of_the_worked_example_lies_as_short_as_can_be(longer):
    from tests.releases.lay_lists import SHIRT, cloth_of

    for width, best in ((140, 144), (115, 192)):
        assert plan(SHIRT, cloth_of(width)).length == best
        assert shortest(SHIRT, cloth_of(width), seconds=30) == (best, True)
