"""The whole main job by hand: enquiry, billet, price, quote, yes, sheet, stages."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from quotes import store
from quotes.models import Paper
from shop.models import Knife

PHONE = {"width": 360, "height": 780}


def enquire(page, length="225 mm"):
    page.get_by_role("link", name="New enquiry").first.click()
    page.get_by_label("New customer").fill("Jörg Strößner")
    page.get_by_label("Wish in the customer's words").fill(
        "Something thin, no plastic."
    )
    page.get_by_role("textbox", name="Edge length").fill(length)
    page.get_by_role("button", name="Fill in for this family").click()
    page.get_by_role("button", name="Save enquiry").click()
    page.get_by_role("heading", name="Jörg Strößner").wait_for()


def plan_billet(page):
    page.get_by_role("link", name="plan one").click()
    page.get_by_label("Name of the billet").fill("First of the year")
    page.get_by_role("button", name="Fit by length").click()
    page.get_by_text("Enough").first.wait_for()
    page.get_by_role("button", name="Save plan").click()
    page.get_by_text("The billet is saved.").wait_for()


def issue(page, number):
    page.get_by_role("link", name="Orders").click()
    page.get_by_role("link", name=number).first.click()
    page.get_by_role("link", name="Price and quote").click()
    page.get_by_role("link", name="Terms of the quote").click()
    page.get_by_label("a fixed price").check()
    page.get_by_role("button", name="Save terms").click()
    page.get_by_role("link", name="Check the quote").click()
    page.get_by_role("button", name="Issue quote").click()
    page.get_by_text("waiting for the customer").wait_for()


def accept(page):
    page.get_by_label("Yes: accepted").check()
    page.get_by_label("How it was said").fill("by telephone")
    page.get_by_role("button", name="Write down the answer").click()
    page.get_by_text("Accepted.").wait_for()


def print_sheet(page, shop, serial):
    page.goto(f"{shop}/knives/{serial}/")
    page.get_by_role("link", name="Build sheet").click()
    with page.expect_response(lambda got: "/papers/" in got.url):
        page.get_by_role("button", name="Print build sheet").click()


def enter_what_is_open(page, shop, number):
    page.goto(f"{shop}/orders/{number}/payments/")
    open_now = page.locator("dl.plate dd").last.inner_text()
    page.get_by_label("Amount").fill(open_now)
    page.get_by_role("button", name="Enter the payment").click()
    page.get_by_text("The payment is entered.").wait_for()


def move_on(page, shop, serial):
    page.goto(f"{shop}/knives/{serial}/")
    for box in page.locator("form[action$='/move/'] input[type=checkbox]").all():
        box.check()
    page.get_by_role("button", name="Move on to").click()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("viewport", [None, PHONE], ids=["desk", "phone"])
def test_knife_from_enquiry_to_delivery(at_work, shop, viewport):
    if viewport:
        at_work.set_viewport_size(viewport)
    enquire(at_work)
    knife = Knife.objects.get()
    plan_billet(at_work)
    issue(at_work, knife.order.number)
    accept(at_work)
    print_sheet(at_work, shop, knife.serial)
    enter_what_is_open(at_work, shop, knife.order.number)
    for stage in ("grind", "harden", "finish", "handle", "sharpen", "delivered"):
        move_on(at_work, shop, knife.serial)
        at_work.wait_for_url(f"{shop}/knives/{knife.serial}/")
        knife.refresh_from_db()
        assert knife.stage == stage
    knife.order.refresh_from_db()
    assert knife.order.state == "delivered"
    for paper in Paper.objects.all():
        assert store.read(paper.sha256).startswith(b"%PDF-")
    assert sorted(Paper.objects.values_list("kind", flat=True)) == ["quote", "sheet"]


@pytest.mark.django_db(transaction=True)
def test_main_pages_have_no_access_faults(at_work, shop):
    """axe-core with the rules of WCAG 2.2, levels A and AA."""
    enquire(at_work)
    knife = Knife.objects.get()
    plan_billet(at_work)
    plan = at_work.url
    at_work.set_viewport_size(PHONE)
    pages = ["/", "/orders/", "/orders/new/", f"/orders/{knife.order.number}/",
             f"/knives/{knife.serial}/", f"/orders/{knife.order.number}/price/",
             "/billets/", "/billets/new/", "/shop/", "/shop/rates/", "/shop/hour/",
             "/shop/hours/", "/shop/texts/", "/floor/",
             f"/orders/{knife.order.number}/terms/",
             f"/orders/{knife.order.number}/payments/",
             f"/knives/{knife.serial}/weighed/"]  # fmt: skip
    tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
    for address in [*(shop + one for one in pages), plan]:
        at_work.goto(address)
        found = Axe().run(at_work, options={"runOnly": {"type": "tag", "values": tags}})
        assert found.violations_count == 0, found.generate_report()
        wider = "document.documentElement.scrollWidth > innerWidth"
        assert not at_work.evaluate(wider), f"{address} scrolls sideways"


@pytest.mark.django_db(transaction=True)
def test_trying_draws_again_without_saving(at_work):
    at_work.get_by_role("link", name="New enquiry").first.click()
    before = at_work.locator("#result").inner_text()
    at_work.get_by_role("textbox", name="Edge length").fill("8 1/4 in")
    at_work.get_by_role("textbox", name="Spine above the heel").fill("4 mm")
    at_work.keyboard.press("Tab")
    at_work.wait_for_function(
        "before => document.querySelector('#result').innerText !== before", arg=before
    )
    assert (
        at_work.get_by_role("textbox", name="Edge length").input_value() == "8 1/4 in"
    )
    assert not Knife.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_enquiry_works_without_javascript(browser, shop, owner):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(shop)
    page.get_by_label("Name").fill("anvil")
    page.get_by_label("Password").fill("long enough word")
    page.keyboard.press("Enter")
    enquire(page)
    plan_billet(page)
    assert Knife.objects.get().target.plan is not None
    context.close()


@pytest.mark.django_db(transaction=True)
def test_mistake_is_named_beside_its_box_and_keeps_what_was_typed(at_work):
    at_work.get_by_role("link", name="New enquiry").first.click()
    at_work.get_by_label("New customer").fill("Anna")
    at_work.get_by_role("textbox", name="Spine above the heel").fill("1 mm")
    at_work.get_by_role("button", name="Save enquiry").click()
    box = at_work.get_by_role("textbox", name="Spine above the heel")
    assert box.input_value() == "1 mm"
    assert box.get_attribute("aria-invalid") == "true"
    assert at_work.title().startswith("Error:")
    assert not Knife.objects.exists()
