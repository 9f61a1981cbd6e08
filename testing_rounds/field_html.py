"""One field of a tester's page as HTML. Written in Python: a page has up to thirty, and a template takes six times as
long for each."""

from __future__ import annotations

from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from testing_rounds.tester_forms import Shown, Words


def field_html(f: Shown) -> SafeString:
    """The field with its label, its hint, the one sentence beside it, and what stands (for a page without script)."""
    body = _tick(f) if f.kind == "tick" else _picks(f) if f.kind == "choice" and f.layout != "select" else _typed(f)
    beside = "beside error" if f.error else "beside ask" if f.ask else "beside"
    html = (
        f'<div class="field f-{f.kind}{" wrong" if f.error else ""}" data-field="{f.name}">\n{body}\n'
        f'<p class="{beside}" id="{f.id}-beside" aria-live="polite">{esc(f.answer)}</p>\n'
        f'<input type="hidden" name="was.{f.name}" value="{esc(f.stands)}">\n</div>'
    )
    return mark_safe(html)  # noqa: S308  (every text went through esc; names and ids are the app's own)


def esc(words: Words) -> str:
    return conditional_escape(str(words))


def _tick(f: Shown) -> str:
    hint = f'<span class="hint"> {esc(f.hint)}</span>' if f.hint else ""
    return (
        f'<label class="choice" for="{f.id}"><input type="checkbox" name="{f.name}" id="{f.id}" value="yes"'
        f"{' checked' if f.value else ''}><span>{esc(f.label)}{hint}</span></label>"
    )


def _picks(f: Shown) -> str:
    hint = f'<p class="hint">{esc(f.hint)}</p>' if f.hint else ""
    choices = "".join(
        f'<label><input type="radio" name="{f.name}" value="{esc(value)}"{" checked" if value == f.value else ""}>'
        f"{f'<b>{esc(value)}</b>' if f.layout == 'scale' else ''}<span>{esc(label)}</span></label>"
        for value, label in f.choices
    )
    return (
        f'<fieldset><legend class="lab">{esc(f.label)}</legend>{hint}\n'
        f'<div class="{f.layout or "row"}-choice">{choices}</div></fieldset>'
    )


def _typed(f: Shown) -> str:
    need = f' <span class="need">{esc(_("needed"))}</span>' if f.required else ""
    hint = f'<p class="hint" id="{f.id}-hint">{esc(f.hint)}</p>\n' if f.hint else ""
    makers = {"choice": _select, "words": _words, "length": _length}
    return f'<label for="{f.id}">{esc(f.label)}{need}</label>\n{hint}{makers.get(f.kind, _line)(f)}'


def _select(f: Shown) -> str:
    options = "".join(
        f'<option value="{esc(value)}"{" selected" if value == f.value else ""}>{esc(label)}</option>'
        for value, label in f.choices
    )
    return f'<select name="{f.name}" id="{f.id}">{options}</select>'


def _words(f: Shown) -> str:
    return (
        f'<textarea name="{f.name}" id="{f.id}" rows="3" placeholder=" " maxlength="{f.most}"{_said(f)}>'
        f"{esc(f.value)}</textarea>"
    )


def _length(f: Shown) -> str:
    return (
        f'<span class="measure"><input type="text" inputmode="{f.keypad}" autocomplete="off" name="{f.name}" '
        f'id="{f.id}" value="{esc(f.value)}" maxlength="{f.most}"{_said(f)}>'
        f'<span class="unit" id="{f.id}-unit">{esc(f.unit)}</span></span>'
    )


def _line(f: Shown) -> str:
    kind = "date" if f.kind == "date" else "text"
    pad = ' inputmode="decimal"' if f.kind == "number" else ""
    most = f' maxlength="{f.most}"' if f.kind != "date" else ""
    start = f'<input type="{kind}"{pad} name="{f.name}" id="{f.id}" value="{esc(f.value)}"{most}'
    return f'{start} autocomplete="off"{_said(f)}>'


def _said(f: Shown) -> str:
    """What is read out with the field."""
    ids = [f"{f.id}-hint"] if f.hint else []
    ids += [f"{f.id}-unit"] if f.kind == "length" else []
    wrong = ' aria-invalid="true"' if f.error else ""
    return f'{wrong} aria-describedby="{" ".join([*ids, f"{f.id}-beside"])}"'
