"""Hours written at the bench: kept with what they are in proportion to."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from billets.idempotency import once
from billets.messages import sentence
from billets.physics.errors import PlanError
from billets.text import sent_number
from quotes.errors import QuoteError
from quotes.work.doubts import doubts
from quotes.work.drivers import driver_of
from shop import work
from shop.forms.work import HoursForm, box_of
from shop.models import Knife, WorkRecord
from shop.stages import StageError
from shop.views.common import system_of, user_of
from shop.views.knives import knife_or_404, show_knife
from shop.written import take_back


@require_POST
def knife_hours(request: HttpRequest, serial: str) -> HttpResponse:
    """Write hours of a knife down, or take some back; helpers may, as no price shows.

    What the hours are in proportion to is reckoned now and kept with them, so that a
    later change of the knife does not change what they taught.
    """
    knife = knife_or_404(serial)
    if "take_back" in request.POST:
        return _take_back(request, knife)
    form = HoursForm(request.POST, knife=knife, system=system_of(request))
    if form.is_valid():
        spent = _with_drivers(request, form)
        if not form.errors and _is_meant(request, form, spent):
            try:
                return once(request, partial(_write, request, knife, spent))
            except StageError as error:
                form.add_error(None, sentence(error, system_of(request)))
    return show_knife(request, knife, hours=form)


def _with_drivers(request: HttpRequest, form: HoursForm) -> list[work.Spent]:
    """Return what is to be written; the form says where nothing can be made of it."""
    spent, today = [], timezone.localdate()
    for one in form.spent:
        try:
            spent.append(replace(one, driver=driver_of(form.knife, one.row, today)))
        except (PlanError, QuoteError) as error:
            box = box_of((one.stage, one.row), "ticks")
            form.add_error(box, sentence(error, system_of(request)))
    return spent


def _is_meant(request: HttpRequest, form: HoursForm, spent: list[work.Spent]) -> bool:
    """Tell whether hours look right, or are to be kept all the same."""
    found = doubts(form.knife, spent, timezone.localdate())
    return form.ask(found, system_of(request))


def _write(request: HttpRequest, knife: Knife, spent: list[work.Spent]) -> str:
    work.write_hours(knife, spent, by=user_of(request), at=timezone.now())
    messages.success(request, _("The hours are written down."))
    return knife.get_absolute_url()


def _take_back(request: HttpRequest, knife: Knife) -> HttpResponse:
    number = sent_number(request.POST["take_back"])
    record = get_object_or_404(WorkRecord, pk=number or 0, knife=knife)
    form = HoursForm(knife=knife, system=system_of(request))
    try:
        return once(request, partial(_undo, request, record))
    except StageError as error:
        messages.error(request, sentence(error, system_of(request)))
        return show_knife(request, knife, hours=form)


def _undo(request: HttpRequest, record: WorkRecord) -> str:
    take_back(record, by=user_of(request), at=timezone.now())
    messages.success(request, _("The hours are taken back; the history keeps them."))
    return record.knife.get_absolute_url()
