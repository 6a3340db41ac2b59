"""Pieces of paper printed into one PDF and read back; for a process of its own."""

import io
import re

from pypdf import PdfReader

from quotes import pdf

NO_FEET = """<style>@page {
@bottom-left { content: none !important } @bottom-right { content: none !important }
}</style>"""


def read_back(pieces):
    """The text of each piece of a page, out of the PDF they are printed into."""
    body = "".join(f"<h2>Piece here</h2>{piece}" for piece in pieces)
    page = f'<!doctype html><html lang="en"><head><title>Prices</title>{NO_FEET}'
    page = f'{page}</head><body class="paper">{body}</body></html>'
    printed = PdfReader(io.BytesIO(pdf.render(page, ("paper.css",))))
    text = "\n".join(sheet.extract_text() for sheet in printed.pages)
    return re.split(r"Piece\s+here", text)[1:]
