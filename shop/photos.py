"""Photos of knives: kept, marked for the customer, taken back.

The files lie in a folder of their own, each under the hash of its bytes. A photo that
is taken back stays as a row; nobody is shown it any more, and its files go unless the
same picture was added another time.
"""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Iterable, Sequence
from pathlib import Path

from django.conf import settings
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from shop import kept_files, written
from shop.models import Knife, Order, Photo
from shop.picture_worker import SMALL, fitted
from shop.pictures_in import Picture
from shop.services import hold_shop
from shop.templatetags.shop_words import day

NAME_BYTES = 16
"""Random bytes of a name, which become 22 letters of an address."""


# --- keeping ---------------------------------------------------------------------


def keep(pictures: Iterable[Picture]) -> None:
    """Write the files of pictures to disk; before the transaction that names them."""
    for one in pictures:
        kept_files.keep(folder(), one.large)
        kept_files.keep(folder(), one.small)


def names_of(pictures: Iterable[Picture]) -> set[str]:
    """Return the names of the files of pictures."""
    both = (body for one in pictures for body in (one.large, one.small))
    return {kept_files.name_of(body) for body in both}


@transaction.atomic
def add(
    knife: Knife,
    pictures: Sequence[Picture],
    *,
    note: str,
    by: User | None,
    at: dt.datetime,
) -> list[Photo]:
    """Add pictures to a knife, all or none, at the stage it stands at now."""
    hold_shop()
    stage = Knife.objects.values_list("stage", flat=True).get(pk=knife.pk)
    return [
        Photo.objects.create(
            knife=knife, stage=stage, name=secrets.token_urlsafe(NAME_BYTES),
            # Kept once more, for free: in between somebody may have swept it away.
            sha256=kept_files.keep(folder(), one.large),
            small_sha256=kept_files.keep(folder(), one.small),
            width=one.width, height=one.height, note=note, by=by, at=at,
        )
        for one in pictures
    ]  # fmt: skip


def mark(photo: Photo, *, shown: bool, final: bool) -> None:
    """Say whether the customer may see a photo, and whether it goes with the balance.

    One that was taken back in the meantime stays as it is.
    """
    still = Photo.objects.filter(pk=photo.pk, taken_back=None)
    still.update(shown=shown, final=final)


@transaction.atomic
def take_back(photo: Photo, *, by: User | None, at: dt.datetime) -> None:
    """Take a photo back for good; StageError if that was done already."""
    written.take_back(photo, by=by, at=at)
    names = (photo.sha256, photo.small_sha256)
    transaction.on_commit(lambda: sweep(names))


@transaction.atomic
def sweep(names: Iterable[str]) -> None:
    """Delete those of some files that no photo names which is still there."""
    hold_shop()
    asked = set(names)
    rows = Photo.objects.filter(
        Q(sha256__in=asked) | Q(small_sha256__in=asked), taken_back=None
    )
    still = {name for row in rows.values_list("sha256", "small_sha256") for name in row}
    for name in asked - still:
        kept_files.drop(folder(), name)


# --- reading ---------------------------------------------------------------------


def folder() -> Path:
    """Return where the files of photos are."""
    return Path(settings.PHOTO_DIR)


def kept_of(knife: Knife) -> QuerySet[Photo]:
    """Return the photos of a knife that were not taken back, newest first."""
    known = Photo.objects.filter(knife=knife, taken_back=None)
    return known.select_related("by", "knife").order_by("-pk")


def shown_to_customer(order: Order) -> QuerySet[Photo]:
    """Return the rows of the photos an order's customer may see, newest first."""
    known = Photo.objects.filter(knife__order=order, shown=True, taken_back=None)
    return known.select_related("knife").order_by("-pk")


def read_large(photo: Photo) -> bytes:
    """Return the large picture; DamagedFileError if it is not there any more."""
    return _read(photo, photo.sha256)


def read_small(photo: Photo) -> bytes:
    """Return the small picture; DamagedFileError if it is not there any more."""
    return _read(photo, photo.small_sha256)


def _read(photo: Photo, name: str) -> bytes:
    if photo.taken_back:
        raise kept_files.DamagedFileError(name)
    return kept_files.read(folder(), name)


def small_size(photo: Photo) -> tuple[int, int]:
    """Return width and height of the small picture [px]."""
    return fitted((photo.width, photo.height), SMALL)


def called(photo: Photo) -> str:
    """Say what a photo shows, for whoever cannot see it."""
    unnamed = _("Photo of {knife}, {day}")
    return photo.note or unnamed.format(knife=photo.knife.name, day=day(photo.at))


def file_name(photo: Photo, size: str) -> str:
    """Return a name for a photo's file: letters, digits, hyphens, underscores."""
    small = "-small" if size == "small" else ""
    return f"photo-{photo.knife.serial}-{photo.name[:8]}{small}.jpg"
