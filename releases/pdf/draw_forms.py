"""Layers, forms and pictures: content within content (ISO 32000-1, 8.8 to 8.11)."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from releases.pdf.canvas import Canvas
from releases.pdf.geometry import apart, at, box_of, common
from releases.pdf.kinds import has_keys, is_array
from releases.pdf.marks import Drawing, Picture
from releases.pdf.parts import Parts, key_of
from releases.pdf.sheet import Sheet

_MOST_FORMS_DEEP = 16
# Entering a form takes as long as so many operators.
_FORM_COST = 25


class FormCanvas(Canvas, ABC):
    def __init__(self, parts: Parts, drawing: Drawing, sheet: Sheet) -> None:
        super().__init__(parts, drawing, sheet)
        self.forms: list[Any] = []

    @abstractmethod
    def run(self, data: bytes) -> None:
        """Follow the operators of some content."""

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
                self.picture(self.parts.digest(thing))
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
        key = key_of(form)
        if key in self.forms or len(self.forms) >= _MOST_FORMS_DEEP:
            return
        self.parts.budget.take(operators=_FORM_COST)
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
            self.run(self.parts.unpacked(form))
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
