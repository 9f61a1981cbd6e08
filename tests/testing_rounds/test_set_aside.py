"""Why an answer does not count. The limits stand in docs/algorithms/set-aside.md, whose tables are checked here."""

from __future__ import annotations

from dataclasses import replace

import pytest
from django.utils.translation import override

from measurements.translated import in_words
from testing_rounds.round_data import Override, RoundData, Zone, ZoneAnswer
from testing_rounds.set_aside import CODES, STYLE, Rules, answers, half_step, print_limit
from tests.testing_rounds.rounds import BACK, BUST, a_report, a_round, example, table

PAGE = "algorithms/set-aside.md"


def codes(data: RoundData, zone: str = "bust", **rules: float) -> list[str]:
    """The reasons of the only report at a zone."""
    (answer,) = [answer for answer in answers(data, Rules(**rules)) if answer.zone == zone]
    return [reason.code for reason in answer.reasons]


def test_the_example_of_the_page():
    found = [
        {"tester": a.tester, "zone": a.zone, "size": a.size, "code": r.code, "reason": str(r)}
        for a in answers(example().at_stage())
        if not a.counted
        for r in a.reasons
    ]
    expected = table(PAGE, "tester")
    assert sorted(found, key=str) == sorted(expected, key=str)


def test_the_page_names_every_code_in_the_order_in_which_they_are_given():
    assert tuple(row["code"] for row in table(PAGE, "code")) == CODES


@pytest.mark.parametrize("row", table(PAGE, "square"), ids=lambda row: f"{row['read']} of {row['square']}")
def test_a_print_is_judged_as_far_as_its_square_can_show(row):
    square, read = (float(row[key].removesuffix(" cm")) for key in ("square", "read"))
    data = a_round([a_report(zones={"bust": 0}, test_square=read)], test_square=square)
    assert codes(data) == (["print"] if row["set aside"] == "yes" else [])
    assert f"{print_limit(square):.1%}" == f"{float(row['limit'].removesuffix(' %')):.1f}%"


def test_a_print_sets_every_zone_of_its_report_aside_fits_too():
    data = a_round([a_report(zones={"bust": 0, "back_length": -1, "cuff": 2}, test_square=9.7)])
    assert all(not answer.counted for answer in answers(data))


def test_a_studio_may_trust_prints_more():
    data = a_round([a_report(zones={"bust": 0}, test_square=9.85)])
    assert codes(data) == ["print"]
    assert codes(data, print_tolerance=0.02) == []


@pytest.mark.parametrize("change", [{"test_square": None}, {"test_square": 10.0}])
def test_a_print_without_both_numbers_is_not_judged(change):
    data = a_round([a_report(zones={"bust": 0}, test_square=None if change["test_square"] else 9.0)], **change)
    assert codes(data) == []


def test_a_zone_altered_before_sewing():
    report = replace(a_report(), zones={"bust": ZoneAnswer(0, altered=True), "cuff": ZoneAnswer(0)})
    assert codes(a_round([report])) == ["altered"]
    assert codes(a_round([report]), "cuff") == []


@pytest.mark.parametrize(
    ("sewn", "reasons"), [(97.0, []), (96.9, ["toile"]), (98.0, []), (99.0, []), (99.1, ["toile"]), (None, [])]
)
def test_a_toile_sewn_off_the_pattern(sewn, reasons):
    """Size 12 is drafted to 98.0."""
    assert codes(a_round([a_report(zones={"bust": 0}, toile={"bust": sewn})])) == reasons


def test_a_toile_speaks_for_its_own_zones_only():
    data = a_round([a_report(zones={"bust": 0, "cuff": 0}, toile={"bust": 90.0})])
    assert codes(data, "cuff") == []


def test_a_blend_is_measured_against_the_size_sewn_there():
    report = a_report(size="12", zones={"bust": 0}, sizes={"bust": "14"}, toile={"bust": 102.0})
    assert codes(a_round([report])) == []
    assert codes(a_round([replace(report, sizes={})])) == ["toile"]


