"""What a forge burns while lit: as weighed, else by its jets, else the usual."""

from __future__ import annotations

from dataclasses import replace

from billets.physics import Number
from billets.physics.equipment import Forge
from billets.physics.errors import Flag, PlanError, _
from billets.physics.jets import KNOWN_PRESSURES, air_pressure, jet_flow
from billets.physics.state import every, mostly, typical

PRESSURES = (1e3, 6.0e5)
"""Gauge pressures a burner can have: no bottle in mild air gives more [Pa]."""

BORES = (0.2e-3, 5.0e-3)
"""What a jet's bore can be, common practice, no source [m]."""

DISCHARGES = (0.4, 1.0)
"""What a discharge can be: a hole lets through no more than its area [1]."""

MOST_JETS = 24
"""So many burners no small shop's forge has, common practice, no source [1]."""

WELDING_DRAW = 2.2 / 1.5
"""Gas at welding heat over that at forging heat, common practice, no source [1]."""

CREDIBLE_RATES = (0.02 / 3600.0, 100.0 / 3600.0)
"""What any forge can burn, common practice, no source [kg/s]."""


def check_jets(forge: Forge) -> None:
    """Raise PlanError unless a forge's jets can be jets.

    Parameters
    ----------
    forge : Forge
        Its bore and pressure may be unknown, but not nonsense [SI units].
    """
    if not 1 <= forge.jets <= MOST_JETS:
        raise PlanError(
            _("A forge has 1 to {most} burners, not {count}; correct their number."),
            field="jets",
            most=MOST_JETS,
            count=forge.jets,
        )
    _check_within(forge.jet_bore, BORES, "jet_bore")
    _check_within(forge.jet_discharge, DISCHARGES, "jet_discharge")
    _check_within(forge.gas_pressure, PRESSURES, "gas_pressure")


OUTSIDE = {
    "jet_bore": _(
        "A jet is bored {least} to {most} wide, not {value}; gauge the hole with a "
        "drill's shank and type its diameter."
    ),
    "jet_discharge": _(
        "A jet lets through {least} to {most} of its area, not {value}; take 0.85 "
        "unless you have measured it."
    ),
    "gas_pressure": _(
        "The pressure at the burner's gauge lies between {least} and {most}, not at "
        "{value}; read the gauge behind the regulator, with the forge lit."
    ),
}
"""What to say of a jet that cannot be, by field."""


def _check_within(
    value: Number | None, limits: tuple[float, float], field: str
) -> None:
    """Raise PlanError for a value outside its limits; what is unknown is no fault."""
    least, most = limits
    if value is None or every((value >= least) & (value <= most)):
        return
    raise PlanError(OUTSIDE[field], field=field, value=value, least=least, most=most)


def burner_flow(forge: Forge) -> float | None:
    """Return what all jets of a forge let through.

    Parameters
    ----------
    forge : Forge
        With its jets; the gas is as warm as the air where the bottle stands.

    Returns
    -------
    float or None
        Flow [kg/s]; None where bore or pressure is not known.
    """
    check_jets(forge)
    if forge.jet_bore is None or forge.gas_pressure is None:
        return None
    one = jet_flow(
        forge.jet_bore,
        forge.gas_pressure,
        discharge=forge.jet_discharge,
        ambient=air_pressure(forge.altitude),
        temperature=forge.air_temperature,
    )
    return float(forge.jets * one)


def metered(forge: Forge, weighed: Number | None) -> Forge:
    """Return a forge that burns what was weighed, else what its jets let through.

    Parameters
    ----------
    forge : Forge
        Its own gas rate is the usual one, and stays where nothing else is known.
    weighed : float or array (draws,) or None
        Gas burnt while lit, by the scale; 0 of a forge that burns none, None if no
        bottle was weighed [kg/s].

    Returns
    -------
    Forge
        The forge with its gas rate [kg/s] and whether that was weighed.
    """
    if weighed is None:
        flow = burner_flow(forge)
        return forge if flow is None else replace(forge, gas_rate=flow)
    check_jets(forge)
    least, most = CREDIBLE_RATES
    if not every((weighed == 0.0) | ((weighed >= least) & (weighed <= most))):
        raise PlanError(
            _(
                "A forge burns between {least_rate} and {most_rate} while lit, not "
                "{rate}; weigh the bottle again, or leave the rate open."
            ),
            field="gas_rate",
            rate=weighed,
            least_rate=least,
            most_rate=most,
        )
    return replace(forge, gas_rate=weighed, weighed=True)


def rate_source(forge: Forge) -> str:
    """Return where a forge's gas rate comes from: "weighed", "jets" or "usual".

    Parameters
    ----------
    forge : Forge
        As `metered` made it.

    Returns
    -------
    str
        The source; "usual" where nobody has measured anything.
    """
    if forge.weighed:
        return "weighed"
    known = forge.jet_bore is not None and forge.gas_pressure is not None
    return "jets" if known else "usual"


def jet_flags(forge: Forge) -> tuple[Flag, ...]:
    """Return what to say about jets run where the formula was not tried.

    Parameters
    ----------
    forge : Forge
        As `metered` made it.

    Returns
    -------
    tuple of Flag
        A sentence if the gas rate comes from jets outside 0.2 to 2.5 bar.
    """
    low, high = KNOWN_PRESSURES
    pressure = forge.gas_pressure
    if rate_source(forge) != "jets" or pressure is None:
        return ()
    if not mostly((pressure < low) | (pressure > high)):
        return ()
    message = _(
        "The flow of a jet was tried between {low_pressure} and {high_pressure}; at "
        "{gas_pressure} the gas an hour is a guess. Weigh a bottle before and after."
    )
    said = {
        "gas_pressure": typical(pressure),
        "low_pressure": low,
        "high_pressure": high,
    }
    return (Flag(message=message, field="gas_pressure", values=said),)
