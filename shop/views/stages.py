"""A knife's moves: on past its gate, back from a wrong move, out."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from billets.idempotency import once
from billets.messages import sentence
from shop import services
from shop.forms.stages import BackForm, LeaveForm, MoveForm
from shop.models import Knife
from shop.stages import StageError
from shop.views.common import system_of, user_of
from shop.views.knives import knife_or_404, show_knife


@require_POST
def knife_move(request: HttpRequest, serial: str) -> HttpResponse:
    """Move a knife on to its next stage, if its gate is ticked."""
    knife = knife_or_404(serial)
    form = MoveForm(request.POST, knife=knife, system=system_of(request))
    return _moved(request, knife, {"move": form}, partial(_move, request, knife, form))


def _move(request: HttpRequest, knife: Knife, form: MoveForm) -> None:
    services.move_knife(
        knife,
        form.cleaned_data["to"],
        gate_passed=True,
        by=user_of(request),
        at=timezone.now(),
        reason=form.cleaned_data.get("reason", ""),
    )


@require_POST
def knife_back(request: HttpRequest, serial: str) -> HttpResponse:
    """Take a wrong move back, with its reason."""
    knife = knife_or_404(serial)
    form = BackForm(request.POST, knife=knife, system=system_of(request))
    return _moved(request, knife, {"back": form}, partial(_back, request, knife, form))


def _back(request: HttpRequest, knife: Knife, form: BackForm) -> None:
    clean = form.cleaned_data
    services.correct_move(
        knife,
        clean["stage"],
        reason=clean["reason"],
        by=user_of(request),
        at=timezone.now(),
    )


@require_POST
def knife_leave(request: HttpRequest, serial: str) -> HttpResponse:
    """Scrap or cancel a knife, with its reason."""
    knife = knife_or_404(serial)
    form = LeaveForm(request.POST, knife=knife, system=system_of(request))
    act = partial(_leave, request, knife, form)
    return _moved(request, knife, {"leave": form}, act)


def _leave(request: HttpRequest, knife: Knife, form: LeaveForm) -> None:
    clean = form.cleaned_data
    services.move_knife(
        knife,
        clean["to"],
        gate_passed=False,
        by=user_of(request),
        at=timezone.now(),
        reason=clean["reason"],
    )


def _moved(
    request: HttpRequest, knife: Knife, sent: dict[str, Any], act: Callable[[], None]
) -> HttpResponse:
    """Carry out a move once; show the knife with its form where it cannot be."""
    form = next(iter(sent.values()))

    def moved() -> str:
        act()
        return knife.get_absolute_url()

    if form.is_valid():
        try:
            return once(request, moved)
        except StageError as error:
            place = error.field if error.field in form.fields else None
            form.add_error(place, sentence(error, system_of(request)))
    return show_knife(request, knife_or_404(knife.serial), **sent)
