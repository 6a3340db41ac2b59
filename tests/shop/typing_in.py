"""What somebody types into the shop's forms, and what came of it."""

import html
import re

STOCK_WORDS = (
    "This field is required", "Enter a valid", "Enter a number", "Select a valid",
    "Ensure this value", "Please ",
)  # fmt: skip
"""Django's own messages, none of which may reach a page."""

KNIFE = {
    "family": "santoku", "length": "163", "height": "46", "heel_thickness": "2.7",
    "middle_thickness": "2.1", "tip_thickness": "1.1", "grind": "family",
    "behind_edge": "0.23", "edge_angle": "14", "hardness": "60.5", "finish": "",
    "forging": "bevel", "allowance": "typical", "tang": "hidden", "neck_length": "11",
    "tang_length": "", "handle": "octagon", "handle_length": "128",
    "handle_material": "walnut", "ferrule": "horn", "bolster_mass": "0", "name": "",
    "note": "", "filled": "santoku",
}  # fmt: skip

ENQUIRY = KNIFE | {
    "known": "", "customer_name": "Tilda Grauwacke", "email": "", "phone": "",
    "language": "en", "wish": "Thin, for onions.", "promised_week": "",
}  # fmt: skip


def key_on(page):
    """Return the key of the first form on a page."""
    return re.search(r'name="form_key" value="([^"]+)"', page.content.decode())[1]


def enquiry(client, button="save", **changes):
    """Send a new enquiry as from a page just opened."""
    data = ENQUIRY | {"form_key": key_on(client.get("/orders/new/")), button: "1"}
    return client.post("/orders/new/", data | changes)


def errors_on(page, box):
    """Return what stands beside a box."""
    text = page.content.decode()
    found = re.search(
        rf'<p class="error" id="id_{box}_error">(.*?)</p>', text, re.DOTALL
    )
    return html.unescape(found[1]).replace("\u00a0", " ") if found else None


def text_of(page):
    """Return a page as it is read: without tags, entities and no-break spaces."""
    text = re.sub(r"<[^>]+>", " ", page.content.decode())
    return " ".join(html.unescape(text).replace("\u00a0", " ").split())
