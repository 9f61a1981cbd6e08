"""Layouts: every one admissible, the hand's figures reproduced, what cannot fit refused."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from releases.fabric_units import buy
from releases.hand_layout import lay_in_bands
from releases.lay_boxes import bias_square, open_boxes
from releases.lay_plan import plan, quick_plan
from releases.lay_types import Cloth, Cut, CutPiece, Grain, LayPlan, Way
from releases.strip_packing import Box, least_length, pack
from tests.releases.lay_lists import SHIRT, cloth_of, piece

LINING = [
    piece("lower front", 127, 80, "fold"),
    piece("lower back", 127, 82, "pair", 2),
    piece("upper front", 96, 54, "fold"),
    piece("upper back", 92, 56, "pair", 2),
]
THREE = Fraction(3, 100)


def in_halves(width: int) -> Cloth:
    return Cloth(2 * width, 6, Fraction(2))


def doubled(pieces: list[CutPiece]) -> list[CutPiece]:
    return [CutPiece(one.name, "shell", one.count, one.cut, one.grain, one.length * 2, one.width * 2) for one in pieces]


@pytest.mark.parametrize(
    ("pieces", "cloth", "way", "length", "metres", "yards"),
    [
        (SHIRT, cloth_of(140), Way.FOLDED, 162, 1.8, 2),
        (SHIRT, cloth_of(115), Way.OPEN, 210, 2.3, 2.5),
        (LINING, in_halves(140), Way.FOLDED, 254, 1.4, 1.5),
        (doubled(SHIRT) + LINING, in_halves(140), Way.FOLDED, 578, 3.1, 3.375),
    ],
    ids=["140", "115", "lining", "one cloth"],
)
def test_the_layout_in_bands_gives_the_figures_of_the_hand(pieces, cloth, way, length, metres, yards):
    by_hand = quick_plan(pieces, cloth)
    bought = buy(by_hand.length / cloth.cm, THREE)
    assert (by_hand.way, by_hand.length, bought.metres, bought.yards) == (way, length, metres, yards)
    assert plan(pieces, cloth).length <= length


@pytest.mark.parametrize(("width", "length", "metres", "yards"), [(140, 144, 1.6, 1.75), (115, 192, 2.1, 2.25)])
def test_the_search_finds_the_figures_of_the_worked_example(width, length, metres, yards):
    made = plan(SHIRT, cloth_of(width))
    admissible(made, SHIRT, cloth_of(width))
    bought = buy(Fraction(made.length), THREE)
    assert (made.way, made.length, bought.metres, bought.yards) == (Way.OPEN, length, metres, yards)


def test_a_shared_cloth_is_rounded_once():
    apart = sum(buy(Fraction(length), THREE).tenths for length in (162, 127))
    assert (apart, buy(Fraction(162 + 127), THREE).tenths) == (32, 31)


def test_a_piece_that_is_wider_than_the_cloth_is_refused_with_what_to_do():
    made = plan([piece("Lower front", 70, 57, "fold"), piece("Sleeve", 30, 38, "pair", 2)], cloth_of(115))
    assert (made.way, made.length, made.placements) == (None, None, ())
    assert [str(why) for why in made.refused] == [
        "Lower front, opened out, needs 114 cm (44 7/8 in) across and this cloth has 112 cm (44 1/8 in): "
        "seam it, or do not offer this width."
    ]


def test_cloth_that_is_all_selvedge_is_refused():
    assert plan(SHIRT, Cloth(3, 3, Fraction(1))).refused[0].code == "no_width"


@pytest.mark.parametrize(
    ("one", "cloth", "expected"),
    [
        (piece("belt", 80, 8, "single", grain="cross"), cloth_of(115), [(8, 80, 90)]),
        (piece("yoke", 20, 30, "fold", grain="cross"), cloth_of(115), [(60, 20, 90)]),
        (piece("belt", 80, 8, "single", grain="any"), cloth_of(115), [(8, 80, 90)]),
        (piece("belt", 80, 8, "single", grain="any"), cloth_of(115, nap=True), [(80, 8, 0)]),
        (piece("belt", 80, 8, "single"), cloth_of(115), [(80, 8, 0)]),
        # (45 + 2 x 3) / square root of 2 = 36.06; whole centimetres go up.
        (piece("binding", 45, 3, "single", 2, "bias"), cloth_of(115), [(37, 37, 0)]),
    ],
)
def test_the_grain_says_how_a_piece_lies(one, cloth, expected):
    made = plan([one], cloth)
    assert [(laid.length, laid.width, laid.turned) for laid in made.placements] == expected


def test_bias_strips_come_from_a_square():
    assert bias_square(45_000, 3_000, 2) == 36_063


def test_a_single_piece_lies_on_opened_cloth_behind_the_folded():
    wide = [piece("front", 60, 54, "fold"), piece("back", 60, 56, "pair", 2), piece("label", 5, 5, "single")]
    made = quick_plan(wide, cloth_of(115))
    admissible(made, wide, cloth_of(115))
    assert made.way == Way.OPEN or [one.opened for one in made.placements] == [False, False, True]


def test_with_a_repeat_bands_begin_on_whole_ones():
    made = plan(SHIRT, cloth_of(140, repeat=20))
    assert made.length % 20 == 0
    assert made.length >= plan(SHIRT, cloth_of(140)).length


def test_the_same_list_gives_the_same_layout():
    assert plan(SHIRT, cloth_of(140)) == plan(SHIRT, cloth_of(140))


def admissible(made: LayPlan, pieces: list[CutPiece], cloth: Cloth) -> None:
    """Every rule of a layout, on its placements alone."""
    assert made.length is not None
    assert made.length >= made.least
    assert max(one.x + one.length for one in made.placements) <= made.length
    for one in made.placements:
        fits_its_piece(one, pieces[one.piece], made, cloth)
        assert one.x >= 0
        assert one.y >= 0
        assert one.y + one.width <= (cloth.usable if one.opened else cloth.folded)
    for a, b in combinations(made.placements, 2):
        apart_along = a.x + a.length + cloth.gap <= b.x or b.x + b.length + cloth.gap <= a.x
        apart_across = a.y + a.width + cloth.gap <= b.y or b.y + b.width + cloth.gap <= a.y
        assert apart_along or (apart_across and a.opened == b.opened)
    right_number(made, pieces)


def fits_its_piece(one, piece, made, cloth):
    width = piece.width * (2 if piece.cut == Cut.FOLD and one.opened else 1)
    if piece.grain == Grain.BIAS:
        assert one.length == one.width
        return
    sides = (one.length, one.width) if not one.turned else (one.width, one.length)
    assert sides == (piece.length, width)
    if one.turned:
        assert piece.grain == Grain.CROSS or (piece.grain == Grain.ANY and not cloth.nap)
    if piece.cut == Cut.FOLD and not one.opened:
        assert (one.y, one.turned) == (0, 0)
    if piece.cut == Cut.SINGLE:
        assert one.opened
    if made.way == Way.OPEN:
        assert one.opened


def right_number(made, pieces):
    laid = Counter((one.piece, one.opened) for one in made.placements)
    for i, asked in enumerate(pieces):
        opened, double = laid[i, True], laid[i, False]
        if asked.grain == Grain.BIAS:
            assert opened + double == 1
        elif asked.cut == Cut.PAIR:
            assert opened in (0, asked.count)
            assert opened or double == -(-asked.count // 2)
        else:
            assert opened + double == asked.count


PIECES = some.builds(
    CutPiece,
    name=some.just("piece"),
    material=some.just("shell"),
    count=some.integers(1, 3),
    cut=some.sampled_from(Cut),
    grain=some.sampled_from([Grain.LENGTH, Grain.LENGTH, Grain.CROSS, Grain.ANY, Grain.BIAS]),
    length=some.integers(1, 60),
    width=some.integers(1, 40),
)
CLOTHS = some.builds(
    Cloth,
    width=some.integers(60, 120),
    selvedge=some.integers(0, 6),
    cm=some.just(Fraction(1)),
    nap=some.booleans(),
    repeat=some.sampled_from([0, 0, 7, 32]),
    gap=some.sampled_from([0, 0, 1, 3]),
)


@settings(max_examples=40, deadline=None)
@given(some.lists(PIECES, min_size=1, max_size=6), CLOTHS)
def test_every_layout_keeps_the_rules(pieces, cloth):
    quick, made = quick_plan(pieces, cloth), plan(pieces, cloth, work=1_500)
    assert [bool(one.refused) for one in (quick, made)] == [made.length is None] * 2
    if made.length is None:
        return
    for one in (quick, made):
        admissible(one, pieces, cloth)
        assert not cloth.repeat or one.length % cloth.repeat == 0
    assert made.length <= quick.length


@settings(max_examples=25, deadline=None)
@given(some.lists(some.tuples(some.integers(1, 30), some.integers(1, 20)), min_size=1, max_size=9))
def test_the_least_length_is_never_above_a_layout(sides):
    boxes = [Box(along, across) for along, across in sides]
    assert pack(boxes, 20, work=800).bound <= lay_in_bands(boxes, 20).length
    assert least_length(boxes, 20) <= pack(boxes, 20, work=800).length


def test_boxes_that_just_lie_side_by_side_are_not_counted_as_alone():
    assert least_length([Box(90, 56), Box(48, 56)], 112) == 90


def test_two_pieces_of_one_box_on_a_narrow_cloth_lie_behind_one_another():
    made = plan([piece("panel", 40, 60, "pair", 2)], cloth_of(90))
    assert [b.x - a.x for a, b in pairwise(sorted(made.placements, key=lambda one: one.x))] == [40]


def test_opened_boxes_of_the_shirt():
    assert len(open_boxes(SHIRT, cloth_of(140))) == 11


@pytest.mark.parametrize(
    ("cm", "shrinkage", "metres", "yards"),
    [
        (162, THREE, 1.8, 2.0),
        (154, THREE, 1.7, 1.875),
        (210, THREE, 2.3, 2.5),
        (127, THREE, 1.4, 1.5),
        (95, Fraction(0), 1.0, 1.125),
        (Fraction("86.44"), Fraction(0), 1.0, 1.0),
    ],
)
def test_each_unit_is_rounded_up_from_the_raw_length(cm, shrinkage, metres, yards):
    bought = buy(Fraction(cm), shrinkage)
    assert (bought.metres, bought.yards) == (metres, yards)


def test_three_yards_at_five_per_cent_are_divided_not_multiplied():
    """3 yd / 0.95 = 3.158 yd: arithmetic."""
    assert float(buy(Fraction("269.32"), Fraction(5, 100)).raw_cm / Fraction("91.44")) == pytest.approx(3.158, abs=5e-4)


def test_a_shrinkage_of_everything_is_no_shrinkage():
    with pytest.raises(ValueError, match="share"):
        buy(Fraction(100), Fraction(1))
