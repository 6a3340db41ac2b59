"""What is asked for an order: extras, discount, rounding and options laid on."""

import datetime as dt
from decimal import Decimal

import numpy as np
import pytest

from billets.messages import sentence
from quotes.errors import QuoteError
from quotes.gaps import NotReady
from quotes.models import Extra, QuoteDraft, Variant
from quotes.money import money, total
from quotes.pricing import price_order
from quotes.terms.offering import offered, offered_by, offered_on, values_of
from quotes.terms.terms import Terms
from shop.models import Customer, Knife
from tests.quotes.orders import ready_order, ready_shop

pytestmark = pytest.mark.django_db
DAY = dt.date(2026, 4, 2)


@pytest.fixture
def order():
    ready_shop()
    return ready_order("One", "Other")


@pytest.fixture
def priced(order):
    return price_order(order, DAY)


def extra(amount="40.00", **values):
    return Extra(**{"key": "box", "amount": Decimal(amount), **values})


def variant(priced, place=0, **values):
    knife = priced.knives[place][0]
    return Variant(**{"label": "Other way", "knife": knife, **values})


def ask(priced, *extras, variants=(), **values):
    """What terms that nobody has saved would ask."""
    known = {
        name: Decimal(value)
        if isinstance(value, str) and name not in ("kind", "regime")
        else value
        for name, value in values.items()
    }
    draft = QuoteDraft(order=priced.order, **known)
    return offered_by(
        priced, Terms(draft=draft, extras=extras, variants=tuple(variants))
    )


def amount(found, kind):
    return total(one.amount.amount for one in found.items if one.kind == kind)


# --- the total ----------------------------------------------------------------------


def test_without_terms_the_knives_cost_what_they_are_priced_at(priced):
    found, price = offered(priced, None), priced.lines.price
    assert (found.sums.gross, found.sums.tax) == (price.whole.gross, price.whole.tax)
    assert found.deposit == price.deposit
    assert found.final == price.final
    assert found.left == price.margin
    assert found.margin == Decimal("15.0")
    assert (found.kind, found.choices, found.flags) == ("", (), ())


def test_extras_and_charges_come_on_top(priced):
    plain = offered(priced, None)
    found = ask(priced, extra("40.00"), extra("15.00", key="shipping"))
    assert found.sums.read == plain.sums.read + 55
    assert amount(found, "knife") == amount(plain, "knife")
    assert [one.kind for one in found.items][2:] == ["extra", "charge"]
    assert found.left == pytest.approx(plain.left, abs=Decimal("0.01"))


def test_round_total_is_met_by_the_knives_and_no_extra_changes(priced):
    found = ask(priced, extra("12.34"), step="50")
    assert found.sums.read % 50 == 0
    assert 0 <= found.sums.read - ask(priced, extra("12.34")).sums.read < 50
    assert amount(found, "extra") == Decimal("12.34")


def test_total_that_is_asked_comes_out_and_is_set_on_the_gross(priced):
    """Law: a consumer's round price holds its tax, the net is derived from it."""
    found = ask(priced, extra("12.34"), asked="2990.00")
    assert found.sums.gross == Decimal("2990.00")
    assert found.sums.net == Decimal("2990.00") - money(Decimal(2990) * 19 / 119)


def test_discount_in_per_cent_stays_so_many_of_the_printed_knives(priced):
    for percent, off, asked in [
        ("10", "0", None),
        ("10", "0", "2500"),
        ("7.5", "20.00", "1999.99"),
        ("0", "99.99", "2111"),
    ]:
        found = ask(
            priced, extra(), discount_percent=percent, discount=off, asked=asked
        )
        knives, taken = amount(found, "knife"), amount(found, "discount")
        assert taken == money(knives * Decimal(percent) / 100) + Decimal(off)
        if asked is not None:
            assert found.sums.read == Decimal(asked)