@pytest.mark.parametrize(
    ("own", "fit", "reasons"),
    [
        (94.0, -1, []),  # half a step of 4 is 2.0: not beyond it
        (94.1, -1, ["body"]),
        (94.1, 1, []),  # larger explains tight, never loose
        (89.9, 1, ["body"]),
        (89.9, -1, []),
        (99.0, 0, []),  # a fit needs no explanation
        (None, -1, []),
    ],
)
def test_a_body_explains_a_width(own, fit, reasons):
    assert codes(a_round([a_report(zones={"bust": fit}, body={"bust": own})])) == reasons


def test_a_small_step_still_needs_a_centimetre():
    arms = {"upper_arm": (25.0, 25.6, 26.2)}
    data = a_round([a_report(size="B", zones={"arm": -1})], sizes="ABC", body_chart=arms, finished_chart={})
    data = replace(data, zones=(Zone("arm", "arm", "tight", "loose", "upper_arm"),))
    for own, reasons in [(26.5, []), (26.59, []), (26.6, ["body"])]:
        report = replace(data.reports[0], body={"upper_arm": own})
        assert codes(replace(data, reports=(report,)), "arm") == reasons


@pytest.mark.parametrize(
    ("own", "fit", "reasons"), [(41.5, -1, []), (41.6, -1, ["body"]), (39.5, 1, []), (39.4, 1, ["body"]), (45.0, 1, [])]
)
def test_a_body_explains_a_length_only_beyond_a_centimetre(own, fit, reasons):
    """Size 12 is cut for a back waist of 40.5; half a step would be 0.25."""
    assert codes(a_round([a_report(zones={"back_length": fit}, body={"back_waist": own})]), "back_length") == reasons


@pytest.mark.parametrize(
    ("height", "fit", "reasons"), [(169.0, -1, []), (169.5, -1, ["body"]), (169.5, 1, []), (160.5, 1, ["body"])]
)
def test_height_stands_in_for_a_back_waist_that_nobody_measured(height, fit, reasons):
    """A quarter of the difference to 165 lies above the waist."""
    report = a_report(zones={"back_length": fit}, body={"height": height})
    assert codes(a_round([report]), "back_length") == reasons
    measured = replace(report, body={"height": height, "back_waist": 40.5})
    assert codes(a_round([measured]), "back_length") == []


@pytest.mark.parametrize(("kind", "reasons"), [(None, []), ("shirt", []), ("skirt", ["body"]), ("trousers", ["body"])])
def test_a_length_follows_the_height_by_the_kind_of_garment(kind, reasons):
    """3 cm taller: 0.75 of a shirt, 1.05 of a skirt, 1.9 of trousers."""
    length = Zone("length", "length", "short", "long", "height")
    report = a_report(zones={"length": -1}, body={"height": 168.0})
    data = a_round([report], zones=(length,), pattern_extra={"kind": kind} if kind else {})
    assert codes(data, "length") == reasons


def test_the_height_drafted_for_may_stand_in_the_chart():
    chart = {"height": (165.0,) * 10}
    report = a_report(zones={"back_length": -1}, body={"height": 172.0})
    assert codes(a_round([report], drafted_height=None, body_chart=chart), "back_length") == ["body"]
    assert codes(a_round([report], drafted_height=None), "back_length") == []


def test_a_zone_without_a_body_point_is_explained_by_no_body():
    assert codes(a_round([a_report(zones={"cuff": -2}, body={"bust": 120.0})]), "cuff") == []


@pytest.mark.parametrize(("has", "reasons"), [(30, []), (29, ["fabric"]), (60, []), (None, [])])
def test_a_fabric_with_too_little_stretch_sets_widths_aside(has, reasons):
    report = a_report(zones={"bust": 0, "back_length": -1}, fabric={"stretch": has})
    data = a_round([report], fabric="knit", stretch=40)
    assert codes(data) == reasons
    assert codes(data, "back_length") == []
    assert codes(replace(data, stretch=None)) == []


