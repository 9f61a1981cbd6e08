"""PDFs over the bare engine on the same page; whole rounds counted and read."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from lib.bench_figures import Figure, interleaved, over
from lib.bench_world import World


def papers(*, full: bool) -> list[Figure]:
    from releases.paper import PAPERS
    from releases.table_document import tables_pdf
    from testing_rounds.summary_document import summary_pdf

    world = World()
    found, many = world.round(40), world.round(400)
    paper = PAPERS["a4"]
    made: dict[str, Callable[[], bytes]] = {
        "measurement tables": lambda: tables_pdf(found.version, paper),
        "fit-issue summary": lambda: summary_pdf(found, paper),
        "fit-issue summary of 400 reports": lambda: summary_pdf(many, paper),
    }
    rounds, figures = 5 if full else 3, []
    for name, call in made.items():
        times = interleaved({"ours": call, "bare": partial(_bare_pdf, *_caught(call))}, rounds=rounds)
        ratio, came = over("ours", "bare", times)
        figures.append(Figure(f"{name}, over bare WeasyPrint", ratio, bar=1.2, came=came))
        if name != "measurement tables":
            bar = 1_000 if "400" not in name else 1_070
            figures.append(Figure(f"{name}, CPU", times["ours"], "ms", bar=bar))
    return figures


def _caught(call: Callable[[], bytes]) -> tuple[str, str, Any]:
    """The finished page that a document is made from: its HTML, its size, its pictures."""
    from releases import paper
    from releases import table_document as tables
    from testing_rounds import summary_document as summary

    caught: list[tuple[str, str, Any]] = []
    real = paper.write_pdf

    def write_pdf(html: str, *, size: str, pictures: Any = None, tell: Any = None) -> bytes:
        caught.append((html, size, pictures))
        return real(html, size=size, pictures=pictures, tell=tell)

    places = [module for module in (paper, tables, summary) if hasattr(module, "write_pdf")]
    for module in places:
        module.write_pdf = write_pdf  # type: ignore[attr-defined]
    try:
        call()
    finally:
        for module in places:
            module.write_pdf = real  # type: ignore[attr-defined]
    return caught[0]


def _bare_pdf(html: str, size: str, pictures: Any) -> bytes:
    """The same page by the engine alone, its fonts and style sheet ready, as ours are after the first document."""
    import weasyprint

    from releases import paper

    fonts, style = paper._fonts_and_style()
    page = weasyprint.CSS(string=f"@page{{size:{size}}}", font_config=fonts)
    document = weasyprint.HTML(string=html, base_url=paper._BASE, url_fetcher=paper._fetcher(pictures or {}))
    return bytes(
        document.write_pdf(stylesheets=[style, page], font_config=fonts, pdf_variant="pdf/ua-1", pdf_tags=True)
    )
