"""Changes after the yes: what one comes to, and keeping it with its note."""

from __future__ import annotations

import copy
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop
from django.views.decorators.http import require_http_methods

from billets.idempotency import key_of, once, sent_before
from billets.messages import sentence
from billets.physics.errors import PlanError, Refusal
from billets.text import NO_VERSION, sent_number
from quotes.changes_after import saving
from quotes.changes_after.agreed import agreed_total, steel_is_cut
from quotes.changes_after.figured import Figured, Impossible, figured, gates_passed
from quotes.changes_after.forms import ChangeForm
from quotes.changes_after.note import change_note, print_note
from quotes.changes_after.words import (
    figured_words,
    gates_sentence,
    standing_sayings,
    told_of,
)
from quotes.errors import QuoteError
from quotes.gaps import NotReady
from quotes.services import digest
from quotes.views.common import Lack, lack_of
from shop import changes, payments, services, stages
from shop.context import shop_of
from shop.models import Knife, Order
from shop.stages import StageError
from shop.views.common import differences, for_owner, system_of, user_of
from shop.views.preview import Preview, preview_from, preview_of

LOOK = gettext_noop(
    "These numbers are not the ones you have looked at: read them, then save the "
    "change."
)


@dataclass(kw_only=True)
class Sheet:
    """A change as somebody works on it: the form, and what came of it so far."""

    knife: Knife
    form: ChangeForm
    version: int
    preview: Preview
    figured: Figured | None = None
    content: str = ""
    lacks: list[Lack] = field(default_factory=list)
    differing: list[Any] = field(default_factory=list)


# --- making one --------------------------------------------------------------------


@for_owner
@require_http_methods(["GET", "POST"])
def change_new(request: HttpRequest, number: str) -> HttpResponse:
    """Show what a change comes to; “Save” keeps it with its note."""
    order = get_object_or_404(Order.objects.select_related("customer"), number=number)
    if request.method == "POST" and sent_before(request):
        return once(request, order.get_absolute_url)
    try:
        changes.check_order(order)
        agreed_total(order)
        knife = _knife(request, order)
        if knife is None:
            return _choose(request, order)
        changes.check_changeable(knife)
    except (StageError, QuoteError) as error:
        return _refused(request, order, error)
    return _worked_on(request, knife)


def _knife(request: HttpRequest, order: Order) -> Knife | None:
    """Return the knife a change is about; None where it has to be chosen."""
    sent = request.POST if request.method == "POST" else request.GET
    rows = order.knives.for_list().exclude(stage__in=stages.closed())
    asked = rows.filter(serial=sent.get("knife", "")[:8]).first()
    if asked is not None:
        return asked
    here = list(rows[:2])
    if not here:
        raise StageError(
            gettext_noop("No knife of this order is at the bench: none can be changed.")
        )
    return here[0] if len(here) == 1 else None


def _choose(request: HttpRequest, order: Order) -> HttpResponse:
    rows = order.knives.for_list().exclude(stage__in=stages.closed())
    context = {"order": order, "knives": rows}
    return render(request, "quotes/change_choose.html", context)


def _refused(request: HttpRequest, order: Order, error: Refusal) -> HttpResponse:
    refusal = sentence(error, system_of(request))
    waiting = order.changes.filter(state="open").first()
    context = {"order": order, "refusal": refusal, "waiting": waiting}
    status = 409 if request.method == "POST" else 200
    return render(request, "quotes/change_refused.html", context, status=status)


def _worked_on(request: HttpRequest, knife: Knife) -> HttpResponse:
    """Show a change with all it comes to, or keep it."""
    sheet = _sheet(request, knife)
    if "save" in request.POST and sheet.figured and sheet.form.is_valid():
        if request.POST.get("content") != sheet.content:
            sheet.form.add_error(None, _(LOOK))
        else:
            try:
                return _keep(request, sheet, sheet.figured)
            except (StageError, QuoteError) as error:
                sheet.form.refuse(error)
            except services.StaleError as stale:
                _stale(sheet, stale.current)
    return render(request, "quotes/change_new.html", _context(request, sheet))


