"""The photos of a message: which can be ticked, how many and how large they may be."""

from __future__ import annotations

from collections.abc import Iterable

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from shop import photos
from shop.kept_files import DamagedFileError
from shop.models import Order, Photo

WITH_PHOTOS = frozenset({"balance", "progress"})
"""Kinds of message that photos go with."""

MOST_PHOTOS = 10
MOST_BYTES = 8_000_000
"""In all; on its way a message is a third larger, and many boxes take no more."""

MEGABYTE = 1_000_000


def photos_for(order: Order, kind: str) -> QuerySet[Photo]:
    """Return the photos a message may take along, newest first."""
    if kind not in WITH_PHOTOS:
        return Photo.objects.none()
    of_order = Photo.objects.filter(knife__order=order, taken_back=None)
    meant = of_order.filter(Q(shown=True) | Q(final=True))
    return meant.select_related("knife").order_by("-pk")


def too_much(chosen: Iterable[Photo]) -> str:
    """Return why photos cannot go with a message; empty if they can."""
    ticked = list(chosen)
    if len(ticked) > MOST_PHOTOS:
        return _(
            "{count} photos are ticked; a message takes {most}. Untick some, or send "
            "them with another message."
        ).format(count=len(ticked), most=MOST_PHOTOS)
    try:
        size = sum(len(photos.read_large(one)) for one in ticked)
    except DamagedFileError:
        return _("The file of one of these photos is missing or damaged: untick it.")
    if size > MOST_BYTES:
        return _(
            "These photos have {size} megabytes; a message takes {most}. Untick some, "
            "or send them with another message."
        ).format(size=-(-size // MEGABYTE), most=MOST_BYTES // MEGABYTE)
    return ""
