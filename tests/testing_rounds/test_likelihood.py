"""The parts of the weighing reading: against SciPy's distributions, against plain summation, and at its edges."""

from __future__ import annotations

import itertools
import json
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import norm

from testing_rounds.counts import count
from testing_rounds.likelihood import habits, scoring, shapes, ticks
from testing_rounds.likelihood.background import spread_out
from testing_rounds.likelihood.changes import zone_units
from testing_rounds.likelihood.corrections import quantiles
from testing_rounds.likelihood.passes import Frame, weigh
from testing_rounds.likelihood.usable import bust_of, own_measure, usable
from testing_rounds.likelihood.weighed import MODEL
from testing_rounds.likelihood.world import EFFECTS, HABITS, LATENT, fault_prior, log_sum, step_of
from testing_rounds.reading import Reading, read
from testing_rounds.round_data import Override, Report, RoundData, Zone, ZoneAnswer
from testing_rounds.round_file import parse
from testing_rounds.say import clear_needs
from testing_rounds.set_aside import USUAL
from testing_rounds.zones import CATALOGUE
from tests.testing_rounds.rounds import SIZES, SLEEVE, a_report, a_round, answers_by_size, table
from tests.testing_rounds.test_plain_vectors import DATA

PAGE = "algorithms/reading.md"
CUFF = Zone("cuff", "cuff", "tight", "loose")
METHODS = ("plain", "weighed")


def given(name: str) -> RoundData:
    return parse((DATA / f"{name}.json").read_bytes())


# Ticks


@pytest.mark.parametrize("row", table(PAGE, "u"), ids=lambda row: row["u"])
def test_the_table_of_the_page(row):
    chances = [ticks.chance(tick, np.array([float(row["u"])]), 0.55)[0] for tick in (-2, -1, 0, 1, 2)]
    assert chances == pytest.approx([float(value) for value in list(row.values())[1:]], abs=0.0005)


@pytest.mark.parametrize("noise", [0.55, 0.95, 1.3])
@pytest.mark.parametrize("factor", [1.0, 0.35])
def test_the_chance_of_a_tick_is_that_of_a_normal_variable_between_two_cuts(noise, factor):
    cuts = np.array([-np.inf, -2.2, -1.0, 1.0, 2.2, np.inf]) / factor
    for tick in (-2, -1, 0, 1, 2):
        inside = norm(LATENT, noise).cdf(cuts[tick + 3]) - norm(LATENT, noise).cdf(cuts[tick + 2])
        wanted = 0.94 * inside + 0.06 / 5
        assert ticks.chance(tick, LATENT, noise, factor=factor) == pytest.approx(wanted, abs=1e-12)


def test_the_chances_of_all_ticks_sum_to_one():
    assert sum(ticks.chance(tick, LATENT, 0.7) for tick in (-2, -1, 0, 1, 2)) == pytest.approx(1.0)


def test_a_change_that_says_nothing_leaves_the_chance_as_it_was():
    """Weights are 1 on average over the class, and never more than the most."""
    for strength, asked in ((1, 0.5), (1, 2.0), (2, 2.5), (2, 6.0)):
        weights = ticks.change_weights(strength, asked, 1.2)
        many = 12 if strength == 1 else 28
        assert weights[:many].mean() == pytest.approx(1.0, abs=1e-9)
        assert 0.1 <= weights.min() <= weights.max() <= ticks.MOST_WEIGHT


def test_a_larger_change_speaks_for_a_larger_misfit():
    small, large = (ticks.tables_with_change(-1, 0.55, asked, 1.2)[0] for asked in (1.2, 2.6))
    near, far = np.searchsorted(LATENT, (-1.0, -2.2))
    assert large[far] / large[near] > small[far] / small[near]


# Testers


def test_what_a_tester_may_be_beforehand():
    (row,) = table(PAGE, "habit 0")
    states = habits.prior()
    middle = len(HABITS) // 2
    found = [*states[middle : middle + 5], *states[-2:]]
    assert found == pytest.approx([float(value) for value in row.values()], abs=0.0005)
    assert states.sum() == pytest.approx(1.0)


