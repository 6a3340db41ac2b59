"""Erasing a customer: who it was goes; what the law wants and figures stay."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Collection, Mapping
from types import MappingProxyType
from typing import Any

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy

from billets.models import Plan, PlanTarget
from billets.physics.errors import _
from billets.physics.families import FAMILY_LABELS
from quotes.models import QuoteDraft
from quotes.privacy.billet_names import GONE, without_caller
from quotes.privacy.owing import money_between
from quotes.privacy.tables import STRIPPED, Model, rows_about
from shop import services
from shop.models import Customer, CustomerLink, Knife, Order
from shop.payments import DoubtfulError
from shop.stages import StageError

REASONS: Mapping[str, str | Promise] = MappingProxyType(
    {
        "asked": gettext_lazy("Erased because the customer asked for it."),
        "done": gettext_lazy("Erased because the data were no longer needed."),
        "never": gettext_lazy("Erased because they should not have been taken down."),
    }
)
"""Why somebody is erased: one of a list, for typed words could bring the name back."""

LEAST_WORD = 3
"""Shorter parts of a name are words of any text."""


def open_orders(customer: Customer) -> QuerySet[Order]:
    """Return the orders that still wait on somebody, for whose sake the data stay."""
    return Order.objects.filter(customer=customer).open()


@transaction.atomic
def erase(
    customer: Customer, *, reason: str, at: dt.datetime,
    settled: Collection[str] = (),
) -> Customer:  # fmt: skip
    """Erase a customer, whole or not at all; once more does nothing more.

    StageError while an order is open, DoubtfulError while money is, unless ``settled``
    has the marks of just those sums (``owing.Between``). Whoever opens an order waits
    meanwhile (``shop.services.hold_shop``), and is then told.
    """
    services.hold_shop()
    customer = Customer.objects.select_for_update().get(pk=customer.pk)
    _check(customer, settled)
    about = rows_about(customer)
    _clean_billets(customer)
    _strip(about)
    _rename_knives(about.get(Knife, []))
    QuoteDraft.objects.filter(order__customer=customer).delete()
    CustomerLink.objects.filter(order__customer=customer, revoked_at=None).update(
        revoked_at=at
    )
    return services.save_customer(_nobody(customer, reason, at), customer=customer)


def _check(customer: Customer, settled: Collection[str]) -> None:
    if (still := open_orders(customer).first()) is not None:
        raise StageError(
            _("Order {number} is open: end it first, for its papers and its knife need "
              "to know whose they are."),
            number=still.number,
        )  # fmt: skip
    if customer.erased is None and {x.mark for x in money_between(customer)} != set(
        settled
    ):
        raise DoubtfulError(
            _("What is owed has changed or was not ticked: look at the sums again, and "
              "tick each of them."),
            field="settled",
        )  # fmt: skip


def _nobody(customer: Customer, reason: str, at: dt.datetime) -> dict[str, Any]:
    """Return the row of an erased customer; the first erasure counts."""
    first = customer.erased is None
    return {
        "name": gettext("erased customer"), "email": "", "phone": "", "address": "",
        "country": "", "vat_number": "",
        "note": str(REASONS[reason]) if first else customer.note,
        "erased": at if first else customer.erased,
    }  # fmt: skip


def _strip(about: Mapping[Model, list[Any]]) -> None:
    """Put what stands for them in the place of words; empty columns stay empty."""
    for model, columns in STRIPPED.items():
        rows = model._default_manager.filter(pk__in=about.get(model, ()))
        for column, instead in columns.items():
            text = gettext(instead) if instead and isinstance(instead, str) else instead
            held = rows if isinstance(text, bool) else rows.exclude(**{column: ""})
            held.update(**{column: text})
    for model in (Order, Knife):  # whoever has a form open is told
        held = model._default_manager.filter(pk__in=about.get(model, ()))
        held.update(version=F("version") + 1)


def _rename_knives(keys: list[Any]) -> None:
    """Call knives what they are, for a name given to one may be a person's."""
    for knife in Knife.objects.filter(pk__in=keys):
        knife.name = gettext(FAMILY_LABELS[knife.family])[:60]
        knife.save(update_fields=["name"])
        PlanTarget.objects.filter(pk=knife.target_id).update(label=str(knife)[:120])


# --- billets -----------------------------------------------------------------------


def _clean_billets(customer: Customer) -> None:
    """Take the customer out of the words of billets, which others may share.

    Of those made for the customer's knives every part of the name goes, the names of
    the knives, and the caller out of the billet's own name; of all others the whole
    name, the address and the number.
    """
    own = set(_own_billets(customer).values_list("pk", flat=True))
    shared = set(_of_others(customer).values_list("pk", flat=True))
    called = Knife.objects.filter(order__customer=customer).values_list("name")
    named = _named(customer)
    parts = [*named, *_parts(customer), *(name for (name,) in called)]
    for plan in billets_cleaned(customer):
        words = parts if plan.pk in own else named
        title, note = without(plan.title, words), without(plan.note, words)
        if plan.pk in own - shared:
            title = without_caller(title)
        if (title, note) != (plan.title, plan.note):
            Plan.objects.filter(pk=plan.pk).update(
                title=title, note=note, version=F("version") + 1
            )


def _parts(customer: Customer) -> list[str]:
    """Return the words of a name that are names.

    Not "von" and "of", nor the month in a name that the program made of a call.
    """
    if customer.unnamed:
        return []
    words = [one.strip(",.;:()") for one in customer.name.split()]
    capital = [one for one in words if one[:1] != one[:1].lower()]
    return capital or words


def billets_cleaned(customer: Customer) -> QuerySet[Plan]:
    """Return the billets whose words an erasure looks through."""
    return Plan.objects.filter(
        Q(pk__in=_naming(_named(customer)).values("pk"))
        | Q(pk__in=_own_billets(customer).values("pk"))
    )


def _own_billets(customer: Customer) -> QuerySet[Plan]:
    return Plan.objects.filter(targets__knife__order__customer=customer)


def _of_others(customer: Customer) -> QuerySet[Plan]:
    """Return billets that somebody else's knife is made of too."""
    others = Customer.objects.exclude(pk=customer.pk).filter(erased=None)
    return Plan.objects.filter(targets__knife__order__customer__in=others)


def _named(customer: Customer) -> list[str]:
    """Return what means this customer anywhere; a name of one word may not."""
    whole = [customer.name] if len(customer.name.split()) > 1 else []
    return [customer.email, customer.phone, *whole]


def _naming(words: list[str]) -> QuerySet[Plan]:
    """Return billets whose words may hold some."""
    asked = Q(pk__in=())
    for word in filter(None, words):
        # SQLite folds ASCII only: what else differs in case alone is asked for apart.
        for way in {word, word.lower(), word.upper(), word.title()}:
            asked |= Q(title__icontains=way) | Q(note__icontains=way)
    return Plan.objects.filter(asked)


def without(text: str, words: list[str]) -> str:
    """Return a text in which some words are gone, in whichever case they stand.

    >>> without("For Ida Berg: IDA's, idaho", ["Ida Berg", "Ida", "Li"])
    "For …: …'s, idaho"
    """
    long_first = sorted({one for one in words if len(one) >= LEAST_WORD}, key=len)[::-1]
    if not long_first:
        return text
    any_of = "|".join(re.escape(one) for one in long_first)
    return re.sub(rf"(?<!\w)(?:{any_of})(?!\w)", GONE, text, flags=re.IGNORECASE)
