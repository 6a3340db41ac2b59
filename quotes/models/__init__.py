"""What is promised on paper: drafted, then frozen when issued, never changed after."""

from quotes.models.draft import Extra, QuoteDraft, Variant
from quotes.models.issued import Paper, Quote, QuoteAnswer, QuoteLine, QuoteOption

__all__ = [
    "Extra",
    "Paper",
    "Quote",
    "QuoteAnswer",
    "QuoteDraft",
    "QuoteLine",
    "QuoteOption",
    "Variant",
]
