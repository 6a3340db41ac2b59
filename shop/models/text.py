"""Texts as the search keeps and finds them."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models


def folded(*texts: str) -> str:
    """Return texts as the search compares them: case folded, ß as ss."""
    return " ".join(_clean(texts)).casefold()


def _clean(texts: Iterable[str]) -> Iterable[str]:
    return (text for text in texts if text)


def holding(rows: models.QuerySet[Any], words: str) -> models.QuerySet[Any]:
    """Return the rows in whose folded text every one of some words stands."""
    for word in folded(words).split():
        rows = rows.filter(folded__contains=word)
    return rows
