"""The shop's commissions: customers, orders, knives and what happened to them."""

from shop.models.changes import AgreedChange
from shop.models.customers import Customer
from shop.models.links import CustomerLink, CustomerQuestion, LinkGuess
from shop.models.orders import Knife, KnifeQuerySet, Order, OrderQuerySet, StageEvent
from shop.models.payments import Payment
from shop.models.photos import Photo
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
    "AgreedChange",
    "Customer",
    "CustomerLink",
    "CustomerQuestion",
    "Entry",
    "Knife",
    "KnifeQuerySet",
    "LinkGuess",
    "Order",
    "OrderQuerySet",
    "PaperText",
    "Payment",
    "Photo",
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
