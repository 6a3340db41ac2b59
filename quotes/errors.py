"""What the money side says when a price cannot be made."""

from __future__ import annotations


class QuoteError(ValueError):
    """The price cannot be made as asked; ``field`` is the input to change.

    ``message`` is constant text with named placeholders, marked for translation;
    ``values`` fills them. For a rate, ``field`` is the key of the rate.
    """

    def __init__(
        self, message: str, *, field: str | None = None, **values: object
    ) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.values = values
