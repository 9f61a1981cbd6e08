"""Letters: where each character of a shown string stands, and how large (ISO 32000-1, 9)."""

from __future__ import annotations

import math
from typing import Any

from releases.pdf.canvas import Canvas
from releases.pdf.draw_paths import EDGE_MM
from releases.pdf.fonts import is_embedded, plain_name
from releases.pdf.geometry import UNCHANGED, at, grown, holds, times
from releases.pdf.marks import Letter


class LetterCanvas(Canvas):
    def begin_text(self, _: list[Any]) -> None:
        self.text = self.line = UNCHANGED

    def choose_font(self, o: list[Any]) -> None:
        self.state.size = float(o[-1])
        raw = self.resource("/Font", o[-2])
        self.state.font = self.parts.font(raw)
        known = (plain_name(raw), is_embedded(raw))
        if known not in self.drawing.fonts:
            self.drawing.fonts.append(known)

    def next_line(self, o: list[Any]) -> None:
        self.line = times((1, 0, 0, 1, float(o[-2]), float(o[-1])), self.line)
        self.text = self.line

    def next_line_leading(self, o: list[Any]) -> None:
        self.state.leading = -float(o[-1])
        self.next_line(o)

    def text_matrix(self, o: list[Any]) -> None:
        a, b, c, d, e, f = map(float, o[-6:])
        self.text = self.line = (a, b, c, d, e, f)

    def new_line(self, _: list[Any]) -> None:
        self.next_line([0.0, -self.state.leading])

    def show(self, o: list[Any]) -> None:
        self.write(o[-1])

    def show_parts(self, o: list[Any]) -> None:
        s = self.state
        for part in o[-1]:
            if isinstance(part, bytes):
                self.write(part)
            else:
                self.text = times((1, 0, 0, 1, -float(part) / 1000 * s.size * s.stretch, 0), self.text)

    def show_next(self, o: list[Any]) -> None:
        self.new_line(o)
        self.write(o[-1])

    def show_spaced(self, o: list[Any]) -> None:
        self.state.word_spacing, self.state.spacing = float(o[-3]), float(o[-2])
        self.show_next(o)

    def write(self, raw: bytes) -> None:
        s = self.state
        if s.font is None or not isinstance(raw, bytes):
            return
        self.parts.budget.take(points=len(raw))
        m = times(self.text, s.ctm)
        along, up = math.hypot(m[0], m[1]), math.hypot(m[2], m[3])
        size, turn = round(abs(s.size) * up, 2), round(math.degrees(math.atan2(m[1], m[0]))) % 360
        clip, inner = grown(s.clip, EDGE_MM), grown(s.clip, -EDGE_MM)
        layer, moved = self.layer, 0.0
        colour = s.stroke if s.mode % 4 == 1 else s.fill
        for text, width, is_space in s.font.shown(raw):
            step = (width / 1000 * s.size + s.spacing + (s.word_spacing if is_space else 0)) * s.stretch
            x, y = at(m, moved, s.rise)
            if text.strip() and holds(clip, x, y):
                advance = width / 1000 * s.size * s.stretch * along
                seen, edge = s.mode not in {3, 7}, not holds(inner, x, y)
                self.drawing.letters.append(
                    Letter(text, x, y, advance, size, turn, s.font.name, colour, layer, seen, edge)
                )
            moved += step
        self.text = times((1, 0, 0, 1, moved, 0), self.text)
