"""Follows the content of a page and keeps what it draws (ISO 32000-1, chapter 8 and 9).

Forms are entered, clips are kept as their boxes, curves become chords. Shadings, transparency and the insides of
tiling patterns are not looked at. A page that asks for more than the budget is cut short. What each operator does
stands in releases.pdf.canvas and the draw_ modules.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from releases.pdf.content import operators
from releases.pdf.draw_colours import ColourCanvas
from releases.pdf.draw_forms import FormCanvas
from releases.pdf.draw_letters import LetterCanvas
from releases.pdf.draw_paths import PathCanvas
from releases.pdf.kinds import is_array
from releases.pdf.marks import Drawing
from releases.pdf.parts import Budget, Parts, TooMuchError
from releases.pdf.sheet import inherited, sheet_of


class Painter:
    """Draws pages of one file; fonts are read once a file."""

    def __init__(self, budget: Budget | None = None) -> None:
        self.parts = Parts(budget or Budget())

    def page(self, page: Any) -> Drawing:
        """The drawing of a page dictionary (pikepdf)."""
        sheet = sheet_of(page)
        drawing = Drawing(sheet.width_mm, sheet.height_mm)
        try:
            _Run(self.parts, drawing, sheet).page(page)
        except (TooMuchError, MemoryError):
            drawing.cut_short = "too_much"
        except Exception:
            # A damaged page fails in many ways; what was drawn until then counts.
            drawing.cut_short = "damaged"
        return drawing


class _Run(PathCanvas, ColourCanvas, LetterCanvas, FormCanvas):
    """One page on its way."""

    def page(self, page: Any) -> None:
        self.resources = inherited(page, "/Resources") or {}
        contents = page.get("/Contents")
        if contents is None:
            return
        streams = list(contents) if is_array(contents) else [contents]
        self.run(b"\n".join(self.parts.unpacked(stream) for stream in streams))

    def run(self, data: bytes) -> None:
        acts, budget = _ACTS, self.parts.budget
        counted = 0
        for word, operands in operators(data):
            counted += 1
            if counted == 1000:
                budget.take(operators=counted)
                counted = 0
            act = acts.get(word)
            if act is not None:
                try:
                    act(self, operands)
                except (ValueError, TypeError, IndexError, KeyError, OverflowError, ZeroDivisionError):
                    # An operator with the wrong operands does nothing, as in every reader.
                    continue
        budget.take(operators=counted)


def _painting(fill: bool, stroke: bool, close: bool = False) -> Callable[[_Run, list[Any]], None]:
    def act(run: _Run, operands: list[Any]) -> None:
        if close:
            run.close(operands)
        run.paint(fill, stroke)

    return act


def _on(name: str, stroke: bool) -> Callable[[_Run, list[Any]], None]:
    def act(run: _Run, operands: list[Any]) -> None:
        getattr(run, name)(stroke, operands)

    return act


def _setting(name: str, scale: float = 1.0) -> Callable[[_Run, list[Any]], None]:
    def act(run: _Run, operands: list[Any]) -> None:
        setattr(run.state, name, float(operands[-1]) * scale)

    return act


def _set_mode(run: _Run, operands: list[Any]) -> None:
    run.state.mode = int(operands[-1])


_ACTS: dict[bytes, Callable[[_Run, list[Any]], None]] = {
    b"q": _Run.push,
    b"Q": _Run.pop,
    b"cm": _Run.concat,
    b"w": _Run.width,
    b"d": _Run.dash,
    b"gs": _Run.more_state,
    b"m": _Run.move,
    b"l": _Run.line_to,
    b"c": _Run.curve_to,
    b"v": _Run.curve_from_here,
    b"y": _Run.curve_to_end,
    b"h": _Run.close,
    b"re": _Run.rectangle,
    b"W": _Run.clip,
    b"W*": _Run.clip,
    b"n": _painting(False, False),
    b"S": _painting(False, True),
    b"s": _painting(False, True, True),
    b"f": _painting(True, False),
    b"F": _painting(True, False),
    b"f*": _painting(True, False),
    b"B": _painting(True, True),
    b"B*": _painting(True, True),
    b"b": _painting(True, True, True),
    b"b*": _painting(True, True, True),
    b"G": _on("gray", True),
    b"g": _on("gray", False),
    b"RG": _on("rgb", True),
    b"rg": _on("rgb", False),
    b"K": _on("cmyk", True),
    b"k": _on("cmyk", False),
    b"CS": _on("space", True),
    b"cs": _on("space", False),
    b"SC": _on("colour_in_space", True),
    b"SCN": _on("colour_in_space", True),
    b"sc": _on("colour_in_space", False),
    b"scn": _on("colour_in_space", False),
    b"BT": _Run.begin_text,
    b"Tf": _Run.choose_font,
    b"Td": _Run.next_line,
    b"TD": _Run.next_line_leading,
    b"Tm": _Run.text_matrix,
    b"T*": _Run.new_line,
    b"Tj": _Run.show,
    b"TJ": _Run.show_parts,
    b"'": _Run.show_next,
    b'"': _Run.show_spaced,
    b"Tc": _setting("spacing"),
    b"Tw": _setting("word_spacing"),
    b"Tz": _setting("stretch", 0.01),
    b"TL": _setting("leading"),
    b"Ts": _setting("rise"),
    b"Tr": _set_mode,
    b"BDC": _Run.begin_marked,
    b"BMC": lambda run, _: run.layers.append(None),
    b"EMC": _Run.end_marked,
    b"Do": _Run.use,
    b"BI": _Run.inline_picture,
}
