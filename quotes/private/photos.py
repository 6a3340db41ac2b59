"""What the private page shows of the making: photos the shop has marked for it."""

from __future__ import annotations

from dataclasses import dataclass

from django.urls import reverse
from django.utils import timezone

from quotes.wording import long_day
from shop import photos
from shop.models import Order, Photo

MOST_SHOWN = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoShown:
    """A photo: where its two pictures are, and what is said of it.

    Attributes
    ----------
    small, large : str
        Addresses.
    width, height : int
        Of the small picture [px].
    called : str
        What it shows, for whoever cannot see it.
    note, day : str
        What stands below it.
    """

    small: str
    large: str
    width: int
    height: int
    called: str
    note: str
    day: str


def photos_shown(order: Order) -> tuple[PhotoShown, ...]:
    """Return the newest photos that an order's customer may see."""
    return tuple(map(_shown, photos.shown_to_customer(order)[:MOST_SHOWN]))


def _shown(photo: Photo) -> PhotoShown:
    small, large = (
        reverse("private-photo", args=[photo.name, size]) for size in ("small", "large")
    )
    width, height = photos.small_size(photo)
    return PhotoShown(
        small=small, large=large, width=width, height=height,
        called=photos.called(photo), note=photo.note,
        day=long_day(timezone.localdate(photo.at)),
    )  # fmt: skip
