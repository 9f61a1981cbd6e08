"""Size advice against the same rules written a second time, in numpy, over thousands of invented bodies."""

from __future__ import annotations

from decimal import Decimal

import numpy as np

from lib.bench_advice import CHART, NOT, OUTSIDE, bodies, in_numpy
from measurements.advice_facts import Asked, facts_for
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.size_advice import advise

SIZES = tuple("abcdefghij")


def test_two_ways_of_writing_the_rules_agree_on_every_body():
    plain = bodies(3000, seed=17)
    lines = [ChartLine(key, key, tuple(ChartCell(Decimal(mm), "", "mm") for mm in row)) for key, row in CHART.items()]
    facts = facts_for(ChartTable(SIZES, None, tuple(lines)), Asked(), plain[0])
    mine = [advise({key: Decimal(mm) for key, mm in body.items()}, facts) for body in plain]
    size, waist, hip = in_numpy({key: np.array([body[key] for body in plain]) for key in CHART})
    assert [OUTSIDE if one.size is None else SIZES.index(one.size) for one in mine] == size.tolist()
    for place, positions in (("waist", waist), ("hip", hip)):
        blends = [next((b.to_size for b in one.blends if b.place == place), None) for one in mine]
        assert [NOT if to is None else SIZES.index(to) for to in blends] == positions.tolist()
    assert 100 < sum(size == OUTSIDE) < 1500, "bodies beyond the ends are among them"
    assert min(sum(waist != NOT), sum(hip != NOT)) > 300, "and many that are blended"
