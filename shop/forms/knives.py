"""The form of a knife: its specification, filled in as usual for its family."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Self

from django import forms
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from billets.fields import (
    MeasuredModelFormMixin,
    plain_formfield,
    typed_texts,
)
from billets.messages import Said, sentence
from billets.units import System
from shop import choices
from shop.forms.fields import HardnessField, offer
from shop.forms.usual import MAY_BE_EMPTY, filled
from shop.models import Knife
from shop.usual import FIRST_FAMILY, SIZES, knife_name, usual_texts

SPEC = (
    "family", "length", "height", "heel_thickness", "middle_thickness", "tip_thickness",
    "grind", "behind_edge", "edge_angle", "hardness", "finish", "forging", "allowance",
    "tang", "neck_length", "tang_length", "handle", "handle_length", "handle_material",
    "ferrule", "bolster_mass", "name", "note",
)  # fmt: skip
"""The boxes of a knife."""

HINTS = {
    "length": _("From the heel to the tip."),
    "heel_thickness": _("Measured above the heel, not at the handle."),
    "behind_edge": _("At the shoulder of the edge bevel."),
    "tang_length": _("Empty: as usual for the handle."),
    "bolster_mass": _("Its mass; 0 without one."),
    "finish": _("As the customer reads it: etched, satin, polished spine."),
    "name": _("As it stands on the papers. Empty: its family and length."),
}
WITHOUT_EMPTY_CHOICE = {
    "family": choices.family, "tang": choices.tang, "handle": choices.handle,
    "handle_material": choices.material,
}  # fmt: skip


class KnifeForm(MeasuredModelFormMixin, forms.ModelForm):
    """The specification of a knife."""

    hardness = HardnessField(
        label=_("Hardness aimed at, HRC"), min_value=50.0, max_value=67.0
    )

    class Meta:
        model = Knife
        fields = SPEC
        formfield_callback = plain_formfield
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = HINTS

    def __init__(self, *args: Any, system: System, **kwargs: Any) -> None:
        super().__init__(*args, system=system, **kwargs)
        self.system = system
        for name, offered in WITHOUT_EMPTY_CHOICE.items():
            offer(self, name, offered())
        offer(self, "ferrule", [("", _("none")), *choices.ferrule()])
        self.fields["ferrule"].label = _("Ferrule")
        self.fields["name"].required = False
        for name in SIZES:
            self.fields[name].required = name not in MAY_BE_EMPTY
        self.named_before = self._usual_name(vars(self.instance))

    @classmethod
    def sent(cls, data: QueryDict, system: System, **kwargs: Any) -> Self:
        """Return the form as it was sent, empty boxes filled in as usual."""
        full = filled(data, system, all_boxes="fill" in data)
        return cls(full, system=system, **kwargs)

    @classmethod
    def fresh(cls, system: System, **initial: Any) -> Self:
        """Return the form of a knife nobody has specified yet."""
        usual = usual_texts(FIRST_FAMILY, None, system)
        return cls(initial=usual | initial, system=system)

    @classmethod
    def like(cls, knife: Knife, system: System) -> Self:
        """Return the form of another knife with the same specification."""
        values = {name: getattr(knife, name) for name in SPEC}
        return cls(initial=values, system=system)

    @property
    def filled_for(self) -> str:
        """The family the boxes were last filled in for."""
        source = self.data.get("filled") if self.is_bound else self["family"].value()
        return str(source or "")

    def clean(self) -> dict[str, Any]:
        """Name a knife nobody named; a name made so before follows the sizes."""
        clean: dict[str, Any] = super().clean() or {}
        if clean.get("name", "") in ("", self.named_before):
            clean["name"] = self._usual_name(clean)
        return clean

    def _usual_name(self, values: Mapping[str, Any]) -> str:
        family, length = values.get("family"), values.get("length")
        return knife_name(family, length, self.system) if family and length else ""

    def knife_values(self) -> dict[str, Any]:
        """Return the clean specification, with what was typed."""
        clean = {name: self.cleaned_data[name] for name in SPEC}
        return {**clean, "typed": typed_texts(self)}

    def knife_is_clean(self) -> bool:
        """Whether the specification can be read, whatever else is in the form."""
        return self.is_bound and not set(SPEC) & set(self.errors)

    def only_knife_errors(self) -> None:
        """Forget what was said of other boxes: a try saves nothing."""
        for name in set(self.errors) - set(SPEC):
            del self.errors[name]

    def refuse(self, error: Said) -> None:
        """Say what the physics or the stages refuse, beside the box if there is one."""
        place = error.field if error.field in self.fields else None
        self.add_error(place, sentence(error, self.system))
