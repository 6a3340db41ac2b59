"""What is promised on paper: drafted, then frozen when issued, never changed after."""

from quotes.models.draft import Extra, QuoteDraft, Variant
from quotes.models.invoices import DeductedAdvance, Invoice, InvoiceLine
from quotes.models.issued import Paper, Quote, QuoteAnswer, QuoteLine, QuoteOption
from quotes.models.mail import Mail

__all__ = [
    "DeductedAdvance",
    "Extra",
    "Invoice",
    "InvoiceLine",
    "Mail",
    "Paper",
    "Quote",
    "QuoteAnswer",
    "QuoteDraft",
    "QuoteLine",
    "QuoteOption",
    "Variant",
]
