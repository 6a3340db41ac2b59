"""The floor price with a phone in one hand, or with the keyboard alone."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from shop.models import Order

PHONE = {"width": 360, "height": 780}
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
SHOWN = "e => { const b = e.getBoundingClientRect(); return [b.top, b.bottom]; }"
FOCUSED = "() => document.activeElement.name || document.activeElement.innerText"


def tabbed(page, times):
    """Return what has the focus, tab after tab."""
    found = []
    for _time in range(times):
        page.keyboard.press("Tab")
        found.append(page.evaluate(FOCUSED))
    return found


def into_the_boxes(page):
    """Tab past the head of the page to the first box."""
    for _time in range(15):
        if tabbed(page, 1) == ["family"]:
            return
    raise AssertionError("the boxes are never reached")


def tops(page, *selectors):
    return [page.locator(one).first.evaluate(SHOWN)[0] for one in selectors]


def faults(page):
    found = Axe().run(page, options={"runOnly": {"type": "tag", "values": TAGS}})
    sideways = page.evaluate("document.documentElement.scrollWidth > innerWidth")
    return found.generate_report() if found.violations_count else sideways


@pytest.mark.django_db(transaction=True)
def test_a_call_with_a_phone_in_one_hand(at_work, shop):
    """First the boxes; then figures, boxes, name and Save, and what is behind."""
    page = at_work
    page.set_viewport_size(PHONE)
    page.goto(f"{shop}/floor/")
    form, said = tops(page, "main form[method=get]", "#result")
    assert form < said
    assert not faults(page)
    page.get_by_label("Pattern").select_option("ladder")
    page.get_by_role("button", name="Show the price").click()
    page.wait_for_url("**/floor/?*pattern=ladder*")
    places = tops(page, "#result", "main form[method=get]", ".keep", ".behind")
    assert places == sorted(places)
    assert page.locator("#result .lead").evaluate(SHOWN)[1] <= PHONE["height"]
    assert not faults(page)


@pytest.mark.django_db(transaction=True)
def test_a_call_with_the_keyboard_alone(at_work, shop):
    page = at_work
    page.goto(f"{shop}/floor/")
    into_the_boxes(page)
    assert tabbed(page, 1) == ["length"]
    page.keyboard.press("Control+a")
    page.keyboard.type("240")
    page.keyboard.press("Enter")
    page.get_by_text("A 240").wait_for()
    into_the_boxes(page)
    assert tabbed(page, 3) == ["length", "pattern", "handle"]
    order = tabbed(page, 8)  # a day is several stops: day, month, year, calendar
    order = [one for at, one in enumerate(order) if at == 0 or order[at - 1] != one]
    assert order[:5] == [
        "wanted", "named", "Show the price", "caller", "Save as a draft order",
    ]  # fmt: skip
    page.get_by_label("Name of the caller").focus()
    page.keyboard.type("Tilda Grauwacke")
    page.keyboard.press("Enter")
    page.wait_for_url("**/price/")
    assert Order.objects.get().customer.name == "Tilda Grauwacke"


@pytest.mark.django_db(transaction=True)
def test_on_a_wide_screen_boxes_stand_left_of_the_figures(at_work, shop):
    page = at_work
    page.set_viewport_size({"width": 1280, "height": 800})
    page.goto(f"{shop}/floor/?pattern=twist")
    left = "e => e.getBoundingClientRect().left"
    form, said, keep, behind = (
        page.locator(one).first.evaluate(left)
        for one in ("main form[method=get]", "#result", ".keep", ".behind")
    )
    assert form == keep < said == behind
    assert not faults(page)


@pytest.mark.django_db(transaction=True)
def test_back_after_saving_says_it_was_saved(at_work, shop):
    """Saved, gone back, and there is the order, not a second way to make one."""
    page = at_work
    page.goto(f"{shop}/floor/")
    page.get_by_role("button", name="Show the price").click()
    page.get_by_role("button", name="Save as a draft order").click()
    page.wait_for_url("**/price/")
    page.go_back()
    save = page.get_by_role("button", name="Save as a draft order")
    told = page.get_by_text("This answer was saved as a draft order.")
    told.or_(save).first.wait_for()
    if save.count():
        save.click()
        page.wait_for_url("**/price/")
    else:
        page.get_by_role("link", name="Open it").click()
        page.wait_for_url("**/price/")
    assert Order.objects.count() == 1
