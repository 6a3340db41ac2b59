"""The form of a billet without its steps: bars, stack, equipment, chance."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from billets.choices import pattern_class
from billets.fields import (
    IntegerCountField,
    MeasuredModelFormMixin,
    QuantityField,
    plain_formfield,
    typed_texts,
)
from billets.forms.boxes import Offers, OrderField, RowField
from billets.letters import EXAMPLE, LETTERS, read_order
from billets.models import BarSize, Plan
from billets.physics.errors import PlanError
from billets.units import System

BAR_BOXES = {letter: f"bar_{letter.lower()}" for letter in LETTERS}
"""The box of each letter's bar."""

MOST_SEED = 2_147_483_647


class PlanForm(MeasuredModelFormMixin, forms.ModelForm):
    """A billet: what it is laid from, on what it is forged, how sure it must be."""

    order = OrderField(
        label=_("Order of the layers"),
        help_text=_("One letter a piece, from the bottom up. {example} is short for "
                    "ABABABABABABA."),
    )  # fmt: skip
    forge = RowField(label=pgettext_lazy("equipment", "Forge"))
    tool = RowField(label=_("Press, hammer or hand"))
    saw = RowField(label=_("Saw"))
    bath = RowField(
        label=_("Quench bath"), required=False,
        help_text=_("Left open, a bath as the steels ask for it is reckoned with."),
    )  # fmt: skip
    chance = QuantityField(
        kind="percent", label=_("Chance aimed at"), min_value=0.01, max_value=0.99,
        help_text=_("In so many of a hundred such billets there is enough steel."),
    )  # fmt: skip
    seed = IntegerCountField(
        label=_("Seed of the draws"), max_value=MOST_SEED,
        help_text=_("The same seed gives the same figures again."),
    )  # fmt: skip
    bar_a = RowField(required=False)
    bar_b = RowField(required=False)
    bar_c = RowField(required=False)
    bar_d = RowField(required=False)
    bar_e = RowField(required=False)

    class Meta:
        model = Plan
        fields = (
            "title", "order", "length", "width", "forge", "tool", "saw", "bath",
            "chance", "seed", "hot_tick", "note", "template",
        )  # fmt: skip
        formfield_callback = plain_formfield
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        labels = {"note": _("Note for the bench")}

    def __init__(
        self, *args: Any, offers: Offers, system: System, **kwargs: Any
    ) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.system = system
        offers.fill(self, system)
        template = self.fields["template"]
        assert isinstance(template, forms.ChoiceField)  # noqa: S101  a field of choices
        template.choices = [("", _("no template")), *pattern_class()]
        order = self.fields["order"]
        order.help_text = str(order.help_text).format(example=EXAMPLE)
        self._prefer_typed_order()

    def _prefer_typed_order(self) -> None:
        """Show the order as it was typed, as long as it means what is saved."""
        text = (self.instance.typed or {}).get("order")
        try:
            if isinstance(text, str) and read_order(text) == self.instance.order:
                self.initial["order"] = text
        except PlanError:
            return

    @property
    def bar_boxes(self) -> list[forms.BoundField]:
        """The boxes of the bars, in order of their letters."""
        return [self[name] for name in BAR_BOXES.values()]

    @property
    def bars(self) -> dict[str, BarSize]:
        """The bars chosen, by letter."""
        chosen = {letter: self.cleaned_data[box] for letter, box in BAR_BOXES.items()}
        return {letter: bar for letter, bar in chosen.items() if bar is not None}

    def plan(self) -> Plan:
        """Return the plan as it stands in the form, unsaved, with what was typed."""
        plan: Plan = self.instance
        order = self.fields["order"]
        typed = order.typed if isinstance(order, OrderField) else ""
        plan.typed = typed_texts(self) | {"order": typed}
        return plan
