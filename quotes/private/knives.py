"""The knives of a private page: as quoted, and after the yes as they are agreed now."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from billets.knives import spec_from
from billets.physics.errors import PlanError
from billets.physics.knife_spec import KnifeSpec
from quotes.changes_after.agreed import begun_again, steel_is_cut
from quotes.changes_after.as_agreed import agreed_knives, words_of
from quotes.offer.specification import spec_table, tolerance_note
from quotes.private.case import Case
from quotes.private.words import HANDED_OVER_ON, STAGE_WORDS, WAITS_FOR_DEPOSIT
from quotes.wording import long_day
from shop import payments
from shop.models import Knife, Shop
from shop.services import spec_of
from shop.wording import screen_drawing

MOST_DRAWN = 4
"""So many knives are drawn, 12 kB each, so that a page stays below 100 kB; the paper
has the drawings of all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KnifeShown:
    """A knife: its name, where it stands, its specification and its drawing.

    One that is not ``made`` has neither of the last two.
    """

    name: str
    stage: str
    rows: tuple[tuple[str, str], ...]
    drawing: SafeString | None
    made: bool = True


def knives_shown(case: Case) -> tuple[tuple[KnifeShown, ...], str]:
    """Return the knives of a page, and what hand-forged work may be off."""
    if case.is_ordered and case.order.knives.all():
        return _agreed(case)
    return _quoted(case)


def _tolerances(specs: Iterable[KnifeSpec], shop: Shop) -> str:
    known = list(specs)
    return tolerance_note(known, shop.units) if known else ""


def _rows(words: Mapping[str, str] | None) -> tuple[tuple[str, str], ...]:
    if not words:
        return ()
    return tuple((label, one) for label, (one,) in spec_table([words]))


def _drawing(spec: KnifeSpec, shop: Shop, place: int) -> SafeString | None:
    if place > MOST_DRAWN:
        return None
    try:
        return screen_drawing(spec, shop.units, f"knife-{place}")
    except PlanError:
        return None  # the paper has the drawing as it was made


# --- as quoted --------------------------------------------------------------------


def _quoted(case: Case) -> tuple[tuple[KnifeShown, ...], str]:
    """Return the knives as the quote keeps them, whatever was changed since."""
    words = case.offer.words.get("knives", {})
    kept: list[dict[str, Any]] = case.quote.basis.get("knives", [])
    specs = [spec_from(one["spec"]) if one.get("spec") else None for one in kept]
    shown = tuple(
        KnifeShown(
            name=one.get("name", one["serial"]),
            stage="",
            rows=_rows(words.get(one["serial"])),
            drawing=_drawing(spec, case.shop, place) if spec else None,
        )
        for place, (one, spec) in enumerate(zip(kept, specs, strict=True), start=1)
    )
    return shown, _tolerances((one for one in specs if one), case.shop)


# --- as agreed --------------------------------------------------------------------


def _agreed(case: Case) -> tuple[tuple[KnifeShown, ...], str]:
    """Return the knives as they are to be made, each in its place of the quote.

    One that was lost gives its place to the one begun instead.
    """
    rows = list(case.order.knives.all())
    again = begun_again(case.order) if len(rows) > 1 else {}
    stands = standing_in(case, rows, again)
    agreed = agreed_knives(case.order, case.answer)
    waits = _deposit_holds(stands)
    shown, specs = [], []
    for place, knife in enumerate(stands, start=1):
        made = knife.stage != "cancelled"
        now = agreed[knife.serial]
        spec = spec_of(now.knife)
        specs += [spec] if made else []
        stage = WAITS_FOR_DEPOSIT if knife.pk in waits else _stage(knife, case)
        shown.append(
            KnifeShown(
                name=now.knife.name,
                stage=_after_loss(str(stage), knife, again),
                rows=_rows(words_of(now, case.shop.units)) if made else (),
                drawing=_drawing(spec, case.shop, place) if made else None,
                made=made,
            )
        )
    return tuple(shown), _tolerances(specs, case.shop)


def standing_in(case: Case, rows: list[Knife], again: Mapping[str, str]) -> list[Knife]:
    """Return the knives that count, in the order they were quoted in.

    One that was begun in the place of another and lost while that one came back counts
    no more.
    """
    quoted = {one["serial"] for one in case.quote.basis.get("knives", ())}
    known = {one.serial: one for one in rows}
    gone = {
        one.serial for one in rows
        if one.stage == "scrapped" and quoted and one.serial not in quoted
    }  # fmt: skip
    later = gone | set(again.values())
    first = [one.serial for one in rows if one.serial not in later]
    return [known[_last(serial, again)] for serial in first]


def _last(serial: str, again: Mapping[str, str]) -> str:
    """Return the knife that was begun last in the place of one that was lost."""
    seen = {serial}
    while (later := again.get(serial)) and later not in seen:
        serial = later
        seen.add(later)
    return serial


def _deposit_holds(knives: Iterable[Knife]) -> set[int]:
    """Return the knives whose work has not begun because the deposit is not here."""
    waiting = [one for one in knives if payments.forge_waits(one)]
    return {one.pk for one in waiting if not steel_is_cut(one)}


def _stage(knife: Knife, case: Case) -> str:
    day = case.left.get(knife.pk)
    if knife.stage == "delivered" and day:
        return str(HANDED_OVER_ON).format(day=long_day(day))
    return str(STAGE_WORDS.get(knife.stage, ""))


def _after_loss(stage: str, knife: Knife, again: Mapping[str, str]) -> str:
    if knife.serial not in again.values() or knife.stage in ("delivered", "cancelled"):
        return stage
    lost = _("The first one did not pass the shop's own checks; another is made in its "
             "place.")  # fmt: skip
    return f"{lost} {stage}"
