"""A billet to be drawn, without a database, and how to measure a drawing."""

import re
from dataclasses import replace
from xml.etree import ElementTree

from billets.figures import figures
from billets.physics.bar import Steel
from billets.physics.equipment import Forge, Saw, Tool
from billets.physics.factors import PRIORS
from billets.physics.knife import weigh_knife
from billets.physics.knife_spec import default_spec, spec_fittings
from billets.physics.steps import Core, Cut, Draw, Grind, Trim, Weld
from billets.physics.treatment import HeatSegment
from billets.physics.verdict import Target
from billets.services import Beliefs, PlanSpec
from billets.stock import Bar

SVG = "{http://www.w3.org/2000/svg}"

DARK = Steel("dark", "Dark steel", 0.85, 7850.0, "dark")
PALE = Steel("pale", "Pale steel", 0.74, 7850.0, "bright")
GREY = Steel("grey", "Grey steel", 1.10, 7850.0, "grey")

BARS = {
    "A": Bar(steel=DARK, thickness=0.0032, width=0.045, length=1.0),
    "B": Bar(steel=PALE, thickness=0.0019, width=0.045, length=1.0),
    "C": Bar(steel=GREY, thickness=0.0060, width=0.045, length=1.0),
}

FEW = (Weld(), Draw(width=0.041, thickness=0.0062))
MORE = (
    Weld(), Draw(width=0.041, thickness=0.0125), Trim(per_end=0.006), Grind(),
    Cut(pieces=3), Weld(), Draw(width=0.041, thickness=0.0062),
)  # fmt: skip
CORED = (
    *MORE[:-1], Draw(width=0.041, thickness=0.0100), Grind(),
    Core(steel=GREY, thickness=0.0070), Weld(), Draw(width=0.041, thickness=0.0062),
)  # fmt: skip


def target(key, forging="bevel"):
    """A knife that is known."""
    spec = replace(default_spec(key), forging=forging)
    blank = weigh_knife(spec).blank
    flat = blank.length + spec.neck_length + spec_fittings(spec).tang.length
    return Target(
        label=f"K-{key}",
        needed=blank.needed,
        thickness=blank.bar_thickness,
        width_low=blank.bar_width_low,
        width_high=blank.bar_width_high,
        length=flat if forging == "bar" else 0.0,
        blade_height=spec.height,
        spine=spec.heel_thickness,
        behind_edge=spec.behind_edge,
        knife=spec,
    )


def planned(order="ABABABABA", steps=MORE, targets=(), length=0.172):
    """The figures of a plan."""
    spec = PlanSpec(
        bars=BARS, order=order, length=length, width=0.040, steps=steps,
        forge=Forge(), tool=Tool(), saw=Saw(),
        cores=tuple(
            Bar(steel=step.steel, thickness=step.thickness, width=0.045, length=1.0)
            for step in steps
            if isinstance(step, Core)
        ),
    )  # fmt: skip
    beliefs = Beliefs(factors=PRIORS, billets=0)
    return figures(spec, targets, beliefs, seed=7, draws=200)


KNIVES = ("gyuto", "chef", "petty", "deba", "cleaver", "yanagiba")
ZERO = 273.15


def segment(kind, start, end, seconds=600.0, *, known=True):
    return HeatSegment(
        kind=kind, start=start + ZERO, end=end + ZERO, seconds=seconds, known=known
    )


TREATMENT = (
    segment("normalise", 20, 865, known=False),
    segment("normalise", 865, 865, 540),
    segment("normalise", 865, 20, known=False),
    segment("harden", 20, 812, known=False),
    segment("harden", 812, 812, 420),
    segment("quench", 812, 60, 12, known=False),
    *(
        one
        for _times in range(2)
        for one in (
            segment("temper", 30, 184, known=False),
            segment("temper", 184, 184, 7200),
            segment("temper", 184, 30, known=False),
        )
    ),
)
"""A treatment of our own."""


# --- measured ------------------------------------------------------------------------


def parsed(drawing):
    return ElementTree.fromstring(drawing)


def plain(tag):
    return tag.removeprefix(SVG)


def elements(root, tag, name=None):
    return [
        one for one in root.iter()
        if plain(one.tag) == tag and (name is None or one.get("class") == name)
    ]  # fmt: skip


def corners(path):
    """The corners of a path made of points with commas."""
    pairs = re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.get("d"))
    return [(float(x), float(y)) for x, y in pairs]


def box(path):
    across, down = zip(*corners(path), strict=True)
    return min(across), max(across), min(down), max(down)


def texts(root):
    return ["".join(one.itertext()).replace("\u00a0", " ") for one in
            elements(root, "text")]  # fmt: skip
