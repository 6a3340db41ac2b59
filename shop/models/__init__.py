"""The shop's commissions: customers, orders, knives and what happened to them."""

from shop.models.customers import Customer
from shop.models.orders import Knife, KnifeQuerySet, Order, OrderQuerySet, StageEvent
from shop.models.settings import (
    PaperText,
    Rate,
    RateQuerySet,
    Shop,
    TaxSetting,
    TaxSettingQuerySet,
)
from shop.models.text import folded, holding
from shop.models.work import Entry, WorkRecord

__all__ = [
    "Customer",
    "Entry",
    "Knife",
    "KnifeQuerySet",
    "Order",
    "OrderQuerySet",
    "PaperText",
    "Rate",
    "RateQuerySet",
    "Shop",
    "StageEvent",
    "TaxSetting",
    "TaxSettingQuerySet",
    "WorkRecord",
    "folded",
    "holding",
]
