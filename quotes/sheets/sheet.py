"""What a build sheet says: everything in words, before it is laid out on paper.

A sheet holds all but its revision and the time it was printed; so two sheets that say
the same are equal, and a change of anything said makes the next revision.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass

from babel.dates import format_date
from babel.lists import format_list
from django.utils import translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from billets.figures import PlanFigures, figures_of
from billets.messages import spoken
from billets.models import Plan
from billets.physics.drawing import tiles
from billets.physics.knife import weigh_knife
from billets.pictures.bar import bar_picture
from billets.pictures.paper import Picture
from billets.units import System, locale_of
from billets.wording import neat, origin
from quotes.errors import QuoteError
from quotes.offer.specification import Specified
from quotes.services import digest
from quotes.sheets.billet import BilletPlan, billet_plan, needed_sentences
from quotes.sheets.stack import StackList, stack_list
from quotes.sheets.stages import StageBlock, stage_blocks
from shop import stages
from shop.models import Knife, Shop
from shop.services import spec_of
from shop.wording import drawing_words

DRAWING_WIDTHS = {"A4": 267.0, "letter": 249.0}
"""Drawing width of a sheet across: its margins are 20 mm left and 10 mm right [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What is read from two metres away, and whose knife it is."""

    serial: str
    mark: str
    kind: str
    length: str
    due: str
    days: str
    initials: str
    order: str
    shop: str
    shared: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A build sheet.

    Attributes
    ----------
    language, size : str
        Of the shop, and of its paper.
    head : Head
        Which knife.
    note : str
        What was noted for the bench.
    needed : tuple of str
        What the knife needs of its billet, and who else comes out of it.
    stack : StackList
        What is stacked.
    plan : BilletPlan
        Every step.
    bar : Picture or None
        Where along the bar each knife is cut out.
    drawings : tuple of str
        The blade at its true size, one piece of SVG a sheet of paper.
    stages : tuple of StageBlock
        The way over the bench.
    foot : tuple of str
        What the numbers rest on, and what comes before them.
    """

    language: str
    size: str
    head: Head
    note: str
    needed: tuple[str, ...]
    stack: StackList
    plan: BilletPlan
    bar: Picture | None
    drawings: tuple[str, ...]
    stages: tuple[StageBlock, ...]
    foot: tuple[str, ...]

    @property
    def content(self) -> str:
        """A digest of all the sheet says."""
        return digest(dataclasses.asdict(self))


def sheet_of(knife: Knife, shop: Shop) -> Sheet:
    """Return the sheet of a knife as things stand, in the shop's language and units.

    QuoteError where there is nothing to print yet; PlanError if the billet cannot be
    forged as planned.
    """
    plan = _plan_of(knife)
    figures, result = figures_of(plan), weigh_knife(spec_of(knife))
    one = Specified(knife=knife, result=result, figures=figures)
    system: System = shop.units
    with translation.override(shop.language):
        return Sheet(
            language=shop.language,
            size=shop.paper,
            head=_head(knife, shop, system),
            note=knife.note,
            needed=_needed(knife, figures, system),
            stack=stack_list(figures, system),
            plan=billet_plan(figures, system, knife.target.label),
            bar=_bar(figures, system),
            drawings=_drawings(knife, shop, system),
            stages=stage_blocks(one, shop, system),
            foot=_foot(figures),
        )


def _plan_of(knife: Knife) -> Plan:
    """Return the billet of a knife that is at the bench, else say what comes first."""
    if knife.stage == stages.NOT_STARTED:
        raise QuoteError(
            gettext_noop(
                "Knife {serial} is not at the bench yet: its build sheet is printed "
                "once the order is accepted."
            ),
            field="stage", serial=knife.serial,
        )  # fmt: skip
    if knife.stage not in stages.bench():
        raise QuoteError(
            gettext_noop(
                "Knife {serial} has left the bench: it gets no new sheet. Those "
                "printed before stay with its order."
            ),
            field="stage", serial=knife.serial,
        )  # fmt: skip
    if knife.target.plan is None:
        raise QuoteError(
            gettext_noop(
                "Knife {serial} comes out of no billet yet: plan one, or choose one, "
                "then print its build sheet."
            ),
            field="plan", serial=knife.serial,
        )  # fmt: skip
    return knife.target.plan


def _head(knife: Knife, shop: Shop, system: System) -> Head:
    due, days = _due(knife.order.promised_week)
    kind = str(knife.get_family_display()).partition(",")[0]
    return Head(
        serial=knife.serial,
        mark=knife.mark,
        kind=capfirst(kind),
        length=neat(knife.length, "length", system),
        due=due,
        days=days,
        initials=knife.order.customer.initials,
        order=knife.order.number,
        shop=shop.name,
        shared=_shared(_others(knife)),
    )


def _due(monday: dt.date | None) -> tuple[str, str]:
    """Return the week promised, short enough to be read from afar, and its days."""
    if monday is None:
        return capfirst(_("no week promised")), ""
    sunday, locale = monday + dt.timedelta(days=6), locale_of(spoken())
    week = _("due week {number}").format(number=monday.isocalendar().week)
    days = _("{first} to {last}").format(
        first=format_date(monday, "long", locale=locale),
        last=format_date(sunday, "long", locale=locale),
    )
    return capfirst(week), days


def _bar(figures: PlanFigures, system: System) -> Picture | None:
    """Return the knives along the bar, by number: sheets lie about in the shop."""
    targets = tuple(
        dataclasses.replace(one, label=one.label.partition(" ")[0])
        for one in figures.targets
    )
    numbered = dataclasses.replace(figures, targets=targets)
    return bar_picture(numbered, system, alone=False)


def _needed(knife: Knife, figures: PlanFigures, system: System) -> tuple[str, ...]:
    clean = figures.plain.clean
    own = knife.target.clean_needed if clean else knife.target.needed
    return needed_sentences(figures, own, _others(knife), system)


def _others(knife: Knife) -> list[str]:
    """Return the numbers of the other knives that come out of the same billet."""
    rows = Knife.objects.filter(target__plan=knife.target.plan).exclude(pk=knife.pk)
    return list(rows.exclude(stage__in=stages.EXITS).values_list("serial", flat=True))


def _shared(others: list[str]) -> str:
    """Return the warning that a billet is forged once, though it has several sheets."""
    if not others:
        return ""
    serials = format_list(others, locale=locale_of(spoken()))
    return _("One billet with {serials}: weld it once.").format(serials=serials)


def _drawings(knife: Knife, shop: Shop, system: System) -> tuple[str, ...]:
    return tuple(
        tiles(
            spec_of(knife),
            page_width=DRAWING_WIDTHS[shop.paper],
            words=drawing_words(system),
            name="sheet",
        )
    )


def _foot(figures: PlanFigures) -> tuple[str, ...]:
    return (
        origin(figures.beliefs),
        _("Draws of chance begin at seed {seed}.").format(seed=figures.sampled.seed),
        _(
            "Local codes, the makers' instructions for forge, press, oven, oil and "
            "steel, and licensed practice come before this sheet."
        ),
    )
