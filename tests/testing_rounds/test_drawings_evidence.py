"""Strokes, panel, plots and hops: what is drawn says what was reported, and fits its place."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from defusedxml.ElementTree import fromstring
from django.template import Context, Template

from testing_rounds.drawings import (
    Hop,
    PanelSize,
    PlotSize,
    PlotWords,
    Span,
    Stroke,
    brick_key,
    choice_glyph,
    evidence_plot,
    evidence_plot_slim,
    hop_key,
    hops,
    palette,
    panel_stack,
    reading_plot,
    size_tape,
    stroke_cell,
    stroke_key,
    swatch,
)  # fmt: skip
from testing_rounds.drawings.shapes import Box, Drawing, Line, Word, shown
from tests.house.project import ROOT

WORDS = PlotWords("tight", "loose", "tight, much", "loose, much")
THIRTY = [str(size) for size in range(2, 42, 2)] + [f"{size}W" for size in range(14, 34, 2)]


def boxes(drawing: Drawing) -> list[Box]:
    return [shape for shape in drawing.shapes if isinstance(shape, Box)]


def words(drawing: Drawing) -> list[str]:
    return [shape.text for shape in drawing.shapes if isinstance(shape, Word)]


def chalk(drawing: Drawing) -> list[Line]:
    return [shape for shape in drawing.shapes if isinstance(shape, Line) and shape.ink == palette.CHALK]


def plot_sizes(labels: list[str], reports: int = 3) -> list[PlotSize]:
    strokes = tuple(Stroke(-1 if i % 2 else 0) for i in range(reports))
    small = sum(stroke.fit < 0 for stroke in strokes)
    return [PlotSize(label, small, 0, reports, strokes) for label in labels]


# strokes


@pytest.mark.parametrize("fit", [-2, -1, 1, 2])
def test_a_stroke_lies_on_its_side_and_strong_is_twice_as_long(fit):
    (bar,) = boxes(stroke_cell([Stroke(fit)]))
    assert bar.width == pytest.approx(11.5 * abs(fit))
    edge = bar.x + bar.width if fit < 0 else bar.x
    assert edge == pytest.approx(26)
    assert bar.fill == (palette.SMALL if fit < 0 else palette.LARGE)


def test_a_fit_is_a_black_tick_on_the_seam():
    (tick,) = boxes(stroke_cell([Stroke(0)]))
    assert tick.fill == palette.INK
    assert tick.x < 26 < tick.x + tick.width


def test_a_stroke_set_aside_is_hollow():
    (bar,) = boxes(stroke_cell([Stroke(-1, aside=True)]))
    assert bar.fill == palette.SHEET
    assert bar.ink == palette.SMALL


@pytest.mark.parametrize("reports", [1, 2, 4, 5, 7, 8, 12, 20])
def test_strokes_fit_their_cell_without_touching(reports):
    drawing = stroke_cell([Stroke(i % 5 - 2) for i in range(reports)])
    drawn = sorted(boxes(drawing), key=lambda bar: bar.y)
    assert len(drawn) == reports
    assert drawn[0].y >= 0
    assert drawn[-1].y + drawn[-1].height <= drawing.height
    assert all(upper.y + upper.height < lower.y for upper, lower in pairwise(drawn))


def test_complaints_come_first_and_what_is_set_aside_last():
    drawn = boxes(stroke_cell([Stroke(0), Stroke(2, aside=True), Stroke(1), Stroke(-2)]))
    assert [bar.fill for bar in drawn] == [palette.SMALL, palette.LARGE, palette.INK, palette.SHEET]


def test_an_empty_cell_draws_nothing():
    assert stroke_cell([]).shapes == ()


@pytest.mark.parametrize("fit", [-3, 3])
def test_a_fit_beyond_the_scale_is_refused(fit):
    with pytest.raises(ValueError, match="no such fit"):
        Stroke(fit)


def test_the_five_choices_widen_with_strength():
    widths = {fit: max(box.width for box in boxes(choice_glyph(fit))) for fit in (-2, -1, 0, 1, 2)}
    assert widths[-2] == widths[2] > widths[-1] == widths[1]
    assert widths[1] > widths[0]


@pytest.mark.parametrize(("fit", "direction"), [(-1, "h"), (-2, "h"), (1, "v"), (2, "v")])
def test_lines_run_across_on_the_small_side_and_down_on_the_large(fit, direction):
    lines = [shape.d for shape in choice_glyph(fit).shapes if isinstance(shape, Line)]
    assert any(direction in d for d in lines)


# panel and tape


def test_a_brick_for_every_tester():
    drawing = panel_stack([PanelSize("8", 2, 1, 1), PanelSize("10", 3)], base="8")
    fills = [box.fill for box in boxes(drawing)]
    assert fills.count(palette.INK) == 5
    assert fills.count(palette.SHEET) == 2
    assert sum(box.dash != "" for box in boxes(drawing)) == 1
    assert {"8", "10"} <= set(words(drawing))


@pytest.mark.parametrize("count", [2, 14, 30])
def test_bricks_stay_in_their_column_and_above_the_tape(count):
    drawing = panel_stack([PanelSize(label, 3, 1, 8) for label in THIRTY[:count]])
    column = drawing.width / count
    assert all(box.width < column for box in boxes(drawing))
    assert all(box.y >= 0 and box.y + box.height < drawing.height - 28 for box in boxes(drawing))


def test_a_long_panel_is_shared_out_over_rows_on_a_phone():
    drawing = panel_stack([PanelSize(one, 1) for one in THIRTY], width=358, per_row=10)
    heights = {shape.y for shape in drawing.shapes if isinstance(shape, Word)}
    assert len(heights) == 3


@pytest.mark.parametrize("labels", [["S", "XL"], THIRTY])
def test_sizes_on_the_tape_do_not_run_into_each_other(labels):
    drawing = size_tape(labels, base=labels[1])
    placed = sorted((shape.x, shape.text) for shape in drawing.shapes if isinstance(shape, Word))
    assert set(labels[:2]) <= {text for _, text in placed}
    for (x, text), (next_x, next_text) in pairwise(placed):
        assert next_x - x >= (len(text) + len(next_text)) * 13.5 * 0.25


def test_labels_that_must_show_come_before_the_rhythm():
    assert shown(["20"] * 9, 10, 12, always=(3, 8)) == [0, 3, 6, 8]


# plots


def test_bars_of_a_reading_hang_on_the_small_side_and_stand_on_the_large():
    drawing = reading_plot([PlotSize("8", 2, 0, 2), PlotSize("10", 0, 1, 2), PlotSize("12", 0, 0, 3), PlotSize("14")])
    small, large = boxes(drawing)
    assert (small.y, small.height, small.fill) == (25.6, 22, palette.SMALL)
    assert (large.y + large.height, large.height, large.fill) == (pytest.approx(25.6), 11, palette.LARGE)
    assert "?" in words(drawing)


def test_the_chalk_line_covers_the_span_and_is_dashed_without_reports():
    sizes = [PlotSize("8", 0, 0, 2), PlotSize("10", 2, 0, 2), PlotSize("12", 1, 0, 1), PlotSize("14")]
    solid, dashed = chalk(reading_plot(sizes, Span(("10", "12", "14"))))
    assert (solid.d, solid.dash) == ("M42 49.5H122", "")
    assert dashed.d == "M124 49.5H163"
    assert dashed.dash


@pytest.mark.parametrize("count", [2, 10, 30])
@pytest.mark.parametrize("reports", [1, 12])
def test_the_wide_plot_shows_each_report_within_its_size(count, reports):
    sizes = plot_sizes(THIRTY[:count], reports)
    drawing = evidence_plot(sizes, WORDS, Span((THIRTY[0],)))
    marks = [box for box in boxes(drawing) if box.fill in (palette.SMALL, palette.INK)]
    assert len(marks) == count * reports
    column = (1120 - 118) / count
    for mark in marks:
        assert (mark.x - 118) // column == (mark.x + mark.width - 118) // column


def test_the_wide_plot_says_how_many_of_how_many():
    drawing = evidence_plot([PlotSize("8", 2, 1, 4, (Stroke(-1),)), PlotSize("10")], WORDS, Span(("8",), -1))
    assert "2 of 4" in words(drawing)
    assert "no report" in words(drawing)
    up = evidence_plot([PlotSize("8", 2, 1, 4, (Stroke(-1),)), PlotSize("10")], WORDS, Span(("8",), 1))
    assert "1 of 4" in words(up)


def test_a_curve_of_read_levels_takes_the_chalk_lines_place():
    sizes = plot_sizes(["8", "10", "12"])
    drawing = evidence_plot(sizes, WORDS, Span(("10", "12"), -1, (0, -1, -2)))
    assert [line.d for line in chalk(drawing)] == ["M285 120L619 166", "M619 166L953 212"]


@pytest.mark.parametrize("count", [2, 30])
def test_the_slim_plot_has_a_row_a_size_with_the_small_side_left(count):
    sizes = plot_sizes(THIRTY[:count], 4)
    drawing = evidence_plot_slim(sizes, WORDS, Span((THIRTY[1],)), base=THIRTY[0])
    small = [box for box in boxes(drawing) if box.fill == palette.SMALL]
    assert len(small) == 2 * count
    assert all(box.x + box.width == pytest.approx(166) for box in small)
    assert drawing.width == 360
    assert all(box.x >= 0 and box.x + box.width <= 360 for box in boxes(drawing))
    assert len(chalk(drawing)) == 1


# hops


def test_a_hop_for_every_step_and_a_column_for_every_size():
    drawing = hops([Hop("+4", 4), Hop("+6", 6, "break"), Hop("+1.2", 1.2, "slip")], column=50)
    assert drawing.width == 200
    assert words(drawing) == ["+4", "+6", "+1.2"]
    inks = [shape.ink for shape in drawing.shapes if isinstance(shape, Line) and shape.thickness]
    assert inks == [palette.INK, palette.INK, palette.STOP]
    (boxed,) = boxes(drawing)
    assert boxed.ink == palette.STOP


def test_a_break_is_thick_and_notched():
    arc, notch = (shape for shape in hops([Hop("+6", 6, "break")]).shapes if isinstance(shape, Line))
    assert arc.thickness == 3
    assert notch.fill == palette.INK


def test_a_hop_of_no_sense_is_refused():
    with pytest.raises(ValueError, match="no such hop"):
        Hop("+4", 4, "leap")


# all of them, as they reach a page

DRAWN = {
    "stroke_cell": ("{% stroke_cell strokes %}", 1),
    "stroke_key": ("{% stroke_key -2 True %}", 1),
    "choice_glyph": ("{% choice_glyph 2 %}", 1),
    "form_swatch": ('{% form_swatch "small" 3 %}', 1),
    "panel_stack": ('{% panel_stack panel base="8" title="The panel" %}', 2),
    "panel_stack_paper": ("{% panel_stack panel paper=True %}", 1),
    "brick_key": ('{% brick_key "aside" %}', 1),
    "size_tape": ('{% size_tape labels base="8" %}', 1),
    "reading_plot": ('{% reading_plot sizes span base="8" title="Waist" %}', 1),
    "evidence_plot": ('{% evidence_plot sizes low="tight" high="loose" span=span title="Waist" %}', 2),
    "evidence_plot_paper": ('{% evidence_plot sizes low="tight" high="loose" paper=True %}', 1),
    "hops": ("{% hops steps column=60 %}", 1),
    "hop_key": ('{% hop_key "slip" %}', 1),
}


def rendered(source: str) -> str:
    given = {
        "strokes": [Stroke(-2, title="Ann & Bo <1>"), Stroke(0), Stroke(1, aside=True)],
        "panel": [PanelSize("8", 2, 1, 1, "Size 8"), PanelSize("10", 3)],
        "labels": ["8", "10"],
        "sizes": [*plot_sizes(["8", "10"]), PlotSize("12")],
        "span": Span(("10", "12"), -1),
        "steps": [Hop("+4.0", 4), Hop("−0.4", 0.4, "slip")],
    }
    return Template("{% load drawings %}" + source).render(Context(given))


@pytest.mark.parametrize("name", DRAWN)
def test_a_tag_gives_whole_drawings_without_style_or_id(name):
    source, count = DRAWN[name]
    page = rendered(source)
    assert len(fromstring(f"<div>{page}</div>")) == count
    assert not re.search(r"\sstyle=|\sid=|<script|<style", page)


def test_a_drawing_with_a_title_is_an_image_and_one_without_is_decoration():
    assert 'role="img"><title>Waist</title>' in rendered('{% reading_plot sizes title="Waist" %}')
    assert 'aria-hidden="true"' in rendered("{% reading_plot sizes %}")


@pytest.mark.parametrize("drawing", [stroke_key(Stroke(1)), swatch("large", 1), brick_key("to_come"), hop_key("step")])
def test_keys_are_small(drawing):
    assert drawing.width <= 40
    assert drawing.height <= 22


# colours


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (W3C Recommendation, definition of relative luminance)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_follows_the_published_formula():
    """Black on white is 21:1 and #767676 on white 4.54:1 (W3C, Understanding success criterion 1.4.3, from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


