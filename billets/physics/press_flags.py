"""What to say about a press that is small, short or beyond what was measured."""

from __future__ import annotations

from billets.physics.equipment import Tool
from billets.physics.errors import Flag, Level, _
from billets.physics.flow_stress import in_range
from billets.physics.pressing import (
    CENTRE,
    COOLED_BY,
    SQUEEZE_STRAIN,
    Size,
    known_force,
)
from billets.physics.pulling import Pull
from billets.physics.state import every, mostly, typical
from billets.physics.weld_setting import WELD_COOLING, WELD_RATE, WELD_STRAIN, Setting


def pull_flags(
    tool: Tool, size: Size, pull: Pull, temperature: float, carbon: float
) -> tuple[Flag, ...]:
    """Return what to say about drawing a bar under a press of known force.

    Parameters
    ----------
    tool : Tool
        What draws it; nothing is said of one without a known force.
    size : tuple of float or array (draws,)
        Length, width and height as the draw begins [m].
    pull : Pull
        What the tool does on the way [1].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    tuple of Flag
        Sentences.
    """
    if pull.start is None:
        return ()
    third = CENTRE * size[2]
    found: str = ""
    if not every(pull.able):
        found = _MAY_NOT
    elif mostly(pull.start.largest < third):
        found = _NARROW
    elif mostly(pull.start.bite < third):
        found = _SHORT_DIE
    flags: tuple[Flag, ...] = ()
    if found:
        values = _section(tool, size, temperature) | {
            "bite": typical(pull.start.bite), "third_bite": typical(third),
            "die": tool.die,
        }  # fmt: skip
        flags = (Flag(message=found, field="tool", values=values),)
    known = in_range("shida", carbon, SQUEEZE_STRAIN, 1.0, temperature - COOLED_BY)
    return flags if every(known) else (*flags, _stretched(temperature, carbon))


def setting_flags(
    tool: Tool, setting: Setting, temperature: float, carbon: float
) -> tuple[Flag, ...]:
    """Return what to say about setting a weld under a press of known force.

    Parameters
    ----------
    tool : Tool
        The press.
    setting : Setting
        How it sets the weld [N, 1].
    temperature : float
        Of the steel as it leaves the fire [K].
    carbon : float
        Mean mass fraction in percent [%].

    Returns
    -------
    tuple of Flag
        Sentences.
    """
    found: str = ""
    level: Level = "amber"
    if not mostly(setting.able):
        found = _NO_WELD
    elif not mostly(setting.whole):
        found, level = _BY_BITES, "note"
    flags: tuple[Flag, ...] = ()
    if found:
        values = {
            "force": known_force(tool), "face_force": typical(setting.face_force),
            "bites": round(typical(setting.bites)), "temperature": temperature,
        }  # fmt: skip
        flags = (Flag(message=found, field="tool", level=level, values=values),)
    known = in_range(
        "shida", carbon, WELD_STRAIN, WELD_RATE, temperature - WELD_COOLING
    )
    return flags if every(known) else (*flags, _stretched(temperature, carbon))


def _section(tool: Tool, size: Size, temperature: float) -> dict[str, object]:
    """Return the words every sentence about a section needs."""
    return {
        "force": known_force(tool), "temperature": temperature,
        "width": typical(size[1]), "thickness": typical(size[2]),
    }  # fmt: skip


def _stretched(temperature: float, carbon: float) -> Flag:
    values = {"temperature": temperature, "carbon": carbon}
    return Flag(message=_UNKNOWN, field="temperature", level="note", values=values)


_MAY_NOT = _(
    "Step {step}: a press of {force} may not get into a section of {width} by "
    "{thickness} at {temperature}. Draw hotter, start narrower, or take a bigger press "
    "or the hammer."
)
_NARROW = _(
    "Step {step}: the press bites {bite} into a bar {thickness} high, less than a "
    "third of that, {third_bite}: its middle is hardly worked. Draw hotter, start with "
    "a narrower or lower stack, or take a bigger press."
)
_SHORT_DIE = _(
    "Step {step}: the die is {die} long, less than a third of a bar {thickness} high, "
    "{third_bite}: its middle is hardly worked. Take a longer die to begin with, or a "
    "lower stack."
)
_BY_BITES = _(
    "Step {step}: over its whole face this weld takes {face_force}; a press of {force} "
    "sets it in {bites} bites, from one end to the other."
)
_NO_WELD = _(
    "Step {step}: a press of {force} does not set this weld, whose face takes "
    "{face_force}: set it with the hammer, or start with a narrower stack."
)
_UNKNOWN = _(
    "Step {step}: how hard steel of {carbon} % carbon resists at {temperature} is "
    "beyond what was measured; the force of the press is a guess there."
)
