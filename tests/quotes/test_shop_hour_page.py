"""The page of the shop's hour: the year typed in, tried, saved, and its rates taken."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.utils import timezone

from quotes.rates import shipped_rates
from quotes.year.items import YEAR_ITEM_OF, YEAR_ITEMS
from shop.models import Rate, Shop, TaxSetting
from tests.quotes.orders import LONG_AGO, number_in, ready_shop, table_rows
from tests.shop.typing_in import errors_on, text_of

pytestmark = pytest.mark.django_db
URL = "/shop/hour/"
TAKEN = ("labour", "grinder", "forging_tool", "kiln")
DAY = dt.date(2026, 3, 2)


@pytest.fixture(autouse=True)
def shop():
    ready_shop()


def boxes(page):
    """What a browser would send back untouched."""
    form = page.context["year_form"]
    sent = {name: form[name].value() for name in form.fields}
    shown = {
        name: form.fields[name].prepare_value(value) for name, value in sent.items()
    }
    return {
        **{name: "" if value is None else value for name, value in shown.items()},
        "form_key": page.context["form_key"],
        "seen": page.context["seen"],
    }


def send(client, button="save", **changes):
    return client.post(URL, boxes(client.get(URL)) | {button: "1"} | changes)


def taking(page, **changes):
    """What the button of the rates would send."""
    return {
        "form_key": page.context["take_key"], "seen": page.context["seen"],
        "valid_from": page.context["day"].isoformat(), "take": "1", **changes,
    }  # fmt: skip


def take(client, page, **changes):
    return client.post(URL, taking(page, **changes))


def rate_of(page):
    return number_in(page.context["hour"].value)


def in_force(day=None):
    rows = Rate.objects.on(day or timezone.localdate())
    return {key: rows[key].value for key in TAKEN}


# --- what it shows -----------------------------------------------------------------


def test_page_shows_how_the_hour_is_made(owner_client):
    send(
        owner_client, year_income="24000", year_charges="0", year_rent="4000",
        year_insurance="0", year_energy="0", year_accounting="0", year_marketing="0",
        year_training="0", year_other="0", year_depreciation="2000",
        year_weeks="40", year_week_hours="40", year_billable="50",
        machine_grinder_area="0", machine_forging_tool_area="0", machine_kiln_area="0",
        machine_grinder_replacement="0", machine_forging_tool_replacement="0",
        machine_kiln_replacement="0",
    )  # fmt: skip
    page = owner_client.get(URL)
    assert rate_of(page) == Decimal("37.50")  # 30,000 over 800 h
    said = page.context["hour"].source
    assert "€30,000.00" in said
    assert "800 h that customers pay: 40 weeks of 40 h, 50\u00a0% of them" in said


def test_hour_is_shown_with_margin_and_with_tax(owner_client):
    page = owner_client.get(URL)
    net, gross = (number_in(one.value) for one in page.context["charged"])
    assert abs(net - rate_of(page) / Decimal("0.85")) <= Decimal("0.005")
    assert abs(gross - net * Decimal("1.19")) <= Decimal("0.005")
    assert "check with your adviser" in text_of(page)


def test_shop_that_charges_no_tax_and_one_that_has_not_said(owner_client):
    TaxSetting.objects.update(regime="small", rate=0)
    assert "The shop charges no tax" in text_of(owner_client.get(URL))
    TaxSetting.objects.all().delete()
    assert "taxed is not entered yet" in text_of(owner_client.get(URL))


def test_table_shows_where_each_cost_went_and_adds_up(owner_client):
    page = owner_client.get(URL)
    rows = [row for row in table_rows(page) if len(row) == 5 and row[0] != "Cost"]
    amounts = [
        [number_in(cell) if cell != "–" else Decimal(0) for cell in row[1:]]
        for row in rows
    ]
    assert len(rows) == 10 + 3 + 1
    for year, *parts in amounts:
        assert sum(parts) == year
    for column in zip(*amounts, strict=True):
        assert sum(column[:-1]) == column[-1]
    split = {row[0] for row, one in zip(rows[:-1], amounts, strict=False)
             if one[1] and one[2]}  # fmt: skip
    assert split == {
        "Rent of the whole shop", "Depreciation of all tools and machines"
    }  # fmt: skip


def test_invented_values_are_called_so_until_they_are_changed(owner_client):
    Rate.objects.filter(key__in=YEAR_ITEM_OF).delete()
    call_command("load_rates", verbosity=0)
    page = owner_client.get(URL)
    assert page.context["shipped_left"] == len(YEAR_ITEMS)
    assert "still as shipped, and invented" in text_of(page)
    send(owner_client, year_rent="5600")
    assert owner_client.get(URL).context["shipped_left"] == len(YEAR_ITEMS) - 1


def test_too_many_hours_sold_are_warned_of(owner_client):
    assert not owner_client.get(URL).context["warnings"]
    page = send(owner_client, "try", year_billable="67.5")
    assert "rarely sells more than two thirds" in text_of(page)
    assert not send(owner_client, "try", year_billable="67").context["warnings"]


def test_page_of_rates_leads_here_and_shows_none_of_it(owner_client):
    page = owner_client.get("/shop/rates/")
    assert f'href="{URL}"' in page.content.decode()
    assert not set(YEAR_ITEM_OF) & set(page.context["form"].fields)


# --- trying and saving -------------------------------------------------------------


def test_trying_shows_the_hour_and_keeps_nothing(owner_client):
    before = list(Rate.objects.values())
    page = send(owner_client, "try", year_income="60000")
    assert page.status_code == 200
    assert rate_of(page) > rate_of(owner_client.get(URL))
    assert "nothing is saved yet" in text_of(page)
    assert 'value="60000"' in page.content.decode()
    assert 'name="take"' not in page.content.decode()
    assert list(Rate.objects.values()) == before


def test_saved_year_is_new_rows_from_a_day_on_and_the_old_ones_stay(owner_client):
    answer = send(owner_client, year_rent="6660", valid_from="2026-03-02", note="Moved")
    assert answer.url == f"{URL}?day=2026-03-02"
    rows = Rate.objects.filter(key="year_rent").order_by("valid_from")
    assert [(row.value, row.valid_from) for row in rows] == [
        (Decimal(5040), LONG_AGO), (Decimal(6660), DAY)
    ]  # fmt: skip
    page = owner_client.get(answer.url)
    assert "1 rate is changed." in text_of(page)
    history = [row for row in table_rows(page) if row[0] == "Rent of the whole shop"]
    assert [row[1] for row in history[-2:]] == ["€6,660.00", "€5,040.00"]
    assert history[-2][3] == "Moved"


def test_saving_an_untouched_page_changes_nothing(owner_client):
    before = list(Rate.objects.values())
    assert send(owner_client).status_code == 302
    assert list(Rate.objects.values()) == before


def test_year_sent_twice_is_saved_once(owner_client):
    data = boxes(owner_client.get(URL)) | {"save": "1", "year_rent": "6000"}
    first, second = (owner_client.post(URL, data) for _time in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert Rate.objects.filter(key="year_rent").count() == 2


# --- taking the rates --------------------------------------------------------------


def test_taken_rates_are_those_shown_and_count_from_that_day(owner_client):
    owner_client.get(send(owner_client, year_income="41000").url)
    page = owner_client.get(URL)
    shown = {row.label: number_in(row.new) for row in page.context["rates"]}
    assert "Take these rates from" in text_of(page)
    assert take(owner_client, page).status_code == 302
    assert list(in_force().values()) == list(shown.values())
    before = dict(shipped_rates().values)
    assert in_force(LONG_AGO) == {key: before[key] for key in TAKEN}
    page = owner_client.get(URL)
    assert "rates are changed." in text_of(page)
    assert "made with these rates already" in text_of(page)


def test_rates_of_another_day_are_taken_from_that_day(owner_client):
    later = timezone.localdate() + dt.timedelta(days=30)
    answer = send(owner_client, year_income="50000", valid_from=later.isoformat())
    now = in_force()
    page = owner_client.get(answer.url)
    assert rate_of(page) > rate_of(owner_client.get(URL))
    assert take(owner_client, page).url == answer.url
    assert in_force() == now
    assert in_force(later)["labour"] == rate_of(page)


def test_rates_taken_twice_are_taken_once(owner_client):
    data = taking(owner_client.get(URL))
    first, second = (owner_client.post(URL, data) for _time in range(2))
    assert (first.status_code, second.url) == (302, first.url)
    assert Rate.objects.filter(key="labour").count() == 2


def test_rates_of_a_page_gone_stale_are_not_taken(owner_client):
    page = owner_client.get(URL)
    Rate.objects.create(
        key="year_rent", value=Decimal(9000), valid_from=timezone.localdate()
    )
    before = in_force()
    answer = take(owner_client, page)
    assert "Somebody else has changed a rate" in text_of(answer)
    assert in_force() == before
    assert take(owner_client, answer).status_code == 302
    assert in_force()["labour"] == rate_of(answer)


def test_day_before_a_later_rate_is_refused_by_its_name(owner_client):
    Rate.objects.create(key="kiln", value=Decimal(3), valid_from=dt.date(2031, 2, 1))
    before = Rate.objects.count()
    answer = take(owner_client, owner_client.get(URL))
    assert "Kiln: This changes on 1 February 2031 already" in text_of(answer)
    assert Rate.objects.count() == before


@pytest.mark.parametrize(
    ("day", "said"), [("", "Type a date here"), ("some day", "no day of the calendar")]
)
def test_rates_without_a_day_are_refused(owner_client, day, said):
    before = Rate.objects.count()
    answer = take(owner_client, owner_client.get(URL), valid_from=day)
    assert answer.status_code == 200
    assert said in text_of(answer)
    assert Rate.objects.count() == before


def test_two_buttons_of_one_page_do_not_bar_each_other(owner_client):
    page = owner_client.get(URL)
    assert page.context["form_key"] != page.context["take_key"]


# --- refusals ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("year_income", "-5", "Type 0"),
        ("year_income", "", "Type a value here"),
        ("year_income", "1,500", "can be read two ways"),
        ("year_rent", "99999999999", "or less."),
        ("year_billable", "0", "must be above zero."),
        ("year_billable", "101", "can be at most 100, not 101"),
        ("year_weeks", "53", "can be at most 52, not 53"),
        ("year_week_hours", "0", "must be above zero."),
        ("year_week_hours", "0.0001", "an hour comes to"),
        ("machine_kiln_life", "0", "must be above zero."),
        ("machine_grinder_use", "0", "must be above zero."),
        ("year_depreciation", "10", "wear off €537.22 a year"),
        ("year_rent", "10", "costs €378.00 a year, more than the €10.00 of rent"),
        ("valid_from", "", "Type a date here"),
        ("valid_from", "some day", "is no day of the calendar"),
    ],
)
def test_bad_value_is_refused_beside_its_box(owner_client, key, typed, said):
    before = list(Rate.objects.values())
    weeks = {"year_weeks": "0.0001"} if typed == "0.0001" else {}
    page = send(owner_client, **weeks | {key: typed, "note": "Why not"})
    assert page.status_code == 200
    assert said in str(errors_on(page, key))
    assert f'value="{typed}"' in page.content.decode() or not typed
    assert 'value="Why not"' in page.content.decode()
    assert list(Rate.objects.values()) == before


def test_second_of_two_who_save_is_told(owner_client):
    data = boxes(owner_client.get(URL)) | {"save": "1", "year_rent": "6000"}
    Rate.objects.create(key="gas", value=Decimal(4), valid_from=timezone.localdate())
    page = owner_client.post(URL, data)
    assert "Somebody else has changed a rate" in text_of(page)
    assert 'value="6000"' in page.content.decode()
    again = data | {"seen": page.context["seen"]}
    assert owner_client.post(URL, again).status_code == 302


@pytest.mark.parametrize("day", ["never", "2026-02-30", "0001-01-01", ""])
def test_day_that_is_none_shows_today_and_says_so(owner_client, day):
    page = owner_client.get(URL, {"day": day})
    assert page.status_code == 200
    assert page.context["day"] == timezone.localdate()
    assert errors_on(page, "day")


def test_day_before_all_rates_says_what_is_missing(owner_client):
    page = owner_client.get(URL, {"day": "2019-05-01"})
    assert "The hour cannot be computed: Income you want is missing" in text_of(page)
    assert 'name="take"' not in page.content.decode()


def test_helper_sees_nothing_of_it(helper_client):
    assert helper_client.get(URL).status_code == 403
    for button in ("save", "try", "take"):
        assert helper_client.post(URL, {button: "1"}).status_code == 403


# --- upgrade, languages, load ------------------------------------------------------


def test_shop_with_old_rates_gets_the_year_and_keeps_its_own(owner_client):
    Rate.objects.filter(key__in=YEAR_ITEM_OF).delete()
    Rate.objects.filter(key="labour").update(value=Decimal("71.50"))
    assert "is missing: type a value" in text_of(owner_client.get(URL))
    call_command("load_rates", verbosity=0)
    rows = Rate.objects.filter(key__in=YEAR_ITEM_OF)
    assert {row.key: row.value for row in rows} == {
        item.key: item.default for item in YEAR_ITEMS
    }
    assert in_force()["labour"] == Decimal("71.50")
    assert owner_client.get(URL).context["hour"]


def test_year_is_read_in_the_language_of_the_shop(owner_client):
    Shop.objects.filter(pk=1).update(language="de")
    assert 'name="year_rent" value="5040,00"' in owner_client.get(URL).content.decode()
    send(owner_client, year_rent="6000,50")
    rent = Rate.objects.on(timezone.localdate())["year_rent"]
    assert rent.value == Decimal("6000.50")


def test_number_of_queries_is_small(owner_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(14):
        owner_client.get(URL)
