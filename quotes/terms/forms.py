"""The forms of a quote's terms: one for the whole, one for each extra and option."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    DateField,
    DecimalMoneyField,
    MeasuredFormMixin,
    QuantityField,
    TextCleanField,
)
from billets.inputs import CURRENCY_SIGNS
from billets.units import System
from quotes import choices
from quotes.extra_items import EXTRAS
from quotes.forms import short_date
from quotes.models import Extra, QuoteDraft, Variant
from quotes.money import EXPONENTS, ZERO, cent, money
from quotes.terms.terms import values_of
from quotes.wording import money_text
from shop import choices as shop_choices
from shop.forms.fields import PercentField, offer
from shop.models import Knife, Order

AS_IT_IS = ("", _("as it is"))


@dataclass(frozen=True, kw_only=True)
class Boxes:
    """What every form of the terms of an order is made with.

    Attributes
    ----------
    order : Order
        Whose terms.
    knives : mapping of str to Knife
        Those that are to be paid for, by their serial.
    left : mapping of str to Knife
        Those of options that were kept and whose knife has left the order since.
    usual : mapping of str to Decimal
        The shop's usual price of each extra.
    reading : str
        How the customer reads amounts.
    currency, system, today
        As the shop has them.
    """

    order: Order
    knives: Mapping[str, Knife]
    left: Mapping[str, Knife]
    usual: Mapping[str, Decimal]
    reading: str
    currency: str
    system: System
    today: dt.date

    def money(self, label: str | Promise, **kwargs: Any) -> DecimalMoneyField:
        """Return a box for an amount as the customer reads it."""
        box = DecimalMoneyField(
            label=format_lazy("{} ({})", label, self.reading) if self.reading
            else label,
            currency=self.currency,
            decimal_places=EXPONENTS[self.currency],
            required=False,
            **kwargs,
        )  # fmt: skip
        box.unit = CURRENCY_SIGNS.get(self.currency, self.currency)  # type: ignore[attr-defined]
        return box

    @cached_property
    def extras(self) -> list[tuple[str, str]]:
        """The extras there are, each with the shop's usual price."""
        return [("", "–"), *((key, self._named(key)) for key in EXTRAS)]

    def _named(self, key: str) -> str:
        label, usual = str(dict(choices.extra())[key]), self.usual.get(key)
        if usual is None:
            return label
        amount = money_text(money(usual, self.currency), self.currency)
        return f"{label}, {amount}"


class PartForm(MeasuredFormMixin, forms.Form):
    """A part of the terms; made with the boxes of its order."""

    def __init__(self, *args: Any, boxes: Boxes, **kwargs: Any) -> None:
        super().__init__(*args, system=boxes.system, **kwargs)
        self.boxes = boxes

    def text_in(self, name: str) -> str:
        """Return the text of a box that may be empty or refused."""
        return str(self.cleaned_data.get(name) or "")


class TermsForm(PartForm):
    """What holds for the whole quote."""

    kind = forms.ChoiceField(
        label=_("The price is"), choices=choices.quote_kind, widget=forms.RadioSelect,
        help_text=_("A fixed price binds you. An estimate has to be said to be one, "
                    "and you tell the customer at once when it will not hold; check "
                    "with your adviser."),
    )  # fmt: skip
    valid_until = DateField(
        label=_("The quote holds until"), widget=short_date(), required=False,
        help_text=_("Its last day. Empty: as long as the shop's quotes hold, from the "
                    "day it is issued."),
    )  # fmt: skip
    regime = forms.ChoiceField(
        label=_("Tax of this order"), required=False,
        choices=lambda: [("", _("as the shop is taxed")), *choices.order_regime()],
        help_text=_("A setting, no advice: check it with your adviser."),
    )  # fmt: skip
    discount_percent = PercentField(
        label=_("Discount, share of the knives"), required=False
    )
    discount_reason = TextCleanField(
        label=_("What it is for"), max_length=80, required=False,
        help_text=_("As the customer reads it."),
    )  # fmt: skip
    step = forms.TypedChoiceField(
        label=_("Round the total up to"), choices=choices.rounding_step,
        coerce=Decimal, required=False, empty_value=None,
    )  # fmt: skip

    def __init__(self, *args: Any, boxes: Boxes, **kwargs: Any) -> None:
        super().__init__(*args, boxes=boxes, **kwargs)
        self.fields["discount"] = boxes.money(_("Discount, an amount"))
        self.fields["asked"] = boxes.money(
            _("Total you want to ask"), min_value=cent(boxes.currency),
            help_text=_("Knives and extras together. The knives take what it is more "
                        "or less than the sum; an option then costs as much more as "
                        "it would have, rounded up."),
        )  # fmt: skip
        self.fields["kind"].error_messages["required"] = _(
            "Choose whether the price is fixed or an estimate."
        )

    def clean_valid_until(self) -> dt.date | None:
        """Refuse a day that is past."""
        day: dt.date | None = self.cleaned_data["valid_until"]
        if day is not None and day < self.boxes.today:
            message = _("This day is past: type today or a later day.")
            raise forms.ValidationError(message, code="past")
        return day

    def clean(self) -> dict[str, Any]:
        """Ask what a discount is for; the paper has to say it."""
        clean: dict[str, Any] = super().clean() or {}
        off = clean.get("discount") or clean.get("discount_percent")
        known = "discount_reason" not in self.errors
        if off and known and not clean.get("discount_reason"):
            self.add_error("discount_reason", _("Say what the discount is for."))
        return clean

    def row(self) -> QuoteDraft:
        """Return the clean terms as a row that is not saved."""
        clean = self.cleaned_data
        return QuoteDraft(
            order=self.boxes.order,
            currency=self.boxes.currency,
            kind=clean.get("kind") or "",
            regime=clean["regime"],
            valid_until=clean["valid_until"],
            discount_percent=clean["discount_percent"] or ZERO,
            discount=clean["discount"] or ZERO,
            discount_reason=clean["discount_reason"],
            asked=clean["asked"],
            step=clean["step"] or ZERO,
        )


