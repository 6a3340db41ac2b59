"""Writing to a customer, and what is kept, in a browser without JavaScript."""

import pytest

from quotes.models import Mail
from shop.models import Customer, CustomerLink
from tests.browser.test_main_job import PHONE
from tests.browser.test_private_page import sound
from tests.quotes.paying import account, bought
from tests.quotes.test_mail_photos import marked

pytestmark = pytest.mark.django_db(transaction=True)
CUT = "[...document.querySelectorAll('.wide')].some(x => x.scrollWidth > x.clientWidth)"
MASKED = "Your page: https://forge.example/q/…"
DESK = {"width": 1280, "height": 800}


@pytest.fixture
def order(shop):
    order = bought()
    account()
    Customer.objects.update(email="tilda@grauwacke.example")
    marked(order, shown=True, final=True)
    return order


@pytest.fixture
def anvil(browser, shop, owner, order):
    """The owner on a phone, with JavaScript off."""
    context = browser.new_context(
        java_script_enabled=False, viewport=PHONE, base_url=shop
    )
    page = context.new_page()
    page.goto("/login/")
    page.get_by_label("Name").fill("anvil")
    page.get_by_label("Password").fill("long enough word")
    page.keyboard.press("Enter")
    page.wait_for_url(f"{shop}/")
    yield page
    context.close()


def test_without_a_server_the_text_is_copied_with_its_link(anvil, order):
    anvil.goto(f"/orders/{order.number}/mail/balance/")
    text = anvil.get_by_label("Text")
    assert "/q/" not in text.input_value()  # none the customer could open
    text.fill(f"{text.input_value()}\n{MASKED}")
    anvil.get_by_role("button", name="I have sent it myself").click()
    anvil.get_by_role("alert").get_by_text("make a new link").wait_for()
    assert not Mail.objects.exists()
    anvil.get_by_role("button", name="Make a private link now").click()
    assert "http://127.0.0.1" in text.input_value()
    assert "/q/…" not in text.input_value()
    picture = anvil.get_by_role("link", name="Photo of Test knife")
    assert picture.get_attribute("href").endswith("/large/")
    anvil.get_by_label("Without a paper").check()
    anvil.get_by_role("button", name="I have sent it myself").click()
    anvil.get_by_text("Written down as sent by yourself").wait_for()
    assert Mail.objects.get().photos.count() == CustomerLink.objects.count() == 1


def test_request_is_made_on_the_way_and_its_paper_opens(anvil, order):
    anvil.goto(f"/orders/{order.number}/mail/request/")
    anvil.get_by_label("Subject").fill("Mine")
    anvil.get_by_role("button", name="Make a request for €357.00").click()
    anvil.get_by_text("A new request for payment is made").wait_for()
    assert anvil.get_by_label("Subject").input_value() == "Mine"
    chosen = anvil.get_by_label("Paper attached").locator("option:checked")
    assert chosen.inner_text().startswith("request for payment, 1")
    paper = anvil.get_by_role("link", name="Open the paper").get_attribute("href")
    assert anvil.request.get(paper).headers["content-type"] == "application/pdf"


@pytest.mark.parametrize("size", [PHONE, DESK])
def test_pages_are_sound(at_work, shop, order, size):
    at_work.set_viewport_size(size)
    for place in ("/shop/kept/", f"/customers/{order.customer_id}/data/",
                  f"/orders/{order.number}/mail/balance/"):  # fmt: skip
        at_work.goto(shop + place)
        sound(at_work)
        assert not at_work.evaluate(CUT), place
    at_work.get_by_label("Text").fill(MASKED)
    at_work.get_by_role("button", name="I have sent it myself").click()
    at_work.get_by_role("alert").get_by_text("make a new link").wait_for()
    sound(at_work)
    at_work.get_by_label("Text").fill("Written.")
    at_work.get_by_label("Without a paper").check()
    at_work.get_by_role("button", name="I have sent it myself").click()
    at_work.get_by_text("Written down as sent by yourself").wait_for()
    sound(at_work)
    type(order).objects.update(state="delivered")
    at_work.goto(f"{shop}/customers/{order.customer_id}/data/")
    at_work.get_by_role("button", name="Erase this customer").click()
    at_work.get_by_role("alert").get_by_text("still owes €1,190.00").wait_for()
    sound(at_work)
