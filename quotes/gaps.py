"""What an order lacks before it has a price or a quote: each a sentence, its place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from django.utils import timezone

from billets.models import Plan
from billets.physics.errors import PlanError, _
from quotes.errors import QuoteError
from quotes.models import QuoteDraft
from quotes.rate_items import ITEM_OF
from shop.models import Knife, Order, Shop, TaxSetting

Place = Literal["order", "knife", "plan", "rates", "tax", "shop", "terms", "customer"]
Row = TypeVar("Row", Knife, Plan)
Made = TypeVar("Made")

PLACES: dict[str, Place] = {
    "rates": "rates", "steel": "rates",
    "tax_regime": "tax", "tax_rate": "tax",
    "currency": "shop",
    **dict.fromkeys(("kind", "asked", "discount", "variants", "valid_until"), "terms"),
}  # fmt: skip
"""Where a field of the costing is entered; any rate is on the page of rates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """One thing that is missing or wrong.

    Attributes
    ----------
    error : QuoteError or PlanError
        What it is, as a sentence.
    place : str
        The kind of page it is mended on.
    row : Knife or Plan or None
        Which knife or billet, where it is one.
    """

    error: QuoteError | PlanError
    place: Place
    row: Knife | Plan | None = None


class NotReady(QuoteError):
    """An order cannot be priced yet; ``gaps`` is everything it lacks."""

    def __init__(self, gaps: Sequence[Gap]) -> None:
        first = gaps[0].error
        super().__init__(first.message, field=first.field, **first.values)
        self.gaps = tuple(gaps)


def tried(
    place: Place, rows: Iterable[Row], compute: Callable[[Row], Made]
) -> tuple[dict[int, Made], list[Gap]]:
    """Compute something of each row; return what came out, by row, and what failed."""
    made: dict[int, Made] = {}
    gaps: list[Gap] = []
    for row in rows:
        try:
            made[row.pk] = compute(row)
        except (QuoteError, PlanError) as error:
            gaps.append(Gap(error=error, place=place, row=row))
    return made, gaps


def gap_of(error: QuoteError | PlanError) -> Gap:
    """Return what the costing refused, with the page it is mended on."""
    field = error.field or ""
    known: Place = "rates" if field in ITEM_OF else PLACES.get(field, "order")
    return Gap(error=error, place=known)


# --- before a quote ----------------------------------------------------------------


def lacking_terms(order: Order, draft: QuoteDraft | None) -> list[Gap]:
    """Return what the terms and names on a quote lack before it can be issued."""
    shop = Shop.current()
    found = [_kind_gap(draft), _day_gap(draft), _currency_gap(draft, shop)]
    found += [_reading_gap(order, draft), _name_gap(order)]
    found += [_customer_gap(order, draft), _shop_gap(shop)]
    return [gap for gap in found if gap]


def _kind_gap(draft: QuoteDraft | None) -> Gap | None:
    if draft and draft.kind:
        return None
    return _terms_gap(
        _("Say whether the price is fixed or an estimate: the customer may hold you to "
          "what you choose."), field="kind",
    )  # fmt: skip


def _day_gap(draft: QuoteDraft | None) -> Gap | None:
    day = draft.valid_until if draft else None
    if day is None or day >= timezone.localdate():
        return None
    return _terms_gap(
        _("The quote was to hold until {day}, and that day is past: choose another."),
        field="valid_until", day=day,
    )  # fmt: skip


def _currency_gap(draft: QuoteDraft | None, shop: Shop) -> Gap | None:
    try:
        check_currency(draft, shop.currency)
    except QuoteError as error:
        return Gap(error=error, place="terms")
    return None


def _reading_gap(order: Order, draft: QuoteDraft | None) -> Gap | None:
    """Ask about amounts that were typed when this customer read them otherwise."""
    now = "net" if order.customer.business else "gross"
    if draft is None or draft.mode in ("", now):
        return None
    message = _(
        "The amounts of these terms were typed with tax in them, and this customer "
        "reads prices before tax now: look at every one of them, then save again."
    )
    if now == "gross":
        message = _(
            "The amounts of these terms were typed before tax, and this customer reads "
            "prices with tax now: look at every one of them, then save again."
        )
    return _terms_gap(message, field="mode")


def _name_gap(order: Order) -> Gap | None:
    """Ask for the name of whoever only telephoned so far."""
    if not order.customer.unnamed:
        return None
    error = QuoteError(
        _("{name} has no name of its own yet: write down who is asking before a quote "
          "goes out."), field="name", name=order.customer.name,
    )  # fmt: skip
    return Gap(error=error, place="customer")


def check_currency(draft: QuoteDraft | None, currency: str) -> None:
    """Refuse terms whose amounts were typed in another currency."""
    if draft and draft.currency and draft.currency != currency:
        raise QuoteError(
            _("These terms were typed in {old}, and the shop prices in {new} now: look "
              "at every amount of them, then save them again."),
            field="currency", old=draft.currency, new=currency,
        )  # fmt: skip


def _customer_gap(order: Order, draft: QuoteDraft | None) -> Gap | None:
    """Ask for an address where a bill in full, or a customs paper, will need it."""
    if order.customer.address.strip():
        return None
    if order.customer.business:
        message = _(
            "{name} buys for a business and has no address: the papers need one."
        )
    elif _sent_abroad(draft):
        message = _(
            "{name} has no address: a quote for sending outside the union needs one."
        )
    elif draft and draft.pk and draft.extras.filter(key="shipping").exists():
        message = _("{name} has no address: a quote that sends the knife needs one.")
    else:
        return None
    error = QuoteError(message, field="address", name=order.customer.name)
    return Gap(error=error, place="customer")


def _sent_abroad(draft: QuoteDraft | None) -> bool:
    if draft and draft.regime:
        return draft.regime == "export"
    setting = TaxSetting.objects.on(timezone.localdate())
    return setting is not None and setting.regime == "export"


def _shop_gap(shop: Shop) -> Gap | None:
    if shop.name.strip() and shop.address.strip():
        return None
    error = QuoteError(
        _("A quote says who makes it: write down the shop's name and address first."),
        field="address",
    )
    return Gap(error=error, place="shop")


def _terms_gap(message: str, *, field: str, **values: object) -> Gap:
    return Gap(error=QuoteError(message, field=field, **values), place="terms")
