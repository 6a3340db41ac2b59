"""The colours of the style sheet, held against the standard for contrast."""

import re

import pytest
from django.conf import settings

STYLE = (settings.BASE_DIR / "shop" / "static" / "shop" / "shop.css").read_text("utf-8")


def palette(block):
    return dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", block))


BLOCKS = re.findall(r":root {(.*?)}", STYLE, re.DOTALL)
LIGHT, DARK = palette(BLOCKS[0]), palette(BLOCKS[1])


def contrast(one, other):
    """Contrast ratio by W3C, WCAG 2.2, definition "contrast ratio" (from memory)."""

    def luminance(colour):
        parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        linear = [
            part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
            for part in parts
        ]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white():
    """WCAG 2.2 gives 21:1 as the greatest contrast there is (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("text", ["ink", "soft", "straw", "bronze", "plum", "blue"])
def test_text_stands_out_from_paper(colours, text):
    """WCAG 2.2, criterion 1.4.6 asks for 7:1 (from memory)."""
    assert contrast(colours[text], colours["paper"]) >= 7
