"""The steels against standards, data sheets and handbooks outside the project.

"Published" figures were taken from the named standard or a public restatement of it;
those marked from memory should be verified before anybody relies on them.
"""

import re

import numpy as np
import pytest

from billets.loading import read_steels

STEELS = {entry.key: entry for entry in read_steels()}


def limits(key, element):
    values = STEELS[key].values
    return values[f"{element}_min"], values[f"{element}_max"]


def celsius(key, name):
    return STEELS[key].values[name] - 273.15


@pytest.mark.parametrize(
    ("key", "carbon", "manganese"),
    [
        ("1080", (0.75, 0.88), (0.60, 0.90)),
        ("1084", (0.80, 0.93), (0.60, 0.90)),
        ("1095", (0.90, 1.03), (0.30, 0.50)),
    ],
)
def test_plain_carbon_bars_match_astm_a576(key, carbon, manganese):
    """ASTM A576, chemical limits of hot-wrought carbon bars (published)."""
    assert (limits(key, "carbon"), limits(key, "manganese")) == (carbon, manganese)


def test_1075_matches_sae_j403():
    """SAE J403, limits of 1075; quoted from memory, verify."""
    assert (limits("1075", "carbon"), limits("1075", "manganese")) == (
        (0.70, 0.80),
        (0.40, 0.70),
    )


@pytest.mark.parametrize(
    ("key", "element", "expected"),
    [
        ("o1", "carbon", (0.85, 1.00)), ("o1", "manganese", (1.00, 1.40)),
        ("o1", "silicon", (None, 0.50)), ("o1", "chromium", (0.40, 0.60)),
        ("o1", "nickel", (None, 0.30)), ("o1", "vanadium", (None, 0.30)),
        ("o1", "tungsten", (0.40, 0.60)),
        ("l6", "carbon", (0.65, 0.75)), ("l6", "manganese", (0.25, 0.80)),
        ("l6", "silicon", (None, 0.50)), ("l6", "chromium", (0.60, 1.20)),
        ("l6", "nickel", (1.25, 2.00)), ("l6", "molybdenum", (None, 0.50)),
    ],
)  # fmt: skip
def test_tool_steels_match_astm_a681(key, element, expected):
    """ASTM A681, limits of types O1 and L6 (published, as restated)."""
    assert limits(key, element) == expected


@pytest.mark.parametrize(
    ("element", "expected"),
    [
        ("carbon", (0.85, 1.50)), ("manganese", (0.10, 0.40)),
        ("silicon", (0.10, 0.40)),
        ("chromium", (None, 0.15)), ("vanadium", (0.15, 0.35)),
        ("tungsten", (None, 0.15)),
    ],
)  # fmt: skip
def test_w2_matches_astm_a686(element, expected):
    """ASTM A686, limits of type W2 (published)."""
    assert limits("w2", element) == expected


@pytest.mark.parametrize(
    ("element", "expected"),
    [
        ("carbon", (0.93, 1.05)), ("manganese", (0.25, 0.45)),
        ("silicon", (0.15, 0.35)), ("chromium", (1.35, 1.60)),
        ("nickel", (None, 0.25)), ("molybdenum", (None, 0.10)),
    ],
)  # fmt: skip
def test_52100_matches_the_bearing_standards(element, expected):
    """ASTM A295 (52100) and EN ISO 683-17 (100Cr6) (published)."""
    assert limits("52100", element) == expected


def test_a29_grades():
    """ASTM A29, limits of 5160 and 1010 (published)."""
    assert (limits("5160", "carbon"), limits("5160", "chromium")) == (
        (0.56, 0.64),
        (0.70, 0.90),
    )
    assert limits("5160", "manganese") == (0.75, 1.00)
    assert (limits("mild-1010", "carbon"), limits("mild-1010", "manganese")) == (
        (0.08, 0.13),
        (0.30, 0.60),
    )


@pytest.mark.parametrize(
    ("element", "expected"),
    [
        ("carbon", (0.50, 0.60)), ("silicon", (0.10, 0.40)),
        ("manganese", (0.60, 0.90)), ("chromium", (0.80, 1.20)),
        ("molybdenum", (0.35, 0.55)), ("nickel", (1.50, 1.80)),
        ("vanadium", (0.05, 0.15)),
    ],
)  # fmt: skip
def test_55nicrmov7_matches_en_iso_4957(element, expected):
    """EN ISO 4957, row 55NiCrMoV7 (published)."""
    assert limits("55nicrmov7", element) == expected


