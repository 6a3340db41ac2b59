"""Which key of a job file a sentence of the physics or of the costing speaks of."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping

from billets.messages import Said
from billets.stock import Bar
from quotes.job_keys import BILLET, EQUIPMENT, STEPS
from quotes.job_reader import join
from quotes.jobfile import JobSpec
from quotes.rate_items import ITEM_OF


class KeyedError(ValueError):
    """What was refused, with the key of the file to change."""

    def __init__(self, key: str, error: Said) -> None:
        super().__init__(key)
        self.key, self.error = key, error


def knife_key(number: int, said: Said) -> str:
    """Return the key of a knife, counted from 1, that a sentence speaks of."""
    return join(f"knives[{number}]", said.field) if said.field else f"knives[{number}]"


def plan_key(said: Said, job: JobSpec) -> str:
    """Return the key that a sentence about the billet speaks of."""
    field, step = said.field or "", said.values.get("step")
    if field in _ELSEWHERE:
        return _ELSEWHERE[field](said, job)
    if field in EQUIPMENT:
        return join("equipment", field)
    if isinstance(step, int):
        here = f"steps[{step}]"
        return join(here, field) if field in STEPS[_kind(job, step)] else here
    return join("billet", field) if field in BILLET else "billet"


def money_key(said: Said, bars: Mapping[str, Bar], told: Collection[str] = ()) -> str:
    """Return the key that a refusal of the costing speaks of.

    Of three hours that do not rise it is the one ``told`` by the file.
    """
    field = said.field or ""
    if field.startswith("hours_"):
        row = field.rpartition("_")[0]
        field = next((key for key in told if key.rpartition("_")[0] == row), field)
    if field in ITEM_OF:
        return join("rates", field)
    for letter, bar in bars.items():
        if field == "steel" and bar.steel.name == said.values.get("steel"):
            return f"billet.bars.{letter}.price"
    return field


def _kind(job: JobSpec, step: int) -> str:
    return str(job.steps[step - 1]["kind"])


def _forge(said: Said, _job: JobSpec) -> str:
    for value, key in (("door_width", "door_width"), ("wall", "wall_temperature")):
        if value in said.values:
            return join("equipment", key)
    named = "choices" in said.values or not said.values
    return join("equipment", "atmosphere") if named else "equipment"


def _tool(said: Said, job: JobSpec) -> str:
    """Return what of the tool is wrong: its force, where it is one of known force."""
    wrong = {"bite_time": "squeeze", "most_die": "die", "force": "force"}
    named = (key for value, key in wrong.items() if value in said.values)
    return join("equipment", next((k for k in named if k in job.equipment), "strain"))


def _layers(said: Said, job: JobSpec) -> str:
    step, number = said.values.get("step"), said.values.get("number")
    if isinstance(step, int):
        return f"steps[{step}]"
    if isinstance(number, int):
        return f"billet.bars.{job.order[number - 1]}.thickness"
    return "billet.bars"


def _width(said: Said, job: JobSpec) -> str:
    """Return the step that a width belongs to: of the bar, the last draw's."""
    step = said.values.get("step")
    if isinstance(step, int) and "width" in STEPS[_kind(job, step)]:
        return f"steps[{step}].width"
    drawn = [number for number, one in enumerate(job.steps, 1) if one["kind"] == "draw"]
    of_the_bar = "label" in said.values and drawn
    return f"steps[{drawn[-1]}].width" if of_the_bar else "billet.width"


_ELSEWHERE: Mapping[str, Callable[[Said, JobSpec], str]] = {
    "forge": _forge,
    "layers": _layers,
    "width": _width,
    "density": lambda _said, _job: "billet.bars",
    "tool": _tool,
    "saw": lambda _said, _job: "equipment.kerf",
    "steps": lambda said, _job: f"steps[{said.values['step']}].do",
}
"""Fields of the physics that a file calls by another name."""
