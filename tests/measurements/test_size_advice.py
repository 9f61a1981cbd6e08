"""Size advice: every worked example of its page, then the edges of each rule."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from measurements.size_advice import advise
from measurements.size_advice_types import PatternFacts, SizeAdvice
from tests.measurements.tables import worked_table

SIZES = ("6", "8", "10", "12", "14", "16", "18", "20", "22", "24")
BUST = (80, 84, 88, 92, 96, 101, 106, 112, 118, 124)
WAIST = (62, 66, 70, 74, 78, 83, 88, "94.5", 101, "107.5")


def row(*cm: object) -> tuple[Decimal, ...]:
    return tuple(Decimal(str(value)) * 10 for value in cm)


CHART = {"bust": row(*BUST), "waist": row(*WAIST), "hip": row(*(bust + 6 for bust in BUST))}
EASE = {"bust": Decimal(60), "waist": Decimal(40), "hip": Decimal(70)}


def facts(**changes: object) -> PatternFacts:
    return PatternFacts(SIZES, CHART, **{"ease": EASE, "cup_mm": Decimal(50), **changes})


KNIT = facts(fabric="knit", fitted=("bust",), finished={"bust": tuple(mm * Decimal("0.96") for mm in CHART["bust"])})
STRAIGHT = facts(fitted=("bust", "waist", "hip"))


def body(text: str) -> dict[str, Decimal]:
    """Bust/high bust/waist/hip in cm; `-` is not known."""
    names = ("bust", "high_bust", "waist", "hip")
    return {name: Decimal(cm) * 10 for name, cm in zip(names, text.split("/"), strict=True) if cm != "-"}


def given_advice(line: dict[str, str]) -> SizeAdvice:
    pattern = {"knit": KNIT, "straight skirt": STRAIGHT}.get(line["pattern"], facts())
    return advise(body(line["body"]), pattern, line["wish"])


def cm(mm: Decimal) -> str:
    return f"{(mm / 10).quantize(Decimal('0.1')).normalize():f}"


@pytest.mark.parametrize("line", worked_table("size-advice.md", "Worked examples"), ids=lambda line: line["example"])
def test_the_worked_examples_of_the_page(line):
    advice = given_advice(line)
    left = ", ".join(f"{part.place} {cm(part.mm)}" for part in advice.ease_left)
    blends = ", ".join(f"{blend.place} {blend.to_size} ({cm(blend.left.mm)})" for blend in advice.blends)
    changes = ", ".join(f"{change.place} {cm(change.mm)}" for change in advice.changes)
    assert (advice.size or "outside") == line["size"]
    assert (left, blends or "none", changes or "none") == (line["ease left"], line["blend"], line["change"])
    assert ("-".join(advice.by_bust) or "same") == line["by bust alone"]


def said(advice: SizeAdvice) -> str:
    return " ".join(map(str, advice.reasons))


def test_a_size_on_the_chart_says_what_it_was_drafted_for():
    assert said(advise(body("92/87/74/98"), facts())) == (
        "At the bust, 92 cm (36 1/4 in) is nearest to size 12, drafted for 92 cm (36 1/4 in)."
    )


def test_between_two_sizes_the_place_that_decided_is_named():
    advice = advise(body("98/93/80/104"), facts())
    assert (advice.between.lower, advice.between.upper, advice.between.share) == ("14", "16", Decimal("0.4"))
    assert "The smaller one would leave 4 cm (1 5/8 in) at the bust" in said(advice)


def test_a_full_cup_goes_by_the_high_bust_and_is_added():
    advice = advise(body("104/94/82/108"), facts())
    assert [reason.code for reason in advice.reasons] == ["by_high_bust", "between", "larger_needed", "add"]
    assert not advice.changes[0].optional


def test_a_small_cup_may_be_left_to_the_ease():
    advice = advise(body("90/88/72/96"), facts())
    assert advice.changes[0].optional
    assert "if you wish" in said(advice)


def test_a_cup_exactly_at_the_limit_still_goes_by_the_bust():
    assert advise(body("94.5/87/74/98"), facts()).changes == ()
    assert advise(body("94.6/87/74/98"), facts()).changes != ()


def test_an_unknown_high_bust_is_said():
    assert advise(body("92/-/74/98"), facts()).reasons[0].code == "no_high_bust"
    assert advise(body("92/87/74/98"), facts(cup_mm=None)).reasons[0].code == "no_drafted_cup"


@pytest.mark.parametrize(("bust", "size"), [("97.75", "14"), ("97.76", "16"), ("99.25", "16"), ("99.24", "16")])
def test_up_to_thirty_five_hundredths_it_is_the_smaller(bust, size):
    """Waist 82 leaves nothing in 14, so whatever is undecided goes to 16."""
    assert advise(body(f"{bust}/{Decimal(bust) - 5}/82/104"), facts(fitted=("bust", "waist"))).size == size


def test_the_wish_decides_between_two_sizes_but_not_beyond_them():
    assert advise(body("98/93/74/104"), facts(), "roomier").size == "16"
    assert advise(body("98/93/81/104"), facts(), "closer").size == "16", "14 keeps 1 at the waist"
    assert advise(body("96/91/78/102"), facts(), "roomier").size == "14"


def test_a_roomy_garment_takes_the_smaller():
    roomy = facts(ease={"bust": Decimal(100), "waist": Decimal(20)})
    advice = advise(body("98/93/80/104"), roomy, "roomier")
    assert (advice.size, advice.reasons[1].code) == ("14", "roomy")


@pytest.mark.parametrize(("bust", "size"), [("78", "6"), ("77.9", None), ("127", "24"), ("127.1", None)])
def test_half_a_step_past_an_end_is_outside(bust, size):
    advice = advise(body(f"{bust}/{Decimal(bust) - 5}/-/-"), facts())
    assert (advice.size, advice.outside) == (size, size is None)


def test_outside_names_the_end_and_what_it_leaves():
    advice = advise(body("128/122/112/134"), facts())
    assert said(advice) == "The largest size, 24, leaves 2 cm (3/4 in) at the bust. No size of this pattern is advised."
    assert said(advise(body("70/65/60/80"), facts())).startswith("The smallest size, 6, leaves 16 cm")


def test_a_place_a_whole_size_loose_is_blended_down():
    (blend,) = advise(body("96/91/74/102"), facts()).blends
    assert (blend.to_size, blend.sizes_apart, blend.left.mm, blend.toile_first) == ("12", -1, 40, False)
    assert advise(body("96/91/74.1/102"), facts()).blends == ()


def test_a_blend_over_more_than_two_sizes_wants_a_toile_first():
    advice = advise(body("96/91/95/102"), facts())
    (blend,) = advice.blends
    assert (blend.to_size, blend.sizes_apart, blend.toile_first) == ("20", 3, True)
    assert "sew a toile first" in said(advice)


def test_a_place_that_no_size_holds_is_said():
    advice = advise(body("124/119/111/130"), facts())
    (blend,) = advice.blends
    assert (blend.to_size, blend.left, blend.toile_first) == (None, None, True)
    assert "No larger size keeps the least ease" in said(advice)


def test_a_free_place_is_never_blended():
    assert advise(body("88/83/70/120"), facts()).blends == ()


def test_a_skirt_goes_by_the_hip_when_it_is_fitted_else_by_the_waist():
    straight = advise(body("-/-/74/104"), facts(kind="skirt", fitted=("waist", "hip")))
    gathered = advise(body("-/-/74/104"), facts(kind="skirt", fitted=("waist",)))
    assert (straight.size, [blend.to_size for blend in straight.blends]) == ("16", ["12"])
    assert (gathered.size, gathered.blends) == ("12", ())


def test_a_sleeve_goes_by_the_upper_arm():
    sleeve = PatternFacts(("S", "M"), {"upper_arm": row(28, 32)}, kind="sleeve", fitted=("upper_arm",))
    assert advise({"upper_arm": Decimal(315)}, sleeve).size == "M"


def test_a_knit_that_is_pulled_too_far_is_said():
    pulled = PatternFacts(SIZES, CHART, KNIT.finished, fabric="knit", fitted=("bust",), required_stretch=Decimal(12))
    assert advise(body("98/93/90/104"), pulled).reasons[-1].code == "overstretched"


def test_without_the_choosing_measurement_nothing_is_guessed():
    assert advise({"waist": Decimal(740)}, facts()).reasons[0].code == "measure_missing"
    assert advise(body("92/87/74/98"), PatternFacts(SIZES, {})).reasons[0].code == "chart_missing"


def test_a_chart_with_gaps_is_read_by_the_sizes_it_has():
    gaps = PatternFacts(SIZES, {"bust": (None, *CHART["bust"][1:4], None, *CHART["bust"][5:])}, ease=EASE)
    advice = advise(body("96/91/-/-"), gaps)
    assert (advice.between.lower, advice.between.upper) == ("12", "16")


def test_one_size_alone_fits_within_two_centimetres():
    lone = PatternFacts(("one",), {"bust": row(96)}, ease=EASE)
    assert advise({"bust": Decimal(980)}, lone).size == "one"
    assert advise({"bust": Decimal(981)}, lone).outside


MEASURE = st.one_of(st.none(), st.decimals(0, 2500, places=1))


@settings(derandomize=True, database=None, deadline=None, max_examples=300)
@given(
    measures=st.fixed_dictionaries(dict.fromkeys(("bust", "high_bust", "waist", "hip"), MEASURE)),
    chart=st.dictionaries(st.sampled_from(["bust", "waist", "hip"]), st.lists(MEASURE, max_size=10)),
    fabric=st.sampled_from(["woven", "knit"]),
    kind=st.sampled_from(["bodice", "skirt", "sleeve"]),
    wish=st.sampled_from(["usual", "closer", "roomier"]),
)
def test_any_body_on_any_chart_gives_a_size_of_the_chart_or_a_reason(measures, chart, fabric, kind, wish):
    known = {key: mm for key, mm in measures.items() if mm is not None}
    pattern = PatternFacts(SIZES, chart, ease=EASE, fabric=fabric, kind=kind, cup_mm=Decimal(50))
    advice = advise(known, pattern, wish)
    assert advice.reasons
    assert advice.size in SIZES if advice.size else said(advice)


def test_the_advice_speaks_of_the_garment_and_not_of_the_body():
    for line in worked_table("size-advice.md", "Worked examples"):
        words = set(said(given_advice(line)).lower().split())
        assert not {"your", "body", "big", "figure", "problem"} & words
