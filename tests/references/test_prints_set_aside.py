"""Prints fitted to the wrong sheet are set aside, by the sizes of the sheets.

A4 is 210 x 297 mm (ISO 216). US Letter is 8 1/2 x 11 in, with 1 in = 25.4 mm. The pages are without margins.
"""

from __future__ import annotations

import pytest

from testing_rounds.set_aside import print_limit

A4 = (210.0, 297.0)
LETTER = (8.5 * 25.4, 11 * 25.4)


def fitted(page: tuple[float, float], sheet: tuple[float, float]) -> float:
    return min(theirs / ours for ours, theirs in zip(page, sheet, strict=True))


@pytest.mark.parametrize(("page", "sheet", "scale"), [(LETTER, A4, 0.9727), (A4, LETTER, 0.9407)])
@pytest.mark.parametrize("square_cm", [5.0, 10.0])
def test_a_page_fitted_to_the_other_sheet_is_off_on_any_square(page, sheet, scale, square_cm):
    assert fitted(page, sheet) == pytest.approx(scale, abs=5e-5)
    assert 1 - fitted(page, sheet) > print_limit(square_cm)


def test_a_millimetre_is_one_per_cent_of_ten_centimetres_and_two_of_five():
    """Arithmetic: a tolerance of 1 % is a millimetre on 10 cm; the same millimetre is beyond it on 5 cm."""
    assert print_limit(10.0) == pytest.approx(0.1 / 10.0)
    assert print_limit(5.0) < 0.1 / 5.0
