"""The table of orders: found, filtered, sorted, and every order once by key."""

import copy
import datetime as dt
import re

import pytest

from billets.models import PlanTarget
from billets.paging import SIZE, Sort, page_of
from shop import services
from shop.models import Customer, Knife, Order, folded
from shop.serials import serial
from shop.tables import SORTS
from tests.factories import CustomerFactory, KnifeFactory, OrderFactory

pytestmark = pytest.mark.django_db

NAMES = (
    "Ada Quist",
    "Jörg Straßner",
    "Ambroży Łęcki",
    "Nguyễn Thị Hạnh",
    "zu Ende, Bo",
)


def many_orders(count):
    """Orders of a few customers, some without a week, some weeks shared."""
    customers = [CustomerFactory(name=name) for name in NAMES]
    first = dt.date(2026, 1, 5)
    return Order.objects.bulk_create(
        Order(
            number=f"26-{place:04d}",
            customer=customers[place % len(customers)],
            folded=folded(f"26-{place:04d}", customers[place % len(customers)].name),
            promised_week=first + dt.timedelta(weeks=place % 7) if place % 3 else None,
        )
        for place in range(1, count + 1)
    )


def numbers(page):
    return re.findall(r'<a href="/orders/(26-\d+)/">', page.content.decode())


def follow(client, address, word):
    """Return the numbers of every page from one on, forwards or backwards."""
    seen = []
    while address:
        assert len(seen) < 9
        page = client.get(address)
        seen.append(numbers(page))
        link = re.search(rf'href="([^"]+)" rel="{word}"', page.content.decode())
        address = f"/orders/{link[1].replace('&amp;', '&')}" if link else None
    return seen, page


@pytest.mark.parametrize("sort", ["", *SORTS])
def test_every_order_is_on_exactly_one_page_there_and_back(owner_client, sort):
    many_orders(2 * SIZE + 9)
    start = f"/orders/?sort={sort}" if sort else "/orders/"
    pages, last = follow(owner_client, start, "next")
    assert [len(page) for page in pages] == [SIZE, SIZE, 9]
    seen = [number for page in pages for number in page]
    assert len(seen) == len(set(seen)) == 2 * SIZE + 9
    back = re.search(r'href="([^"]+)" rel="prev"', last.content.decode())[1]
    backwards, _first = follow(
        owner_client, f"/orders/{back.replace('&amp;', '&')}", "prev"
    )
    assert backwards == [pages[1], pages[0]]


def test_rows_come_in_the_order_asked_for(owner_client):
    many_orders(20)
    assert numbers(owner_client.get("/orders/"))[0] == "26-0020"
    assert numbers(owner_client.get("/orders/?sort=number"))[0] == "26-0001"
    by_week = numbers(owner_client.get("/orders/?sort=week"))
    weeks = dict(Order.objects.values_list("number", "promised_week"))
    told = [weeks[number] for number in by_week]
    promised = [week for week in told if week]
    assert promised == sorted(promised)
    assert told[len(promised) :] == [None] * (20 - len(promised))
    by_name = numbers(owner_client.get("/orders/?sort=customer"))
    names = dict(Order.objects.values_list("number", "customer__folded"))
    assert [names[one] for one in by_name] == sorted(names.values())


@pytest.mark.parametrize("key", ["", "0", "abc", "-3", "9" * 30, "٣"])
def test_key_that_names_no_row_leads_to_the_first_page(owner_client, key):
    many_orders(SIZE + 2)
    first = numbers(owner_client.get("/orders/"))
    assert numbers(owner_client.get("/orders/", {"after": key})) == first
    assert numbers(owner_client.get("/orders/", {"before": key})) == first


def test_nothing_before_the_first_row_leads_to_the_first_page():
    orders = many_orders(3)
    sort = Sort(descending=True)
    page = page_of(Order.objects.all(), sort, {"before": str(orders[-1].pk)})
    assert [order.number for order in page.rows] == ["26-0003", "26-0002", "26-0001"]
    assert (page.before, page.after) == (None, None)


# --- search and filters -------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "found"),
    [
        ("straßner", 1), ("STRASSNER", 1), ("jörg", 1), ("JÖRG", 1), ("łęcki", 1),
        ("ŁĘCKI", 1), ("nguyễn", 1), ("Nguye\u0302\u0303n", 1), ("hạnh thị", 1),
        ("26-0001", 1), ("ada 26-", 1), ("", 5), ("%", 1), ("_", 0), ("nobody", 0),
        ("'; DROP TABLE x;--", 0),
    ],
)  # fmt: skip
def test_search_folds_case_and_takes_signs_as_they_are(owner_client, word, found):
    many_orders(5)
    customer = Customer.objects.get(name="zu Ende, Bo")
    services.save_customer({"name": "100 % zu Ende"}, customer=customer)
    assert len(numbers(owner_client.get("/orders/", {"q": word}))) == found


