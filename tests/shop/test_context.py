"""What every page may ask for: the shop, who sees prices, where the page belongs."""

import pytest
from django.contrib.auth.models import AnonymousUser
from django.urls import ResolverMatch

from shop import context
from shop.models import Shop


@pytest.mark.parametrize(
    ("name", "section"),
    [
        ("front", "work"), ("order-new", "orders"), ("knife", "orders"),
        ("plan", "billets"), ("login", ""), (None, ""),
    ],
)  # fmt: skip
def test_section_of_an_address(rf, name, section):
    request = rf.get("/")
    request.resolver_match = ResolverMatch(lambda _: None, (), {}, url_name=name)
    assert context.section_of(request) == section


def test_page_without_an_address_has_no_section(rf):
    assert context.section_of(rf.get("/nowhere/")) == ""


@pytest.mark.django_db
def test_shop_on_the_request_costs_no_query(rf, django_assert_num_queries):
    request = rf.get("/")
    request.shop = Shop(name="Alder forge")
    with django_assert_num_queries(0):
        assert str(context.shop(request)["shop"].name) == "Alder forge"


@pytest.mark.django_db
def test_shop_is_read_where_the_middleware_did_not_run(rf):
    assert context.shop(rf.get("/"))["shop"].name == Shop.current().name


@pytest.mark.django_db
def test_only_who_has_the_right_sees_prices(rf, owner, helper):
    request = rf.get("/")
    seen = []
    for user in (owner, helper, AnonymousUser()):
        request.user = user
        seen.append(bool(context.shop(request)["may_see_prices"]))
    assert seen == [True, False, False]


def test_banner_names_the_step_to_an_own_shop(rf, settings):
    settings.DEMO = True
    assert "open --own" in str(context.shop(rf.get("/"))["banner_sentence"])
