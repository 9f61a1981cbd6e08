"""The drawings' colours: the stylesheet's tokens, written out because a page's CSS does not reach
an inline SVG in the PDF engine. A test holds them to static/look.css."""

TABLE, SHEET, SHEET_2 = "#e6eae6", "#fcfcfa", "#f2f5f1"
RULE, EDGE = "#cdd4ce", "#7f8a84"
INK, INK_2 = "#1b2328", "#4a565c"
CHALK, CHALK_WASH = "#1f4fb4", "#e0e8f8"
SMALL, LARGE = "#8f1d5f", "#7a5b00"
SMALL_WASH = ("#fbf1f6", "#f6dfeb", "#edc3d9")
LARGE_WASH = ("#faf5e4", "#f4e8c2", "#ead593")
STOP, STOP_WASH = "#9c2a12", "#f9e4de"
SEAM, LEAD = "#3a444b", "#6b757b"

POLE_INK = {"small": SMALL, "large": LARGE, "none": INK}
POLE_WASH = {"small": SMALL_WASH, "large": LARGE_WASH}

# Strength 1 to 3: thickness of a line and the distance to the next one, in drawing units.
LINES = ((1.3, 9.0), (2.1, 7.0), (3.3, 6.0))
