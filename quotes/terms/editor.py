"""The whole form of a quote's terms: its boxes, its extras and options as one thing."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self, TypeVar

from django.http import QueryDict
from django.utils.translation import gettext as _

from billets.messages import Said, sentence
from billets.physics.errors import PlanError
from billets.physics.knife import weigh_knife
from billets.text import NO_VERSION, sent_number
from quotes.errors import QuoteError
from quotes.gaps import check_currency
from quotes.models import QuoteDraft, Variant
from quotes.money import money
from quotes.pricing import wanted
from quotes.terms.forms import Boxes, ExtraForm, PartForm, TermsForm, VariantForm
from quotes.terms.saving import usual_amounts, version_of
from quotes.terms.terms import Terms, mode_of, spec_with, terms_of
from shop.choices import UNTAXED
from shop.models import Order, Shop, TaxSetting

Part = TypeVar("Part", bound=PartForm)

MOST = {"extras": 8, "variants": 5}
"""How many rows of each there may be."""

NEW = 2
"""Rows that are shown empty, and added by “Show more rows”."""

PREFIXES = {"extras": "extra", "variants": "option"}
MONEY = ("discount", "asked", "amount", "more")


@dataclass(slots=True, kw_only=True)
class TermsEditor:
    """The terms of an order as they are shown, tried and saved.

    Attributes
    ----------
    form : TermsForm
        What holds for the whole quote.
    extras, variants : list of forms
        The rows, with the empty ones.
    boxes : Boxes
        What the forms are made with.
    version : int
        Of the draft they are made from.
    currency : str
        What the amounts in the boxes were typed in.
    """

    form: TermsForm
    extras: list[ExtraForm]
    variants: list[VariantForm]
    boxes: Boxes
    version: int
    currency: str

    # --- made -----------------------------------------------------------------------

    @classmethod
    def of(
        cls, order: Order, draft: QuoteDraft | None, shop: Shop, today: dt.date
    ) -> Self:
        """Return the form of the terms as they are kept."""
        terms = terms_of(order, draft)
        boxes = boxes_of(order, terms, shop, today)
        return cls(
            form=TermsForm(initial=_initial(terms.draft, boxes), boxes=boxes),
            extras=_rows(ExtraForm, "extras", terms.extras, boxes),
            variants=_rows(VariantForm, "variants", terms.variants, boxes),
            boxes=boxes,
            version=version_of(draft),
            currency=terms.draft.currency or shop.currency,
        )

    @classmethod
    def sent(cls, data: QueryDict, boxes: Boxes) -> Self:
        """Return the form as it was sent; with more rows, if that was asked for.

        Where only rows were asked for, nothing is read or refused yet.
        """
        read = not {"more_extras", "more_variants"} & set(data)
        return cls(
            form=_part(TermsForm, data, None, boxes, read=read),
            extras=[
                _part(ExtraForm, data, one, boxes, read=read)
                for one in _sent_prefixes(data, "extras")
            ],
            variants=[
                _part(VariantForm, data, one, boxes, read=read)
                for one in _sent_prefixes(data, "variants")
            ],
            boxes=boxes,
            version=sent_number(data.get("version")) or NO_VERSION,
            currency=data.get("currency", "")[:3],
        )

    # --- read -----------------------------------------------------------------------

    @property
    def parts(self) -> list[tuple[str, PartForm]]:
        """Every form with what its errors are told under."""
        named: list[tuple[str, PartForm]] = [("", self.form)]
        named += [(extra_name(at), one) for at, one in enumerate(self.extras, 1)]
        return named + [
            (option_name(at), one) for at, one in enumerate(self.variants, 1)
        ]

    @property
    def has_errors(self) -> bool:
        """Whether anything is refused."""
        return any(one.is_bound and one.errors for _name, one in self.parts)

    def read(self, *, kind_too: bool) -> bool:
        """Read every box; say whether all is well. A try needs no kind of price."""
        if not self.form.is_bound:
            return False
        if not kind_too:
            self.form.errors.pop("kind", None)
        self._refuse_same_names()
        return not self.has_errors

    def _refuse_same_names(self) -> None:
        rows = [one for one in self.variants if one.used and not one.errors]
        counts = Counter(one.text_in("label").casefold() for one in rows)
        for one in rows:
            if counts[one.text_in("label").casefold()] > 1:
                message = _("Two options have this name: give each its own.")
                one.add_error("label", message)

    def terms(self) -> Terms:
        """Return the clean terms, unsaved."""
        return Terms(
            draft=self.form.row(),
            extras=tuple(one.row() for one in self.extras if one.used),
            variants=tuple(one.row() for one in self.variants if one.used),
        )

    # --- refused --------------------------------------------------------------------

    def weigh_options(self) -> None:
        """Refuse options that cannot be made, each beside its box."""
        for one in self.variants:
            if one.used and not one.errors:
                self._weigh(one, one.row())

    def _weigh(self, form: VariantForm, row: Variant) -> None:
        try:
            weigh_knife(spec_with(row))
        except PlanError as error:
            box = error.field if error.field in form.fields else "label"
            form.add_error(box, sentence(error, self.boxes.system))

    def refuse_other_currency(self) -> None:
        """Refuse amounts that were typed before the shop changed its currency."""
        try:
            check_currency(QuoteDraft(currency=self.currency), self.boxes.currency)
        except QuoteError as error:
            self.refuse(error)
            self.currency = self.boxes.currency

    def refuse(self, error: Said) -> None:
        """Say what is refused beside its box, else above all of them."""
        box = error.field if error.field in ("asked", "discount") else None
        if box == "discount" and not self.form.cleaned_data.get("discount"):
            box = "discount_percent"
        self.form.add_error(box, sentence(error, self.boxes.system))


def boxes_of(order: Order, kept: Terms, shop: Shop, today: dt.date) -> Boxes:
    """Return what the forms of an order's terms are made with."""
    knives = {knife.serial: knife for knife in wanted(order)}
    chosen = {row.knife.serial: row.knife for row in kept.variants}
    return Boxes(
        order=order,
        knives=knives,
        left={key: one for key, one in chosen.items() if key not in knives},
        usual=usual_amounts(today),
        reading=_reading(order, today),
        currency=shop.currency,
        system=shop.units,
        today=today,
    )


