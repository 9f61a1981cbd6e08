"""French is complete: every text of the sources, with its places and tags; what the app reads is made of it."""

from __future__ import annotations

import pytest

from lib import messages
from lib.messages import Msg, wrong_with

FOUND = messages.sources()


@pytest.mark.parametrize("language", messages.TRANSLATED)
def test_every_text_is_translated(language):
    """bin/messages brings the catalogue up to date and tells what is left to do."""
    assert messages.faults(language, FOUND) == []


@pytest.mark.parametrize("language", [*messages.TRANSLATED, messages.US])
def test_what_the_app_reads_is_what_the_catalogue_says(language):
    texts, _doubtful = messages.read(language)
    wanted = messages.us_texts(FOUND) if language == messages.US else messages.merged(FOUND, texts)
    assert messages.po_path(language).read_text(encoding="utf-8") == messages.po_text(language, wanted)
    assert messages.po_path(language).with_suffix(".mo").read_bytes() == messages.mo_bytes(language, wanted)


@pytest.mark.parametrize(
    ("msg", "said"),
    [
        (Msg("Saved."), ("",)),
        (Msg("%(n)s mm"), ("%(m)s mm",)),
        (Msg("100 %%"), ("100 %",)),
        (Msg("<b>Now</b>"), ("Maintenant",)),
        (Msg("of {n}"), ("de",)),
        (Msg("%(n)s size", "%(n)s sizes"), ("%(n)s taille", "tailles")),
        (Msg("%(n)s size", "%(n)s sizes"), ("%(n)s taille",)),
    ],
)
def test_a_translation_that_cannot_stand_is_found(msg, said):
    assert wrong_with(msg, said)


def test_texts_are_found_wherever_they_stand():
    module = 'a = _("x" "y") if b else gettext_noop("z" if c else "w"); d = npgettext("of", "one", "many", n)'
    assert set(messages.of_module(module)) == {Msg("xy"), Msg("z"), Msg("w"), Msg("one", "many", "of")}
    counted = "{% blocktranslate trimmed count n=k %}one {{ n }}%\n{% plural %}{{ n }}{% endblocktranslate %}"
    page = "<p>it's {% translate 'a' context 'of' %}" + counted
    assert set(messages.of_template(page)) == {Msg("a", "", "of"), Msg("one %(n)s%%", "%(n)s")}
