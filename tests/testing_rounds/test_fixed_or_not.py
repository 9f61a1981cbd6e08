"""Was it fixed: the exact tests against published values and scipy, and what it takes to call a fix confirmed.

Published: Wikipedia, "Fisher's exact test" and "McNemar's test", and any table of the binomial: 3 of 3 against 0 of 3
is .10, 4 of 4 against 0 of 4 .028571, [[8, 2], [1, 5]] .034965 (scipy's documentation); 6:0 is .03125, 5:0 .0625, 3:0
.25.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from testing_rounds.fixed_or_not import LinkedZone, Word, compare, fisher, judge_fix, mcnemar, p_words
from testing_rounds.print_faults import SquareRead, read_prints
from testing_rounds.step_weight import at_least, weigh_steps
from tests.testing_rounds.rounds import table

QUIET = LinkedZone("armhole", 3, 0, repeated=False)
few = st.integers(0, 12)


@pytest.mark.parametrize(
    ("before", "after", "p"), [((3, 0), (0, 3), 0.1), ((4, 0), (0, 4), 0.028571), ((8, 2), (1, 5), 0.034965)]
)
def test_fisher_as_published(before, after, p):
    assert fisher(before, after) == pytest.approx(p, abs=5e-7)


@pytest.mark.parametrize(
    ("better", "worse", "p"), [(6, 0, 0.03125), (5, 0, 0.0625), (3, 0, 0.25), (0, 0, 1), (2, 2, 1)]
)
def test_mcnemar_as_published(better, worse, p):
    assert mcnemar(better, worse) == pytest.approx(p, abs=1e-12)


@settings(max_examples=60, deadline=None)
@given(few, few, few, few)
def test_fisher_and_mcnemar_are_those_of_scipy(a, b, c, d):
    from scipy.stats import binomtest, fisher_exact

    assert fisher((a, b), (c, d)) == pytest.approx(float(fisher_exact([[a, b], [c, d]]).pvalue), rel=1e-7)
    if a + b:
        assert mcnemar(a, b) == pytest.approx(float(binomtest(a, a + b, 0.5).pvalue), rel=1e-9)
        assert at_least(a, a + b, 0.3) == pytest.approx(float(binomtest(a, a + b, 0.3, alternative="greater").pvalue))


def answers(complaints, fits, who="t", near=True):
    return [Word(f"{who}{i}", i < complaints, near) for i in range(complaints + fits)]


@pytest.mark.parametrize("row", table("algorithms/fixed-or-not.md", "before", "after"))
def test_the_worked_examples_of_comparisons(row):
    before, after = ([int(n) for n in row[side].split(" of ")] for side in ("before", "after"))
    who = "t" if row["testers"] == "the same" else "u"
    (one,) = compare(answers(before[0], before[1] - before[0]), answers(after[0], after[1] - after[0], who))
    assert p_words(one.p) == row["p"]
    assert ("proven" if one.proven else "not proven" if one.better else "no better") == row["said"]
    assert ("not proven" in str(one.says())) == (row["said"] == "not proven")


def test_those_who_sewed_twice_and_the_others_never_share_an_answer():
    before = [Word("a", True), Word("b", True), Word("c", True)]
    after = [Word("a", False), Word("d", False), Word("e", False)]
    same, others = compare(before, after)
    assert (same.testers, same.before, same.after) == ("same", (1, 1), (0, 1))
    assert (others.testers, others.before, others.after) == ("others", (2, 2), (0, 2))
    assert compare(before, []) == ()


@pytest.mark.parametrize("row", table("algorithms/fixed-or-not.md", "reports since"))
def test_the_worked_examples_of_a_confirmed_fix(row):
    near, far, complaints = (int(row[name]) for name in ("near, fits", "far, fits", "complain"))
    words = [*answers(0, near), *answers(0, far, "far", near=False), *answers(complaints, 0, "c")]
    linked = {"quiet": QUIET, "repeats": LinkedZone("armhole", 3, 2, repeated=True), "one answer": LinkedZone(
        "armhole", 1, 0, repeated=False)}[row["linked zone"]]  # fmt: skip
    verdict = judge_fix(words, repeated=False, linked=[linked])
    assert verdict.confirmed == (row["confirmed"] == "yes")
    assert verdict.repeats == (row["confirmed"] == "repeats")
    assert len(words) == int(row["reports since"])
    assert verdict.says


def test_a_zone_without_a_measurement_needs_no_body():
    assert judge_fix(answers(0, 2, near=None), repeated=False, linked=[]).confirmed
    assert not judge_fix(answers(0, 2, near=None), repeated=True, linked=[]).confirmed


def squares(file, reads, who="t"):
    return [SquareRead(f"{who}{i}", file, read) for i, read in enumerate(reads)]


def test_three_alike_are_the_file_and_one_alone_is_the_printer():
    read = read_prints([*squares("a4", [9.75, 9.7, 9.75]), *squares("letter", [10, 9.8, 10], "u")], 10.0)
    (fault,) = read.faults
    assert (fault.file, len(fault.alike), fault.of, fault.direction) == ("a4", 3, 3, -1)
    assert "3 of 3 first prints are 2.5 to 3.0 % small" in str(fault.says())
    assert [(one.tester, one.file) for one in read.lone] == [("u1", "letter")]


@pytest.mark.parametrize(
    ("file", "reads"),
    [("a4", [9.75, 9.7]), ("a4", [9.75, 9.65, 9.6]), ("a4", [9.75, 10.3, 9.7]), ("", [9.7, 9.7, 9.7])],
    ids=["two", "not alike", "both ways", "no file is known"],
)
def test_less_than_three_alike_are_printers(file, reads):
    read = read_prints(squares(file, reads), 10.0)
    assert not read.faults
    assert len(read.lone) == len(reads)


def test_a_small_square_cannot_show_a_per_cent_and_a_new_print_tells_that_the_file_is_mended():
    assert read_prints(squares("a4", [4.95, 4.95, 4.95]), 5.0).lone == ()
    (fault,) = read_prints([*squares("a4", [9.7, 9.7, 9.75]), *squares("a4", [10, 10])], 10.0).faults
    assert (fault.right_since, fault.mended) == (("t0", "t1"), False)
    assert fault.still == ("t2",)


@pytest.mark.parametrize("row", table("algorithms/fixed-or-not.md", "noted"))
def test_notes_at_a_step_are_weighed_against_who_sewed_it(row):
    noted, sewed, steps, elsewhere = (int(row[name]) for name in ("noted", "sewed", "steps", "notes elsewhere"))
    others = dict.fromkeys(range(2, 2 + elsewhere), 1)
    assert weigh_steps({1: noted, **others}, sewed, steps)[1].level == row["level"]
