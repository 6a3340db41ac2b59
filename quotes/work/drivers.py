"""What a row of a knife's hours is in proportion to, kept with the hours written."""

from __future__ import annotations

import datetime as dt

from billets.figures import ends_clean
from billets.models import Plan
from billets.physics.knife import weigh_knife
from billets.physics.plan import run_plan
from billets.services import plan_input, plan_spec, shop_beliefs
from quotes.drivers import driver
from quotes.job import KnifeJob
from quotes.pricing import BilletPlace, knife_job, model_hours, plan_of, prices_in
from quotes.rate_items import ITEM_OF
from quotes.rates import Rates, rates_from, shipped_rates
from shop.models import Knife, Rate, Shop
from shop.services import spec_of
from shop.work import BILLET


def driver_of(knife: Knife, row: str, day: dt.date) -> float:
    """Return the driver of a row of a knife: of the billet the hours of its plan.

    QuoteError if it has no billet, PlanError if that, or the knife, cannot be made.
    """
    if row == BILLET:
        return plan_hours(plan_of(knife))
    rates = scale_on(day)
    return float(driver(row, rates, _job_of(knife)))


def plan_hours(plan: Plan) -> float:
    """Return the attended hours of a billet by the model alone [h]."""
    beliefs = shop_beliefs()
    plain = run_plan(plan_input(plan_spec(plan), beliefs.factors))
    return model_hours(plain, beliefs)


def scale_on(day: dt.date) -> Rates:
    """Return the rates by which knives are compared, shipped where the shop has none.

    Hours are written at the bench, where nobody can enter a rate that is missing.
    """
    shipped = shipped_rates()
    own = {
        key: row.value for key, row in Rate.objects.on(day).items() if key in ITEM_OF
    }
    return rates_from(
        {**shipped.values, **own},
        currency=Shop.current().currency, valid_from=day, tax=None,
    )  # fmt: skip


def _job_of(knife: Knife) -> KnifeJob:
    """Return a knife as hours see it; what its parts cost does not matter."""
    spec, plan = spec_of(knife), knife.target.plan
    clean = plan is not None and ends_clean(plan_spec(plan))
    return knife_job(
        str(knife), spec, weigh_knife(spec),
        billet=BilletPlace(place=0, clean=clean), prices=prices_in({}),
    )  # fmt: skip
