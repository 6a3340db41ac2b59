"""What the money side says when a price cannot be made."""

from __future__ import annotations

from billets.physics.errors import Refusal


class QuoteError(Refusal):
    """The price cannot be made as asked; for a rate, ``field`` is its key."""
