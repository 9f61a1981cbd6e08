"""The grade check: what is a finding, what is rounding, and what could not be checked."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.charts import ChartTable
from measurements.grade_check import check_grade
from measurements.grade_facts import FactsError, facts_of, read_facts
from measurements.grade_marks import marks
from measurements.grade_mend import with_proposal
from measurements.grade_types import Finding, GradeFacts
from tests.factories import chart_table
from tests.measurements.tables import worked_table

SIZES = ("6", "8", "10", "12", "14", "16", "18", "20", "22", "24")
BUST = (80, 84, 88, 92, 96, 101, 106, 112, 118, 124)
ARM = (25, 26.2, 27.4, 28.6, 29.8, 31.4, 33, 35, 37, 39)
BODY = {"bust": BUST, "hip": tuple(value + 6 for value in BUST), "upper_arm": ARM}


def table(unit: str = "cm", sizes: tuple[str, ...] = SIZES, **rows: tuple) -> ChartTable:
    texts = {key: tuple("" if value is None else str(value) for value in values) for key, values in rows.items()}
    return chart_table(texts, sizes=sizes, base="12", unit=unit)


def garment(**rows: tuple) -> ChartTable:
    return table(**{"bust": tuple(value + 6 for value in BUST), "upper_arm": tuple(value + 5 for value in ARM), **rows})


def shift(values: tuple, by: float, *places: int) -> tuple:
    return tuple(round(value + by, 4) if i in places else value for i, value in enumerate(values))


def told(findings: tuple[Finding, ...]) -> list[tuple]:
    return [(one.kind, one.measure, one.sizes) for one in findings]


def proposed(finding: Finding) -> dict[str, float]:
    return {size: float(mm) / 10 for size, mm in finding.proposed}


def test_the_worked_example_of_the_page():
    rows = worked_table("grade-check.md", "Worked example")
    sizes = tuple(row["size"] for row in rows)
    body = table(sizes=sizes, waist=tuple(r["waist C"] for r in rows), upper_arm=tuple(r["upper arm C"] for r in rows))
    worn = table(sizes=sizes, waist=tuple(r["waist F"] for r in rows), upper_arm=tuple(r["upper arm F"] for r in rows))
    found = check_grade(body, worn, GradeFacts(base="12")).findings
    assert told(found) == [
        ("slip", "waist", ("18",)),
        ("break", "upper_arm", ("16", "18", "20", "22", "24")),
        ("ease", "upper_arm", ("16", "18", "20", "22", "24")),
    ]
    assert proposed(found[0]) == {"18": 92}
    assert proposed(found[1]) == {"16": 36.4, "18": 38, "20": 40, "22": 42, "24": 44}
    assert "2.5 cm" in str(found[0].says)
    assert [dict(found[0].evidence[0].by_size)[size] for size in ("16", "18")] == [Decimal(40), Decimal(15)]


def test_an_honest_grade_with_breaks_is_silent():
    assert told(check_grade(table(**BODY), garment()).findings) == []


@pytest.mark.parametrize("at", range(10))
@pytest.mark.parametrize("by", [1.5, -1.5])
def test_one_size_that_is_off_is_named_with_its_length(at, by):
    found = check_grade(table(**BODY), garment(bust=shift(tuple(v + 6 for v in BUST), by, at))).findings
    assert told(found) == [("slip", "bust", (SIZES[at],))]
    assert proposed(found[0]) == {SIZES[at]: BUST[at] + 6}


def test_rounding_is_silent_in_cm_and_inches():
    rough = tuple(round((value + 6.3) * 2) / 2 for value in BUST)
    assert told(check_grade(table(**BODY), garment(bust=rough, upper_arm=ARM)).findings) == []
    eighths = tuple(round((value + 6) / 2.54 * 8) / 8 for value in BUST)
    bodies = tuple(round(value / 2.54 * 8) / 8 for value in BUST)
    assert told(check_grade(table("in", bust=bodies), table("in", bust=eighths)).findings) == []


def test_a_step_that_stays_is_told_from_one_wrong_size():
    found = check_grade(table(**BODY), garment(bust=shift(tuple(v + 6 for v in BUST), 2, 6, 7, 8, 9))).findings
    assert told(found) == [("slip", "bust", ("18", "20", "22", "24"))]
    assert proposed(found[0])["24"] == 130


def test_a_wrong_cell_of_the_body_chart_is_told_from_one_of_the_garment():
    found = check_grade(table(**{**BODY, "bust": shift(BUST, 2, 2)}), garment()).findings
    assert [(one.chart, *told((one,))[0]) for one in found] == [("body", "slip", "bust", ("10",))]
    assert proposed(found[0]) == {"10": 88}


def test_a_break_that_the_garment_alone_has_is_open_until_it_is_declared():
    arm = tuple(value + 5 + max(0, i - 5) for i, value in enumerate(ARM))
    body, worn = table(**BODY), garment(upper_arm=arm)
    first = check_grade(body, worn).findings[0]
    assert (first.kind, first.measure, first.sizes[0], first.declare) == ("break", "upper_arm", "18", ("18",))
    facts = GradeFacts(breaks={"upper_arm": ("18",)})
    assert "break" not in {one.kind for one in check_grade(body, worn, facts).findings}


def test_a_chart_alone_is_held_to_the_breaks_that_it_declares():
    chart = table(bust=BUST, hip=tuple(range(86, 126, 4)))
    assert told(check_grade(chart, None).findings) == []
    facts = GradeFacts(breaks={"bust": ("16",), "hip": ("16",)})
    assert told(check_grade(chart, None, facts).findings) == [("break", "bust", ("20",)), ("break", "hip", ("16",))]


@pytest.mark.parametrize("values", [(36, 44, 46, 48, 50), (42, 44, 46, 48, 56)])
def test_an_end_out_of_all_proportion_is_a_slip(values):
    found = check_grade(table(sizes=("38", "40", "42", "44", "46"), bust=values), None).findings
    assert told(found)[0] == ("slip", "bust", ("38",) if values[0] == 36 else ("46",))


def test_a_circumference_that_does_not_grow_crosses():
    found = check_grade(table(bust=(80, 84, 84, 92, 96, 100, 104, 108, 112, 116)), None).findings
    assert ("crossing", "bust", ("8", "10")) in told(found)


def test_the_ease_that_is_meant_is_held_in_every_size():
    worn = garment(bust=tuple(value + 4.5 for value in BUST))
    found = check_grade(table(**BODY), worn, GradeFacts(ease={"bust": (6.0, 1.0)})).findings
    assert told(found) == [("ease", "bust", SIZES)]
    assert proposed(found[0])["6"] == 86


def test_an_even_drift_is_told_on_both_sides_of_the_base():
    worn = garment(bust=tuple(round(value + 6 + 0.4 * (i - 3), 1) for i, value in enumerate(BUST)))
    found = check_grade(table(**BODY), worn, GradeFacts(base="12")).findings
    assert {one.kind for one in found} == {"ease"}
    assert {size for one in found for size in one.sizes} == set(SIZES) - {"12"}


def test_a_knit_keeps_its_share_of_the_body():
    worn = table(bust=tuple(round(value * 0.96, 1) for value in BUST))
    assert told(check_grade(table(bust=BUST), worn, GradeFacts(fabric="knit")).findings) == []


SEAMS = {"cap_seam": (40,) * 10, "armhole": (38,) * 10}
OFF_AT_18 = {
    "length": ({"back_length": tuple(40 + i for i in range(10))}, {}, SIZES[1:]),
    "cap": ({**SEAMS, "cap_seam": shift((40,) * 10, 2, 6)}, {"kind": "jacket"}, ("18",)),
    "pair": ({"back_side": (30,) * 10, "front_side": shift((30,) * 10, 0.4, 6)},
             {"pairs": [["back_side", "front_side", 0]]}, ("18",)),
    "gather": ({"loose_waist": shift((120,) * 10, 6, 6), "yoke": (60,) * 10},
               {"gathers": [["loose_waist", "yoke", 2]]}, ("18",)),
    "sweep": ({"sweep": tuple(120 + 3 * i for i in range(10))}, {}, SIZES[1:]),
    "opening": ({"neck_edge": shift((60,) * 10, -3, 6)}, {"opening": "overhead"}, ("18",)),
    "base": ({"waist": tuple(value - 10 for value in BUST)}, {"base": 12, "base_sewn": {"waist": 82.4}}, ("12",)),
}  # fmt: skip


@pytest.mark.parametrize("kind", OFF_AT_18)
def test_each_other_check_names_the_sizes_that_are_off(kind):
    rows, facts, sizes = OFF_AT_18[kind]
    found = check_grade(table(**BODY), garment(**rows), facts_of(facts)[0]).findings
    assert [one.sizes for one in found if one.kind == kind] == [sizes]


def test_a_seam_may_be_longer_by_what_is_eased_in_whichever_is_named_first():
    rows = {"back_side": (30.6,) * 10, "front_side": (30,) * 10}
    for pair in (["back_side", "front_side", 0.6], ["front_side", "back_side", 0.6]):
        assert told(check_grade(table(**BODY), garment(**rows), facts_of({"pairs": [pair]})[0]).findings) == []


def test_shoulders_hold_the_same_ease_in_every_size_less_a_dart():
    rows = {"back_shoulder": shift((13.5,) * 10, 0.5, 9), "front_shoulder": (13,) * 10}
    assert told(check_grade(None, table(**rows)).findings) == [("pair", "back_shoulder", ("24",))]
    assert told(check_grade(None, table(**rows, back_shoulder_dart=shift((0,) * 10, 0.5, 9))).findings) == []


def test_stepping_in_needs_the_hip_at_the_foot_of_the_opening():
    facts = facts_of({"opening": {"way": "stepped", "foot": "waist"}})[0]
    found = check_grade(table(**BODY), garment(waist=tuple(value + 6 for value in BUST)), facts).findings
    assert told(found) == [("opening", "waist", SIZES)]


def test_a_step_ratio_is_a_note_and_a_finding_only_where_it_is_absurd():
    odd = check_grade(table(bust=BUST, waist=tuple(62 + 6.5 * i for i in range(10))), None)
    assert (told(odd.findings), len(odd.notes)) == ([], 1)
    absurd = check_grade(table(bust=BUST, waist=tuple(40 + 14 * i for i in range(10))), None)
    assert told(absurd.findings) == [("ratio", "waist", SIZES)]


@pytest.mark.parametrize("sizes", [("10",), ("10", "12")])
def test_one_or_two_sizes_have_no_step_to_compare(sizes):
    report = check_grade(table(sizes=sizes, bust=(80, 90)[: len(sizes)]), None)
    assert told(report.findings) == []
    assert "slip" in {one.check for one in report.not_run}


def test_gaps_are_stepped_over():
    found = check_grade(table(**BODY), garment(bust=(86, None, 94, 98, 102, 107, 115, None, 124, 130))).findings
    assert told(found) == [("slip", "bust", ("18",))]


def test_marks_stand_at_the_cell_or_at_the_step():
    worn = garment(bust=shift(tuple(v + 6 for v in BUST), 2, 6), upper_arm=tuple(30 + 1.2 * i for i in range(10)))
    found = check_grade(table(**BODY), worn).findings
    placed = marks(worn, found)
    assert placed["bust", "18"].proposed == 1120
    assert (placed["upper_arm", "16"].kind, placed["upper_arm", "16"].on_step) == ("break", True)
    assert placed["upper_arm", "24"].on_step is False


def test_a_proposal_that_is_taken_mends_the_chart_in_its_own_unit():
    bodies, worn = table("in", bust=(32, 33, 34, 35, 36), sizes=SIZES[:5]), (34, 35, 36.75, 37, 38)
    off = table("in", bust=worn, sizes=SIZES[:5])
    found = check_grade(bodies, off).findings
    mended = with_proposal(off, found[0], "in")
    assert mended.line("bust").cells[2].typed == "36"
    assert check_grade(bodies, mended).findings == ()


@pytest.mark.parametrize(
    "said",
    [
        [], {"kind": 3}, {"ease": {"bust": "wide"}}, {"ease": [1]}, {"pairs": [["a"]]}, {"pairs": "a"},
        {"base_sewn": {"bust": 1e9}}, {"base_sewn": {"bust": float("nan")}}, {"base": []}, {"opening": 3},
        {"gathers": [["a", "b", 0]]}, {"breaks": {"bust": [None]}},
    ],
)  # fmt: skip
def test_facts_that_cannot_be_read_are_told_in_a_sentence(said):
    with pytest.raises(FactsError, match=r"must"):
        facts_of(said)


def test_facts_that_are_no_json_or_not_known():
    with pytest.raises(FactsError, match="no JSON"):
        read_facts(b"{")
    assert read_facts(b'{"brakes": {}}')[1] == ("brakes",)


CELLS = st.one_of(st.none(), st.decimals(0, 1000, places=1, allow_nan=False))


@settings(max_examples=20, deadline=None)
@given(data=st.data(), n=st.integers(1, 8), unit=st.sampled_from(["cm", "in"]))
def test_any_numbers_are_checked_without_an_error(data, n, unit):
    keys = ("bust", "waist", "hip", "sweep", "cap_seam", "armhole", "back_length", "calf")
    charts = [
        table(unit, SIZES[:n], **{k: tuple(data.draw(st.lists(CELLS, min_size=n, max_size=n))) for k in keys})
        for _ in range(2)
    ]
    said = {
        "kind": "skirt", "ease": {"bust": [6, 1]}, "pairs": [["waist", "hip", 1]], "gathers": [["sweep", "hip"]],
        "opening": "overhead", "base_sewn": {"bust": 90}, "breaks": {"bust": ["10"], "nothing": ["x"]},
    }  # fmt: skip
    for facts in (GradeFacts(), facts_of(said)[0]):
        for one in (
            check_grade(*charts, facts),
            check_grade(None, charts[1], facts),
            check_grade(charts[0], None, facts),
        ):
            for finding in one.findings:
                assert str(finding.says)
                assert set(finding.sizes) <= set(SIZES)


@pytest.mark.parametrize(("at", "right"), [(5, 101), (6, 106), (7, 112)])
def test_a_slip_beside_a_declared_break_is_mended_by_the_step_of_its_own_stretch(at, right):
    chart = table(bust=shift(BUST, -3, at))
    (found,) = check_grade(chart, None, GradeFacts(breaks={"bust": ("16", "20")})).findings
    assert proposed(found) == {SIZES[at]: right}


@pytest.mark.parametrize("wrong", ["back_side", "front_side"])
def test_of_two_seams_the_uneven_one_is_named(wrong):
    rows = {"back_side": (30,) * 10, "front_side": (30,) * 10}
    rows[wrong] = shift((30,) * 10, 0.4, 6)
    found = check_grade(None, table(**rows), facts_of({"pairs": [["back_side", "front_side", 0]]})[0]).findings
    pair = next(one for one in found if one.kind == "pair")
    assert (pair.measure, proposed(pair)) == (wrong, {"18": 30})


@pytest.mark.parametrize("at", [0, 4, 9])
def test_a_body_that_is_off_at_an_end_or_at_a_break_is_named_and_not_the_garment(at):
    found = check_grade(table(bust=shift(BUST, -2, at)), garment(), GradeFacts(base="12")).findings
    assert told(found) == [("slip", "bust", (SIZES[at],))]
    assert (found[0].chart, proposed(found[0])) == ("body", {SIZES[at]: BUST[at]})


@pytest.mark.parametrize("at", [0, 4, 9])
def test_a_row_that_leaves_its_companions_is_off_by_that_much_at_an_end_too(at):
    rows = {"bust": shift(BUST, 1, at), "high_bust": shift(BUST, -5, *range(10)), "hip": shift(BUST, 6, *range(10))}
    (found,) = check_grade(table(**rows), None).findings
    assert (told((found,)), proposed(found)) == ([("slip", "bust", (SIZES[at],))], {SIZES[at]: BUST[at]})


def test_of_three_sizes_alone_the_one_between_uneven_steps_is_off():
    found = check_grade(table(sizes=("S", "M", "L"), waist=(60, 70, 68)), None).findings
    assert told(found) == [("slip", "waist", ("M",)), ("crossing", "waist", ("M", "L"))]


def test_a_wrong_length_is_told_once():
    backs = tuple(39 + 0.5 * i for i in range(10))
    found = check_grade(table(back_waist=backs), table(back_length=shift(backs, 2, 6)), GradeFacts(base="12")).findings
    assert told(found) == [("slip", "back_length", ("18",))]


@pytest.mark.parametrize("share", [None, -0.04])
def test_the_ease_of_a_knit_may_keep_its_centimetres_or_its_share(share):
    worn = tuple(round(value * (1 + share), 2) if share else value + 2 for value in BUST)
    assert not check_grade(table(bust=BUST), table(bust=worn), GradeFacts(base="12", fabric="knit")).findings


@pytest.mark.parametrize(("kind", "off"), [("straight skirt", True), ("skirt with a back vent", False)])
def test_a_vent_gives_the_room_to_step_out(kind, off):
    rows = {"hip": shift(BUST, 13, *range(10)), "sweep": shift(BUST, 9, *range(10))}
    found = check_grade(table(hip=shift(BUST, 6, *range(10))), table(**rows), GradeFacts(kind=kind)).findings
    assert [one.kind for one in found] == ["sweep"] * off


def test_an_opening_that_goes_round_the_hip_is_what_one_steps_into():
    rows = {"hip": shift(BUST, 13, *range(10)), "opening": shift(BUST, 7, *range(10))}
    found = check_grade(table(hip=shift(BUST, 6, *range(10))), table(**rows), GradeFacts(opening="stepped")).findings
    assert told(found) == [("opening", "opening", SIZES)]


@pytest.mark.parametrize(
    ("by", "sizes"),
    [
        ({2: 1.5, 6: -2.5}, [("10",), ("18",)]),
        ({6: -2.5, 7: 2.5}, [("18",), ("20",)]),
        ({6: -2.5, 7: -2.5}, [("18", "20")]),
    ],
)
def test_several_wrong_sizes_of_one_row_are_each_told(by, sizes):
    bust = tuple(value + 6 + by.get(i, 0) for i, value in enumerate(BUST))
    found = [one for one in check_grade(table(bust=BUST), table(bust=bust)).findings if one.kind != "crossing"]
    assert {one.kind for one in found} == {"slip"}
    assert sorted(one.sizes for one in found) == sizes
    assert all(proposed(one)[size] == BUST[SIZES.index(size)] + 6 for one in found for size in one.sizes)


def test_a_row_with_breaks_of_its_own_is_held_to_these():
    declared = {"bust": ("14",), "upper_arm": ("16", "20")}
    rows = {"bust": BUST, "upper_arm": ARM}
    found = check_grade(table(**rows), None, GradeFacts(breaks=declared)).findings
    assert told(found) == [("break", "bust", ("16",)), ("break", "bust", ("20",))]
