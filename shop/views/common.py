"""What several pages need: who may see it, in which units, what differs."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import wraps
from typing import Any, cast

from django import forms
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from billets.comparing import Difference
from billets.fields import QuantityField
from billets.messages import spoken
from billets.text import NO_VERSION, sent_number
from billets.units import System, exact
from shop.context import may_see_prices, shop_of

View = Callable[..., HttpResponse]


def for_owner(view: View) -> View:
    """Keep a page to whoever may see prices and settings."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not may_see_prices(request):
            raise PermissionDenied
        return view(request, *args, **kwargs)

    return guarded


def system_of(request: HttpRequest) -> System:
    """Return the shop's units."""
    return shop_of(request).units


def user_of(request: HttpRequest) -> User:
    """Return who is signed in; the middleware lets nobody else come this far."""
    return cast(User, request.user)


def version_for(request: HttpRequest, row: Model) -> int:
    """Return the version a form was made from; none there is if it came without."""
    if request.method != "POST":
        return cast(int, row.version)  # type: ignore[attr-defined]
    return sent_number(request.POST.get("version")) or NO_VERSION


def differences(form: forms.BaseForm, current: Model) -> list[Difference]:
    """Return the boxes in which the form and the row as it stands now differ."""
    found = []
    for name, value in form.cleaned_data.items():
        theirs = getattr(current, name, value)
        if theirs != value:
            field = form.fields[name]
            mine, other = _said(field, value), _said(field, theirs)
            label = str(form[name].label)
            found.append(Difference(label=label, mine=mine, theirs=other))
    return found


def _said(field: forms.Field, value: Any) -> str:
    if value in (None, ""):
        return "–"
    if isinstance(field, forms.BooleanField):
        return _("yes") if value else _("no")
    if isinstance(field, QuantityField):
        return exact(float(value), field.kind, field.system, spoken())
    if isinstance(field, forms.ChoiceField):
        pairs = cast(Iterable[tuple[Any, Any]], field.choices)
        return next((str(said) for key, said in pairs if key == value), str(value))
    return str(field.prepare_value(value))
