"""A form sent twice is carried out once.

The server puts a random key into each form. The first sending stores the key in the
same transaction as what it did; a second sending of the same content is led to the
same place, one of other content is told so, one without a key is refused.
"""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Callable

from django.core.files.uploadedfile import UploadedFile
from django.db import IntegrityError, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render

from billets.models import SubmittedForm

FIELD = "form_key"
LONGEST = 64


def new_key() -> str:
    """Return a key for a form that has not been sent yet."""
    return secrets.token_urlsafe(24)


def key_of(request: HttpRequest) -> str:
    """Return the key a form came with, or a new one for a form being shown."""
    return request.POST.get(FIELD, "")[:LONGEST] or new_key()


def digest_of(request: HttpRequest) -> str:
    """Return a digest of what was sent, without what changes at each sending."""
    sent = sorted(
        (name, value)
        for name, values in request.POST.lists()
        if name not in (FIELD, "csrfmiddlewaretoken")
        for value in values
    )
    whole = repr((request.path, sent, *_digests_of_files(request)))
    return hashlib.sha256(whole.encode("utf-8", "replace")).hexdigest()


def _digests_of_files(request: HttpRequest) -> list[tuple[str, str]]:
    """Return a digest of each file that was sent, by the name of its box."""
    return [
        (name, _digest(file)) for name, files in request.FILES.lists() for file in files
    ]


def _digest(file: UploadedFile) -> str:
    made = hashlib.sha256()
    for chunk in file.chunks():
        made.update(chunk)
    return made.hexdigest()


def sent_before(request: HttpRequest) -> bool:
    """Say whether this form has been carried out, so that no work is done for it."""
    key = request.POST.get(FIELD, "")
    return bool(key) and SubmittedForm.objects.filter(key=key[:LONGEST]).exists()


def led_to(key: str) -> str:
    """Return where the form with a key led when it was carried out, else nothing."""
    # PostgreSQL cannot even look for a key that holds a NUL.
    if not key.isprintable():
        return ""
    done = SubmittedForm.objects.filter(key=key[:LONGEST]).first()
    return done.leads_to if done else ""


def once(request: HttpRequest, act: Callable[[], str]) -> HttpResponse:
    """Carry out ``act`` once for this form and go where it says.

    ``act`` returns the address to go to; what it raises leaves nothing behind, the
    key included, so that a mended form can be sent with the same key.
    """
    key = request.POST.get(FIELD, "")
    # PostgreSQL cannot even look for a key that holds a NUL.
    if not (0 < len(key) <= LONGEST and key.isascii() and key.isprintable()):
        return render(request, "shop/no_key.html", status=400)
    digest = digest_of(request)
    done = SubmittedForm.objects.filter(key=key).first()
    if done is None:
        try:
            with transaction.atomic():
                row = SubmittedForm.objects.create(key=key, digest=digest, leads_to="")
                row.leads_to = act()
                row.save(update_fields=["leads_to"])
        except IntegrityError:
            done = SubmittedForm.objects.filter(key=key).first()
            if done is None:
                raise
        else:
            return HttpResponseRedirect(row.leads_to)
    if done.digest != digest:
        return render(request, "shop/sent_before.html", {"done": done}, status=409)
    return HttpResponseRedirect(done.leads_to)
