"""The rule of the deposit: a share, or what is spent before the first flaw gate."""

import datetime as dt
from decimal import Decimal

import numpy as np
import pytest
from django.utils import timezone

from quotes.costing import cost, sunk_of
from quotes.models import Paper, Quote, QuoteAnswer
from quotes.money import Taxed, covering, deposit_of, from_net, tax_within
from quotes.offer.sentences import option_sentences
from quotes.pay.deposit import agree_deposit, covering_deposit
from quotes.pricing import price_order
from quotes.terms.offering import offered
from shop import services
from shop.models import Order, Rate, Shop
from shop.payments import DoubtfulError
from tests.quotes.builders import job, rates
from tests.quotes.orders import drafted, ready_order, ready_shop

DAY = dt.date(2026, 4, 2)


def covered(spent, net, share=30, percent=19):
    whole = from_net(Decimal(net), Decimal(percent))
    deposit = deposit_of(whole, Decimal(share), Decimal(percent))
    return (
        whole,
        deposit,
        covering(
            deposit,
            Decimal(spent),
            whole,
            lambda one: tax_within(one, Decimal(percent)),
        ),
    )


def test_deposit_covers_what_is_spent_and_is_the_smallest_that_does():
    """Law, over 300 seeded prices: its net covers, one coin less does not."""
    draw = np.random.default_rng(505)
    for _place in range(300):
        net = Decimal(int(draw.integers(10_000, 400_000))).scaleb(-2)
        spent = Decimal(int(draw.integers(0, int(net * 100)))).scaleb(-2)
        percent = int(draw.choice([0, 7, 19, 20]))
        whole, share, found = covered(spent, net, percent=percent)
        assert found.net + found.tax == found.gross <= whole.gross
        assert found.net >= spent
        if found != share:
            less = found.gross - Decimal("0.01")
            assert less - tax_within(less, Decimal(percent)) < spent


def test_deposit_that_covers_already_stays_the_share():
    _whole, share, found = covered("300.00", "1000.00")
    assert (
        found
        == share
        == Taxed(net=Decimal("300.00"), tax=Decimal("57.00"), gross=Decimal("357.00"))
    )


def test_deposit_is_never_more_than_the_total():
    whole, _share, found = covered("1000.01", "1000.00")
    assert found == whole


def test_job_without_the_rule_is_priced_as_before():
    plain = cost(job(), rates(deposit="5"))
    assert plain.price.deposit.gross < sunk_of(plain.spent)


# --- in a shop --------------------------------------------------------------------


@pytest.fixture
def priced(db):
    ready_shop()
    Shop.objects.update(deposit_covers=True)
    Rate.objects.filter(key="deposit").update(value=Decimal(10))
    return price_order(ready_order("One", "Other"), DAY)


def test_quote_asks_for_what_is_spent_before_a_bad_weld_can_show(priced):
    sunk, found = sunk_of(priced.lines.spent), offered(priced, None)
    share = priced.rates.value("deposit")
    assert sunk > found.sums.net * share / 100, "the share alone would be too small"
    assert sunk <= found.deposit.net < sunk + Decimal("0.02")
    assert found.deposit == priced.lines.price.deposit
    assert found.deposit.tax + found.final.tax == found.sums.tax
    assert [flag for flag in found.flags if flag.field == "deposit"] == []


def test_deposit_changed_after_the_yes_is_asked_about_below_what_is_spent(priced):
    order, sunk = priced.order, sunk_of(priced.lines.spent)
    _accept(order, "5000.00")
    covers = covering_deposit(order, DAY)
    # 5,000 holds 19 %: its net part has to be at least what is spent.
    assert sunk <= covers * 100 / 119 + Decimal("0.005") < sunk + Decimal("0.02")
    with pytest.raises(DoubtfulError) as told:
        agree_to(order, covers - Decimal("0.01"))
    assert f"{covers:,.2f}" in told.value.values["covers"]
    assert Order.objects.get(pk=order.pk).deposit_due == 0
    agree_to(order, covers - Decimal("0.01"), sure=True)
    agree_to(order, covers)
    assert Order.objects.get(pk=order.pk).deposit_due == covers


def test_deposit_is_never_asked_to_be_above_the_agreed_total(priced):
    _accept(priced.order, "20.00")
    assert covering_deposit(priced.order, DAY) == 20
    agree_to(priced.order, Decimal("20.00"))


def _accept(order, total):
    """A yes to a quote over a total with 19 % tax in it, without a paper."""
    gross = Decimal(total)
    tax = tax_within(gross, Decimal(19))
    paper = Paper.objects.create(
        sha256="0" * 64, media="html", kind="quote", order=order, revision=1,
        made_at=timezone.now(),
    )  # fmt: skip
    quote = Quote.objects.create(
        order=order, revision=1, issued_at=timezone.now(), valid_until=DAY, paper=paper,
        currency="EUR", net=gross - tax, tax_rate=19, tax=tax, total=gross, deposit=0,
        basis={},
    )  # fmt: skip
    QuoteAnswer.objects.create(quote=quote, accepted=True, at=timezone.now())
    services.agree_on(order, total=gross, deposit=Decimal(0))


def agree_to(order, deposit, **how):
    how = {"sure": False, "seen": order.deposit_due, "day": DAY, **how}
    agree_deposit(order, deposit, **how)


def test_price_below_cost_is_asked_for_whole_at_most(priced):
    draft = drafted(priced.order, asked=Decimal("99.00"))
    found = offered(priced, draft)
    assert found.deposit.gross == found.sums.gross == Decimal("99.00")
    assert found.final.gross == 0


def test_deposit_covers_with_two_rates_of_tax_too(priced):
    draft = drafted(priced.order, extras=[("box", "107.00", "", Decimal(7))])
    found = offered(priced, draft)
    assert len(found.sums.taxes) == 2
    assert found.deposit.net >= sunk_of(priced.lines.spent)
    assert found.deposit.tax + found.final.tax == found.sums.tax


def test_paper_names_the_deposit_of_each_option_where_it_is_no_share():
    class Option:
        currency = "EUR"

        def __init__(self, label, total, deposit):
            self.label, self.total = label, Decimal(total)
            self.deposit = Decimal(deposit)

    class Offer:
        currency, deposit = "EUR", Decimal(40)
        options = (Option("As it is", "100", "40"), Option("With horn", "120", "44"))

    said = " ".join(option_sentences(Offer, Decimal(30)))
    assert "As it is: €40.00; With horn: €44.00" in said
    Offer.options = (Option("As it is", "100", "30"), Option("Horn", "120", "36"))
    assert "same share of its price" in " ".join(option_sentences(Offer, Decimal(30)))
