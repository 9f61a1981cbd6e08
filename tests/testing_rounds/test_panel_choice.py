"""Who is chosen: the documented example, all panels counted out, another exact solver, the lot, the reasons."""

from __future__ import annotations

import itertools
import random
from decimal import Decimal

import pytest

from testing_rounds.panel_choice import choose_panel, replacement, to_fill
from testing_rounds.panel_goals import BANDS, WEIGHTS, Candidate, Goal, Goals, cost, goals_of, lacks, lots, points
from testing_rounds.panel_reasons import reasons, told
from tests.testing_rounds.rounds import table

PAPERS = {"a4": "A4 pages", "letter": "Letter pages"}


def example() -> list[Candidate]:
    """The people of the documented example."""
    return [
        Candidate(
            row["who"],
            row["size"],
            Decimal(row["cup"]) * 10,
            Decimal(row["figure"]),
            Decimal(row["height"]) * 10,
            beginner=row["sewn"] == "a little",
            paper="a4",
            returning=row["tested before"] == "yes",
        )
        for row in table("algorithms/panel.md", "who", "size")
    ]


GOALS = goals_of(["10", "12"], 2, (), ["a4"])


def some_people(seed: int, count: int, sizes: list[str]) -> list[Candidate]:
    drawn = random.Random(seed)
    return [
        Candidate(
            f"p{number}",
            drawn.choice(sizes),
            drawn.choice([None, Decimal(-30), Decimal(5), Decimal(40)]),
            drawn.choice([Decimal("-0.05"), Decimal(0), Decimal("0.04")]),
            Decimal(drawn.choice([-100, 0, 20, 90])),
            beginner=drawn.random() < 0.2,
            paper=drawn.choice(["a4", "letter"]),
            returning=drawn.random() < 0.5,
            seated=drawn.random() < 0.1,
        )
        for number in range(count)
    ]


def every_panel(goals: Goals, people: list[Candidate]):
    """All panels that fill what can be filled and leave the seated in."""
    by_size = [
        [
            group
            for group in itertools.combinations([one for one in people if one.size == size], count)
            if all(one in group for one in people if one.seated and one.size == size)
        ]
        for size, count in to_fill(goals, people).items()
    ]
    return (list(itertools.chain(*groups)) for groups in itertools.product(*by_size))


def test_the_documented_example():
    people = example()
    choice = choose_panel(GOALS, people, "lot")
    assert choice.picks == ("b", "c", "d", "e", "f", "g")
    assert (choice.missing, choice.at_least, choice.gap) == (24, 24.0, 0.0)
    in_12 = [one for one in people if one.size == "12"]
    for row in table("algorithms/panel.md", "choice in size 10"):
        panel = [one for one in people if one.key in row["choice in size 10"].split()] + in_12
        assert cost(GOALS, panel) == int(row["points missing"]), row


def test_the_weights_are_those_of_the_page():
    rows = table("algorithms/panel.md", "goal", "how many")
    assert [int(row["points for each one missing"]) for row in rows] == [WEIGHTS[goal] for goal in Goal]


@pytest.mark.parametrize("seed", range(6))
def test_no_panel_of_all_is_better_and_the_lot_decides_between_equals(seed):
    goals = goals_of(["6", "8", "10"], 1 + seed % 2, (), PAPERS)
    people = some_people(seed, 11, ["6", "8", "10"])
    choice, order = choose_panel(goals, people, "lot"), lots("lot", (one.key for one in people))
    panels = [(cost(goals, panel), sum(order[one.key] for one in panel)) for panel in every_panel(goals, people)]
    assert (choice.missing, sum(order[key] for key in choice.picks)) == min(panels)
    assert choice.at_least == choice.missing


@pytest.mark.parametrize("seed", range(3))
def test_another_exact_solver_finds_nothing_better(seed):
    sizes = ["6", "8", "10", "12", "14", "16"]
    goals, people = goals_of(sizes, 3, ["12"], PAPERS), some_people(100 + seed, 45, sizes)
    assert choose_panel(goals, people, "lot").missing == by_cp_sat(goals, people)


