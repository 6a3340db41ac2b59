"""A knife at the bench with its billet, and what its paper holds, for tests."""

import io
import logging
import re
import shutil
import subprocess
from dataclasses import asdict

import pypdf
import pytest

from billets.physics.knife_spec import default_spec
from quotes import pdf
from quotes.sheets.documents import Stamp, print_sheet
from quotes.sheets.sheet import sheet_of
from shop import services
from shop.models import Knife, Shop
from tests.factories import KnifeFactory, OrderFactory, PlanFactory, moment

POINTS = 72 / 25.4
"""Points of a PDF in a millimetre: 1/72 inch (ISO 32000-1, from memory)."""

needs_pango = pytest.mark.skipif(not pdf.available(), reason="Pango is missing")
needs_pdftoppm = pytest.mark.skipif(
    not shutil.which("pdftoppm"), reason="pdftoppm (poppler-utils) is missing"
)


def family_values(key, length=None):
    """Return what a knife of a family is usually asked for as."""
    values = asdict(default_spec(key, length))
    del values["steel_density"]
    return values | {"ferrule": values["ferrule"] or ""}


def at_the_bench(*, customer="Tilda Grauwacke", promised_week=None, **values):
    """Return a knife of an accepted order, alone on its billet."""
    order = OrderFactory(customer__name=customer, promised_week=promised_week)
    knife = KnifeFactory(order=order, **values)
    services.assign_plan(knife, PlanFactory())
    order.state = "quoted"
    order.save()
    services.start_work(order, by=None, at=moment())
    return found(knife)


def found(knife):
    return Knife.objects.for_list().get(pk=knife.pk)


def saved_shop(**values):
    return services.save_shop(Shop.current(), values)


def sheet_for(knife, **shop):
    return sheet_of(found(knife), saved_shop(**shop) if shop else Shop.current())


def printed(sheet, revision=1, at=None):
    return print_sheet(sheet, Stamp(revision=revision, printed=at or moment())).body


def reader_of(body):
    return pypdf.PdfReader(io.BytesIO(body))


def text_in(body):
    """Return a PDF's text in one line, no-break spaces as spaces."""
    pages = (page.extract_text() for page in reader_of(body).pages)
    return " ".join(" ".join(pages).replace("\u00a0", " ").split())


def page_sizes(body):
    """Return width and height of each page [mm]."""
    return [
        (float(page.mediabox.width) / POINTS, float(page.mediabox.height) / POINTS)
        for page in reader_of(body).pages
    ]


def paths_on(page):
    """Return the corners of every path drawn on a page, each in points on paper."""
    paths, corners = [], []

    def visit(operator, operands, matrix, _text):
        nonlocal corners
        if operator == b"m":
            corners = []
            paths.append(corners)
        if operator in (b"m", b"l"):
            x, y = (float(one) for one in operands)
            a, b, c, d, e, f = matrix
            corners.append((a * x + c * y + e, b * x + d * y + f))

    page.extract_text(visitor_operand_before=visit)
    return paths


def raster(body, page, folder, dots=300):
    """Return a page as rows of grey values, drawn by poppler."""
    (folder / "sheet.pdf").write_bytes(body)
    done = subprocess.run(
        ["pdftoppm", "-r", str(dots), "-gray", "-f", str(page), "-l", str(page),
         str(folder / "sheet.pdf")],
        capture_output=True, check=True,
    )  # fmt: skip
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", done.stdout)
    wide, high = int(head[1]), int(head[2])
    dots_of = done.stdout[head.end() :]
    return [dots_of[row * wide : (row + 1) * wide] for row in range(high)]


def quiet_weasyprint(caplog):
    """Listen to everything WeasyPrint says of a paper."""
    caplog.set_level(logging.WARNING, logger="weasyprint")
    return caplog