def test_random_terms_give_lines_that_add_up_to_what_was_asked(priced):
    """Law, over 60 seeded terms: read lines add up, and the total is as asked."""
    draw = np.random.default_rng(611)
    for _place in range(60):
        rows = [
            extra(
                str(Decimal(int(draw.integers(0, 20000))).scaleb(-2)),
                percent=draw.choice([None, Decimal(7), Decimal(0)]),
            )
            for _row in range(int(draw.integers(0, 4)))
        ]
        values = {
            "discount_percent": str(draw.integers(0, 60)),
            "discount": str(draw.integers(0, 200)),
            "step": str(draw.choice([0, 1, 10, 100])),
        }
        if draw.random() < 0.5:
            values["asked"] = str(
                Decimal(int(draw.integers(100000, 400000))).scaleb(-2)
            )
        found = ask(priced, *rows, **values)
        read = total(one.read for one in found.sums.shown)
        assert read == found.sums.read == found.sums.gross
        assert found.sums.net + found.sums.tax == found.sums.gross
        assert found.deposit.tax + found.final.tax == found.sums.tax
        assert found.deposit.gross + found.final.gross == found.sums.gross
        if "asked" in values:
            assert found.sums.read == Decimal(values["asked"])
        elif values["step"] != "0":
            assert found.sums.read % Decimal(values["step"]) == 0


def test_total_that_just_covers_the_cost_leaves_nothing(priced):
    """Law: the floor is where what is left changes its sign."""
    lowest = ask(priced, extra()).lowest
    even = ask(priced, extra(), asked=str(lowest))
    assert abs(even.left) <= Decimal("0.01")
    below = ask(priced, extra(), asked=str(lowest - 10))
    assert below.left < 0
    assert [one.level for one in below.flags if one.field == "asked"] == ["red"]
    assert below.flags[0].values["loss"] == -below.left


# --- tax ----------------------------------------------------------------------------


def test_business_reads_and_asks_before_tax(order):
    Customer.objects.update(business=True)
    order.refresh_from_db()
    found = ask(price_order(order, DAY), extra(), asked="2000.00")
    assert (found.mode, found.sums.read) == ("net", Decimal("2000.00"))
    assert found.sums.gross == Decimal("2380.00")
    assert found.lowest == found.floor.net + 40


def test_order_sent_abroad_is_not_taxed_nor_is_any_extra_of_it(order):
    QuoteDraft.objects.create(order=order, regime="export", currency="EUR")
    priced = price_order(order, DAY)
    found = ask(priced, extra(percent=Decimal(7)), regime="export")
    assert (found.regime, found.sums.tax) == ("export", 0)
    assert found.sums.gross == found.sums.net == priced.lines.price.net + 40


def test_extra_may_have_a_rate_of_its_own(priced):
    found = ask(priced, extra("107.00", percent=Decimal(7)))
    rates = {one.percent: one for one in found.sums.taxes}
    assert (rates[Decimal(7)].base, rates[Decimal(7)].tax) == (
        Decimal("100.00"),
        Decimal("7.00"),
    )
    assert found.deposit.gross == money(found.sums.gross * 30 / 100)
    assert found.deposit.tax == money(found.sums.tax * 30 / 100)


# --- what cannot be -----------------------------------------------------------------


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"discount": "9000.00"}, "discount"),
        ({"discount_percent": "99", "discount": "200.00"}, "discount"),
        ({"discount_percent": "100"}, "discount"),
        ({"asked": "40.00"}, "asked"),
        ({"asked": "10.00"}, "asked"),
        ({"asked": "2000.00", "currency": "GBP"}, "currency"),
    ],
)
def test_terms_that_leave_nothing_for_the_knives_are_refused(priced, values, field):
    with pytest.raises(QuoteError) as refused:
        offered_by(
            priced,
            Terms(
                draft=QuoteDraft(
                    order=priced.order,
                    **{
                        key: value if key == "currency" else Decimal(value)
                        for key, value in values.items()
                    },
                ),
                extras=(extra("40.00"),),
            ),
        )
    assert refused.value.field == field
    assert "{" not in sentence(refused.value)


def test_terms_that_cannot_be_met_any_more_lead_to_their_page(order):
    draft = QuoteDraft.objects.create(
        order=order, currency="EUR", discount=Decimal(9000)
    )
    with pytest.raises(NotReady) as refused:
        offered_on(price_order(order, DAY))
    assert [gap.place for gap in refused.value.gaps] == ["terms"]
    QuoteDraft.objects.filter(pk=draft.pk).update(discount=0)
    assert offered_on(price_order(order, DAY)).sums.gross > 0


# --- options ------------------------------------------------------------------------


def test_options_have_their_own_price_mass_and_balance(priced):
    other = (
        variant(priced, label="Olive", handle_material="olive", more=Decimal(25)),
        variant(priced, label="D", handle="d", ferrule="none"),
    )
    first, olive, bare = ask(priced, variants=other).choices
    assert (first.label, first.values) == ("", {})
    assert first.sums == offered(priced, None).sums
    assert olive.values == {"handle_material": "olive"}
    assert bare.values == {"handle": "d", "ferrule": ""}
    assert olive.result.mass > first.result.mass > bare.result.mass
    assert olive.result.balance < first.result.balance < bare.result.balance
    assert len({one.sums.read for one in (first, olive, bare)}) == 3


