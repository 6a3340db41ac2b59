"""A paper as a file: its name, what kind of file it is."""

from __future__ import annotations

from quotes.models import Paper

TYPES = {"pdf": "application/pdf", "html": "text/html; charset=utf-8"}


def file_name(paper: Paper) -> str:
    """Return a name for a paper's file, of letters, digits and hyphens.

    The numbers of orders and knives hold nothing else.
    """
    of = paper.knife.serial if paper.knife else paper.order.number
    return f"{paper.kind}-{of}-r{paper.revision}.{paper.media}"
