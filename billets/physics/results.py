"""What a plan gives: results that say their units and shapes."""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics import Number
from billets.physics.errors import Flag
from billets.physics.layers import Sequence
from billets.physics.state import Mask


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StepResult:
    """The billet after one step.

    Attributes
    ----------
    kind : str
        "start" or the kind of the step.
    number : int
        Place in the plan, 0 for the start [1].
    mass, lost : float or array (draws,)
        Steel in the billet, and lost in this step [kg].
    lost_by : tuple of (str, float or array (draws,))
        What of it was lost to each cause, a field of `LossByCause` [kg].
    added : float or array (draws,)
        Steel of a core laid in by this step [kg].
    retained : float or array (draws,)
        Share of the first stack and of the cores laid in so far [1].
    length, width, thickness : float or array (draws,)
        Size, cold [m]; after a cut that of the new stack.
    expansion : float
        How much longer it is at the heat of this step, 0 for cold work [1].
    pieces : int
        Pieces that lie on one another [1].
    layers, distinct, left : int
        Layers by multiplication, told apart as counted, and told apart after scale
        and grinding took outer ones [1].
    heats : float or array (draws,)
        Heats taken [1].
    heating_seconds, working_seconds : float or array (draws,)
        Time in the fire (heating, soak, hold), and out of it under the tool [s].
    core : float
        Share of the thickness between outer layers not yet taken, at the median [1].
    at_heat : float or array (draws,)
        Time a place of the billet was at heat, as scale reckons it [s].
    """

    kind: str
    number: int
    mass: Number
    lost: Number
    lost_by: tuple[tuple[str, Number], ...]
    added: Number
    retained: Number
    length: Number
    width: Number
    thickness: Number
    expansion: float
    pieces: int
    layers: int
    distinct: int
    left: int
    heats: Number
    heating_seconds: Number
    working_seconds: Number
    core: float
    at_heat: Number

    @property
    def cause(self) -> str:
        """What steel was lost to first, a field of `LossByCause`, or empty."""
        return self.lost_by[0][0] if self.lost_by else ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PatternStep:
    """A step that makes the figure: a twist, cuts, dimples or a core.

    Attributes
    ----------
    kind : str
        "twist", "ladder", "dimple" or "core".
    number : int
        Place in the plan [1].
    layers_before : int
        Layers that could be told apart before it [1].
    depth_share : float or array (draws,)
        Depth of cut or dimple over the thickness of the bar, from each face [1].
    removed_share : float or array (draws,)
        Share of the bar cut away for the figure [1].
    shear, face_shear : float or array (draws,)
        Of a twist at the outermost fibre and in the middle of a face: the tangent of
        the fibre's angle to the bar [1].
    core_share : float or array (draws,)
        Share of the thickness that a core has as it is laid in [1].
    ground_share : float or array (draws,)
        Share of the thickness that the plan grinds off after it, both faces [1].
    """

    kind: str
    number: int
    layers_before: int
    depth_share: Number
    removed_share: Number
    shear: Number
    face_shear: Number
    core_share: Number
    ground_share: Number


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LossByCause:
    """Steel lost from stack to the end of the plan.

    Attributes
    ----------
    weld_scale, draw_scale, trim, grind, kerf, pattern : float or array (draws,)
        Lost to each cause, added up step by step; "pattern" is what is ground, cut or
        drilled away for the figure [kg].
    """

    weld_scale: Number
    draw_scale: Number
    trim: Number
    grind: Number
    kerf: Number
    pattern: Number


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanResult:
    """What a plan gives: floats for a plain plan, arrays for a sampled one.

    Attributes
    ----------
    steps : tuple of StepResult
        The billet at the start and after every step.
    start_mass : float or array (draws,)
        Steel in the stack [kg].
    added : float or array (draws,)
        Steel of cores laid in later [kg].
    bar_mass : float or array (draws,)
        Steel in the forged bar: after the last step in the fire [kg].
    bar_length, bar_width, bar_thickness : float or array (draws,)
        Its size, cold [m].
    clean : bool
        Whether the plan goes on to trim or grind that bar.
    clean_mass : float or array (draws,)
        Steel at the end of the plan; the forged bar's if it is left as forged [kg].
    clean_length, clean_width, clean_thickness : float or array (draws,)
        Size at the end of the plan, cold [m].
    retained : float or array (draws,)
        Share of stack and cores at the end of the plan [1].
    loss : LossByCause
        From stack to the end of the plan, float or array (draws,) [kg].
    layers, distinct, left : int
        Layers by multiplication, told apart as counted, and told apart after scale
        and grinding took outer ones [1].
    sequence : tuple of (str, float)
        What is left, from top to bottom: steel key and share of thickness [1].
    pattern : tuple of PatternStep
        What made the figure, in order; empty for straight layers.
    welds : int
        Welds [1].
    heats : float or array (draws,)
        Heats, all steps [1].
    heating_seconds, working_seconds : float or array (draws,)
        Time in the fire without warming up the forge, and under the tool [s].
    forge_seconds : float or array (draws,)
        Time the forge burns: warming up, heating and working [s].
    attended_seconds : float or array (draws,)
        Time someone is at it, with cutting, cleaning, stacking and setting up [s].
    gas : float or array (draws,)
        Gas burnt [kg].
    used_up : bool or array of bool (draws,)
        Whether nothing is left.
    flags : tuple of Flag
        What to look at twice; a step's flag has its ``step`` among the values.
    """

    steps: tuple[StepResult, ...]
    start_mass: Number
    added: Number
    bar_mass: Number
    bar_length: Number
    bar_width: Number
    bar_thickness: Number
    clean: bool
    clean_mass: Number
    clean_length: Number
    clean_width: Number
    clean_thickness: Number
    retained: Number
    loss: LossByCause
    layers: int
    distinct: int
    left: int
    sequence: Sequence
    pattern: tuple[PatternStep, ...]
    welds: int
    heats: Number
    heating_seconds: Number
    working_seconds: Number
    forge_seconds: Number
    attended_seconds: Number
    gas: Number
    used_up: Mask
    flags: tuple[Flag, ...]
