"""The form with which a stack is asked for; it is read from the address."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from billets.fields import (
    DecimalMoneyField,
    IntegerCountField,
    MeasuredFormMixin,
    QuantityField,
    form_system,
)
from billets.forms.boxes import EQUIPMENT, Offers, RowField
from billets.forms.plan import MOST_SEED
from billets.inputs import CURRENCY_SIGNS
from billets.messages import Said, sentence
from billets.models import Plan
from billets.physics.chains import MOST_LAYERS, ProposalWish, check_wish
from billets.physics.errors import PlanError
from billets.physics.first_stacks import PERIODS
from billets.physics.verdict import CHANCE
from billets.units import System
from quotes.money import EXPONENTS
from shop.models import Knife

USUAL_LAYERS = (100, 300)
"""What is asked for unless told otherwise, common practice, no source [1]."""

NO_KNIFE = _("Tick at least one knife that is to come out of the billet.")
TWO_OR_THREE = _("A pattern takes two or three steels; ticked: {count}.")

PLACES = {"steel": "steels", "gas": "short", "hour": "short"}
"""Where a refusal of the core stands that names no box of its own."""


def ticks(label: Any, **kwargs: Any) -> forms.MultipleChoiceField:
    """Return a box of ticks."""
    return forms.MultipleChoiceField(
        label=label, widget=forms.CheckboxSelectMultiple, **kwargs
    )


class StacksForm(MeasuredFormMixin, forms.Form):
    """What a stack is asked for: knives, steels, layers, equipment, how sure."""

    knives = ticks(_("For these knives"))
    steels = ticks(_("Of these steels"), help_text=_("Two or three of them."))
    layers_low = IntegerCountField(
        label=_("Layers from"), min_value=2, max_value=MOST_LAYERS
    )
    layers_high = IntegerCountField(
        label=_("Layers to"), min_value=2, max_value=MOST_LAYERS
    )
    forge = RowField(label=pgettext_lazy("equipment", "Forge"))
    tool = RowField(label=_("Press, hammer or hand"))
    saw = RowField(label=_("Saw"))
    chance = QuantityField(
        kind="percent", label=_("Chance at least"), required=False,
        min_value=0.01, max_value=0.99,
        help_text=_("Left open, whatever is cheapest with its risk counted in."),
    )  # fmt: skip
    short_was = forms.CharField(widget=forms.HiddenInput, required=False)
    seed = IntegerCountField(
        label=_("Seed of the draws"), max_value=MOST_SEED,
        help_text=_("The same seed gives the same figures again."),
    )  # fmt: skip

    def __init__(
        self,
        *args: Any,
        knives: Iterable[Knife],
        offers: Offers,
        currency: str,
        system: System,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.system = system
        self.currency = currency
        self.known_knives = {one.serial: one for one in knives}
        self.offers = offers
        self.fields["short"] = _short_box(currency)
        _offer(self, "knives", ((key, str(one)) for key, one in
                                self.known_knives.items()))  # fmt: skip
        _offer(self, "steels", steel_names(offers).items())
        for name in ("forge", "tool", "saw"):
            rows = offers.of_kinds(*EQUIPMENT[name])
            box = self.fields[name]
            assert isinstance(box, RowField)  # noqa: S101  so it is declared above
            box.offer(rows, map(str, rows.values()))
        form_system(self, system)
        self.fields["knives"].error_messages["required"] = NO_KNIFE
        self.fields["steels"].error_messages["required"] = _count_said(0)

    def clean_steels(self) -> list[str]:
        """Refuse one steel, and more than three."""
        chosen: list[str] = self.cleaned_data["steels"]
        if len(chosen) not in PERIODS:
            raise forms.ValidationError(_count_said(len(chosen)), code="steels")
        return chosen

    def clean(self) -> dict[str, Any]:
        """Refuse layers from more to fewer."""
        clean: dict[str, Any] = super().clean() or {}
        low, high = clean.get("layers_low"), clean.get("layers_high")
        if low is not None and high is not None:
            try:
                check_wish(ProposalWish(layers_low=low, layers_high=high))
            except PlanError as error:
                self.refuse(error)
        return clean

    @property
    def chosen_knives(self) -> list[Knife]:
        """The knives ticked, in the order of the list."""
        chosen = set(self.cleaned_data["knives"])
        return [one for key, one in self.known_knives.items() if key in chosen]

    @property
    def short(self) -> Decimal | None:
        """What a short billet costs; None if it is what was computed the last time."""
        text, computed = (self.data.get(name, "") for name in ("short", "short_was"))
        if text and text == computed:
            return None
        typed: Decimal | None = self.cleaned_data["short"]
        return typed

    def show_computed(self, amount: Decimal) -> None:
        """Put what a short billet costs, as it was computed, into its box."""
        text = str(self.fields["short"].prepare_value(amount))
        data = cast(QueryDict, self.data).copy()
        data["short"], data["short_was"] = text, text
        self.data = data

    def refuse(self, error: Said) -> None:
        """Say what is refused beside its box, else above all of them."""
        box = PLACES.get(error.field or "", error.field)
        if box in self.fields:
            self.add_error(box, sentence(error, self.system))
        else:
            self.add_error(None, sentence(error, self.system))


def steel_names(offers: Offers) -> Mapping[str, str]:
    """Return the steels that have a bar on offer: names by key."""
    return {bar.steel.key: bar.steel.name for bar in offers.bars.values()}


def first_asked(
    knife: Knife, knives: Sequence[Knife], offers: Offers, steels: Sequence[str]
) -> QueryDict:
    """Return what is asked for before anything was typed, as the form would send it."""
    data = QueryDict(mutable=True)
    without = [one.serial for one in knives if one.target.plan_id is None]
    data.setlist("knives", list(dict.fromkeys((knife.serial, *without))))
    data.setlist("steels", list(steels))
    data["layers_low"], data["layers_high"] = map(str, USUAL_LAYERS)
    for name in ("forge", "tool", "saw"):
        data[name] = next(iter(offers.of_kinds(*EQUIPMENT[name])), "")
    data["chance"] = str(round(CHANCE * 100))
    data["seed"] = str(Plan().seed)
    return data


def _short_box(currency: str) -> DecimalMoneyField:
    box = DecimalMoneyField(
        label=_("A short billet costs"),
        required=False,
        help_text=_(
            "All that is lost with it. Left open, what it cost to make: steel, gas and "
            "hours."
        ),
        currency=currency,
        decimal_places=EXPONENTS[currency],
    )
    box.unit = CURRENCY_SIGNS.get(currency, currency)  # type: ignore[attr-defined]
    return box


def _offer(form: forms.BaseForm, name: str, choices: Iterable[tuple[str, str]]) -> None:
    box = form.fields[name]
    assert isinstance(box, forms.ChoiceField)  # noqa: S101  so it is declared above
    box.choices = list(choices)


def _count_said(count: int) -> str:
    return str(TWO_OR_THREE).format(count=count)
