"""The terms of a quote as text, line by line, so that two versions can be compared."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django.db.models import Field
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from billets.units import System
from billets.wording import neat
from quotes.extra_items import EXTRAS
from quotes.models import Extra, QuoteDraft, Variant
from quotes.terms.editor import extra_name, option_name
from quotes.terms.terms import Terms
from quotes.wording import money_text, percent_text
from shop.templatetags.shop_words import day


def terms_lines(terms: Terms, currency: str, system: System) -> dict[str, str]:
    """Return all that terms say, as text by label; what says nothing is left out."""
    lines = _draft_lines(terms.draft, currency)
    for at, extra in enumerate(terms.extras, start=1):
        lines[extra_name(at)] = _extra_text(extra, currency)
    for at, variant in enumerate(terms.variants, start=1):
        lines[option_name(at)] = _option_text(variant, currency, system)
    return lines


def _draft_lines(draft: QuoteDraft, currency: str) -> dict[str, str]:
    told: Mapping[str, str] = {
        "kind": draft.get_kind_display(),
        "regime": draft.get_regime_display(),
        "valid_until": day(draft.valid_until) if draft.valid_until else "",
        "discount_percent": _share(draft.discount_percent or None),
        "discount": _amount(draft.discount or None, currency),
        "discount_reason": draft.discount_reason,
        "asked": _amount(draft.asked, currency),
        "step": str(int(draft.step)) if draft.step else "",
    }
    return {_label(QuoteDraft, name): text for name, text in told.items() if text}


def _extra_text(extra: Extra, currency: str) -> str:
    own = _("tax {rate}").format(rate=_share(extra.percent)) if extra.percent else ""
    return _joined(
        extra.label or _(EXTRAS[extra.key].label), _amount(extra.amount, currency), own
    )


def _option_text(variant: Variant, currency: str, system: System) -> str:
    bolster = variant.bolster_mass
    weighed = "" if bolster is None else neat(bolster, "mass", system)
    told = {
        "handle": variant.get_handle_display(),
        "handle_material": variant.get_handle_material_display(),
        "ferrule": variant.get_ferrule_display(),
        "bolster_mass": weighed,
        "more": _amount(variant.more or None, currency),
    }
    parts = (f"{_label(Variant, name)} {text}" for name, text in told.items() if text)
    return _joined(variant.label, str(variant.knife), *parts)


def _joined(*parts: str) -> str:
    return "; ".join(part for part in parts if part)


def _amount(amount: Decimal | None, currency: str) -> str:
    return "" if amount is None else money_text(amount, currency)


def _share(percent: Decimal | None) -> str:
    return "" if percent is None else percent_text(percent)


def _label(model: Any, name: str) -> str:
    field: Field[Any, Any] = model._meta.get_field(name)
    return str(capfirst(str(field.verbose_name)))
