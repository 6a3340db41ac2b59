"""What lies over what in a billet, and how many layers that makes.

A sequence holds (steel key, thickness) from top to bottom, equal neighbours merged:
two touching layers of one steel are one line less in the pattern. Thicknesses are
relative, since uniform drawing thins all layers alike.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import reduce
from operator import itemgetter, mul
from typing import TypeAlias

from billets.physics.bar import Stack
from billets.physics.errors import PlanError, _

Sequence: TypeAlias = tuple[tuple[str, float], ...]
"""Steel key and relative thickness of each layer, equal neighbours merged."""

MOST_LAYERS = 100_000
"""Layers beyond which a sequence is not kept: they would be thinner than grains."""


def merged(layers: Iterable[tuple[str, float]]) -> Sequence:
    """Return the layers with touching layers of one steel made one.

    Parameters
    ----------
    layers : iterable of (str, float)
        Steel key and thickness of each layer [m, or any one unit].

    Returns
    -------
    tuple of (str, float)
        The same steel, no two neighbours alike [same unit].

    Examples
    --------
    >>> merged([("a", 1.0), ("b", 1.0), ("b", 2.0)])
    (('a', 1.0), ('b', 3.0))
    """
    result: list[tuple[str, float]] = []
    for key, thickness in layers:
        if result and result[-1][0] == key:
            result[-1] = (key, result[-1][1] + thickness)
        else:
            result.append((key, thickness))
    return tuple(result)


def joined(parts: Iterable[Sequence]) -> Sequence:
    """Return several merged sequences laid on one another.

    Parameters
    ----------
    parts : iterable of sequence
        Sequences from top to bottom, all in one unit of thickness [m, or any].

    Returns
    -------
    tuple of (str, float)
        One sequence, merged where two parts meet in the same steel [same unit].
    """
    result: list[tuple[str, float]] = []
    for part in parts:
        rest = part
        if result and part and result[-1][0] == part[0][0]:
            result[-1] = (part[0][0], result[-1][1] + part[0][1])
            rest = part[1:]
        result.extend(rest)
    return tuple(result)


def of_stack(stack: Stack) -> Sequence:
    """Return the sequence of a stack before its first weld, thicknesses in [m]."""
    return merged((layer.steel.key, layer.thickness) for layer in stack.layers)


def restacked(sequence: Sequence, pieces: int, *, turned: bool = False) -> Sequence:
    """Return the sequence after cutting the bar and laying the pieces on one another.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The bar before it is cut [m, or any one unit].
    pieces : int
        Pieces the bar is cut into [1].
    turned : bool
        Whether every second piece is turned over.

    Returns
    -------
    tuple of (str, float)
        The stack of pieces [same unit].

    Examples
    --------
    >>> len(restacked((("a", 1.0), ("b", 1.0), ("a", 1.0)), 2))
    5
    """
    over = sequence[::-1] if turned else sequence
    return joined(over if piece % 2 else sequence for piece in range(pieces))


def cored(sequence: Sequence, key: str, thickness: float) -> Sequence:
    """Return the sequence of a bar cut in two with a core laid between the halves.

    Parameters
    ----------
    sequence : tuple of (str, float)
        The bar before it is cut [m, or any one unit].
    key : str
        Of the core's steel.
    thickness : float
        Of the core, in the unit of the sequence [m, or any].

    Returns
    -------
    tuple of (str, float)
        Half, core, half [same unit].

    Examples
    --------
    >>> cored((("a", 1.0), ("b", 1.0)), "c", 0.5)
    (('a', 1.0), ('b', 1.0), ('c', 0.5), ('a', 1.0), ('b', 1.0))
    """
    return joined((sequence, ((key, thickness),), sequence))


def folded(sequence: Sequence) -> Sequence:
    """Return the sequence of a bar folded in two, face on itself [unit kept]."""
    return joined((sequence, sequence[::-1]))


def without_skin(sequence: Sequence, core: float) -> Sequence:
    """Return what is left when both outer faces lose equally.

    Parameters
    ----------
    sequence : tuple of (str, float)
        Layers before [m, or any one unit].
    core : float
        Share of the thickness that stays, between 0 and 1 [1].

    Returns
    -------
    tuple of (str, float)
        Layers after; whole outer layers are gone where they were thin [same unit].

    Examples
    --------
    >>> without_skin((("a", 1.0), ("b", 2.0), ("a", 1.0)), 0.5)
    (('b', 2.0),)
    """
    whole = sum(map(_thickness, sequence))
    depth = (1.0 - core) / 2.0 * whole
    # A rounding error must not leave a layer a few atoms thick.
    nothing = 1e-12 * whole
    turned = _cut_top(sequence, depth, nothing)[::-1]
    return _cut_top(turned, depth, nothing)[::-1]


_thickness = itemgetter(1)


def _cut_top(sequence: Sequence, depth: float, nothing: float) -> Sequence:
    """Take a depth off the first layers, keeping at least one layer."""
    for index, (key, thickness) in enumerate(sequence):
        if thickness > depth + nothing:
            return ((key, thickness - depth), *sequence[index + 1 :])
        depth -= thickness
    return sequence[-1:]


def shares(sequence: Sequence) -> Sequence:
    """Return the sequence with thicknesses as shares of the whole, adding to 1 [1]."""
    whole = sum(map(_thickness, sequence))
    return tuple((key, thickness / whole) for key, thickness in sequence)


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerBook:
    """The layers of a billet, counted three ways.

    Attributes
    ----------
    nominal : int
        Pieces of the first stack times every cut and fold [1].
    counted : tuple of (str, float)
        Sequence if nothing were ever taken off the outer faces [relative].
    left : tuple of (str, float)
        Sequence after scale and grinding have taken outer layers [relative].
    """

    nominal: int
    counted: Sequence
    left: Sequence

    @property
    def distinct(self) -> int:
        """Layers that can be told apart, as counted [1]."""
        return len(self.counted)


def open_book(stack: Stack) -> LayerBook:
    """Return the book of a stack before its first weld, thicknesses in [m]."""
    sequence = of_stack(stack)
    return LayerBook(nominal=len(stack.layers), counted=sequence, left=sequence)


def book_restacked(book: LayerBook, pieces: int, *, turned: bool) -> LayerBook:
    """Return the book after a cut, PlanError if no one could count the layers.

    Parameters
    ----------
    book : LayerBook
        The layers before.
    pieces : int
        Pieces the bar is cut into [1].
    turned : bool
        Whether every second piece is turned over.

    Returns
    -------
    LayerBook
        The layers after.
    """
    nominal = _countable(book.nominal * pieces)
    return LayerBook(
        nominal=nominal,
        counted=restacked(book.counted, pieces, turned=turned),
        left=restacked(book.left, pieces, turned=turned),
    )


def book_folded(book: LayerBook) -> LayerBook:
    """Return the book after folding in two, PlanError if no one could count [1]."""
    nominal = _countable(book.nominal * 2)
    return LayerBook(
        nominal=nominal, counted=folded(book.counted), left=folded(book.left)
    )


def book_cored(book: LayerBook, key: str, core: float, thickness: float) -> LayerBook:
    """Return the book after a core was laid between the halves of a bar.

    Parameters
    ----------
    book : LayerBook
        The layers before.
    key : str
        Of the core's steel.
    core, thickness : float
        Of the core, and of the bar before it is cut [m].

    Returns
    -------
    LayerBook
        The layers after, the core as thick beside them as it is; PlanError if no one
        could count them.
    """
    nominal = _countable(2 * book.nominal + 1)
    # What is left of the layers is as thick as the bar: that sets their unit.
    laid = core / thickness * sum(map(_thickness, book.left))
    return LayerBook(
        nominal=nominal,
        counted=cored(book.counted, key, laid),
        left=cored(book.left, key, laid),
    )


def _countable(nominal: int) -> int:
    if nominal > MOST_LAYERS:
        raise PlanError(
            _(
                "Step {step} would make {layers} layers, more than the {most} that "
                "can be told apart; restack less often or in fewer pieces."
            ),
            field="pieces",
            layers=nominal,
            most=MOST_LAYERS,
        )
    return nominal


def nominal_count(first: int, *pieces: int) -> int:
    """Return the layers of a stack after cutting it again and again [1].

    >>> nominal_count(15, 5, 3)
    225
    """
    return reduce(mul, pieces, first)


def distinct_count(layers: int, pieces: int, *, same_faces_meet: bool) -> int:
    """Return the layers told apart after one restack, by formula [1].

    Parameters
    ----------
    layers : int
        Distinct layers before [1].
    pieces : int
        Pieces the bar is cut into [1].
    same_faces_meet : bool
        Whether equal steels touch at the joints: an odd alternating stack, or any
        stack with every second piece turned over.

    Returns
    -------
    int
        Distinct layers after; each joint of equal steels costs one [1].

    Notes
    -----
    A counting identity for alternating stacks; the sequence itself is the general
    rule.
    """
    return layers * pieces - (pieces - 1 if same_faces_meet else 0)


def distinct_count_folded(layers: int, folds: int) -> int:
    """Return the layers told apart after folding in two again and again [1].

    >>> distinct_count_folded(16, 5)
    481
    """
    return int(2**folds * (layers - 1) + 1)


def layer_thickness(thickness: float, layers: int) -> float:
    """Return the mean thickness of a layer.

    Parameters
    ----------
    thickness : float
        Thickness of the bar [m].
    layers : int
        Layers in it [1].

    Returns
    -------
    float
        Mean thickness of one layer [m]; locally 25 % or more off near edges and
        hammer marks (common practice, no source).
    """
    return thickness / layers