@pytest.mark.parametrize(
    ("key", "element", "expected"),
    [
        ("90mncrv8", "carbon", (0.85, 0.95)), ("90mncrv8", "manganese", (1.80, 2.20)),
        ("90mncrv8", "vanadium", (0.05, 0.20)), ("45nicrmo16", "carbon", (0.40, 0.50)),
        ("45nicrmo16", "nickel", (3.80, 4.30)),
        ("45nicrmo16", "chromium", (1.20, 1.50)),
        ("15n20", "carbon", (0.72, 0.78)), ("15n20", "nickel", (1.80, 2.10)),
        ("c100s", "carbon", (0.95, 1.05)), ("c125s", "carbon", (1.20, 1.30)),
        ("nickel", "nickel", (99.0, None)), ("nickel", "carbon", (None, 0.15)),
    ],
)  # fmt: skip
def test_limits_quoted_from_memory(key, element, expected):
    """EN ISO 4957, EN 10132-4:2000, ASTM B162; quoted from memory, verify."""
    assert limits(key, element) == expected


@pytest.mark.parametrize(
    "key", ["1075", "1080", "1084", "1095", "5160", "52100", "mild-1010"]
)
def test_sae_numbers_say_the_carbon(key):
    """SAE J402 numbering: what follows the two digits of the series is carbon in
    hundredths of a per cent; quoted from memory, verify.
    """
    digits = key.removeprefix("mild-")
    least, most = limits(key, "carbon")
    assert least <= int(digits[2:]) / 100 <= most


@pytest.mark.parametrize(
    "key", [key for key in STEELS if "UNS" in STEELS[key].values["number"]]
)
def test_uns_numbers_fit_their_series(key):
    """ASTM E527 / SAE HS-1086: G is the SAE number and a nought (52100 keeps its own);
    T315 oil-hardening, T612 low-alloy, T723 water-hardening tool steel; N nickel.
    Quoted from memory, verify.
    """
    number = STEELS[key].values["number"].rpartition("UNS ")[2]
    series = {"o1": "T315", "l6": "T612", "w2": "T723", "nickel": "N02"}
    expected = series.get(key, f"G{key.removeprefix('mild-')}0")
    assert number.startswith(expected)
    assert re.fullmatch(r"[GTN]\d{5}", number)


@pytest.mark.parametrize(
    ("key", "name", "first"),
    [
        ("15n20", "75Ni8", "nickel"), ("80crv2", "80CrV2", "chromium"),
        ("90mncrv8", "90MnCrV8", "manganese"), ("100mncrw4", "100MnCrW4", "manganese"),
        ("55nicrmov7", "55NiCrMoV7", "nickel"), ("52100", "100Cr6", "chromium"),
        ("115crv3", "115CrV3", "chromium"), ("45nicrmo16", "45NiCrMo16", "nickel"),
        ("5160", "60Cr3", "chromium"),
    ],
)  # fmt: skip
def test_european_names_say_carbon_and_first_alloy(key, name, first):
    """EN 10027-1: the number in front is carbon in hundredths of a per cent, the one
    behind four times the first alloy (Cr, Mn, Ni, W). Quoted from memory, verify.
    """
    carbon, alloy = re.fullmatch(r"(\d+)[A-Za-z]+(\d+)", name).groups()
    assert name in STEELS[key].values["name"]
    for element, said in (("carbon", int(carbon) / 100), (first, int(alloy) / 4)):
        least, most = limits(key, element)
        assert least <= said <= most


@pytest.mark.parametrize("key", ["c75s", "c100s", "c125s"])
def test_strip_names_say_the_carbon(key):
    """EN 10027-1: C75S holds 0.75 % carbon. Quoted from memory, verify."""
    assert STEELS[key].values["carbon"] == int(key[1:-1]) / 100


PLAIN = [key for key, entry in STEELS.items() if "plain" in entry.values["family"]]


