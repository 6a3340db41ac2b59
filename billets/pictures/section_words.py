"""What is seen of a billet in a blade's section, in words and numbers."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from billets.figures import PlanFigures
from billets.physics.blade_cut import BladeCut, bar_cut
from billets.physics.core_line import core_of, target_cut
from billets.physics.core_shown import CoreShown, core_shown, middle_layer
from billets.physics.drawing_words import scale_name
from billets.physics.etched import layers_shown
from billets.physics.layers import Sequence
from billets.physics.steps import Core
from billets.physics.verdict import Target
from billets.pictures.paper import layer_words
from billets.units import System
from billets.wording import said, share, whole

WOUND = frozenset({"twist"})
CUT_INTO = frozenset({"ladder", "dimple"})
"""Steps after which layers no longer lie straight."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What is drawn: the layers, and the cut through them.

    Attributes
    ----------
    sequence : tuple of (str, float)
        Layers of the finished bar as shares of its thickness [1].
    cut : BladeCut
        The blade, or the bar itself.
    target : Target or None
        The knife, where one is planned.
    cored : bool
        Whether a core lies between two jackets.
    """

    sequence: Sequence
    cut: BladeCut
    target: Target | None
    cored: bool

    @property
    def blade(self) -> bool:
        """Whether a blade is shown, not the bar."""
        return self.target is not None


def seen_of(figures: PlanFigures, label: str = "") -> Seen:
    """Return what is seen of a plan in one of its knives, the first unless named."""
    plain = figures.plain
    target = _target(figures, label)
    thick, wide = float(plain.clean_thickness), float(plain.clean_width)
    cut = target_cut(target, plain) if target else None
    return Seen(
        sequence=plain.sequence,
        cut=cut or bar_cut(wide, thick),
        target=target,
        cored=core_of(plain) is not None,
    )


def _target(figures: PlanFigures, label: str) -> Target | None:
    known = [one for one in figures.targets if one.knife or one.blade_height > 0.0]
    named = [one for one in known if one.label == label]
    return next(iter(named or known), None)


def core_seen(seen: Seen) -> CoreShown | None:
    """Return where the core shows, if there is one."""
    if not seen.cored or not seen.blade:
        return None
    return core_shown(seen.sequence, seen.cut, middle_layer(seen.sequence))


def section_rows(
    figures: PlanFigures, seen: Seen, system: System
) -> tuple[tuple[str, str], ...]:
    """Return what the picture says, as label and text."""
    return (
        *_sizes(seen, system),
        *_layer_rows(seen, system),
        *_core_rows(seen, system),
        *((figures_name(figures, key), text) for key, text in _steels(seen, system)),
    )


def _sizes(seen: Seen, system: System) -> Iterator[tuple[str, str]]:
    cut = seen.cut
    if seen.target is None:
        yield _("Thickness of the bar"), said(cut.spine, "thickness", system)
        return
    yield _("Knife"), seen.target.label
    yield (
        _("Spine above the heel"),
        _("{thickness}, ground from {blank}").format(
            thickness=said(cut.spine, "thickness", system),
            blank=said(cut.blank, "thickness", system),
        ),
    )


def _layer_rows(seen: Seen, system: System) -> Iterator[tuple[str, str]]:
    cut, count = seen.cut, len(seen.sequence)
    if seen.blade:
        yield (
            _("Layers that show"),
            _("{spine} of {all} at the spine, {edge} behind the edge").format(
                spine=whole(layers_shown(seen.sequence, cut, cut.height)),
                all=whole(count),
                edge=whole(layers_shown(seen.sequence, cut, cut.shoulder)),
            ),
        )
    yield (
        _("Mean thickness of a layer"),
        _("{thickness} at the spine; real layers wander by a quarter and more").format(
            thickness=layer_words(cut.blank / count, system)
        ),
    )


def _core_rows(seen: Seen, system: System) -> Iterator[tuple[str, str]]:
    core = core_seen(seen)
    if core is None:
        return
    if core.margin < 0.0:
        yield _("Core"), _("The edge lies in a jacket: the core does not reach it.")
        return
    near, far = (said(one, "length", system) for one in (core.near, core.far))
    line = _("{height} above the edge").format(height=near)
    if near != far:
        line = _("{near} above the edge on one side, {far} on the other").format(
            near=near, far=far
        )
    yield _("Line between core and jackets"), line
    yield (
        _("Core beside the edge"),
        _("{margin} on the thinner side").format(
            margin=said(core.margin, "fine", system)
        ),
    )


def _steels(seen: Seen, system: System) -> Iterator[tuple[str, str]]:
    """Yield each steel with its share and the mean thickness of its layers."""
    for key in dict.fromkeys(key for key, _share in seen.sequence):
        parts = [part for one, part in seen.sequence if one == key]
        mean = seen.cut.blank * sum(parts) / len(parts)
        text = ngettext(
            "{share} of the thickness, {count} layer of {mean}",
            "{share} of the thickness, {count} layers, {mean} on average",
            len(parts),
        ).format(
            share=share(sum(parts)),
            count=whole(len(parts)),
            mean=layer_words(mean, system),
        )
        yield key, text


def steel_words(figures: PlanFigures, seen: Seen) -> Iterator[tuple[str, str]]:
    """Yield the key of each steel with its name and share, for a legend."""
    for key in dict.fromkeys(key for key, _share in seen.sequence):
        part = sum(size for one, size in seen.sequence if one == key)
        yield key, f"{figures_name(figures, key)}, {share(part)}"


def figures_name(figures: PlanFigures, key: str) -> str:
    """Return the name of a steel of a plan, of a core laid in later too."""
    spec = figures.spec
    steels = [spec.bars[letter].steel for letter in spec.order]
    steels += [step.steel for step in spec.steps if isinstance(step, Core)]
    return next((steel.name for steel in steels if steel.key == key), key)


def section_notes(
    figures: PlanFigures, seen: Seen, fine: Mapping[float, int]
) -> tuple[str, ...]:
    """Return what to know when reading the picture.

    ``fine`` says how many layers of one steel a band holds, by the scale of the view.
    """
    return tuple(_notes(figures, seen, fine))


def _notes(
    figures: PlanFigures, seen: Seen, fine: Mapping[float, int]
) -> Iterator[str]:
    for scale, held in fine.items():
        yield _(
            "Finer than the pen: at {scale} a band stands for {count} layers of its "
            "steel."
        ).format(scale=scale_name(scale), count=whole(held))
    if seen.blade:
        yield (
            _("Bevels are forged: the layers follow them and thin toward the edge.")
            if seen.cut.follows
            else _("Bevels are ground: they cut through layers that lie flat.")
        )
    if seen.target is not None and seen.target.knife is None:
        yield _("Drawn as a flat wedge: nothing else is known of this knife's grind.")
    kinds = {step.kind for step in figures.spec.steps}
    if kinds & WOUND:
        yield _("The twist winds these layers; here they lie as before it.")
    if kinds & CUT_INTO:
        yield _("Away from cuts and dimples; there the layers bend to the surface.")
