"""The form of a forge's gas: a bottle weighed twice, its burners, its bottles."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    IntegerCountField,
    MeasuredModelFormMixin,
    NumberField,
    QuantityField,
    plain_formfield,
)
from billets.messages import Said, sentence
from billets.models import Equipment
from billets.physics.bottles import MOST_BOTTLES, weighed_rate
from billets.physics.equipment import Forge
from billets.physics.errors import PlanError
from billets.physics.gas_rate import DISCHARGES, MOST_JETS
from billets.services import core_forge
from billets.units import System

HEAVIEST = 300.0
LONGEST = 24 * 3600.0

WEIGHED = ("before", "after", "lit")
"""Boxes of a weighing: all of them or none."""

KEPT = (
    "gas_rate", "jets", "jet_bore", "gas_pressure", "jet_discharge", "bottle",
    "bottles", "air_temperature",
)  # fmt: skip
"""What is kept of a forge's gas."""


class GasForm(MeasuredModelFormMixin, forms.ModelForm):
    """What a bottle weighed, and what is told of burners and bottles."""

    jets = IntegerCountField(
        label=_("Burners"), min_value=1, max_value=MOST_JETS,
        help_text=_("Burners and jets count as long as no bottle was weighed."),
    )  # fmt: skip
    jet_discharge = NumberField(
        label=_("Discharge of the jet"),
        min_value=DISCHARGES[0], max_value=DISCHARGES[1],
        help_text=_("Sharp drilled hole 0.6 to 0.84, tip 0.8 to 0.9; else 0.85."),
    )  # fmt: skip
    bottles = IntegerCountField(
        label=_("Bottles coupled"), min_value=1, max_value=MOST_BOTTLES
    )
    before = QuantityField(
        kind="mass_kg", required=False, max_value=HEAVIEST,
        label=_("Bottle before lighting"),
        help_text=_("The surest way. Coupled ones together, on a scale showing 50 g."),
    )  # fmt: skip
    after = QuantityField(
        kind="mass_kg", required=False, max_value=HEAVIEST,
        label=_("Bottle afterwards"),
    )  # fmt: skip
    lit = QuantityField(
        kind="duration", required=False, max_value=LONGEST,
        label=_("Lit in between"),
        help_text=_("From lighting to shutting off; better an hour than ten minutes."),
    )  # fmt: skip
    forget = forms.BooleanField(
        required=False, label=_("Forget the rate weighed before: let the jets count")
    )
    holds = QuantityField(
        kind="mass_kg", required=False, max_value=HEAVIEST,
        label=_("Gas left in the bottles now"),
        help_text=_("Weight on the scale less the empty weight stamped on each."),
    )  # fmt: skip

    class Meta:
        model = Equipment
        fields = (
            "jets", "jet_bore", "gas_pressure", "jet_discharge",
            "bottle", "bottles", "air_temperature",
        )  # fmt: skip
        formfield_callback = plain_formfield
        help_texts = {
            "jet_bore": _(
                "Gauge it with a drill's shank: welding tips are named by their wire, "
                "the hole is wider."
            ),
            "gas_pressure": _("Behind the regulator, with the forge lit."),
            "bottle": _("What one holds when full; exchanged ones often hold less."),
        }

    def __init__(self, *args: Any, system: System, **kwargs: Any) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.system = system
        self.forge: Forge | None = None
        self.weighed: float | None = None
        if self.instance.gas_rate is None:
            del self.fields["forget"]

    @property
    def held(self) -> float | None:
        """Gas now in the bottles [kg]; None if that box is empty."""
        return self.cleaned_data.get("holds") if self.is_bound else None

    def clean(self) -> dict[str, Any]:
        """Weigh the two weighings; half of them is asked for the rest."""
        clean: dict[str, Any] = super().clean() or {}
        if not set(WEIGHED) & set(self.errors):
            self._weigh(clean)
        holds, bottle = clean.get("holds"), clean.get("bottle")
        if holds and bottle and holds > bottle * (clean.get("bottles") or 1) * 1.001:
            self.add_error(
                "holds", _("More than the full bottles hold: take the steel off.")
            )
        return clean

    def _weigh(self, clean: dict[str, Any]) -> None:
        missing = [name for name in WEIGHED if clean.get(name) is None]
        if len(missing) == len(WEIGHED):
            return
        for name in missing:
            self.add_error(
                name, _("A weighing needs both weights and the time: fill this in.")
            )
        if missing:
            return
        before, after, lit = (float(clean[name]) for name in WEIGHED)
        try:
            self.weighed = weighed_rate(before, after, lit)
        except PlanError as error:
            self.refuse(error)

    def full_clean(self) -> None:
        """Read the boxes into the row, unsaved, and see what forge it makes."""
        super().full_clean()
        if self.is_bound and not self.errors:
            self._meter(self.instance)

    def _meter(self, row: Equipment) -> None:
        if self.weighed is not None:
            row.gas_rate = self.weighed
        elif self.cleaned_data.get("forget"):
            row.gas_rate = None
        try:
            self.forge = core_forge(row)
        except PlanError as error:
            self.refuse(error)

    def refuse(self, error: Said) -> None:
        """Say what the physics refuses beside its box, else above all of them."""
        box = {"gas_rate": "after"}.get(error.field or "", error.field)
        self.add_error(
            box if box in self.fields else None, sentence(error, self.system)
        )