def test_more_to_pay_stands_on_its_knife_only(priced):
    found = ask(priced, variants=[variant(priced, 1, more=Decimal(30))])
    first, dearer = found.choices
    amounts = [[one.amount.amount for one in way.items] for way in (first, dearer)]
    assert amounts[1] == [amounts[0][0], amounts[0][1] + 30]
    assert dearer.sums.read == first.sums.read + 30


def test_option_of_an_asked_total_costs_as_much_more_as_it_would_have(priced):
    one = [variant(priced, more=Decimal(30))]
    values = {"discount_percent": "10"}
    free = ask(priced, variants=one, **values).choices
    fixed = ask(priced, variants=one, asked="2500.00", **values).choices
    assert fixed[0].sums.read == Decimal("2500.00")
    differences = [ways[1].sums.read - ways[0].sums.read for ways in (free, fixed)]
    assert differences[0] == differences[1] == 27
    stepped = ask(priced, variants=one, asked="2500.00", step="10", **values).choices
    assert stepped[1].sums.read == Decimal("2530.00")


def test_option_that_is_not_worth_its_price_is_told(priced):
    found = ask(
        priced,
        asked="2400.00",
        step="0",
        variants=[variant(priced, label="Heavy", bolster_mass=0.03)],
    )
    assert found.choices[1].left == pytest.approx(found.left, abs=100)
    low = ask(
        priced,
        asked="1000.00",
        variants=[variant(priced, label="Heavy", bolster_mass=0.03)],
    )
    told = [sentence(flag) for flag in low.flags if flag.level == "red"]
    assert len(told) == 2
    assert "“Heavy”" in told[1]


def test_option_that_cannot_be_made_says_why(priced):
    with pytest.raises(NotReady, match="Scales need a full tang") as refused:
        ask(priced, variants=[variant(priced, handle="scales")])
    assert [gap.place for gap in refused.value.gaps] == ["terms"]
    assert refused.value.field == "handle"


def test_option_of_a_knife_that_left_the_order_is_refused(order):
    draft = QuoteDraft.objects.create(order=order, currency="EUR")
    gone = order.knives.first()
    Variant.objects.create(draft=draft, position=1, label="Olive", knife=gone)
    Knife.objects.filter(pk=gone.pk).update(stage="cancelled")
    with pytest.raises(NotReady) as refused:
        offered_on(price_order(order, DAY))
    assert "not made in this order any more" in sentence(refused.value.gaps[0].error)


def test_what_an_option_says_as_the_knife_says_it_is_no_change(priced):
    knife = priced.knives[0][0]
    same = variant(
        priced,
        handle=knife.handle,
        handle_material=knife.handle_material,
        ferrule=knife.ferrule,
        bolster_mass=knife.bolster_mass,
    )
    assert values_of(same) == {}


def test_what_is_charged_for_an_option_is_not_lost_in_rounding(priced):
    """By hand: a step of 50 takes the option's 25 up to 50, never down to nothing."""
    one = [variant(priced, more=Decimal(25))]
    ways = ask(priced, variants=one, step="50").choices
    assert ways[0].sums.read % 50 == 0
    assert ways[1].sums.read - ways[0].sums.read == 50


def test_deposit_that_the_terms_ask_is_the_one_that_is_judged(priced):
    sunk = priced.lines.spent["forge"] + priced.lines.spent["grind"]
    small, large = (ask(priced, asked=str(total)) for total in ("900.00", "9000.00"))
    assert small.deposit.net < sunk < large.deposit.net
    told = [[flag for flag in one.flags if flag.field == "deposit"]
            for one in (small, large)]  # fmt: skip
    assert [len(one) for one in told] == [1, 0]
    assert told[0][0].values["deposit"] == small.deposit.net


def test_discount_off_a_price_made_larger_is_told(priced):
    values = {"discount_percent": "3", "asked": "9000.00"}
    (flag,) = (one for one in ask(priced, **values).flags if one.level == "amber")
    assert flag.values["printed"] > flag.values["own"]
    assert [one.level for one in ask(priced, discount_percent="3").flags
            if one.level == "amber"] == []  # fmt: skip
