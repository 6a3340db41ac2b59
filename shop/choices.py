"""The words a row of the shop may hold; callables, so no word makes a migration."""

from __future__ import annotations

from django.conf import settings
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from billets.physics.families import FAMILY_LABELS
from billets.physics.grinds import GRIND_LABELS
from billets.physics.materials import MATERIALS
from shop import stages

Choices = list[tuple[str, str | Promise]]


def currency() -> Choices:
    """Currencies a shop may price in; one a shop."""
    return [
        (code, code)
        for code in ("EUR", "GBP", "USD", "CHF", "DKK", "NOK", "SEK", "PLN", "CZK")
    ]


def units() -> Choices:
    """Systems of units."""
    return [("metric", _("millimetres and grams")), ("inch", _("inches and ounces"))]


def language() -> Choices:
    """Languages of pages and papers."""
    return list(settings.LANGUAGES)


def paper() -> Choices:
    """Sizes of paper."""
    return [("A4", "A4"), ("letter", "Letter")]


UNTAXED = frozenset({"small", "export"})
"""Regimes of tax under which none is charged."""


def tax_regime() -> Choices:
    """How a shop is taxed."""
    return [
        ("standard", _("VAT or sales tax is charged")),
        ("small", _("small business, no tax charged")),
        ("export", _("export, no tax charged")),
    ]


def state() -> Choices:
    """States of an order."""
    return _translated(stages.state_choices())


def stage() -> Choices:
    """Stages of a knife."""
    return _translated(stages.stage_choices())


def hours_row() -> Choices:
    """Rows of hours."""
    return _translated(list(stages.HOURS_ROWS.items()))


def entry_kind() -> Choices:
    """Things weighed of a billet and of a knife."""
    return [
        ("stack", _("steel stacked")),
        ("bar", _("bar after the forge")),
        ("gas", _("gas burnt")),
        ("knife", _("finished knife")),
    ]


def change_state() -> Choices:
    """Where a change after the yes stands."""
    return [
        ("open", _("not answered")), ("agreed", _("agreed")), ("refused", _("refused")),
    ]  # fmt: skip


def family() -> Choices:
    """Families of knives."""
    return _translated(list(FAMILY_LABELS.items()))


def grind() -> Choices:
    """Ways to grind the section."""
    return _translated(list(GRIND_LABELS.items()))


def forging() -> Choices:
    """How close to the blade the blank is forged."""
    return [
        ("bevel", _("bevels forged")),
        ("taper", _("tapered, bevels ground")),
        ("bar", _("flat bar, all ground")),
    ]


def allowance() -> Choices:
    """How much is left to grind off."""
    return [
        ("tight", _("tight")),
        ("typical", _("as usual")),
        ("generous", _("generous")),
    ]


def tang() -> Choices:
    """Kinds of tang."""
    return [("hidden", _("hidden")), ("full", _("full"))]


def handle() -> Choices:
    """Shapes of handle."""
    return [
        ("octagon", _("octagon")),
        ("d", _("D shape")),
        ("scales", _("two scales")),
    ]


def material() -> Choices:
    """Materials a handle is made of."""
    return [(one.key, _(one.label)) for one in MATERIALS.values() if one.body]


def ferrule() -> Choices:
    """Materials a ferrule is made of."""
    return [(one.key, _(one.label)) for one in MATERIALS.values() if one.ferrule]


def _translated(pairs: list[tuple[str, str]]) -> Choices:
    """Mark the core's labels, which know no language, for translation when shown."""
    return [(key, _(label)) for key, label in pairs]
