"""The private page in a browser: by hand, on a phone, without JavaScript, printed."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from quotes.models import QuoteAnswer
from quotes.private import tokens
from shop.models import CustomerQuestion, Knife, Shop
from tests.browser.test_main_job import PHONE, enquire, issue, plan_billet

pytestmark = pytest.mark.django_db(transaction=True)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]


@pytest.fixture
def link(at_work):
    """The address of a link, copied from the owner's page."""
    enquire(at_work)
    number = Knife.objects.get().order.number
    plan_billet(at_work)
    issue(at_work, number)
    at_work.get_by_role("link", name="Back to the order").click()
    at_work.get_by_role("link", name="Private page").click()
    at_work.get_by_role("button", name="Make a link").click()
    address = at_work.get_by_label("Address to send").input_value()
    sound(at_work)
    return address


@pytest.fixture
def customer(browser, link):
    """Somebody else's phone, with JavaScript off."""
    context = browser.new_context(java_script_enabled=False, viewport=PHONE)
    yield context.new_page()
    context.close()


def sound(page):
    """No access fault, and nothing wider than the screen."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
    assert found.violations_count == 0, found.generate_report()
    wide = "document.documentElement.scrollWidth > innerWidth"
    assert not page.evaluate(wide), f"{page.url} scrolls sideways"


def test_customer_reads_accepts_and_follows_without_javascript(customer, link):
    told = []
    customer.on("request", lambda one: told.append(one.headers.get("referer", "")))
    customer.on("console", lambda said: told.append(said.text))
    token = link.rstrip("/").rpartition("/")[2]
    customer.goto(link)
    assert customer.url.endswith("/q/view/")
    customer.get_by_label("Your question").fill("Is it safe for nickel?")
    customer.get_by_role("button", name="Send question").click()
    customer.get_by_text("has not answered yet").wait_for()
    assert CustomerQuestion.objects.count() == 1
    customer.get_by_role("button", name="Accept quote").click()
    customer.get_by_text("This needs mending").wait_for()
    customer.get_by_label("Your name").fill("Jörg Strößner")
    customer.get_by_label("I order the knife").check()
    customer.get_by_role("button", name="Accept quote").click()
    customer.get_by_text("Accepted on").wait_for()
    assert QuoteAnswer.objects.get().typed_name == "Jörg Strößner"
    assert "Pay the deposit of" in customer.inner_text("main")
    assert token not in customer.content() + "".join(told)
    assert not any("Content Security" in one for one in told)


def test_page_has_no_access_faults_in_any_state(browser, link):
    context = browser.new_context(viewport=PHONE, bypass_csp=True)  # axe is a script
    page = context.new_page()
    Shop.objects.update(iban="DE02120300000000202051")
    page.goto(link)
    sound(page)
    page.get_by_role("button", name="Accept quote").click()
    sound(page)
    page.emulate_media(media="print")
    assert not page.get_by_role("button", name="Accept quote").is_visible()
    page.emulate_media(media="screen", color_scheme="dark")
    sound(page)
    page.set_viewport_size({"width": 320, "height": 700})
    sound(page)
    page.get_by_label("Your name").fill("Jörg Strößner")
    page.get_by_label("I order the knife").check()
    page.get_by_role("button", name="Accept quote").click()
    page.get_by_text("Accepted on").wait_for()
    sound(page)
    page.goto(link.replace(link.rstrip("/").rpartition("/")[2], "x" * 43))
    page.get_by_role("heading", name="This link is not known").wait_for()
    sound(page)
    assert tokens.TOKEN.fullmatch("x" * 43)
    context.close()
