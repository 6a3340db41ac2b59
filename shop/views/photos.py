"""Photos of a knife: added by everybody of the shop, marked by the owner."""

from __future__ import annotations

from functools import partial
from typing import cast

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
    require_safe,
)

from billets.idempotency import key_of, once, sent_before
from billets.messages import sentence
from shop import photos
from shop.context import may_see_prices
from shop.forms.photos import PhotosForm
from shop.kept_files import DamagedFileError
from shop.models import Knife, Photo
from shop.stages import StageError
from shop.uploads import was_cut
from shop.views.common import for_owner, system_of, user_of
from shop.views.knives import knife_or_404

READ = {"small": photos.read_small, "large": photos.read_large}
"""How a picture is read, by the word for its size in an address."""

PICTURE_POLICY = "sandbox; default-src 'none'"


@require_http_methods(["GET", "POST"])
def photos_page(request: HttpRequest, serial: str) -> HttpResponse:
    """Show the photos of a knife, and take in more."""
    knife = knife_or_404(serial)
    if request.method != "POST":
        return _page(request, knife, PhotosForm())
    cut = was_cut(request)
    if sent_before(request) and not cut:  # so that no picture is made twice
        return once(request, knife.get_absolute_url)
    form = PhotosForm(request.POST, request.FILES, cut=cut)
    if not form.is_valid():
        return _page(request, knife, form)
    pictures = form.cleaned_data["pictures"]
    photos.keep(pictures)
    try:
        return once(request, partial(_add, request, knife, form))
    finally:  # where it came to nothing, its files lie about
        photos.sweep(photos.names_of(pictures))


def _add(request: HttpRequest, knife: Knife, form: PhotosForm) -> str:
    added = photos.add(
        knife, form.cleaned_data["pictures"], note=form.cleaned_data["note"],
        by=user_of(request), at=timezone.now(),
    )  # fmt: skip
    kept = ngettext("{count} photo is kept.", "{count} photos are kept.", len(added))
    messages.success(request, kept.format(count=len(added)))
    return reverse("photos", args=[knife.serial])


def _page(request: HttpRequest, knife: Knife, form: PhotosForm) -> HttpResponse:
    mine, owns = user_of(request).pk, may_see_prices(request)
    context = {
        "knife": knife,
        "form": form,
        "photos": [
            {
                "photo": one,
                "called": photos.called(one),
                "size": photos.small_size(one),
                "may_take_back": owns or one.by_id == mine,
            }
            for one in photos.kept_of(knife)
        ],
        "form_key": key_of(request),
    }
    return render(request, "shop/photos.html", context)


@for_owner
@require_POST
def photos_marks(request: HttpRequest, serial: str) -> HttpResponse:
    """Mark which photos the customer may see, and which go with the balance."""
    return once(request, partial(_mark, request, knife_or_404(serial)))


def _mark(request: HttpRequest, knife: Knife) -> str:
    """Mark what stood on the page; a photo added since then stays as it is."""
    seen, shown, final = (
        set(request.POST.getlist(name)) for name in ("seen", "shown", "final")
    )
    for photo in photos.kept_of(knife):
        if photo.name in seen:
            photos.mark(photo, shown=photo.name in shown, final=photo.name in final)
    messages.success(request, _("The marks are saved."))
    return reverse("photos", args=[knife.serial])


@require_POST
def photo_back(request: HttpRequest, name: str) -> HttpResponse:
    """Take a photo back: whoever added it may, and the owner."""
    photo = get_object_or_404(Photo.objects.select_related("knife"), name=name)
    if photo.by_id != user_of(request).pk and not may_see_prices(request):
        raise PermissionDenied
    try:
        return once(request, partial(_take_back, request, photo))
    except StageError as error:
        messages.error(request, sentence(error, system_of(request)))
        return redirect("photos", photo.knife.serial)


def _take_back(request: HttpRequest, photo: Photo) -> str:
    photos.take_back(photo, by=user_of(request), at=timezone.now())
    messages.success(request, _("The photo is taken back; nobody sees it any more."))
    return reverse("photos", args=[photo.knife.serial])


@require_safe
def photo_file(request: HttpRequest, name: str, size: str) -> HttpResponse:
    """Give a picture to whoever is signed in."""
    known = Photo.objects.filter(taken_back=None).select_related("knife")
    photo = get_object_or_404(known, name=name)
    try:
        return picture_answer(request, photo, size)
    except DamagedFileError:
        return render(request, "shop/photo_damaged.html", {"photo": photo}, status=500)


def picture_answer(request: HttpRequest, photo: Photo, size: str) -> HttpResponse:
    """Return a picture's bytes as nothing but a picture; DamagedFileError without.

    A browser may keep it, and asks each time whether it may still show it.
    """
    body, name = READ[size](photo), photos.file_name(photo, size)
    tag = f'"{photo.name}-{size}"'
    answer = HttpResponse(
        body,
        headers={
            "Content-Type": "image/jpeg",
            "Content-Disposition": f'inline; filename="{name}"',
            "Content-Security-Policy": PICTURE_POLICY,
            "Cache-Control": "private, no-cache",
            "ETag": tag,
        },
    )
    return cast(HttpResponse, get_conditional_response(request, tag, response=answer))
