"""Drawings of the form and of the evidence, as plain geometry: no page, no database, no language of its own.

Pages and documents for the printer draw the same parts with the tags of `{% load drawings %}`.
"""

from testing_rounds.drawings.arcs import Hop, hop_key, hops
from testing_rounds.drawings.cut import zones_on
from testing_rounds.drawings.form import FormDrawing, ZoneMark, dress_form, is_fuller
from testing_rounds.drawings.panel import PanelSize, brick_key, panel_stack, size_tape, sizes_per_row
from testing_rounds.drawings.plots import PlotSize, PlotWords, Span, evidence_plot, evidence_plot_slim, reading_plot
from testing_rounds.drawings.shapes import Drawing
from testing_rounds.drawings.strokes import Stroke, choice_glyph, stroke_cell, stroke_key, swatch

__all__ = [
    "Drawing",
    "FormDrawing",
    "Hop",
    "PanelSize",
    "PlotSize",
    "PlotWords",
    "Span",
    "Stroke",
    "ZoneMark",
    "brick_key",
    "choice_glyph",
    "dress_form",
    "evidence_plot",
    "evidence_plot_slim",
    "hop_key",
    "hops",
    "is_fuller",
    "panel_stack",
    "reading_plot",
    "size_tape",
    "sizes_per_row",
    "stroke_cell",
    "stroke_key",
    "swatch",
    "zones_on",
]