class ExtraForm(PartForm):
    """Something charged beside the knives."""

    key = forms.ChoiceField(label=_("What"), required=False)
    label = TextCleanField(label=_("In your words"), max_length=80, required=False)
    percent = PercentField(label=_("Own rate of tax"), required=False)

    def __init__(self, *args: Any, boxes: Boxes, **kwargs: Any) -> None:
        super().__init__(*args, boxes=boxes, **kwargs)
        self.fields["amount"] = boxes.money(_("Amount"))
        self.order_fields(["key", "label", "amount", "percent"])
        offer(self, "key", boxes.extras)

    @property
    def used(self) -> bool:
        """Whether something stands in the row."""
        names = ("key", "label", "amount", "percent")
        return any(str(self[name].value() or "").strip() for name in names)

    def clean(self) -> dict[str, Any]:
        """Fill in the usual amount, and ask for what a row that is used needs."""
        clean: dict[str, Any] = super().clean() or {}
        key = clean.get("key")
        if not self.used or "key" in self.errors:
            return clean
        if not key:
            self.add_error("key", _("Choose what this is, or empty the row."))
        elif key == "other" and not self.text_in("label"):
            self.add_error("label", _("Say in your words what this is."))
        if key and "amount" not in self.errors and clean.get("amount") is None:
            self._fill(key)
        return clean

    def _fill(self, key: str) -> None:
        usual = self.boxes.usual.get(key)
        if usual is None:
            message = _("The shop has no usual price for this: type an amount.")
            self.add_error("amount", message)
        else:
            self.cleaned_data["amount"] = money(usual, self.boxes.currency)

    def row(self) -> Extra:
        """Return the clean extra as a row that is not saved."""
        names = ("key", "label", "amount", "percent")
        return Extra(**{name: self.cleaned_data[name] for name in names})


class VariantForm(PartForm):
    """Another way to have one of the knives."""

    label = TextCleanField(label=_("Name of the option"), max_length=80, required=False)
    knife = forms.ChoiceField(label=_("Knife"), required=False)
    handle = forms.ChoiceField(
        label=_("Handle shape"), required=False,
        choices=lambda: [AS_IT_IS, *shop_choices.handle()],
    )  # fmt: skip
    handle_material = forms.ChoiceField(
        label=_("Handle material"), required=False,
        choices=lambda: [AS_IT_IS, *shop_choices.material()],
    )  # fmt: skip
    ferrule = forms.ChoiceField(
        label=_("Ferrule"), required=False,
        choices=lambda: [AS_IT_IS, *choices.other_ferrule()],
    )  # fmt: skip
    bolster_mass = QuantityField(
        kind="mass", label=_("Bolster"), required=False, min_value=0.0
    )

    def __init__(self, *args: Any, boxes: Boxes, **kwargs: Any) -> None:
        super().__init__(*args, boxes=boxes, **kwargs)
        self.fields["more"] = boxes.money(_("More to pay for it"))
        knives = {**boxes.knives, **boxes.left}
        offer(self, "knife", ((key, str(one)) for key, one in knives.items()))

    @property
    def used(self) -> bool:
        """Whether something stands in the row; which knife alone says nothing."""
        names = (name for name in self.fields if name != "knife")
        return any(str(self[name].value() or "").strip() for name in names)

    def clean(self) -> dict[str, Any]:
        """Refuse an option without a name, one of no knife, and one that is empty."""
        clean: dict[str, Any] = super().clean() or {}
        if not self.used:
            return clean
        if not self.text_in("label") and "label" not in self.errors:
            self.add_error("label", _("Give the option a name, or empty the row."))
        if self.text_in("knife") not in self.boxes.knives:
            self._no_knife()
        elif not self.errors and not (values_of(self.row()) or clean.get("more")):
            message = _("This option changes nothing and costs no more: choose what is "
                        "different, or empty the row.")  # fmt: skip
            self.add_error("label", message)
        return clean

    def _no_knife(self) -> None:
        if "knife" not in self.errors:
            message = _("This knife is not made in this order any more: choose "
                        "another, or empty the row.")  # fmt: skip
            self.add_error("knife", message)

    def row(self) -> Variant:
        """Return the clean option as a row that is not saved."""
        clean = self.cleaned_data
        texts = ("label", "handle", "handle_material", "ferrule")
        return Variant(
            knife=self.boxes.knives[clean["knife"]],
            bolster_mass=clean["bolster_mass"],
            more=clean["more"] or ZERO,
            **{name: clean[name] for name in texts},
        )
