"""Everything a knife is charged for. To add a cost item, add a row to COST_ITEMS.

An item says what it uses of something, by knife and by stage of the bench, and what
one unit of it costs. ``quotes.costing`` makes the lines: one for each item and, for
steel and handles, for each thing bought.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.hours import PLACES as HOUR_PLACES
from quotes.hours import knife_hours
from quotes.job import BilletJob, Job, KnifeJob
from quotes.money import ZERO
from quotes.rates import Rates
from shop import stages

MINUTES = Decimal(60)
GRAMS = Decimal(1000)
FIRINGS = Decimal(2)
"""A blade is fired twice: to harden, and to temper."""

Group = Literal["material", "energy", "consumable", "labour", "machine", "risk"]


@dataclass(frozen=True, slots=True)
class Use:
    """What one knife uses up in one stage, in the unit of its item."""

    knife: int
    stage: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """All uses that are paid at one price; ``subject`` is what is bought, if named."""

    rate: Decimal
    uses: tuple[Use, ...]
    subject: str = ""


Uses = Callable[[Job, Rates], Iterable[Use]]
Needs = Callable[[Job, Rates], Iterable[Need]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CostItem:
    """One thing that is charged for.

    Attributes
    ----------
    key, label, unit : str
        What rows keep, what pages show, and what it is counted in.
    group : str
        Where it is subtotalled.
    places : int
        Decimal places of its quantity [1].
    needs : callable
        What a job needs of it, at which price.
    """

    key: str
    label: str
    unit: str
    group: Group
    places: int
    needs: Needs


def _at(rate: str, uses: Uses) -> Needs:
    def needs(job: Job, rates: Rates) -> Iterable[Need]:
        return (Need(rate=rates.value(rate), uses=tuple(uses(job, rates))),)

    return needs


def _each(stage: str, use: str) -> Uses:
    """Return the uses of what every knife needs the same amount of."""

    def uses(job: Job, rates: Rates) -> Iterable[Use]:
        amount = rates.value(use)
        return (Use(place, stage, amount) for place in range(len(job.knives)))

    return uses


def _shares(job: Job) -> Iterator[tuple[int, KnifeJob, BilletJob, Decimal]]:
    """Give each knife with its billet and the part of it that it pays."""
    for place, knife in enumerate(job.knives):
        yield place, knife, job.billets[knife.billet], job.share_of(knife)


def _steel(job: Job, _rates: Rates) -> Iterable[Need]:
    bought: dict[tuple[str, Decimal], list[Use]] = {}
    for place, _knife, billet, share in _shares(job):
        for steel in billet.steels:
            if steel.price is None:
                raise QuoteError(
                    _("{steel} has no price a kilogram; enter one with the steel."),
                    field="steel",
                    steel=steel.name,
                )
            uses = bought.setdefault((steel.name, steel.price), [])
            uses.append(Use(place, "forge", steel.mass * share))
    return [
        Need(subject=name, rate=price, uses=tuple(uses))
        for (name, price), uses in bought.items()
    ]


def _handle(job: Job, rates: Rates) -> Iterable[Need]:
    for place, knife in enumerate(job.knives):
        usual = knife.handle_price is None
        price = rates.value("price_handle") if usual else knife.handle_price
        uses = (Use(place, "handle", Decimal(1)),)
        yield Need(subject=knife.name, rate=price or ZERO, uses=uses)


def _pins(job: Job, _rates: Rates) -> Iterable[Use]:
    for place, knife in enumerate(job.knives):
        yield Use(place, "handle", Decimal(knife.pins))


def _gas(job: Job, rates: Rates) -> Iterable[Use]:
    """Give the billet's gas from its plan, and that of forging each blade."""
    for place, _knife, billet, share in _shares(job):
        yield Use(place, "forge", billet.gas * share + blade_gas(billet, rates))


def blade_gas(billet: BilletJob, rates: Rates) -> Decimal:
    """Return what forging one blade burns in the forge of its billet [kg]."""
    heat = rates.value("blade_heating") + rates.value("blade_working")
    minutes = rates.value("blade_heats") * heat + rates.value("normalising")
    return billet.gas_per_hour * minutes / MINUTES


def _tool_hours(job: Job, rates: Rates) -> Iterable[Use]:
    """Give the hours under a press or power hammer, for billet and blade."""
    minutes = rates.value("blade_heats") * rates.value("blade_working")
    for place, _knife, billet, share in _shares(job):
        if billet.tool != "hand":
            hours = billet.working_hours * share + minutes / MINUTES
            yield Use(place, "forge", hours)


def _grinder_hours(job: Job, rates: Rates) -> Iterable[Use]:
    """Give the part of the hours of grind and finish in which the grinder runs."""
    part = rates.share("grinder_share")
    for place, knife in enumerate(job.knives):
        hours = stages.hours_by_stage(knife_hours(job, rates, knife))
        for stage in ("grind", "finish"):
            yield Use(place, stage, hours[stage] * part)