def by_cp_sat(goals: Goals, people: list[Candidate]) -> int:
    """The fewest points missing, by a model written apart from the one that is tested."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    inside = {one.key: model.new_bool_var(one.key) for one in people}
    fill, missing = to_fill(goals, people), []
    total = sum(fill.values())

    def short(wanted: int, keys: list[str], weight: int) -> None:
        lack = model.new_int_var(0, 100, "")
        model.add_max_equality(lack, [0, wanted - sum(inside[key] for key in keys)])
        missing.append(weight * lack)

    for size, count in fill.items():
        there = [one for one in people if one.size == size]
        model.add(sum(inside[one.key] for one in there) == count)
        missing.append(100 * max(0, goals.seats[size] - count))
        for trait in ("cup", "figure"):
            shown = []
            for band in BANDS:
                seen = model.new_bool_var("")
                model.add_max_equality(seen, [0, *(inside[o.key] for o in there if getattr(o, trait) == band)])
                shown.append(seen)
            lack = model.new_int_var(0, 3, "")
            model.add_max_equality(lack, [0, goals.bands(size) - sum(shown)])
            missing.append(10 * lack)
    for one in people:
        if one.seated:
            model.add(inside[one.key] == 1)
    short(-(-total // 4), [one.key for one in people if one.off_height], 8)
    short(-(-len(goals.seats) // 3), [one.key for one in people if one.beginner], 8)
    for kind in goals.papers:
        short(2, [one.key for one in people if one.paper == kind], 8)
    over = model.new_int_var(0, 100, "")
    model.add_max_equality(over, [0, sum(inside[o.key] for o in people if o.returning) - total // 3])
    missing.append(4 * over)
    model.minimize(sum(missing))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def test_a_search_cut_short_says_how_far_from_the_best_it_may_be():
    sizes = ["6", "8", "10", "12"]
    goals, people = goals_of(sizes, 3, (), PAPERS), some_people(5, 60, sizes)
    best, cut = choose_panel(goals, people, "lot"), choose_panel(goals, people, "lot", seconds=0.0)
    assert cut.at_least <= best.missing <= cut.missing
    assert len(cut.picks) == len(best.picks)


def test_the_seated_stay_and_nobody_of_another_range_is_taken():
    people = [*example(), Candidate("h", "10", seated=True), Candidate("i", "40")]
    choice = choose_panel(GOALS, people, "lot")
    assert "h" in choice.picks
    assert "i" not in {*choice.picks, *choice.reserves}


def test_nobody_applied_is_no_error():
    choice = choose_panel(GOALS, [], "lot")
    assert (choice.picks, choice.reserves, choice.missing) == ((), (), cost(GOALS, []))


def test_a_reserve_a_size_and_two_at_the_ends_who_cost_least_when_they_step_in():
    sizes = ["6", "8", "10"]
    goals, people = goals_of(sizes, 2, (), ()), some_people(9, 40, sizes)
    choice = choose_panel(goals, people, "lot")
    by_key = {one.key: one for one in people}
    reserves = [by_key[key].size for key in choice.reserves]
    assert [reserves.count(size) for size in sizes] == [2, 1, 2]
    assert not set(choice.reserves) & set(choice.picks)
    panel = [by_key[key] for key in choice.picks]
    gone = next(one for one in panel if one.size == "8")
    left = [one for one in panel if one is not gone]
    waiting = [one for one in people if one.size == "8" and one.key not in choice.picks]
    moved = replacement(goals, left, waiting, "lot")
    assert moved
    assert cost(goals, [*left, by_key[moved]]) == min(cost(goals, [*left, one]) for one in waiting)
    assert replacement(goals, left, [], "lot") is None


def test_each_lot_orders_people_its_own_way_and_always_the_same():
    assert lots("a", "xyz") == lots("a", "zyx")
    assert len({tuple(lots(lot, "vwxyz")) for lot in "abcdefgh"}) > 1


def test_every_pick_has_its_reason():
    people = example()
    panel = [one for one in people if one.key != "a"]
    order = lots("lot", (one.key for one in people))
    said = {one.key: " ".join(map(str, reasons(GOALS, panel, people, one, order, PAPERS))) for one in panel}
    assert "fuller cup than drafted" in said["b"]
    assert "smaller cup" in said["c"]
    assert "more waist for the hip" in said["c"]
    assert "sewn only a few things" in said["d"]
    assert said["g"] == "Everybody who could sew size 12 is needed."
    assert all(said.values())


def test_a_pick_like_others_says_that_the_lot_decided():
    goals = goals_of(["10"], 1, (), ())
    people = [Candidate(key, "10", Decimal(0), Decimal(0), Decimal(0)) for key in "abcd"]
    choice = choose_panel(goals, people, "lot")
    panel = [one for one in people if one.key in choice.picks]
    assert set(choice.picks) == {key for key, number in choice.lots.items() if number <= 2}
    said = str(reasons(goals, panel, people, panel[0], choice.lots, {})[0])
    assert "2 more would do as well" in said
    assert f"number {choice.lots[panel[0].key]}" in said


def test_what_a_panel_lacks_is_told_with_its_points():
    panel = [one for one in example() if one.key != "b"]
    found = lacks(GOALS, panel)
    lines = told(found, panel, PAPERS)
    assert sum(cost for _said, cost in lines) == points(found)
    words = " ".join(str(said) for said, _cost in lines)
    assert "Size 10: nobody with a fuller cup than drafted." in words
    assert "%(" not in words
