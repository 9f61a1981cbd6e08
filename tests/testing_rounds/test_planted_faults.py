"""A round sewn by formula: what was planted is read back, and every decoy is set aside with its reason.

Invented for this test. A tester's verdict follows from the ease that the garment leaves on that body, so that
complaints come about as they do at the table: from the draft, the grade, a slip, a print, a seam, a body.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import pytest

from testing_rounds.counts import count
from testing_rounds.reading import flags, read
from testing_rounds.round_data import Report, RoundData, ZoneAnswer
from testing_rounds.zones import CATALOGUE
from tests.testing_rounds.rounds import SIZES

CHART = {
    "bust": (81.0, 85.0, 89.0, 93.0, 97.0, 102.0, 107.0, 113.0, 119.0, 125.0),
    "waist": (63.0, 67.0, 71.0, 75.0, 79.0, 84.0, 89.0, 95.5, 102.0, 108.5),
    "upper_arm": (26.0, 27.0, 28.0, 29.0, 30.0, 31.5, 33.0, 35.0, 37.0, 39.0),
    "back_waist": tuple(39.5 + i / 2 for i in range(10)),
}
MEANT = {"bust": 7.0, "waist": 5.0, "upper_arm": 4.5, "back_length": 0.5}
POINT = {"bust": "bust", "waist": "waist", "upper_arm": "upper_arm", "back_length": "back_waist"}
# A tester says "slight" from the first of these on and "strong" from the second (cm).
FELT = {"bust": (1.2, 2.5), "waist": (1.2, 2.5), "upper_arm": (0.7, 1.8), "back_length": (0.8, 1.8)}


def drafted() -> dict[str, tuple[float, ...]]:
    """The finished chart with its faults: back 1.4 short, arm graded by 1.0 throughout, waist of 14 3 cm small."""
    made = {zone: tuple(value + MEANT[zone] for value in CHART[point]) for zone, point in POINT.items()}
    made["back_length"] = tuple(value - 1.4 for value in made["back_length"])
    made["upper_arm"] = tuple(30.5 + i for i in range(10))
    made["waist"] = tuple(value - 3 * (i == 4) for i, value in enumerate(made["waist"]))
    return made


@dataclass(frozen=True)
class Volunteer:
    """What is unlike the chart (cm), the print, the seam, and the zone altered."""

    size: str
    body: dict[str, float]
    print_at: float = 1.0
    seam: float = 0.0
    altered: str = ""


def panel() -> list[Volunteer]:
    spread = [{"bust": 0.4, "waist": -0.3}, {"bust": -0.5, "back_waist": 0.3}, {"upper_arm": 0.2, "back_waist": -0.3}]
    usual = {
        f"{size}{letter}": Volunteer(size, body) for size in SIZES for letter, body in zip("abc", spread, strict=True)
    }
    return list(
        {
            **usual,
            "6a": Volunteer("6", {}, print_at=0.97),
            "24b": Volunteer("24", {}, print_at=0.97),
            "8a": Volunteer("8", {}, seam=2.4),
            "16c": Volunteer("16", {}, seam=2.4),
            "20a": Volunteer("20", {}, seam=2.4),
            "10b": Volunteer("10", {"bust": 4.0}),
            "22a": Volunteer("22", {"back_waist": 2.0}),
            "12c": Volunteer("12", {}, altered="back_length"),
        }.values()
    )


def report(number: int, tester: Volunteer, finished: dict[str, tuple[float, ...]]) -> Report:
    at = SIZES.index(tester.size)
    body = {point: row[at] + tester.body.get(point, 0.0) for point, row in CHART.items()}
    sewn = {zone: finished[zone][at] * tester.print_at for zone in POINT}
    sewn |= {zone: sewn[zone] - tester.seam for zone in ("bust", "waist")}
    if tester.altered:
        sewn[tester.altered] += 1.5
    zones = {
        zone: ZoneAnswer(said(zone, sewn[zone] - body[point] - MEANT[zone]), altered=zone == tester.altered)
        for zone, point in POINT.items()
    }
    return Report(
        f"T{number:02}",
        tester.size,
        body={point: round(value, 1) for point, value in body.items()},
        test_square=round(10 * tester.print_at, 2),
        zones=zones,
        toile={zone: round(sewn[zone], 1) for zone in ("bust", "waist")},
    )


def said(zone: str, misfit: float) -> int:
    slight, strong = FELT[zone]
    strength = (abs(misfit) > slight) + (abs(misfit) > strong)
    return strength if misfit > 0 else -strength


@pytest.fixture(scope="module")
def sewn() -> RoundData:
    finished = drafted()
    return RoundData(
        pattern="Tidewrack",
        fabric="woven",
        version="0.4",
        sizes=SIZES,
        base_size="12",
        test_square=10.0,
        body_chart=CHART,
        finished_chart=finished,
        zones=tuple(CATALOGUE[zone].asked(CHART) for zone in POINT),
        reports=tuple(report(number, tester, finished) for number, tester in enumerate(panel())),
    )


def test_the_three_faults_are_read_and_nothing_else(sewn):
    found = {r.zone: (r.reading, r.direction, r.sizes) for r in read(sewn) if r.reading != "none"}
    assert found == {
        "back_length": ("whole_range", -1, SIZES),
        "upper_arm": ("growing_up", -1, ("18", "20", "22", "24")),
        "waist": ("one_size", -1, ("14",)),
    }


def test_complaints_that_the_pattern_did_not_make_leave_no_trace(sewn):
    bust = count(sewn).totals["bust"]
    assert (bust.raw_low, bust.raw) == (6, 30)
    assert (bust.low, bust.high, bust.counted) == (0, 0, 24)


def test_each_is_set_aside_for_its_own_reason(sewn):
    first = Counter(
        (answer.zone, answer.reasons[0].code) for cell in count(sewn).cells.values() for answer in cell.aside
    )
    assert first == {
        **{(zone, "print"): 2 for zone in POINT},
        ("bust", "toile"): 3,
        ("waist", "toile"): 3,
        ("bust", "body"): 1,
        ("back_length", "body"): 1,
        ("back_length", "altered"): 1,
    }


def test_only_the_sizes_of_the_faults_are_flagged(sewn):
    found = Counter(flag.zone for flag in flags(count(sewn), read(sewn)))
    assert found == {"waist": 1, "upper_arm": 4, "back_length": 10}


def test_a_clean_pattern_raises_no_alarm(sewn):
    finished = {zone: tuple(value + MEANT[zone] for value in CHART[point]) for zone, point in POINT.items()}
    reports = tuple(report(number, tester, finished) for number, tester in enumerate(panel()))
    clean = RoundData(**{**vars(sewn), "finished_chart": finished, "reports": reports})
    assert {(reading.reading, reading.level) for reading in read(clean)} == {("none", "quiet")}