def test_a_testers_habit_is_learnt_from_the_other_zones_alone():
    answers = usable(*_with_counts(a_round([a_report("T1", "12", {"cuff": -2, "bust": 0, "back_length": 0})])))
    messages = np.zeros((3, 11))
    messages[0, 0] = 5.0
    states = habits.from_other_zones(messages, answers)
    assert states[0] == pytest.approx(habits.prior())
    assert states[1, 0] > 10 * habits.prior()[0]


def _with_counts(data):
    return data, count(data, USUAL)


# Shapes and evidence


def test_so_many_faults_are_weighed():
    assert len(shapes.atoms(12).prior) == 888
    assert len(shapes.atoms(8).prior) == 600
    for sizes, classes in ((1, {0}), (2, {0, 3}), (3, {0, 1, 2, 3}), (4, {0, 1, 2, 3, 4})):
        faults = shapes.atoms(sizes)
        assert set(faults.shape.tolist()) == classes
        assert faults.prior.sum() == pytest.approx(1.0)


def test_the_evidence_is_that_of_plain_summation_on_a_tiny_round():
    """Three answers, two sizes: every tester state and every fault summed in plain loops."""
    reports = [a_report("A", "S", {"cuff": -1}), a_report("B", "S", {"cuff": 0}), a_report("C", "L", {"cuff": -2})]
    data = a_round(reports, sizes=("S", "L"), zones=(CUFF,))
    answers = usable(*_with_counts(data))
    said = scoring.chances(answers, 0.55, 1.8, zone_units(answers, 1)[0])
    likelihood = scoring.by_cell(np.log(said.before(habits.prior())), answers, 1, 2)
    faults = shapes.atoms(2)
    found = scoring.evidence(likelihood, faults, fault_prior(1))

    def chance(tick, misfit):
        total = 0.0
        for state, weight in enumerate(habits.prior()):
            mean = misfit + (HABITS[state] if state < 9 else 0.0)
            factor, careless = (0.35 if state == 9 else 1.0), (0.30 if state == 10 else 0.06)
            low, high = np.array([-np.inf, -2.2, -1, 1, 2.2, np.inf])[tick + 2 : tick + 4] / factor
            inside = norm.cdf((high - mean) / 0.55) - norm.cdf((low - mean) / 0.55)
            total += weight * ((1 - careless) * inside + careless / 5)
        return total

    def logs(small, large):
        return np.log(chance(-1, small)) + np.log(chance(0, small)) + np.log(chance(-2, large))

    on_grid = {round(float(effect), 6) for effect in EFFECTS}
    checked = 0
    for atom, effect in enumerate(faults.effect):
        if {round(float(one), 6) for one in effect} <= on_grid:
            wanted = np.log(0.4 * faults.prior[atom]) + logs(*effect) - logs(0, 0)
            assert found.fault[0, atom] == pytest.approx(wanted, abs=1e-9)
            checked += 1
    assert checked >= 6
    even = np.array([-0.6, -0.4, -0.2, 0, 0.2, 0.4, 0.6])
    weights = norm.pdf(even, scale=0.15) / norm.pdf(even, scale=0.15).sum()
    hidden = sum(weight * np.exp(logs(one, one) - logs(0, 0)) for weight, one in zip(weights, even, strict=True))
    assert found.nothing[0] == pytest.approx(np.log(0.6 * hidden), abs=1e-9)


def test_the_worked_round_of_the_page():
    found = {one.zone: one for one in read(given("example_round"), method="plain")}
    for row in table(PAGE, "zone", "reading"):
        one = found[row["zone"]]
        assert (one.reading, " ".join(one.sizes)) == (row["reading"], row["sizes"])
        assert one.score == pytest.approx(float(row["log odds"]), abs=0.006)
        assert [f"{one.correction_cm[size]:.2f}" for size in one.sizes] == row["correction"].split()


def test_a_background_misfit_makes_faults_and_nothing_less_apart():
    sharp = np.where(np.arange(61) == 30, 0.0, -8.0)
    spread = spread_out(sharp, 0.3)
    assert spread[30] == pytest.approx(np.log(2 / 3 + (1 / 3) * np.exp(-8.0)), abs=1e-6)
    assert spread[33] > sharp[33]
    assert spread_out(np.zeros(61), 0.3) == pytest.approx(0.0)


