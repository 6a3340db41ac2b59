"""A knife drawn and weighed beside its form, without saving anything."""

from __future__ import annotations

from dataclasses import dataclass

from billets.knives import spec_from
from billets.messages import sentence
from billets.physics.errors import PlanError
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import KnifeSpec
from billets.units import System
from billets.wording import Figure, Saying, flag_sayings
from shop.forms.knives import KnifeForm
from shop.wording import knife_figures, screen_drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class Preview:
    """What a page shows of a knife: figures, drawing, sentences; or why it cannot."""

    figures: tuple[Figure, ...] = ()
    sayings: tuple[Saying, ...] = ()
    drawing: str = ""
    refusal: str = ""


def preview_of(form: KnifeForm, *, only_knife: bool) -> Preview:
    """Return what the form's knife comes to; its errors go beside the boxes."""
    form.is_valid()
    if only_knife:
        form.only_knife_errors()
    if not form.knife_is_clean():
        return Preview()
    try:
        return _preview(spec_from(form.knife_values()), form.system)
    except PlanError as error:
        form.refuse(error)
        return Preview()


def preview_from(spec: KnifeSpec, system: System) -> Preview:
    """Return what a specification comes to, or the sentence why it does not."""
    try:
        return _preview(spec, system)
    except PlanError as error:
        return Preview(refusal=sentence(error, system))


def _preview(spec: KnifeSpec, system: System) -> Preview:
    result = weigh_knife(spec)
    return Preview(
        figures=knife_figures(spec, result, system),
        sayings=tuple(flag_sayings(result.flags, system)),
        drawing=screen_drawing(spec, system),
    )