def test_knives_are_found_by_name_and_number(owner_client):
    order = OrderFactory()
    knife = KnifeFactory(order=order, name="Küchenbeil für Opa")
    OrderFactory(knives=1)
    for word in ("KÜCHENBEIL", knife.serial.lower(), "opa"):
        assert numbers(owner_client.get("/orders/", {"q": word})) == [order.number]


def test_table_is_filtered_by_state_stage_and_customer(owner_client):
    asked = OrderFactory(knives=2)
    made = OrderFactory(knives=2, accepted=True, customer__name="Bo Lund")
    knife = made.knives.first()
    Knife.objects.filter(pk=knife.pk).update(stage="harden")
    wanted = {
        "state=enquiry": asked, "state=accepted": made, "stage=harden": made,
        "stage=forge": made, f"customer=bo lund ({made.customer.pk})": made,
        "customer=Bo Lund": made,
    }  # fmt: skip
    for query, order in wanted.items():
        assert numbers(owner_client.get(f"/orders/?{query}")) == [order.number], query
    assert numbers(owner_client.get("/orders/?stage=finish")) == []
    nobody = owner_client.get("/orders/?customer=Nobody")
    assert "No customer has this name" in nobody.content.decode()


@pytest.mark.parametrize(
    "query", ["state=gone", "stage=oven", "sort=price", "q=%00", "sort=%27"]
)
def test_odd_addresses_do_no_harm(owner_client, query):
    many_orders(3)
    page = owner_client.get(f"/orders/?{query}")
    assert page.status_code == (400 if "%00" in query else 200)


def test_page_links_keep_what_was_asked(owner_client):
    many_orders(3 * SIZE)
    page = owner_client.get("/orders/?q=26&state=enquiry&sort=customer")
    link = re.search(r'href="([^"]+)" rel="next"', page.content.decode())[1]
    for part in ("q=26", "state=enquiry", "sort=customer"):
        assert part in link


def test_empty_table_says_what_belongs_there(owner_client):
    assert "No order answers to this" in owner_client.get("/orders/").content.decode()


# --- as many queries for many rows as for one ----------------------------------------


def counted(client, address, queries):
    client.get(address)  # the session and the like are warm
    with queries as found:
        assert client.get(address).status_code == 200
    return len(found)


def fill_up(to):
    """Bring the shop to so many orders of each kind the pages list, one knife each."""
    states = ("enquiry", "quoted", "accepted")
    like = KnifeFactory(order=OrderFactory(number="25-0001"))
    start = Order.objects.count()
    orders = Order.objects.bulk_create(
        Order(
            number=f"27-{place:05d}",
            customer=like.order.customer,
            state=states[place % 3],
            promised_week=dt.date(2020, 1, 6),
            folded="a knife",
        )
        for place in range(start, start + to * 3)
    )
    targets = PlanTarget.objects.bulk_create(copy_of(like.target) for _order in orders)
    Knife.objects.bulk_create(
        copy_of(like, order=order, target=target, serial=serial(9000 + order.pk),
                stage="forge" if order.state == "accepted" else "")
        for order, target in zip(orders, targets, strict=True)
    )  # fmt: skip


def copy_of(row, **changes):
    row = copy.copy(row)
    row.pk = row.id = None
    row._state = copy.copy(row._state)
    row._state.adding = True
    for name, value in changes.items():
        setattr(row, name, value)
    return row


@pytest.mark.parametrize("rows", [25, 500])
@pytest.mark.parametrize(
    "address",
    [
        *("/orders/", "/orders/?sort=week", "/orders/?sort=-customer"),
        *("/orders/?q=a&state=accepted", "/", "/customers/"),
    ],
)
def test_queries_are_as_many_for_500_rows_as_for_one(
    owner_client, address, rows, django_assert_max_num_queries
):
    fill_up(1)
    one = counted(owner_client, address, django_assert_max_num_queries(20))
    Knife.objects.all().delete()
    Order.objects.all().delete()
    fill_up(rows)
    assert counted(owner_client, address, django_assert_max_num_queries(20)) == one
