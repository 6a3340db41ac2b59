"""The forms that move a knife: on past its gate, back, or out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from billets.fields import MeasuredFormMixin, TextCleanField
from billets.models import Plan
from shop import choices, payments, services, stages
from shop.forms.fields import offer
from shop.models import Knife

LOOK = _("Look at each of these and tick it before the knife goes on.")
OFFERED = 50


class MoveForm(MeasuredFormMixin, forms.Form):
    """On to the next stage, with every sentence of the gate ticked.

    Where a total was agreed, the payments say whether the knife is paid, and nobody
    ticks it; handing over one that is not needs a reason.
    """

    gate = forms.MultipleChoiceField(
        label=_("To pass"), widget=forms.CheckboxSelectMultiple
    )
    reason = TextCleanField(
        label=_("Why it is handed over before it is paid"), max_length=300,
        required=False, help_text=_("Stays in the history, with your name."),
    )  # fmt: skip
    to = forms.CharField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, knife: Knife, **kwargs: Any) -> None:
        super().__init__(
            *args, initial={"to": stages.next_stage(knife.stage)}, **kwargs
        )
        sentences = [
            one
            for one in stages.gate_of(knife.stage)
            if one != stages.PAID or knife.order.agreed is None
        ]
        if not payments.delivery_waits(knife):
            del self.fields["reason"]
        self.ticks = {str(number): gettext(one) for number, one in enumerate(sentences)}
        offer(self, "gate", self.ticks.items())
        self.fields["gate"].error_messages["required"] = LOOK

    def clean_gate(self) -> list[str]:
        """Refuse a gate that is ticked only in part."""
        ticked: list[str] = self.cleaned_data["gate"]
        if set(ticked) != set(self.ticks):
            raise forms.ValidationError(LOOK, code="gate")
        return ticked


class BackForm(MeasuredFormMixin, forms.Form):
    """Back to a stage the knife should not have left."""

    stage = forms.ChoiceField(label=_("It stands at"))
    reason = TextCleanField(label=_("Why the move was wrong"), max_length=300)

    def __init__(self, *args: Any, knife: Knife, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_back_%s", **kwargs)
        earlier = earlier_stages(knife)
        offer(self, "stage", (pair for pair in choices.stage() if pair[0] in earlier))


class LeaveForm(MeasuredFormMixin, forms.Form):
    """Out: lost at the bench, or no longer wanted.

    A knife is not cancelled by itself where money was agreed on for its order.
    """

    to = forms.ChoiceField(label=_("The knife is"))
    reason = TextCleanField(
        label=_("Why"), max_length=300,
        help_text=_("What was seen, where on the blade, what it came from."),
    )  # fmt: skip

    def __init__(self, *args: Any, knife: Knife, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_leave_%s", **kwargs)
        ways = [out for out in stages.EXITS if stages.can_move(knife.stage, out)]
        self.with_the_order = services.is_bound(knife.order) and "cancelled" in ways
        if self.with_the_order:
            ways.remove("cancelled")
        offer(self, "to", (pair for pair in choices.stage() if pair[0] in ways))


class BilletForm(MeasuredFormMixin, forms.Form):
    """Which billet a knife is made from."""

    plan = forms.ModelChoiceField(
        label=_("Billet"), queryset=Plan.objects.all(), required=False
    )  # fmt: skip

    def __init__(self, *args: Any, knife: Knife, **kwargs: Any) -> None:
        plan = knife.target.plan
        super().__init__(*args, initial={"plan": plan}, **kwargs)
        newest = [one for one in Plan.objects.all()[:OFFERED] if one != plan]
        billets = [plan, *newest] if plan else newest
        named = ((one.pk, one.title) for one in billets)
        offer(self, "plan", [("", _("no billet yet")), *named])


class CancelForm(MeasuredFormMixin, forms.Form):
    """The reason an order is cancelled for."""

    reason = TextCleanField(label=_("Why it is cancelled"), max_length=300)


def earlier_stages(knife: Knife) -> tuple[str, ...]:
    """Return the stages a wrong move can be taken back to."""
    way = [one.key for one in stages.STAGES]
    if knife.stage in way:
        return tuple(way[: way.index(knife.stage)])
    last = knife.events.last() if knife.stage in stages.EXITS else None
    left = last.came_from if last else ""
    return tuple(way[: way.index(left) + 1]) if left in way else ()