def _firings(job: Job, _rates: Rates) -> Iterable[Use]:
    for place in range(len(job.knives)):
        yield Use(place, "harden", FIRINGS / job.blades_per_firing)


def _electricity(job: Job, rates: Rates) -> Iterable[Use]:
    kiln = rates.value("kwh_harden") + rates.value("kwh_temper")
    grinding = rates.value("kwh_grinder") + rates.value("kwh_extraction")
    forging = rates.value("kwh_forging_tool")
    for use in _firings(job, rates):
        yield Use(use.knife, use.stage, use.amount / FIRINGS * kiln)
    for use in _grinder_hours(job, rates):
        yield Use(use.knife, use.stage, use.amount * grinding)
    for use in _tool_hours(job, rates):
        yield Use(use.knife, use.stage, use.amount * forging)


def _coarse_belts(job: Job, rates: Rates) -> Iterable[Use]:
    part, per_belt = rates.share("use_coarse_share"), rates.value("use_coarse")
    for place, knife in enumerate(job.knives):
        yield Use(place, "grind", knife.ground * GRAMS * part / per_belt)


def _medium_belts(job: Job, rates: Rates) -> Iterable[Use]:
    part, per_belt = 1 - rates.share("use_coarse_share"), rates.value("use_medium")
    for place, knife in enumerate(job.knives):
        yield Use(place, "finish", knife.ground * GRAMS * part / per_belt)


def _borax(job: Job, rates: Rates) -> Iterable[Use]:
    for place, _knife, _billet, share in _shares(job):
        yield Use(place, "forge", rates.value("use_borax") * share)


def _small_parts(job: Job, _rates: Rates) -> Iterable[Use]:
    for place in range(len(job.knives)):
        yield Use(place, "finish", Decimal(1))


def _labour(job: Job, rates: Rates) -> Iterable[Use]:
    for place, knife in enumerate(job.knives):
        hours = stages.hours_by_stage(knife_hours(job, rates, knife))
        for stage, amount in hours.items():
            yield Use(place, stage, amount)


_Row = tuple[str, str, str, int, Needs]


def _items(group: Group, *rows: _Row) -> tuple[CostItem, ...]:
    return tuple(
        CostItem(
            key=key, label=label, unit=unit, group=group, places=places, needs=needs
        )
        for key, label, unit, places, needs in rows
    )


COST_ITEMS: tuple[CostItem, ...] = (
    *_items(
        "material",
        ("steel", _("Steel"), "kg", 3, _steel),
        ("handle", _("Handle material"), _("pc."), 0, _handle),
        ("pins", _("Pins or bolts"), _("pc."), 0, _at("price_pin", _pins)),
    ),
    *_items(
        "energy",
        ("gas", _("Propane"), "kg", 3, _at("gas", _gas)),
        ("electricity", _("Electricity"), "kWh", 3, _at("electricity", _electricity)),
    ),
    *_items(
        "consumable",
        ("belts_coarse", _("Belts 36 to 60"), _("belts"), 3,
         _at("price_belt_coarse", _coarse_belts)),
        ("belts_medium", _("Belts 120"), _("belts"), 3,
         _at("price_belt_medium", _medium_belts)),
        ("belts_fine", _("Belts 220 to 400"), _("belts"), 3,
         _at("price_belt_fine", _each("finish", "use_belts_fine"))),
        ("belts_handle", _("Belts for handles"), _("belts"), 3,
         _at("price_belt_handle", _each("handle", "use_belts_handle"))),
        ("paper", _("Hand paper"), _("sheets"), 3,
         _at("price_paper", _each("finish", "use_paper"))),
        ("borax", _("Borax"), "kg", 3, _at("price_borax", _borax)),
        ("oil", _("Quench oil"), "L", 3,
         _at("price_oil", _each("harden", "use_oil"))),
        ("etchant", _("Etchant"), "L", 3,
         _at("price_etchant", _each("finish", "use_etchant"))),
        ("epoxy", _("Epoxy"), "g", 3,
         _at("price_epoxy", _each("handle", "use_epoxy"))),
        ("wax", _("Oil or wax"), "mL", 3,
         _at("price_wax", _each("handle", "use_wax"))),
        ("small_parts", _("Disc, wheel, wire, gloves, filters"), _("× knife"), 0,
         _at("price_small_parts", _small_parts)),
    ),
    *_items(
        "labour",
        ("labour", _("Bench work"), "h", HOUR_PLACES, _at("labour", _labour)),
    ),
    *_items(
        "machine",
        ("grinder", _("Grinder"), "h", HOUR_PLACES, _at("grinder", _grinder_hours)),
        ("forging_tool", _("Press or power hammer"), "h", HOUR_PLACES,
         _at("forging_tool", _tool_hours)),
        ("kiln", _("Kiln"), _("firings"), 3, _at("kiln", _firings)),
    ),
)  # fmt: skip
"""What a price is made of, in the order of the page."""