def test_the_log_of_a_sum_is_scipys():
    logs = np.array([[-800.0, -801.0, -np.inf], [3.0, 2.0, 1.0]])
    assert log_sum(logs, axis=1) == pytest.approx(logsumexp(logs, axis=1))
    assert log_sum(logs) == pytest.approx(logsumexp(logs))


def test_quantiles_of_weighted_values():
    values, weights = np.array([3.0, 1.0, 2.0]), np.array([0.2, 0.5, 0.3])
    assert list(quantiles(values, weights, (0.05, 0.6, 0.95))) == [1.0, 2.0, 3.0]


# What is explained already


def one_row(report, zone=CUFF, **more):
    answers = usable(*_with_counts(a_round([report], zones=(zone,), **more)))
    return {name: value[0] for name, value in vars(answers).items() if name != "units"}


def test_a_body_a_print_and_a_wrong_size_are_corrected_for():
    bust = Zone("bust", "bust", "tight", "loose", body_point="bust")
    row = one_row(a_report(size="12", zones={"bust": -1}, body={"bust": 96.0}), bust)
    assert (row["body"], row["unknown"]) == (1.0, 0.0)
    assert one_row(a_report(size="12", zones={"bust": -1}), bust)["unknown"] == 1.0
    printed = one_row(a_report(size="12", zones={"cuff": -1}, test_square=9.7))
    assert printed["shift"] == pytest.approx(1.5 * -0.03 * 92 / 4)
    assert printed["variance"] == pytest.approx(0.36)
    assert one_row(a_report(size="12", zones={"cuff": -1}, test_square=9.86))["shift"] == 0
    chart = {"bust": (80.0, 84.0, 88.0), "hip": (86.0, 90.0, 94.0)}
    big = a_report(size="M", zones={"cuff": -1}, body={"bust": 88.0, "hip": 94.0})
    assert one_row(big, sizes=("S", "M", "L"), body_chart=chart)["shift"] == pytest.approx(-0.4)


def test_what_is_left_out_and_what_a_person_put_back():
    answers = {"cuff": ZoneAnswer(-1, altered=True)}
    left_out = replace(a_report(test_square=9.7), zones=answers)
    assert len(usable(*_with_counts(a_round([left_out], zones=(CUFF,))))) == 0
    back = replace(left_out, put_back=(Override("cuff", "The change was undone."),))
    row = one_row(back)
    assert (row["tick"], row["shift"], row["variance"]) == (-1, 0.0, 0.0)


def test_a_print_shifts_a_zone_by_its_own_measurement():
    data = a_round([], finished_chart={"upper_arm": (30.0,) * 10}, zones=(CUFF, SLEEVE))
    assert own_measure(data, CATALOGUE["upper_arm"].asked(data.body_chart), 2) == 30.0
    back = CATALOGUE["back_length"].asked(data.body_chart)
    assert own_measure(data, back, 2) == data.body_chart["back_waist"][2]
    assert own_measure(data, CUFF, 2) == bust_of(data, CUFF, 2) == data.body_chart["bust"][2]


def test_the_step_of_a_size():
    assert [step_of((80.0, 84.0, 90.0), i) for i in range(3)] == [4.0, 5.0, 6.0]
    assert (step_of(None, 0), step_of((80.0,), 0), step_of((80.0, None, 90.0), 1)) == (4.0, 4.0, 4.0)


# What is said


def shirt(row, sizes=SIZES, **more):
    (found,) = read(a_round(answers_by_size("cuff", row), sizes=sizes, zones=(CUFF,), **more), method="weighed")
    return found


@pytest.mark.parametrize(("careless", "share"), [(False, 0.06), (True, 0.20)])
def test_a_panel_that_ticks_at_random_is_told_by_the_whole_round(careless, share):
    rng = np.random.default_rng(4)
    ticks_of = lambda: int(rng.integers(-2, 3)) if careless and rng.random() < 0.4 else 0  # noqa: E731
    reports = [
        a_report(f"{size}{n}", size, {zone: ticks_of() for zone in CATALOGUE}) for size in SIZES for n in range(3)
    ]
    data = a_round(reports, zones=tuple(zone.asked(()) for zone in CATALOGUE.values()))
    assert weigh(usable(data, count(data)), Frame.of(data), MODEL).careless == share