def extra_name(number: int) -> str:
    """Return what a row of extras is called."""
    return _("Extra {number}").format(number=number)


def option_name(number: int) -> str:
    """Return what a row of options is called."""
    return _("Option {number}").format(number=number)


def _reading(order: Order, today: dt.date) -> str:
    """Say how the customer reads amounts; nothing where no tax is charged anyway."""
    setting = TaxSetting.objects.on(today)
    if setting is None or setting.regime in UNTAXED:
        return ""
    return _("before tax") if mode_of(order) == "net" else _("tax included")


# --- rows --------------------------------------------------------------------------


def _rows(kind: type[Part], name: str, rows: Sequence[Any], boxes: Boxes) -> list[Part]:
    """Return a form for each row that is kept, and some empty ones."""
    filled = [_initial(row, boxes) for row in rows]
    count = min(len(filled) + NEW, max(MOST[name], len(filled)))
    filled += [{}] * (count - len(filled))
    return [
        kind(initial=one, prefix=_prefix(name, at), boxes=boxes)
        for at, one in enumerate(filled)
    ]


def _initial(row: Any, boxes: Boxes) -> dict[str, Any]:
    """Return what the boxes of a row show; an amount of nothing shows empty."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.fields}
    for name in MONEY:
        if values.get(name) is not None and (values[name] or name == "amount"):
            values[name] = money(values[name], boxes.currency)
        else:
            values[name] = None
    values["discount_percent"] = values.get("discount_percent") or None
    values["step"] = int(values.get("step") or 0)
    if isinstance(row, Variant):
        values["knife"] = row.knife.serial
    return values


def _sent_prefixes(data: Mapping[str, str], name: str) -> list[str]:
    count = sent_number(data.get(name)) or 0
    if f"more_{name}" in data:
        count += NEW
    return [_prefix(name, at) for at in range(min(count, MOST[name]))]


def _part(
    kind: type[Part], data: QueryDict, prefix: str | None, boxes: Boxes, *, read: bool
) -> Part:
    """Return a form as it was sent; one that is only shown again keeps the texts."""
    if read:
        return kind(data, prefix=prefix, boxes=boxes)
    blank = kind(prefix=prefix, boxes=boxes)
    texts = {name: data.get(blank.add_prefix(name), "") for name in blank.fields}
    return kind(initial=texts, prefix=prefix, boxes=boxes)


def _prefix(name: str, at: int) -> str:
    return f"{PREFIXES[name]}-{at}"