TEXT_ON = [
    *((ink, ground) for ink in (palette.INK, palette.INK_2) for ground in (palette.SHEET, palette.SHEET_2)),
    *((ink, palette.SHEET) for ink in (palette.CHALK, palette.SMALL, palette.LARGE)),
    (palette.STOP, palette.STOP_WASH),
]


@pytest.mark.parametrize(("ink", "ground"), TEXT_ON)
def test_words_in_drawings_can_be_read(ink, ground):
    assert contrast(ink, ground) >= 4.5


LINES_ON = [
    *((palette.SMALL, wash) for wash in palette.SMALL_WASH),
    *((palette.LARGE, wash) for wash in palette.LARGE_WASH),
    *((ink, palette.SHEET) for ink in (palette.EDGE, palette.SEAM, palette.LEAD)),
    (palette.CHALK, palette.SHEET_2),
]


@pytest.mark.parametrize(("ink", "ground"), LINES_ON)
def test_lines_that_carry_meaning_stand_out(ink, ground):
    assert contrast(ink, ground) >= 3


def test_the_colours_are_those_of_the_stylesheet():
    css = (ROOT / "static" / "look.css").read_text(encoding="utf-8")
    tokens = dict(re.findall(r"--([\w-]+):(#[0-9a-f]{6})", css))
    assert tokens["small"] == palette.SMALL
    assert tokens["large"] == palette.LARGE
    assert (tokens["small-1"], tokens["small-2"], tokens["small-3"]) == palette.SMALL_WASH
    assert (tokens["large-1"], tokens["large-2"], tokens["large-3"]) == palette.LARGE_WASH
    named = {"table": palette.TABLE, "sheet": palette.SHEET, "sheet-2": palette.SHEET_2, "rule": palette.RULE}
    named |= {"edge": palette.EDGE, "ink": palette.INK, "ink-2": palette.INK_2, "chalk": palette.CHALK}
    named |= {"stop": palette.STOP, "stop-wash": palette.STOP_WASH, "chalk-wash": palette.CHALK_WASH}
    assert {name: tokens[name] for name in named} == named
