"""Colours: device spaces as red, green and blue, spot colours and patterns by name (ISO 32000-1, 8.6)."""

from __future__ import annotations

from typing import Any

from releases.pdf.canvas import BLACK, Canvas
from releases.pdf.kinds import is_array
from releases.pdf.marks import Colour


class ColourCanvas(Canvas):
    def gray(self, stroke: bool, o: list[Any]) -> None:
        level = float(o[-1])
        self.colour(stroke, "/DeviceGray", (level, level, level))

    def rgb(self, stroke: bool, o: list[Any]) -> None:
        r, g, b = map(float, o[-3:])
        self.colour(stroke, "/DeviceRGB", (r, g, b))

    def cmyk(self, stroke: bool, o: list[Any]) -> None:
        self.colour(stroke, "/DeviceCMYK", _from_cmyk(*map(float, o[-4:])))

    def space(self, stroke: bool, o: list[Any]) -> None:
        name = "/" + str(o[-1])
        try:
            named = self.resource("/ColorSpace", o[-1])
            name = _space_name(named)
        except (KeyError, TypeError, ValueError):
            pass
        self.colour(stroke, name, BLACK)

    def colour_in_space(self, stroke: bool, o: list[Any]) -> None:
        space = self.state.stroke_space if stroke else self.state.fill_space
        values = [float(one) for one in o if isinstance(one, float)]
        pattern = [one for one in o if isinstance(one, str)]
        if pattern or space.startswith("named:"):
            made: Colour = (space, *(round(value, 2) for value in values), *pattern)
        elif len(values) == 1:
            made = (values[0], values[0], values[0])
        elif len(values) == 4:
            made = _from_cmyk(*values)
        else:
            made = tuple(values)
        self.colour(stroke, space, made)

    def colour(self, stroke: bool, space: str, made: Colour) -> None:
        made = tuple(round(one, 2) + 0.0 if isinstance(one, float) else one for one in made)
        if stroke:
            self.state.stroke_space, self.state.stroke = space, made
        else:
            self.state.fill_space, self.state.fill = space, made


def _space_name(space: Any) -> str:
    """The device spaces by name; a spot colour by what it is called."""
    if not is_array(space):
        return str(space)
    kind = str(space[0])
    if kind in {"/Separation", "/DeviceN"}:
        return f"named:{space[1] if kind == '/Separation' else [str(one) for one in space[1]]}"
    if kind in {"/Indexed", "/Pattern"}:
        return f"named:{kind}"
    return kind


def _from_cmyk(c: float, m: float, y: float, k: float) -> Colour:
    return (1 - min(1.0, c + k), 1 - min(1.0, m + k), 1 - min(1.0, y + k))
