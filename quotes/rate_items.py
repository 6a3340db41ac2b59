"""Every price, hour and share a shop can set, with the value it starts from.

The starting values are trade practice or invented; none is published, and the page
says so. A shop overwrites them, each from a day on. To add one, add a row here; what
it is used for stands in ``quotes/cost_items.py``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from billets.physics.errors import _
from quotes.extra_items import EXTRA_ITEMS
from quotes.ladder_items import LADDER_ITEMS
from quotes.rate_kinds import RateItem, items
from shop import stages

GROUPS: Mapping[str, str] = MappingProxyType(
    {
        "price": _("Labour, margin, deposit"),
        "hours": _("Hours for one knife"),
        "scale": _("The knife these hours are for, and how they learn"),
        "handle": _("Hours of a handle, times"),
        "machine": _("Machines, without energy"),
        "energy": _("Gas and electricity"),
        "material": _("Prices of what is used up"),
        "use": _("What one knife uses up"),
        "success": _("How often a stage goes well"),
        "restart": _("Where a failure starts again"),
        "week": _("The weeks a knife waits for"),
        "extra": _("Charged beside the knife"),
        "ladder": _("Cancelled or changed after the yes"),
    }
)
"""The tables of the page of rates, in order."""

# Three points for a chef's knife of 200 to 240 mm in 100 to 300 layers.
_HOURS: Mapping[str, tuple[str, str, str]] = MappingProxyType(
    {
        "billet": ("2", "4", "9"),
        "blade_forging": ("1", "2", "4"),
        "grind": ("3", "5", "10"),
        "harden": ("1", "1.5", "3"),
        "hand_finish": ("1", "2", "4"),
        "handle": ("2", "4", "7"),
        "sharpen": ("1", "1.5", "3"),
    }
)
POINTS: Mapping[str, str] = MappingProxyType(
    {"least": _("least"), "likely": _("likely"), "most": _("most")}
)


def hours_key(row: str, point: str) -> str:
    """Return the key of one of the three points of a row of hours.

    >>> hours_key("grind", "likely")
    'hours_grind_likely'
    """
    return f"hours_{row}_{point}"


def _hours_items() -> tuple[RateItem, ...]:
    # The page shows the three points of a row side by side, under the row's label.
    return items(
        "hours",
        "amount",
        *(
            (hours_key(row, point), stages.HOURS_ROWS[row], "h", hours)
            for row, three in _HOURS.items()
            for point, hours in zip(POINTS, three, strict=True)
        ),
    )


# Success in per cent, and the stage in which a failure starts again.
_CHAIN: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "forge": ("89", "forge"),  # welds that do not take are inside it
        "grind": ("98", "forge"),
        "harden": ("94", "forge"),
        "finish": ("99", "finish"),
        "handle": ("98", "handle"),
        "sharpen": ("99.5", "sharpen"),
    }
)


def _chain_items() -> tuple[RateItem, ...]:
    bench = stages.bench()
    labels = {key: stages.label_of(key) for key in bench}
    success = ((f"success_{key}", labels[key], "%", _CHAIN[key][0]) for key in bench)
    restart = (
        (f"restart_{key}", labels[key], "", str(bench.index(_CHAIN[key][1]) + 1))
        for key in bench
    )
    return (
        *items("success", "percent", *success),
        *items("restart", "stage", *restart),
    )


RATE_ITEMS: tuple[RateItem, ...] = (
    *items(
        "price",
        "money",
        ("labour", _("Bench work"), _("per hour"), "50.00"),
    ),
    *items(
        "price",
        "percent",
        ("margin", _("Margin"), _("per cent of the net price"), "15"),
        ("deposit", _("Deposit"), _("per cent of the total"), "30"),
    ),
    *_hours_items(),
    *items(
        "scale",
        "amount",
        ("usual_area", _("Its side"), "cm²", "83"),
        ("usual_blank", _("Its forged blank"), "g", "236"),
        ("usual_ground", _("Steel ground off it"), "g", "105"),
        ("hours_worth", _("Knives these hours are worth against your own"), "", "3"),
    ),
    *items(
        "scale",
        "percent",
        (
            "area_share",
            _("Grinding that goes with the side; the rest with the steel ground off"),
            "%",
            "50",
        ),
        ("week_spread", _("How far a good week is from a bad one"), "%", "12"),
    ),
    *items(
        "week",
        "amount",
        (
            "bench_week_spread",
            _("Hours one week has more or fewer than another"),
            "h",
            "5",
        ),
    ),
    *items(
        "handle",
        "amount",
        ("handle_octagon", _("Octagon"), _("times"), "1.0"),
        ("handle_d", _("D shape"), _("times"), "1.1"),
        ("handle_scales", _("Scales on a full tang"), _("times"), "0.9"),
        ("handle_bolster", _("More with a bolster"), _("times"), "0.3"),
    ),
    *items(
        "machine",
        "money",
        ("grinder", _("Grinder"), _("per hour"), "1.24"),
        ("forging_tool", _("Press or power hammer"), _("per hour"), "1.00"),
        ("kiln", _("Kiln"), _("per firing"), "0.60"),
    ),
    *items(
        "machine",
        "percent",
        (
            "grinder_share",
            _("Grinder running, of the hours of grind and finish"),
            "%",
            "70",
        ),
    ),
    *items(
        "energy",
        "money",
        ("gas", _("Propane"), _("per kg"), "3.20"),
        ("electricity", _("Electricity"), _("per kWh"), "0.35"),
    ),
    *items(
        "energy",
        "amount",
        ("kwh_harden", _("Kiln, hardening"), _("kWh a firing"), "3.2"),
        ("kwh_temper", _("Kiln, tempering"), _("kWh a firing"), "2.9"),
        ("kwh_grinder", _("Grinder"), _("kWh an hour"), "0.91"),
        ("kwh_extraction", _("Extraction and light"), _("kWh an hour"), "0.95"),
        ("kwh_forging_tool", _("Press or power hammer"), _("kWh an hour"), "1.24"),
        ("blade_heats", _("Heats to forge a blade"), "", "12"),
        ("blade_heating", _("Heating, each of them"), "min", "3"),
        ("blade_working", _("Working, each of them"), "min", "0.75"),
        ("normalising", _("Normalising in the forge"), "min", "24"),
    ),
    *items(
        "material",
        "money",
        ("price_handle", _("Handle block or scales, ferrule"), _("each"), "18.00"),
        ("price_pin", _("Pin or bolt"), _("each"), "1.50"),
        ("price_belt_coarse", _("Belt 36 to 60"), _("each"), "5.00"),
        ("price_belt_medium", _("Belt 120"), _("each"), "4.50"),
        ("price_belt_fine", _("Belt 220 to 400"), _("each"), "4.00"),
        ("price_belt_handle", _("Belt for handles"), _("each"), "4.50"),
        ("price_paper", _("Hand paper 240 to 2000"), _("a sheet"), "0.60"),
        ("price_borax", _("Borax"), _("per kg"), "4.00"),
        ("price_oil", _("Quench oil"), _("per litre"), "6.00"),
        ("price_etchant", _("Etchant, concentrate"), _("per litre"), "12.00"),
        ("price_epoxy", _("Epoxy"), _("per gram"), "0.15"),
        ("price_wax", _("Oil or wax"), _("per mL"), "0.05"),
        (
            "price_small_parts",
            _("Disc, wheel, wire, gloves, filters"),
            _("a knife"),
            "3.00",
        ),
    ),
    *items(
        "use",
        "amount",
        ("use_coarse", _("Steel a belt 36 to 60 takes off"), "g", "250"),
        ("use_medium", _("Steel a belt 120 takes off"), "g", "120"),
        ("use_belts_fine", _("Belts 220 to 400"), _("belts"), "2.5"),
        ("use_belts_handle", _("Belts for the handle, as new ones"), _("belts"), "1.5"),
        ("use_paper", _("Hand paper"), _("sheets"), "6"),
        ("use_borax", _("Borax for a billet"), "kg", "0.06"),
        ("use_oil", _("Quench oil"), "L", "0.03"),
        ("use_etchant", _("Etchant, concentrate"), "L", "0.033"),
        ("use_epoxy", _("Epoxy"), "g", "12"),
        ("use_wax", _("Oil or wax"), "mL", "8"),
    ),
    *items(
        "use",
        "percent",
        (
            "use_coarse_share",
            _("Ground off with belts 36 to 60; the rest with 120"),
            "%",
            "75",
        ),
    ),
    *_chain_items(),
    *EXTRA_ITEMS,
    *LADDER_ITEMS,
)
"""Everything a shop can set, in the order of the page."""

ITEM_OF: Mapping[str, RateItem] = MappingProxyType(
    {item.key: item for item in RATE_ITEMS}
)