def test_opposite_errors_at_the_two_ends_are_read_with_both_signs():
    row = {size: [0, 0, 0] for size in SIZES} | {"6": [1, 1, 1], "8": [1, 0, 1], "20": [-1, -1, 0]}
    found = shirt(row | {"22": [-2, -1, -1], "24": [-2, -2, -2]}, base_size="12")
    assert (found.reading, found.direction, found.level) == ("growing_up", -1, "repeated")
    assert "24" in found.sizes
    assert found.correction_cm["24"] > 1 > -0.3 > found.correction_cm["6"]
    assert found.why.endswith("3 of 3 loose in size 6")


def test_a_second_fault_in_a_zone_has_its_own_correction():
    found = shirt({size: [-1, -1, -2] for size in SIZES} | {"14": [1, 2, 1]})
    assert (found.reading, found.direction, found.level) == ("whole_range", -1, "repeated")
    assert "14" not in found.sizes
    assert found.alternatives.keys() == {"one_size"}
    assert found.correction_cm["12"] > 1 > -1 > found.correction_cm["14"]
    assert found.why.endswith("3 of 3 loose in size 14")
    alone = shirt({size: [-1, -1, -2] for size in SIZES})
    assert (alone.reading, alone.sizes) == ("whole_range", SIZES)


def test_one_size_needs_two_complaints_of_its_own():
    assert shirt({size: [0, 0] for size in SIZES} | {"12": [-2], "14": [-1, 0]}).level not in ("repeated", "watch")


def test_a_size_that_is_not_cleared_says_how_many_more_would_do():
    found = shirt({size: [0, 0, 0] for size in SIZES} | {"18": [0], "20": []})
    assert found.more_reports == {"18": 1, "20": 2}
    assert [str(one) for one in clear_needs(found)] == [
        "Too few to clear size 18: 1 more report that fits would do.",
        "Too few to clear size 20: 2 more reports that fit would do.",
    ]


def test_a_reading_comes_back_from_json_as_it_was():
    for method, name in itertools.product(("counts", *METHODS), ("example_round", "scaled_round")):
        for one in read(given(name), method=method):
            assert Reading.from_dict(json.loads(json.dumps(one.as_dict()))) == one


# At the edges


def many(count: int) -> list:
    return [a_report(f"T{i}", SIZES[i % 10], {"cuff": 0 if i % 7 else -1, "bust": 0}) for i in range(count)]


EDGES = {
    "empty": a_round([]),
    "no chart": a_round([a_report(zones={"bust": -2})], body_chart={}, finished_chart={}),
    "one size": a_round([a_report(str(i), "M", {"cuff": -1}) for i in range(3)], sizes=("M",)),
    "two sizes": a_round([a_report("A", "S", {"cuff": 2}), a_report("B", "M", {"cuff": 0})], sizes=("S", "M")),
    "one report": a_round([a_report(zones={"cuff": -2, "bust": 1})]),
    "all fit": a_round([a_report(size, size, {"bust": 0, "cuff": 0, "back_length": 0}) for size in SIZES]),
    "at random": a_round([a_report(str(i), SIZES[i % 10], {"bust": i % 5 - 2, "cuff": i % 3 - 1}) for i in range(9)]),
    "99 cm asked for": a_round([Report("A", "12", zones={"cuff": ZoneAnswer(-2, change=99.0)})]),
    "5,000 reports": a_round(many(5_000)),
}  # fmt: skip


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("name", EDGES)
def test_every_round_is_answered(name, method):
    found = read(EDGES[name], method=method)
    assert [one.zone for one in found] == ["bust", "back_length", "cuff"]
    json.dumps([one.as_dict() for one in found], allow_nan=False)
    if name in ("empty", "one report", "two sizes", "no chart"):
        assert {one.level for one in found} == {"too_few"}
    if name == "empty":
        assert max(one.strength for one in found) < 0.45
    if name == "one size":
        assert found[2].reading in ("whole_range", "none")


@pytest.mark.parametrize("method", METHODS)
def test_a_round_that_asks_no_zone_has_no_readings(method):
    assert read(a_round([], zones=()), method=method) == []
