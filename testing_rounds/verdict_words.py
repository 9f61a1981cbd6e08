"""The five answers on a zone in words, and the change that each of its two words asks for.

The words of the trade's zones are written out, so that they read as one would say them; a zone of a studio's own
gets its word with "a bit" or "very".
"""

from __future__ import annotations

from collections.abc import Mapping

from measurements.sentences import gettext_noop

_ = gettext_noop

FITS = _("fits")
# {pole: (slight, strong)}.
_GRADES: dict[str, tuple[str, str]] = {
    "tight": (_("a bit tight"), _("much too tight")),
    "loose": (_("a bit loose"), _("much too loose")),
    "short": (_("a bit short"), _("much too short")),
    "long": (_("a bit long"), _("much too long")),
    "narrow": (_("a bit narrow"), _("much too narrow")),
    "wide": (_("a bit wide"), _("much too wide")),
    "high": (_("a bit high"), _("much too high")),
    "low": (_("a bit low"), _("much too low")),
    "gaping": (_("gapes a bit"), _("gapes a lot")),
    "pulls": (_("pulls a bit"), _("pulls a lot")),
    "puckers": (_("puckers a bit"), _("puckers a lot")),
    "back": (_("a bit too far back"), _("much too far back")),
    "forward": (_("a bit too far forward"), _("much too far forward")),
}
OWN_WORD = (_("%(word)s, a bit"), _("%(word)s, much"))
# {pole: what one would do about it}.
_CHANGES: dict[str, str] = {
    "tight": _("I would let it out by"),
    "loose": _("I would take it in by"),
    "short": _("I would lengthen it by"),
    "long": _("I would shorten it by"),
    "narrow": _("I would widen it by"),
    "wide": _("I would narrow it by"),
    "high": _("I would lower it by"),
    "low": _("I would raise it by"),
    "gaping": _("I would take it in by"),
    "back": _("I would move it forward by"),
    "forward": _("I would move it back by"),
}
CHANGE = _("I would change it by")


def grade(pole: str, strength: int) -> tuple[str, Mapping[str, str]]:
    """A template and its values for one word at strength 1 (slight) or 2 (strong)."""
    if pole in _GRADES:
        return _GRADES[pole][strength - 1], {}
    return OWN_WORD[strength - 1], {"word": pole}


def change_for(pole: str) -> str:
    """The words before the amount by which one would change the zone."""
    return _CHANGES.get(pole, CHANGE)
