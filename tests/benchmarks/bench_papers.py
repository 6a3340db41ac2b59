"""How much a paper costs beside the layout itself. Not collected; call it by name:

    .venv/bin/python -m pytest tests/benchmarks/bench_papers.py --benchmark-only

Figure to reach for build sheet and quote, warm: at most 1.3 times WeasyPrint alone on
the same HTML. Both are timed in turns in one run, so that the ratio does not move with
the machine.
"""

from statistics import median
from time import perf_counter

import pytest
from django.utils import timezone

from quotes import documents, pdf
from quotes.offer.sentences import Dates
from quotes.pricing import price_order
from quotes.sheets import documents as sheet_documents
from quotes.sheets.sheet import sheet_of
from shop.models import Shop
from tests.factories import moment
from tests.quotes.orders import drafted, ready_order, ready_shop
from tests.quotes.sheets import at_the_bench, found

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.skipif(not pdf.available(), reason="Pango is missing"),
]
TURNS = 12


def ratio(whole, alone):
    """Time two things in turns and return how many times the second the first is."""
    times = {whole: [], alone: []}
    for turn in range(TURNS + 1):
        for one, taken in times.items():
            started = perf_counter()
            one()
            if turn:  # the first of each warms up
                taken.append(perf_counter() - started)
    return median(times[whole]) / median(times[alone])


def test_build_sheet(benchmark):
    knife, shop = at_the_bench(), Shop.current()
    stamp = sheet_documents.Stamp(revision=1, printed=moment())

    def whole():
        return sheet_documents.print_sheet(sheet_of(found(knife), shop), stamp)

    html = sheet_documents.sheet_html(sheet_of(found(knife), shop), stamp)
    times = ratio(
        whole, lambda: pdf.render(html, sheet_documents.STYLES, variant="pdf/ua-1")
    )
    benchmark.extra_info["times WeasyPrint alone"] = round(times, 3)
    benchmark.pedantic(whole, rounds=TURNS)
    assert times <= 1.3


def test_quote(benchmark):
    ready_shop()
    order, shop = ready_order("First", "Second"), Shop.current()
    drafted(
        order, discount_percent=5, extras=(("sheath", "61.50"), ("shipping", "14.90")),
        options=(("Ash", {"handle_material": "ash"}),),
    )  # fmt: skip
    day = timezone.localdate()
    dates = Dates(issued_at=moment(), valid_until=day)

    def paper():
        return documents.quote_paper(price_order(order, day), shop, 1, dates)

    html = documents.quote_html(paper())
    times = ratio(
        lambda: documents.quote_pdf(paper()),
        lambda: pdf.render(html, documents.STYLES, variant="pdf/ua-1"),
    )
    benchmark.extra_info["times WeasyPrint alone"] = round(times, 3)
    benchmark.pedantic(lambda: documents.quote_pdf(paper()), rounds=TURNS)
    assert times <= 1.3
