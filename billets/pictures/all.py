"""All pictures of a plan with what they say, as a page or paper needs them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from billets.figures import PlanFigures
from billets.physics.treatment import HeatSegment
from billets.pictures.bar import bar_picture
from billets.pictures.mass import blade_rows
from billets.pictures.paper import Picture
from billets.pictures.section import section_picture
from billets.pictures.stack import merge_words, stack_rows
from billets.pictures.treatment import treatment_picture
from billets.units import System

Rows = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pictures:
    """The pictures of a plan; those are None for which there is nothing to show.

    Attributes
    ----------
    section, bar, treatment : Picture or None
        Layers in the blade, blanks along the bar, temperature over time.
    merge : str
        How many layers the pieces of the stack make.
    stack, blade : tuple of (label, text)
        What the drawing of the stack, and the end of the mass chart, say.
    """

    section: Picture | None
    bar: Picture | None
    treatment: Picture | None
    merge: str
    stack: Rows
    blade: Rows


def pictures_of(
    figures: PlanFigures, system: System, treatment: Sequence[HeatSegment] = ()
) -> Pictures:
    """Draw a plan, and the heat treatment of its blades where one is known."""
    return Pictures(
        section=section_picture(figures, system),
        bar=bar_picture(figures, system),
        treatment=treatment_picture(treatment, system),
        merge=merge_words(figures.spec),
        stack=stack_rows(figures.spec, system),
        blade=blade_rows(figures, system),
    )
