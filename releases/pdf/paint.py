"""Follows the content of a page and keeps what it draws (ISO 32000-1, chapter 8 and 9).

Forms are entered, clips are kept as their boxes, curves become chords. Shadings, transparency and the insides of
tiling patterns are not looked at. A page that asks for more than the budget is cut short.
"""

from __future__ import annotations

import hashlib
import itertools
import math
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from releases.pdf.content import operators
from releases.pdf.fonts import Font, is_embedded, plain_name
from releases.pdf.geometry import (
    FAR_MM,
    UNCHANGED,
    Box,
    Matrix,
    Point,
    apart,
    at,
    box_of,
    common,
    contains,
    curve,
    grown,
    holds,
    scale_of,
    times,
    within,
)
from releases.pdf.kinds import has_keys, is_array
from releases.pdf.marks import Colour, Drawing, Letter, Picture, Style, Trace
from releases.pdf.sheet import Sheet, inherited, sheet_of

_MOST_FORMS_DEEP = 16
# So much is kept beyond where a page is cut: a line that runs along the cut is then there whichever side it falls.
EDGE_MM = 0.3
# Entering a form takes as long as so many operators.
_FORM_COST = 25
_MOST_STATES = 512
_PLAIN_FILTERS = {"None", "/FlateDecode", "/LZWDecode", "/ASCII85Decode", "/ASCIIHexDecode"}
BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)


class TooMuchError(Exception):
    """The page asks for more than the budget gives."""


@dataclass
class Budget:
    """What all pages of a file may ask for together."""

    operators: int = 3_000_000
    points: int = 6_000_000
    content_bytes: int = 300_000_000

    def take(self, **asked: int) -> None:
        for name, count in asked.items():
            left = getattr(self, name) - count
            setattr(self, name, left)
            if left < 0:
                raise TooMuchError


@dataclass
class State:
    """The graphics state, as far as it is kept."""

    ctm: Matrix
    clip: Box
    fill: Colour = BLACK
    stroke: Colour = BLACK
    fill_space: str = "/DeviceGray"
    stroke_space: str = "/DeviceGray"
    width: float = 1.0
    dash: tuple[float, ...] = ()
    font: Font | None = None
    size: float = 1.0
    spacing: float = 0.0
    word_spacing: float = 0.0
    stretch: float = 1.0
    leading: float = 0.0
    rise: float = 0.0
    mode: int = 0


class Painter:
    """Draws pages of one file; fonts are read once a file."""

    def __init__(self, budget: Budget | None = None) -> None:
        self.budget = budget or Budget()
        self._fonts: dict[Any, Font] = {}
        self._digests: dict[Any, str] = {}

    def page(self, page: Any) -> Drawing:
        """The drawing of a page dictionary (pikepdf)."""
        sheet = sheet_of(page)
        drawing = Drawing(sheet.width_mm, sheet.height_mm)
        try:
            _Run(self, drawing, sheet).page(page)
        except (TooMuchError, MemoryError):
            drawing.cut_short = "too_much"
        except Exception:
            # A damaged page fails in many ways; what was drawn until then counts.
            drawing.cut_short = "damaged"
        return drawing

    def font(self, raw: Any) -> Font:
        key = _key(raw)
        if key not in self._fonts:
            self._fonts[key] = Font(raw)
        return self._fonts[key]

    def digest(self, stream: Any) -> str:
        key = _key(stream)
        if key not in self._digests:
            raw = self._picture_bytes(stream)
            self.budget.take(content_bytes=len(raw))
            shape = [str(stream.get(name)) for name in ("/Width", "/Height", "/BitsPerComponent")]
            self._digests[key] = hashlib.sha256(raw + repr(shape).encode()).hexdigest()[:32]
        return self._digests[key]

    def _picture_bytes(self, stream: Any) -> bytes:
        """Packed anew it is the same picture, so that it is unpacked; what a camera packed is left as it is."""
        raw: bytes = stream.read_raw_bytes()
        filters = _filters(stream)
        if not set(filters) <= _PLAIN_FILTERS:
            return raw
        if (
            filters[:1] == ["/FlateDecode"]
            and len(_inflated(raw, self.budget.content_bytes)) >= self.budget.content_bytes
        ):
            return raw
        unpacked: bytes = stream.read_bytes()
        return unpacked

    def unpacked(self, stream: Any) -> bytes:
        """A content stream's bytes, no more than the budget has left."""
        most = self.budget.content_bytes
        if _filters(stream) == ["/FlateDecode"] and "/DecodeParms" not in stream:
            data = _inflated(stream.read_raw_bytes(), most + 1)
        else:
            data = stream.read_bytes()
        self.budget.take(content_bytes=len(data))
        return data


