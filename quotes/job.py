"""What has to be paid for: a job in plain values, without plan, row or page.

Masses are kilograms and hours hours, as Decimals from ``quotes.money.quantity``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType

from billets.physics.errors import _
from quotes.errors import QuoteError
from quotes.money import ZERO, cent
from shop.stages import HOURS_ROWS

TOOLS = ("press", "hammer", "hand")
"""What can move the steel; by hand no machine runs."""

HANDLES = ("octagon", "d", "scales")
"""Shapes of handle that take hours of their own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SteelUse:
    """The bars of one steel that go into a stack, all of it, lost or not.

    Attributes
    ----------
    key, name : str
        The steel.
    mass : Decimal
        Steel cut for the stack [kg].
    price : Decimal or None
        Replacement price; None where the shop has none [currency per kg].
    """

    key: str
    name: str
    mass: Decimal
    price: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BilletJob:
    """One billet, from the stack to the forged bar.

    Attributes
    ----------
    name : str
        What the shop calls it.
    steels : tuple of SteelUse
        What is stacked.
    gas : Decimal
        Gas burnt for the billet, from the plan [kg].
    gas_per_hour : Decimal
        What the forge burns while lit; forging the blades uses it too [kg/h].
    hours : Decimal
        Attended hours, from the plan [h].
    working_hours : Decimal
        Of them under the tool [h].
    tool : {"press", "hammer", "hand"}
        What moves the steel.
    needed_elsewhere : Decimal
        What knives of other jobs need from the same bar; they pay for it [kg].
    model_hours : Decimal or None
        Attended hours by the model alone, without what the shop has taught it; learned
        hours of the billet are a factor on them [h].
    """

    name: str
    steels: tuple[SteelUse, ...]
    gas: Decimal
    gas_per_hour: Decimal
    hours: Decimal
    working_hours: Decimal
    tool: str
    needed_elsewhere: Decimal = ZERO
    model_hours: Decimal | None = None

    def __post_init__(self) -> None:
        _known("tool", self.tool, TOOLS)
        names = ("gas", "gas_per_hour", "hours", "working_hours", "needed_elsewhere")
        _not_negative(self.name, ((name, getattr(self, name)) for name in names))
        _not_negative(self.name, (("mass", one.mass) for one in self.steels))
        prices = (("price", one.price or ZERO) for one in self.steels)
        _not_negative(self.name, prices)


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeJob:
    """One knife, from the bar to the parcel.

    Attributes
    ----------
    name : str
        What the knife is called on the quote.
    billet : int
        Place of its billet in the job.
    needed : Decimal
        What the bar must hold for it; billets are shared out by it [kg].
    ground : Decimal
        Taken off by grinding: forged blank less finished steel [kg].
    handle : {"octagon", "d", "scales"}
        Shape of the handle.
    bolster : bool
        Whether it has a bolster to fit.
    handle_price : Decimal or None
        Handle material; None takes the shop's usual price [currency].
    pins : int
        Pins or bolts [1].
    area : Decimal or None
        One side of the blade; None reckons with the usual knife's [cm^2].
    blank : Decimal or None
        Its forged blank; None as above [kg].
    hours : mapping of str to Decimal
        Hours known better than the rates say, by row of hours [h].
    """

    name: str
    billet: int = 0
    needed: Decimal
    ground: Decimal
    handle: str = "octagon"
    bolster: bool = False
    handle_price: Decimal | None = None
    pins: int = 0
    area: Decimal | None = None
    blank: Decimal | None = None
    hours: Mapping[str, Decimal] = field(default_factory=lambda: MappingProxyType({}))

    def __post_init__(self) -> None:
        _known("handle", self.handle, HANDLES)
        for row in self.hours:
            _known("hours", row, tuple(HOURS_ROWS))
        rest = {"ground": self.ground, "pins": Decimal(self.pins)}
        rest["handle_price"] = self.handle_price or ZERO
        _not_negative(self.name, rest.items())
        hours = ((f"hours.{row}", value) for row, value in self.hours.items())
        _not_negative(self.name, hours)
        if self.needed <= 0:
            raise QuoteError(
                _("Say how much of the bar {name} needs; it must be above zero."),
                field="needed",
                name=self.name,
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One order, as far as money is concerned.

    Attributes
    ----------
    knives : tuple of KnifeJob
        At least one.
    billets : tuple of BilletJob
        The billets they come from.
    currency : str
        ISO 4217 code of every price in it.
    blades_per_firing : int
        Blades that share one firing of the kiln [1].
    """

    knives: tuple[KnifeJob, ...]
    billets: tuple[BilletJob, ...]
    currency: str
    blades_per_firing: int = 1

    def __post_init__(self) -> None:
        cent(self.currency)
        if not self.knives:
            raise QuoteError(_("There is no knife to price."), field="knives")
        for knife in self.knives:
            if not 0 <= knife.billet < len(self.billets):
                raise QuoteError(
                    _("{name} has no billet yet; plan one first."),
                    field="plan",
                    name=knife.name,
                )
        if self.blades_per_firing < 1:
            raise QuoteError(
                _("At least one blade goes into a firing."), field="blades_per_firing"
            )

    def share_of(self, knife: KnifeJob) -> Decimal:
        """Return the part of its billet that a knife pays, by mass needed [1]."""
        billet = self.billets[knife.billet]
        own = (one.needed for one in self.knives if one.billet == knife.billet)
        return knife.needed / (sum(own, ZERO) + billet.needed_elsewhere)


def _not_negative(name: str, values: Iterable[tuple[str, Decimal]]) -> None:
    for what, value in values:
        if not (value.is_finite() and value >= 0):
            raise QuoteError(
                _("{name}: {what} must not be below zero, but is {value}."),
                field=what,
                name=name,
                what=what,
                value=value,
            )


def _known(what: str, word: str, words: tuple[str, ...]) -> None:
    if word not in words:
        raise QuoteError(
            _("{word} is not known here; choose one of {words}."),
            field=what,
            word=word,
            words=", ".join(words),
        )