def _sheet(request: HttpRequest, knife: Knife) -> Sheet:
    """Return a change as it stands in the form."""
    system, currency = system_of(request), payments.currency_of(knife.order)
    own = copy.copy(knife)  # a form writes into its row
    if request.method != "POST":
        start = {"cut": "yes" if steel_is_cut(knife) else "no"}
        form = ChangeForm(instance=own, initial=start, system=system, currency=currency)
        preview = preview_from(services.spec_of(knife), system)
        return Sheet(knife=knife, form=form, version=knife.version, preview=preview)
    form = ChangeForm.sent(request.POST, system, instance=own, currency=currency)
    preview = preview_of(form, only_knife="save" not in request.POST)
    version = sent_number(request.POST.get("version")) or NO_VERSION
    sheet = Sheet(knife=knife, form=form, version=version, preview=preview)
    if version != knife.version and form.knife_is_clean():
        _stale(sheet, knife)
    elif form.can_be_reckoned():
        _figure(request, sheet)
    return sheet


def _stale(sheet: Sheet, current: Knife) -> None:
    sheet.version = current.version
    sheet.differing = differences(sheet.form, current)
    sheet.figured = None


def _figure(request: HttpRequest, sheet: Sheet) -> None:
    """Reckon what a change comes to; what forbids it goes beside its box."""
    form, system = sheet.form, system_of(request)
    try:
        sheet.figured = figured(sheet.knife, form.wished(), timezone.localdate())
    except Impossible as error:
        for one in error.errors:
            form.refuse(one)
    except NotReady as error:
        sheet.lacks = [lack_of(gap, sheet.knife.order, system) for gap in error.gaps]
    except (QuoteError, PlanError) as error:
        form.refuse(error)
    else:
        sheet.content = _content(sheet.figured, sheet.version)


def _content(one: Figured, version: int) -> str:
    """Return a digest of what was looked at before a change is kept."""
    return digest(
        [
            version, dict(one.columns), one.agreed, one.more, one.fee, one.paid,
            one.wish.new_week, one.wish.cut, one.knife.stage,
            one.knife.order.promised_week, one.priced.day,
        ]
    )  # fmt: skip


def _keep(request: HttpRequest, sheet: Sheet, one: Figured) -> HttpResponse:
    """Print the note first, outside any transaction, then keep both at once."""
    shop, at = shop_of(request), timezone.now()
    order, wish = sheet.knife.order, sheet.form.cleaned_data["wish"]
    number = saving.next_number(order)
    printed = print_note(change_note(one, wish, number, shop, at))
    told = told_of(one, order.customer.language, shop.units)
    asked = saving.asked_of(one, wish, sheet.version, told)

    def keep() -> str:
        by = user_of(request)
        change = saving.save_change(asked, sheet.knife, printed, number, by=by, at=at)
        messages.success(
            request,
            _("Change {place} is kept with its note. Send it to the customer, and "
              "write the answer down here.").format(place=number),
        )  # fmt: skip
        return reverse("change", args=[order.number, change.pk])

    return once(request, keep)


def _context(request: HttpRequest, sheet: Sheet) -> dict[str, Any]:
    system, knife, one = system_of(request), sheet.knife, sheet.figured
    language = knife.order.customer.language
    return {
        "order": knife.order,
        "knife": knife,
        "form": sheet.form,
        "version": sheet.version,
        "content": sheet.content,
        "preview": sheet.preview,
        "differences": sheet.differing,
        "lacks": sheet.lacks,
        "gates": gates_sentence(gates_passed(knife)),
        "standings": standing_sayings(knife, system),
        "comes_to": figured_words(one, language, system) if one else None,
        "form_key": key_of(request),
    }
