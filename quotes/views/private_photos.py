"""Photos on the private page: those marked for it, of the link's own order."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from quotes.views.private import for_customer, notice_page
from shop import photos
from shop.kept_files import DamagedFileError
from shop.models import CustomerLink
from shop.views.photos import picture_answer


@login_not_required
@for_customer
@require_safe
def private_photo(
    request: HttpRequest, link: CustomerLink, name: str, size: str
) -> HttpResponse:
    """Give a picture to the customer it is marked for."""
    photo = photos.shown_to_customer(link.order).filter(name=name).first()
    if photo is None:
        return notice_page(request, "nothing")
    try:
        return picture_answer(request, photo, size)
    except DamagedFileError:
        return notice_page(request, "no_photo")
