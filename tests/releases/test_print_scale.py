"""The test square: scale, how sure it is, what it does, where it may come from."""

from __future__ import annotations

from decimal import Decimal

import pytest

from releases.print_scale import A4, LETTER, PrintScale, feed_slips, likely_cause, other_square
from tests.measurements.tables import worked_table


def square(nominal: str, read: str) -> PrintScale:
    return PrintScale(Decimal(nominal), Decimal(read))


@pytest.mark.parametrize("row", worked_table("print-scale.md", "Worked example"), ids=lambda row: row["read, mm"])
def test_the_table_of_the_page(row):
    printed = square(row["nominal, mm"], row["read, mm"])
    assert str(printed.percent) == row["scale, %"]
    assert printed.verdict() == row["verdict at 1 %"]
    assert printed.girth(Decimal(1100)) == Decimal(row["girth of 1100 mm"])


def test_half_a_millimetre_on_fifty_cannot_prove_one_per_cent():
    assert not square("50", "50").can_prove(Decimal("0.01"))
    assert square("50", "50").can_prove(Decimal("0.02"))
    assert square("100", "100").can_prove(Decimal("0.01"))


def test_a_finer_ruler_proves_more():
    fine = PrintScale(Decimal(50), Decimal(50), reading_mm=Decimal("0.1"))
    assert fine.verdict() == "holds"


def test_an_error_a_thousandfold_is_the_millimetres_at_a_bust_of_a_metre():
    assert square("50", "49").girth_change(Decimal(1000)) == -20


def test_across_and_down_apart_by_more_than_half_a_per_cent_is_the_feed():
    assert feed_slips(square("100", "99"), square("100", "99.6"))
    assert not feed_slips(square("100", "99"), square("100", "99.5"))


@pytest.mark.parametrize(
    ("nominal", "read", "mixed"),
    [("101.6", "100", True), ("100", "101.6", True), ("50", "50.8", True), ("50.8", "50", True), ("100", "100", False),
     ("100", "98.4", False), ("100", "101.5", False)],
)  # fmt: skip
def test_the_square_of_the_other_system_is_no_error_of_scale(nominal, read, mixed):
    assert other_square(Decimal(nominal), Decimal(read)) is mixed


@pytest.mark.parametrize(("read", "page", "paper"), [("97.5", LETTER, A4), ("97.3", LETTER, A4), ("94", A4, LETTER)])
def test_a_page_made_for_one_paper_and_fitted_to_another(read, page, paper):
    cause = likely_cause(square("100", read))
    assert (cause.page, cause.paper) == (page, paper)


@pytest.mark.parametrize("read", ["98.5", "100", "90"])
def test_other_scales_name_no_cause(read):
    assert likely_cause(square("100", read)) is None
