"""Steels welded to one another, as tests of checks and treatment need them."""

from types import MappingProxyType

from billets.physics.bar import Steel
from billets.physics.levelling import LayerCarbon, Levelling
from billets.physics.together import Heat, Together
from tests.billets.physics.steels import grade, kelvin

PAGE = {
    "75Ni8": "15n20", "1.2842": "90mncrv8", "1.2767": "45nicrmo16", "L6": "l6",
    "W2": "w2", "1084": "1084", "1095": "1095", "52100": "52100", "O1": "o1",
    "nickel": "nickel", "mild": "mild-1010",
}  # fmt: skip
"""Keys of the shipped list, by how data sheets call the steels."""

LIFE = MappingProxyType({"nickel": 0.99, "chromium": 0.7, "manganese": 0.97})


def steel(name, **changes):
    found = grade(PAGE[name], **changes)
    return Steel(found.key, found.name, found.carbon, 7850.0, found.etch, found)


def level(steels, *, mean=None, left=0.01, contrast=LIFE, thickness=0.003):
    middle = sum(one.carbon for one in steels) / len(steels) if mean is None else mean
    return Levelling(
        mean_carbon=middle,
        carbon_left=left,
        layers=tuple(
            LayerCarbon(
                key=one.key,
                own=one.carbon,
                low=min(middle, one.carbon),
                high=max(middle, one.carbon),
            )
            for one in steels
        ),
        contrast=contrast,
        seconds=3000.0,
        blade_heats=12,
        thickness=thickness,
    )


def in_layers(steels, repeats=9):
    """Layers in turn, mirrored about the middle: the first steel begins and ends."""
    order = [one for _turn in range(repeats) for one in steels]
    order += [steels[0]] if len(steels) == 2 else order[::-1]
    return tuple((one.key, 1.0 / len(order)) for one in order)


def welded(*steels, layers=None, celsius=1150, spine=0.003, **given):
    """Steels, by name or ready made, in a billet whose carbon is level unless told."""
    found = tuple(steel(one) if isinstance(one, str) else one for one in steels)
    levelling = {
        name: given.pop(name)
        for name in ("mean", "left", "contrast", "thickness")
        if name in given
    }
    richest = max(found, key=lambda one: one.carbon)
    return Together(
        steels=found,
        layers=layers or in_layers(found),
        levelling=level(found, **levelling),
        heats=(Heat(temperature=kelvin(celsius), steel=richest),),
        spine=spine,
        **given,
    )
