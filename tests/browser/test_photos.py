"""Photos with a phone in hand: added, marked, seen by the customer; no script."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from shop.models import Knife, Photo
from tests.browser.test_main_job import PHONE, enquire, issue, plan_billet
from tests.shop.cameras import jpeg

pytestmark = pytest.mark.django_db(transaction=True)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LOADED = """() => {
  for (const one of document.images) one.loading = "eager";
  return [...document.images].every(one => one.complete && one.naturalWidth > 0);
}"""


def sound(page):
    """No access fault, and nothing wider than the screen."""
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
    assert found.violations_count == 0, found.generate_report()
    wide = "document.documentElement.scrollWidth > innerWidth"
    assert not page.evaluate(wide), f"{page.url} scrolls sideways"


def picture(name, body):
    return {"name": name, "mimeType": "image/jpeg", "buffer": body}


def add(page, *pictures, note):
    page.get_by_label("Pictures").set_input_files(pictures)
    page.get_by_label("What they show").fill(note)
    page.get_by_role("button", name="Keep the photos").click()


def test_added_marked_and_seen_on_the_private_page(at_work, browser):
    page = at_work
    enquire(page)
    plan_billet(page)
    knife = Knife.objects.get()
    issue(page, knife.order.number)
    page.set_viewport_size(PHONE)
    page.goto(page.url.split("/orders")[0] + knife.get_absolute_url())
    page.get_by_role("link", name="Photos").click()
    sound(page)
    long_name = "x" * 200 + ".jpg"
    add(page, picture(long_name, b"<svg/>"), note="Etched, both sides")
    page.get_by_text("This needs mending").wait_for()
    sound(page)
    assert page.get_by_label("What they show").input_value() == "Etched, both sides"
    upright, across = jpeg((900, 1200)), jpeg((1200, 800))
    add(page, picture("1.jpg", upright), picture("2.jpg", across), note="Both sides")
    page.get_by_text("2 photos are kept").wait_for()
    page.wait_for_function(LOADED)
    sound(page)
    page.get_by_label("The customer may see it").first.check()
    page.get_by_role("button", name="Save the marks").click()
    page.get_by_text("The marks are saved").wait_for()
    page.get_by_role("button", name="Take back").last.click()
    page.get_by_text("The photo is taken back").wait_for()
    page.set_viewport_size({"width": 1280, "height": 800})
    sound(page)
    photo = Photo.objects.get(taken_back=None)
    assert (photo.shown, photo.width) == (True, 1200)
    _customer_sees(page, browser, knife.order.number)


def _customer_sees(page, browser, number):
    page.goto(page.url.split("/knives")[0] + f"/orders/{number}/links/")
    page.get_by_role("button", name="Make a link").click()
    link = page.get_by_label("Address to send").input_value()
    context = browser.new_context(viewport=PHONE, bypass_csp=True)  # axe is a script
    theirs = context.new_page()
    theirs.goto(link)
    theirs.wait_for_function(LOADED)
    sound(theirs)
    theirs.get_by_role("link", name="Both sides").click()
    theirs.wait_for_url("**/large/")
    assert theirs.evaluate("document.images[0].naturalWidth") == 1200
    context.close()


def test_works_without_javascript(at_work, browser):
    page = at_work
    enquire(page)
    knife = Knife.objects.get()
    base = page.url.split("/orders")[0]
    context = browser.new_context(
        java_script_enabled=False, viewport=PHONE,
        storage_state=page.context.storage_state(),
    )  # fmt: skip
    plain = context.new_page()
    plain.goto(f"{base}/knives/{knife.serial}/photos/")
    add(plain, picture("1.jpg", jpeg()), note="")
    plain.get_by_text("1 photo is kept").wait_for()
    assert plain.get_by_role("img").count() == 1
    context.close()