@pytest.mark.parametrize(("version", "reasons"), [("0.3", ["version"]), ("0.4", []), (" 0.4 ", []), (None, [])])
def test_another_version_than_the_rounds(version, reasons):
    assert codes(a_round([a_report(zones={"bust": 0}, version=version)])) == reasons


def test_a_person_sets_aside_and_puts_back():
    aside = a_report(zones={"bust": -1, "cuff": -1}, set_aside=(Override("bust", "Sewn at night."),))
    assert codes(a_round([aside])) == ["person"]
    assert codes(a_round([aside]), "cuff") == []
    back = replace(aside, put_back=(Override("bust", "Sewn again by day."),), test_square=9.0)
    (answer, other) = answers(a_round([back]))
    assert answer.counted
    assert answer.put_back == "Sewn again by day."
    assert [reason.code for reason in answer.reasons] == ["person", "print"]
    assert not other.counted


def test_several_reasons_come_in_their_order():
    report = a_report(
        zones={},
        version="0.3",
        test_square=9.0,
        toile={"bust": 80.0},
        fabric={"stretch": 0},
        body={"bust": 120.0},
        set_aside=(Override("bust", "-"),),
    )
    report = replace(report, zones={"bust": ZoneAnswer(-1, altered=True)})
    assert tuple(codes(a_round([report], stretch=40))) == CODES


def test_answers_keep_the_order_of_the_file_and_their_place():
    data = a_round([a_report("A", zones={"cuff": 1, "bust": 0}), a_report("B", "14", {"bust": -2})])
    assert [(a.report, a.tester, a.zone, a.size, a.fit) for a in answers(data)] == [
        (0, "A", "cuff", "12", 1),
        (0, "A", "bust", "12", 0),
        (1, "B", "bust", "14", -2),
    ]


def test_a_zone_that_is_not_asked_any_more_is_passed_over():
    assert list(answers(a_round([a_report(zones={"collar": 1})]))) == []


def test_a_size_that_the_chart_does_not_know_explains_nothing():
    report = a_report(size="26", zones={"bust": -1}, body={"bust": 140.0}, toile={"bust": 1.0})
    assert codes(a_round([report])) == []


def test_a_zone_is_named_by_its_own_points_for_the_toile():
    yoke = Zone("yoke", "yoke", "tight", "loose", "bust")
    data = a_round([a_report(zones={"yoke": 0}, toile={"bust": 90.0})], zones=(yoke, BUST, BACK))
    assert codes(data, "yoke") == ["toile"]


@pytest.mark.parametrize(
    ("row", "index", "half"),
    [
        ((80, 84, 89, 95), 1, 2.25),
        ((80, 84, 89, 95), 0, 2.0),
        ((80, 84, 89, 95), 3, 3.0),
        ((80, None, 89, 95), 2, 3.0),
        ((80,), 0, None),
        ((80, None, 89), 1, None),
    ],
)
def test_half_a_step_is_the_mean_of_the_neighbours(row, index, half):
    assert half_step(row, index) == half


def test_a_chart_of_one_size_has_a_step_of_four():
    data = a_round([a_report(size="M", zones={"bust": -1}, body={"bust": 82.0})], sizes=["M"])
    assert codes(data) == []
    assert codes(replace(data, reports=(replace(data.reports[0], body={"bust": 82.1}),))) == ["body"]


def test_a_reason_is_said_in_the_readers_units():
    data = a_round([a_report(zones={"bust": -1}, body={"bust": 97.0})])
    (answer,) = answers(data)
    said = answer.reasons[0].text(show=lambda mm: f"{mm:.0f} mm")
    assert said == "Size 12 is cut for 920 mm (bust) and was worn on 50 mm more, which explains “tight”."


def test_the_words_of_a_reason_are_translated_too():
    data = a_round([a_report(zones={"bust": -1}, body={"bust": 97.0}, toile={"bust": 90.0})])
    (answer,) = answers(data)
    with override("fr"):
        toile, body = (in_words(reason.sentence, STYLE) for reason in answer.reasons)
    assert "tour de poitrine" in toile
    assert "(tour de poitrine)" in body
    assert body.endswith("ce qui explique «\xa0trop juste\xa0».")
