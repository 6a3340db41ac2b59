"""Safety lines for the bench: what to mind at a stage before it begins.

A sheet prints at most three lines a stage; the order here decides which. Sentences are
the shop's own wording; ``ground`` says what each rests on and is not printed.
"""

from __future__ import annotations

from dataclasses import dataclass

from billets.physics.errors import _

MOST = 3
"""So many lines a stage are read; more are not."""

HOT = frozenset({"forge", "harden"})
"""Stages with fire in them: there the sheet says where the extinguisher hangs."""

ANY = "any"
"""Stands for every stage; such a line comes after those that name the stage."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One hazard of a stage and what is done about it.

    Attributes
    ----------
    hazard : str
        What can hurt.
    line : str
        The sentence on the sheet.
    stages : tuple of str
        Keys of the stages it belongs to; ``ANY`` for all.
    ground : str
        Limit or source it rests on; "practice" is common practice without a source.
    """

    hazard: str
    line: str
    stages: tuple[str, ...]
    ground: str


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        hazard="carbon monoxide",
        line=_("Open two sides before you light up; gas alarm on, next door too."),
        stages=("forge", "harden"),
        ground="NIOSH: 35 ppm over 8 h, ceiling 200 ppm, 1,200 ppm dangerous to life "
        "(1972, 2015); OSHA: 50 ppm over 8 h",
    ),
    Caution(
        hazard="propane leak",
        line=_("Bottle outside and upright; soap the joints after every change."),
        stages=("forge",),
        ground="HSE on LPG: heavier than air, gathers low; a weekly test is practice",
    ),
    Caution(
        hazard="flashback",
        line=_("Light up as the burner's maker says; pops back: shut the bottle."),
        stages=("forge",),
        ground="practice; non-return valve or arrestor where the system asks for one",
    ),
    Caution(
        hazard="burns and fire",
        line=_("Nothing that burns within 2 m; look again an hour after the fire."),
        stages=("forge",),
        ground="practice: 6 ft or more; long heat chars what a short one spares",
    ),
    Caution(
        hazard="flux fumes",
        line=_("Out of the flux smoke; fluoride flux: stand upwind and extract."),
        stages=("forge",),
        ground="29 CFR 1910.252(c), second-hand; fluorides 2.5 mg/m3 as F, "
        "29 CFR 1910.1000, quoted from memory",
    ),
    Caution(
        hazard="flying flux",
        line=_("Brush the billet before the blow; sleeves down, glasses on."),
        stages=("forge",),
        ground="practice: it flies, and lights fires, up to 20 ft away",
    ),
    Caution(
        hazard="coated metal",
        line=_("No zinc, cadmium, paint or unknown plating into the fire."),
        stages=("forge",),
        ground="American Welding Society fact sheet, second-hand: fever 6 to 24 h on",
    ),
    Caution(
        hazard="closed cavity",
        line=_("Nothing sealed into the fire: vent cans and tubes, dry inside."),
        stages=("forge",),
        ground="practice: a can has burst; some seal on purpose, the default is vent",
    ),
    Caution(
        hazard="press pinch",
        line=_("Tongs between the dies, never hands; foot off before you reach in."),
        stages=("forge",),
        ground="practice: crushed fingers; a foot control needs its guard",
    ),
    Caution(
        hazard="press oil",
        line=_("Forge out of the line of the hoses; a way out behind you."),
        stages=("forge",),
        ground="practice: oil has sprayed 10 to 15 ft into a forge; oil under the skin "
        "is a case for a hospital at once",
    ),
    Caution(
        hazard="home-built press",
        line=_("Look over frame and stops before the first squeeze."),
        stages=("forge",),
        ground="practice: a converted splitter failed on a billet",
    ),
    Caution(
        hazard="lining",
        line=_("Leave the fibre lining alone; mask on when it is renewed."),
        stages=("forge",),
        ground="IARC group 2B, quoted from memory; crystalline silica after long heat "
        "is practice",
    ),
    Caution(
        hazard="glare",
        line=_("Do not stare into the fire; infrared glasses, shade 2 to 3."),
        stages=("forge",),
        ground="practice; no official shade for forges",
    ),
    Caution(
        hazard="noise",
        line=_("Ears covered before the first blow or spark."),
        stages=("forge", "grind"),
        ground="Directive 2003/10/EC: protectors worn from 85 dB(A) over a day",
    ),
    Caution(
        hazard="metal dust",
        line=_("Extraction and mask on; sparks never into the wood dust."),
        stages=("grind", "finish"),
        ground="practice: one collector must not take sparks and wood",
    ),
    Caution(
        hazard="stone dust",
        line=_("Keep stone wheels wet; never sweep their dust dry."),
        stages=("grind",),
        ground="silica 0.05 mg/m3 over 8 h, 29 CFR 1910.1053, quoted from memory",
    ),
    Caution(
        hazard="quench fire",
        line=_("Lid at hand; blade and tong tips right under the oil, tongs cool."),
        stages=("harden",),
        ground="WAC 296-835-13005 and 29 CFR 1910.126(a): tank away from the furnace, "
        "no burnable floor, alarm 50 °F below the flashpoint; depth is practice",
    ),
    Caution(
        hazard="water in oil",
        line=_("Tank dry, blade dry: a little water foams the oil over."),
        stages=("harden",),
        ground="a heat-treating trade institute",
    ),
    Caution(
        hazard="hot fumes",
        line=_("Wipe off the oil before the blade goes into the oven."),
        stages=("harden",),
        ground="practice",
    ),
    Caution(
        hazard="etchant",
        line=_("Goggles, gloves, plastic tray; spent etchant to the hazard depot."),
        stages=("finish",),
        ground="practice: never down the drain, the etch of steel adds nickel",
    ),
    Caution(
        hazard="wood dust",
        line=_("Extraction and P3 mask; know the name of the wood."),
        stages=("handle",),
        ground="HSE: hardwood 3 mg/m3, softwood 5; EU: hardwood 2 mg/m3 since 2023, "
        "second-hand, Directive 2004/37/EC quoted from memory: the stricter holds",
    ),
    Caution(
        hazard="sensitising wood",
        line=_("Rash or tight chest from a wood: stop, and do not work it again."),
        stages=("handle",),
        ground="practice: some woods sensitise for good, not only irritate",
    ),
    Caution(
        hazard="laminate, bone, shell, titanium",
        line=_("Laminate, bone, horn, shell: mask, and wet; titanium dust burns."),
        stages=("handle",),
        ground="practice; no agency figure",
    ),
    Caution(
        hazard="sharp edge",
        line=_("Tape the edge until it is boxed; never catch a falling knife."),
        stages=("handle", "sharpen"),
        ground="practice",
    ),
    Caution(
        hazard="bits in the eyes",
        line=_("Glasses on, a face shield at the grinder."),
        stages=(ANY,),
        ground="practice",
    ),
    Caution(
        hazard="alone",
        line=_("Somebody knows when you will be done; telephone on you."),
        stages=("forge", "harden"),
        ground="practice: a smith was pinned for minutes until help came",
    ),
)
"""Every line, in the order in which they are printed."""


def cautions_for(stage: str, most: int = MOST) -> tuple[Caution, ...]:
    """Return the lines a sheet prints for a stage, its own before those for all."""
    own = [one for one in CAUTIONS if stage in one.stages]
    general = [one for one in CAUTIONS if ANY in one.stages]
    return tuple((own + general)[:most])