def _key(raw: Any) -> Any:
    """What tells one object of a file from another; one that is written in place, by what it says."""
    return raw.objgen if raw.is_indirect else raw.unparse()


def _filters(stream: Any) -> list[str]:
    filters = stream.get("/Filter")
    return [str(one) for one in filters] if is_array(filters) else [str(filters)]


def _inflated(raw: bytes, most: int) -> bytes:
    engine = zlib.decompressobj()
    try:
        return engine.decompress(raw, most)
    except zlib.error:
        # Cut or damaged: readers show what comes before the damage.
        return b"".join(_until_damage(raw, most))


def _until_damage(raw: bytes, most: int) -> Iterator[bytes]:
    engine = zlib.decompressobj()
    for i in range(0, len(raw), 512):
        try:
            yield engine.decompress(raw[i : i + 512], most)
        except zlib.error:
            return


class _Run:
    """One page on its way."""

    def __init__(self, painter: Painter, drawing: Drawing, sheet: Sheet) -> None:
        self.painter, self.drawing = painter, drawing
        self.state = State(sheet.matrix, (0.0, 0.0, sheet.width_mm, sheet.height_mm))
        self.states: list[State] = []
        self.layers: list[str | None] = []
        self.paths: list[tuple[list[Point], bool]] = []
        self.here: Point = (0.0, 0.0)
        self.clips = False
        self.text: Matrix = UNCHANGED
        self.line: Matrix = UNCHANGED
        self.acts = 0
        self.resources: Any = {}
        self.forms: list[Any] = []
        self._styles: dict[Any, Style] = {}

    def page(self, page: Any) -> None:
        self.resources = inherited(page, "/Resources") or {}
        contents = page.get("/Contents")
        if contents is None:
            return
        streams = list(contents) if is_array(contents) else [contents]
        self.run(b"\n".join(self.painter.unpacked(stream) for stream in streams))

    def run(self, data: bytes) -> None:
        acts, budget = _ACTS, self.painter.budget
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

    @property
    def layer(self) -> str:
        return next((layer for layer in reversed(self.layers) if layer is not None), "")

    # State

    def push(self, _: list[Any]) -> None:
        if len(self.states) < _MOST_STATES:
            self.states.append(replace(self.state))

    def pop(self, _: list[Any]) -> None:
        if self.states:
            self.state = self.states.pop()

    def concat(self, o: list[Any]) -> None:
        a, b, c, d, e, f = map(float, o[-6:])
        self.state.ctm = times((a, b, c, d, e, f), self.state.ctm)

    def width(self, o: list[Any]) -> None:
        self.state.width = float(o[-1])

    def dash(self, o: list[Any]) -> None:
        self.state.dash = tuple(float(one) for one in o[-2])

    def more_state(self, o: list[Any]) -> None:
        found = self.resource("/ExtGState", o[-1])
        if "/LW" in found:
            self.state.width = float(found["/LW"])
        if "/D" in found:
            self.state.dash = tuple(float(one) for one in found["/D"][0])
        if "/Font" in found:
            self.state.font = self.painter.font(found["/Font"][0])
            self.state.size = float(found["/Font"][1])

    def resource(self, kind: str, name: str) -> Any:
        return self.resources[kind]["/" + name]

    # Paths

    def move(self, o: list[Any]) -> None:
        self.here = at(self.state.ctm, float(o[-2]), float(o[-1]))
        self.paths.append(([self.here], False))

    def line_to(self, o: list[Any]) -> None:
        point = at(self.state.ctm, float(o[-2]), float(o[-1]))
        self.open_path().append(point)
        self.here = point

    def open_path(self) -> list[Point]:
        """The run that goes on from here; after a closed one a new one begins at the same point."""
        if not self.paths or self.paths[-1][1]:
            self.paths.append(([self.here], False))
        return self.paths[-1][0]

    def curve_to(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d, e, f = map(float, o[-6:])
        self.bend(at(m, a, b), at(m, c, d), at(m, e, f))

    def curve_from_here(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d = map(float, o[-4:])
        self.bend(self.here, at(m, a, b), at(m, c, d))

    def curve_to_end(self, o: list[Any]) -> None:
        m = self.state.ctm
        a, b, c, d = map(float, o[-4:])
        self.bend(at(m, a, b), at(m, c, d), at(m, c, d))

    def bend(self, p1: Point, p2: Point, p3: Point) -> None:
        points = curve(self.here, p1, p2, p3)
        self.painter.budget.take(points=len(points))
        self.open_path().extend(points)
        self.here = p3

    def close(self, _: list[Any]) -> None:
        if self.paths and not self.paths[-1][1]:
            points = self.paths[-1][0]
            if points[-1] != points[0]:
                points.append(points[0])
            self.paths[-1] = (points, True)
            self.here = points[0]

    def rectangle(self, o: list[Any]) -> None:
        x, y, w, h = map(float, o[-4:])
        m = self.state.ctm
        corners = [at(m, x, y), at(m, x + w, y), at(m, x + w, y + h), at(m, x, y + h), at(m, x, y)]
        self.here = corners[0]
        self.paths.append((corners, True))

    def clip(self, _: list[Any]) -> None:
        self.clips = True

    def paint(self, fill: bool, stroke: bool) -> None:
        paths, self.paths = self.paths, []
        self.acts += 1
        if fill:
            self.keep(paths, self.style("F"), filled=True)
        if stroke:
            self.keep(paths, self.style("S"), filled=False)
        if self.clips:
            self.clips = False
            points = [point for points, _ in paths for point in points]
            if points:
                self.state.clip = common(self.state.clip, box_of(points))

    def style(self, paint: str) -> Style:
        s = self.state
        if paint == "F":
            key: Any = ("F", s.fill, self.layer)
        else:
            key = ("S", s.stroke, s.width, s.dash, scale_of(s.ctm), self.layer)
        if key not in self._styles:
            scale = scale_of(s.ctm)
            self._styles[key] = (
                Style("F", s.fill, layer=self.layer)
                if paint == "F"
                else Style(
                    "S",
                    s.stroke,
                    round(abs(s.width) * scale, 3),
                    tuple(round(one * scale, 2) for one in s.dash if one >= 0) if any(s.dash) else (),
                    self.layer,
                )
            )
        return self._styles[key]

    def keep(self, paths: list[tuple[list[Point], bool]], style: Style, *, filled: bool) -> None:
        """The runs, as far as the clip lets them be seen. One that lies inside is kept whole."""
        clip = self.state.clip
        if clip[2] < clip[0] or clip[3] < clip[1]:
            return
        wide = grown(clip, EDGE_MM)
        for points, closed in paths:
            if len(points) < 2:
                continue
            self.painter.budget.take(points=len(points))
            around = box_of(points)
            if not all(abs(side) < FAR_MM for side in around) or apart(around, wide):
                continue
            whole = [*points, points[0]] if filled and points[0] != points[-1] else points
            if contains(clip, around):
                self.drawing.traces.append(Trace(style, whole, closed or whole[0] == whole[-1], self.acts))
            else:
                parts = (Trace(style, part, False, self.acts, clip) for part in _inside(whole, wide))
                self.drawing.traces.extend(parts)

    # Colours

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

    # Text

    def begin_text(self, _: list[Any]) -> None:
        self.text = self.line = UNCHANGED

    def choose_font(self, o: list[Any]) -> None:
        self.state.size = float(o[-1])
        raw = self.resource("/Font", o[-2])
        self.state.font = self.painter.font(raw)
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
        self.painter.budget.take(points=len(raw))
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

    # Layers, forms, pictures

    def begin_marked(self, o: list[Any]) -> None:
        layer: str | None = None
        if len(o) >= 2 and o[-2] == "OC" and isinstance(o[-1], str):
            try:
                layer = layer_name(self.resource("/Properties", o[-1]))
            except (KeyError, TypeError, ValueError):
                layer = None
        self.layers.append(layer)

    def end_marked(self, _: list[Any]) -> None:
        if self.layers:
            self.layers.pop()

    def use(self, o: list[Any]) -> None:
        thing = self.resource("/XObject", o[-1])
        kind = str(thing.get("/Subtype"))
        layer = layer_name(thing["/OC"]) if "/OC" in thing else None
        self.layers.append(layer)
        try:
            if kind == "/Image":
                self.picture(self.painter.digest(thing))
            elif kind == "/Form":
                self.form(thing)
        finally:
            self.layers.pop()

    def inline_picture(self, o: list[Any]) -> None:
        self.picture(o[-1])

    def picture(self, digest: str) -> None:
        m, clip = self.state.ctm, self.state.clip
        corners = (at(m, 0, 0), at(m, 1, 0), at(m, 1, 1), at(m, 0, 1))
        around = box_of(list(corners))
        if not apart(around, clip):
            self.drawing.pictures.append(Picture(digest, corners, self.layer))

    def form(self, form: Any) -> None:
        key = _key(form)
        if key in self.forms or len(self.forms) >= _MOST_FORMS_DEEP:
            return
        self.painter.budget.take(operators=_FORM_COST)
        kept = self.state, self.states, self.resources, self.text, self.line, self.paths, len(self.layers)
        self.state, self.states, self.paths = replace(self.state), [], []
        self.resources = form.get("/Resources") or self.resources
        self.forms.append(key)
        try:
            if "/Matrix" in form:
                self.concat([float(one) for one in form["/Matrix"]])
            if "/BBox" in form:
                x, y, r, t = (float(one) for one in form["/BBox"])
                corners = [at(self.state.ctm, *corner) for corner in ((x, y), (r, y), (r, t), (x, t))]
                self.state.clip = common(self.state.clip, box_of(corners))
            self.run(self.painter.unpacked(form))
        finally:
            self.forms.pop()
            self.state, self.states, self.resources, self.text, self.line, self.paths, deep = kept
            del self.layers[deep:]


def layer_name(group: Any) -> str | None:
    """The name of an optional content group, or of the groups of a membership."""
    if not has_keys(group):
        return None
    if "/Name" in group:
        return str(group["/Name"])
    groups = group.get("/OCGs", group.get("/VE"))
    names = list(_group_names(groups, 0))
    return ", ".join(dict.fromkeys(names)) if names else None


def _group_names(groups: Any, deep: int) -> Iterator[str]:
    """The names of groups, or of those in an expression such as [/Or group [/Not group]]."""
    if is_array(groups) and deep < _MOST_FORMS_DEEP:
        for one in groups:
            yield from _group_names(one, deep + 1)
    elif has_keys(groups) and "/Name" in groups:
        yield str(groups["/Name"])


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


def _inside(points: list[Point], clip: Box) -> list[list[Point]]:
    """The parts of a run that lie in a box."""
    parts: list[list[Point]] = []
    for a, b in itertools.pairwise(points):
        part = within(a, b, clip)
        if part is None:
            continue
        if parts and parts[-1][-1] == part[0]:
            parts[-1].append(part[1])
        else:
            parts.append([part[0], part[1]])
    return parts


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