@pytest.mark.parametrize("key", [*PLAIN, "mild-1010", "26c3"])
def test_densities_of_plain_steels_follow_their_carbon(key):
    """Metals Handbook (BISRA): 7.871, 7.859, 7.844 and 7.830 g/cm3 at 0.06, 0.23, 0.435
    and 1.22 % carbon; quoted from memory, verify.
    """
    values = STEELS[key].values
    told = np.interp(
        values["carbon"], [0.06, 0.23, 0.435, 1.22], [7871, 7859, 7844, 7830]
    )
    assert values["density"] == pytest.approx(told, rel=0.003)


def test_density_where_nothing_better_is_known_is_that_of_en_1993():
    """EN 1993-1-2: 7850 kg/m3 for steel (published)."""
    named = [e for e in STEELS.values() if "EN 1993-1-2" in e.values["source"]]
    assert named
    assert {entry.values["density"] for entry in named} == {7850.0}


def test_nickel_is_heavier_and_grows_more():
    """Handbook values of nickel: 8.90 g/cm3, 13.3e-6/K; quoted from memory, verify."""
    values = STEELS["nickel"].values
    assert values["density"] == pytest.approx(8900, rel=0.002)
    assert values["expansion"] == pytest.approx(13.3, rel=0.01)


def test_a_metre_of_flat_weighs_what_the_tables_print():
    """EN 10058, Tabellenbuch Metall: 40 x 5 mm 1.57 kg/m; from memory, verify."""
    (bar,) = (
        b for b in STEELS["1080"].bars if (b.thickness, b.width) == (0.005, 0.040)
    )
    mass = bar.thickness * bar.width * bar.length * STEELS["1080"].values["density"]
    assert mass / bar.length == pytest.approx(1.57, abs=0.005)


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [
        ("o1", (230, 61), (260, 59)), ("l6", (205, 61), (260, 59)),
        ("w2", (204, 62), (260, 59)), ("90mncrv8", (200, 61.5), (250, 59.5)),
        ("1095", (232, 61.5), (260, 59.5)),
    ],
)  # fmt: skip
def test_temper_for_60_lies_on_the_printed_tables(key, low, high):
    """Steel data sheets of O1, L6, W2 and 1.2842 (published) and a maker's report on
    1095 (common practice, no source): the heat that gives 60 HRC between two rows.
    Times are mostly not printed, hence 8 K.
    """
    between = np.interp(-60, [-low[1], -high[1]], [low[0], high[0]])
    assert celsius(key, "temper_for_60") == pytest.approx(between, abs=8)


def test_temper_of_52100():
    """Steel data sheet, 52100 (published): 60 HRC after 204 °C in 25 mm."""
    assert celsius("52100", "temper_for_60") == pytest.approx(204, abs=3)


def test_o1_hardens_between_1450_and_1500_fahrenheit():
    """Steel data sheets, O1 (published): harden from 1450 to 1500 °F."""
    assert celsius("o1", "harden_min") == pytest.approx((1450 - 32) / 1.8, abs=0.5)
    assert celsius("o1", "harden_max") == pytest.approx((1500 - 32) / 1.8, abs=0.5)


def test_52100_hardens_as_asm_says():
    """ASM International, heat-treating note on 52100 (published): 815 to 855 °C."""
    assert celsius("52100", "harden_min") == pytest.approx(815)
    assert celsius("52100", "harden_max") == pytest.approx(855)


@pytest.mark.parametrize(
    ("key", "heat"),
    [
        ("55nicrmov7", 850),  # EN ISO 4957, row of the table (published)
        ("90mncrv8", 790), ("45nicrmo16", 850), ("52100", 840),  # the same, from memory
        ("5160", 830), ("w2", 788), ("c75s", 800),  # steel data sheets (published)
        ("1095", 800),  # a maker's report: common practice, no source
    ],
)  # fmt: skip
def test_hardening_window_holds_the_heat_others_print(key, heat):
    """EN ISO 4957 (52100 as its twin 102Cr6) and steel data sheets, as marked above."""
    assert celsius(key, "harden_min") - 0.1 <= heat <= celsius(key, "harden_max") + 0.1


@pytest.mark.parametrize("key", ["45nicrmo16", "55nicrmov7"])
def test_steels_that_cannot_hold_60_hrc_claim_no_temper_for_it(key):
    """Steel data sheets, 1.2767 and 1.2714 (published): at most 58 HRC as quenched."""
    assert STEELS[key].values["temper_for_60"] is None
    assert STEELS[key].values["as_quenched"].endswith("58")
