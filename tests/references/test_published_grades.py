"""The grade check on published ranges: quiet where they are honest, loud at their misprints.

Sources: data/SOURCES.md. Below stand the 1995 edition of ASTM D5585 (from memory), the chart of the 1940s
(lonelyhepkat.com, May 2016), and the fabric width chart of greenspun.com, message 008fgB, whose first row is
misprinted there.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from measurements.grade_check import check_grade
from measurements.grade_entry import read_chart
from measurements.grade_types import GradeReport

DATA = Path(__file__).parent / "data"
TYPED = {
    "ASTM D5585-95, from memory": "in\t2\t4\t6\t8\t10\t12\t14\t16\t18\t20\n"
    "Bust\t32\t33\t34\t35\t36\t37 1/2\t39\t40 1/2\t42 1/2\t44 1/2\n"
    "Waist\t24\t25\t26\t27\t28\t29 1/2\t31\t32 1/2\t34 1/2\t36 1/2\n"
    "Hip\t34 1/2\t35 1/2\t36 1/2\t37 1/2\t38 1/2\t40\t41 1/2\t43\t45\t47",
    "US pattern chart, 1940s": "in\t12\t14\t16\t18\t20\nBust\t30\t32\t34\t36\t38\n"
    "Waist\t25\t26 1/2\t28\t30\t32\nHip\t33\t35\t37\t39\t41",
    "the same bust of ASTM D5585-11e1 alone": "in\t00\t0\t2\t4\t6\t8\t10\t12\t14\t16\t18\t20\n"
    "Bust\t31 1/8\t31 3/4\t33\t34 1/8\t35 1/4\t36 1/4\t37 1/4\t38 3/4\t40 3/8\t42 1/8\t44\t46",
}


def stored(name: str) -> str:
    return (DATA / f"{name}.csv").read_text(encoding="utf-8")


def checked(text: str) -> GradeReport:
    return check_grade(read_chart(text.encode(), finished=False).table, None)


def told(text: str) -> list[tuple[str, str, tuple[str, ...]]]:
    return [(one.kind, one.measure, one.sizes) for one in checked(text).findings]


@pytest.mark.parametrize("name", ["astm_d5585_11e1", "pattern_chart_1967_misses", "pattern_chart_1967_womens"])
def test_a_published_chart_is_quiet(name):
    assert told(stored(name)) == []


@pytest.mark.parametrize("name", ["metric_textbook", *TYPED])
def test_honest_uneven_steps_are_quiet(name):
    assert told(TYPED.get(name) or stored(name)) == []


def test_the_first_size_label_of_the_womens_chart_misprinted_as_36():
    report = checked(stored("pattern_chart_1967_womens").replace("Size,38", "Size,36"))
    (found,) = report.findings
    assert (found.kind, found.measure, found.sizes, dict(found.proposed)) == ("slip", "size", ("36",), {"36": 380})


def test_the_first_bust_of_the_womens_chart_misprinted_as_36():
    report = checked(stored("pattern_chart_1967_womens").replace("Bust,42", "Bust,36"))
    (found,) = report.findings
    assert (found.kind, found.measure, found.sizes) == ("slip", "bust", ("38",))
    assert float(found.proposed[0][1]) == pytest.approx(42 * 25.4)


def test_misses_and_womens_side_by_side_share_a_bust_and_a_hip():
    misses, womens = (stored(f"pattern_chart_1967_{name}").splitlines()[1:] for name in ("misses", "womens"))
    joined = [left + "," + right.partition(",")[2] for left, right in zip(misses, womens, strict=True)]
    assert told("inches\n" + "\n".join(joined)) == [
        ("crossing", "bust", ("20", "38")),
        ("crossing", "hip", ("20", "38")),
    ]


FABRIC = """w35_36,w39,w41,w44_45,w50,w52_54,w58_60,w66
1.75,1.5,1.5,1.375,1.25,1.125,1.0,0.875
2.0,1.75,1.75,1.625,1.5,1.375,1.25,1.125
2.25,2.0,2.0,1.75,1.625,1.5,1.375,1.25
2.5,2.25,2.25,2.125,1.75,1.75,1.625,1.5
2.875,2.5,2.5,2.25,2.0,1.875,1.75,1.625
3.125,2.75,2.75,2.5,2.25,2.0,1.875,1.75
3.375,3.0,2.875,2.75,2.375,2.25,2.0,1.875
3.75,3.25,3.125,2.875,2.625,2.375,2.25,2.125
4.25,3.5,3.375,3.125,2.75,2.625,2.375,2.25
4.5,3.75,3.625,3.375,3.0,2.75,2.625,2.5
4.75,4.0,3.875,3.625,3.25,2.875,2.75,2.625
5.0,4.25,4.125,3.875,3.375,3.125,2.875,2.75"""


def test_the_misprint_of_the_fabric_width_chart():
    assert told(FABRIC) == []
    found = checked(FABRIC.replace("1.0,0.875", "1.0,1.875", 1)).findings
    assert [(one.kind, one.measure, one.sizes) for one in found] == [("slip", "w66", ("1.75",))]
