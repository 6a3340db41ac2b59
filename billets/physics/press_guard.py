"""What a press cannot be, whatever it is to do."""

from __future__ import annotations

from billets.physics.equipment import Tool
from billets.physics.errors import PlanError, _
from billets.physics.pressing import known_force

SMALL, LARGE = 69e3, 245e3
"""Presses of a small shop, about 7 and 25 t, common practice, no source [N]."""

MOST_FORCE = 20e6
"""Force beyond which a press is a typing mistake [N]."""

DIE = (0.002, 0.500)
"""Length of a die outside which it is a typing mistake [m]."""

SQUEEZE = (0.1, 60.0)
"""Time of a squeeze outside which it is a typing mistake [s]."""


def check_press(tool: Tool) -> None:
    """Raise PlanError unless a press of known force can be; others pass.

    Parameters
    ----------
    tool : Tool
        Its force [N], die [m] and time for a bite [s].
    """
    force = known_force(tool)
    if force is None:
        return
    if force > MOST_FORCE:
        raise PlanError(
            _(
                "A press of {force} stands in no small shop; look at its unit. Usual "
                "is {small_force} to {large_force}."
            ),
            field="tool",
            force=force,
            small_force=SMALL,
            large_force=LARGE,
        )
    if not force > 0.0:
        raise PlanError(
            _(
                "A press of {force} moves no steel: give the force it presses with, in "
                "a small shop {small_force} to {large_force}, or leave it empty and "
                "the strain a heat counts."
            ),
            field="tool",
            force=force,
            small_force=SMALL,
            large_force=LARGE,
        )
    if not DIE[0] <= tool.die <= DIE[1]:
        raise PlanError(
            _("The die of a press is {least_die} to {most_die} long, not {die}."),
            field="tool",
            die=tool.die,
            least_die=DIE[0],
            most_die=DIE[1],
        )
    if not SQUEEZE[0] <= tool.squeeze <= SQUEEZE[1]:
        raise PlanError(
            _(
                "One bite of a press takes {least_bite_time} to {most_bite_time}, not "
                "{bite_time}."
            ),
            field="tool",
            bite_time=tool.squeeze,
            least_bite_time=SQUEEZE[0],
            most_bite_time=SQUEEZE[1],
        )
