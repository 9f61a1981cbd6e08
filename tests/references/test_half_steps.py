"""Half a step, on published size tables.

ASTM D5585-11e1, Table 1 (astm.org/Standards/D5585.htm), bust in inches, sizes 00 to 20. EN 13402-3, boundaries of the
bust intervals for women in cm (rdrr.io/cran/Anthropometry/man/bustSizesStandard.html). Figures only.
"""

from __future__ import annotations

import pytest

from testing_rounds.set_aside import half_step

ASTM_BUST_IN = (31.125, 31.75, 33.0, 34.125, 35.25, 36.25, 37.25, 38.75, 40.375, 42.125, 44.0, 46.0)
EN_BUST_CM = (74, 78, 82, 86, 90, 94, 98, 102, 107, 113, 119, 125, 131)


@pytest.mark.parametrize(("index", "half"), [(0, 5 / 16), (2, 19 / 32), (5, 1 / 2), (6, 5 / 8), (11, 1.0)])
def test_the_inch_table_keeps_its_eighths(index, half):
    assert half_step(ASTM_BUST_IN, index) == half


@pytest.mark.parametrize(("bust", "half"), [(74, 2.0), (98, 2.0), (102, 2.25), (107, 2.75), (113, 3.0), (131, 3.0)])
def test_the_metric_table_changes_its_step_at_102(bust, half):
    assert half_step(EN_BUST_CM, EN_BUST_CM.index(bust)) == half
