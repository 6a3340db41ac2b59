"""The admin for steels, bars, equipment and factors: quantities in the shop's boxes."""

import pytest
from django.contrib import admin
from django.contrib.admin.utils import flatten_fieldsets
from django.core.management import call_command
from django.urls import reverse

from billets.loading import ELEMENTS
from billets.models import BarSize, Equipment, ShopFactor, Steel

KEPT_IN_ADMIN = [Steel, BarSize, Equipment, ShopFactor]


@pytest.fixture
def loaded(db):
    call_command("load_steels", verbosity=0)


def boxes(page):
    """Return what the browser would send back from an untouched page of the admin."""
    forms = [page.context["adminform"].form]
    for inline in page.context["inline_admin_formsets"]:
        forms += [inline.formset.management_form, *inline.formset.forms]
    sent = {}
    for form in forms:
        for box in form:
            value = box.value()
            if value is not False and value is not None:
                sent[box.html_name] = "on" if value is True else value
    return sent


def test_plans_and_prices_are_not_edited_here():
    mine = {
        model for model in admin.site._registry if model._meta.app_label == "billets"
    }
    assert mine == set(KEPT_IN_ADMIN)


@pytest.mark.parametrize("model", KEPT_IN_ADMIN)
def test_every_field_that_can_be_edited_is_on_the_page(model):
    shown = flatten_fieldsets(admin.site._registry[model].fieldsets)
    fields = [f.name for f in model._meta.fields if f.editable and not f.auto_created]
    assert sorted(shown) == sorted(fields)


def test_contents_stand_from_least_over_nominal_to_most():
    fieldsets = dict(admin.site._registry[Steel].fieldsets)
    rows = next(
        body["fields"]
        for title, body in fieldsets.items()
        if "Composition" in str(title)
    )
    assert rows == tuple((f"{one}_min", one, f"{one}_max") for one in ELEMENTS)


@pytest.mark.parametrize("model", KEPT_IN_ADMIN)
def test_lists_open_and_can_be_searched(owner_client, loaded, model):
    page = owner_client.get(
        reverse(f"admin:billets_{model._meta.model_name}_changelist"), {"q": "o1"}
    )
    assert page.status_code == 200


def test_lists_speak_celsius_and_millimetres(owner_client, loaded):
    steels = owner_client.get(reverse("admin:billets_steel_changelist"), {"q": "1084"})
    assert "790\N{NO-BREAK SPACE}°C" in steels.content.decode()
    bars = owner_client.get(reverse("admin:billets_barsize_changelist"), {"q": "1084"})
    assert "2.5\N{NO-BREAK SPACE}mm" in bars.content.decode()


@pytest.mark.parametrize("model", [Steel, BarSize, Equipment])
def test_saving_an_untouched_page_changes_nothing(owner_client, loaded, model):
    bars = list(BarSize.objects.order_by("pk").values())
    for row in model.objects.all()[:12]:
        before = model.objects.filter(pk=row.pk).values().get()
        address = reverse(
            f"admin:billets_{model._meta.model_name}_change", args=[row.pk]
        )
        answer = owner_client.post(address, boxes(owner_client.get(address)))
        assert answer.status_code == 302, answer.context["errors"]
        assert model.objects.filter(pk=row.pk).values().get() == before
    assert list(BarSize.objects.order_by("pk").values()) == bars


def test_boxes_are_in_celsius_and_say_so_and_read_other_units(owner_client, loaded):
    row = Steel.objects.get(key="o1")
    address = reverse("admin:billets_steel_change", args=[row.pk])
    page = owner_client.get(address)
    assert "In °C, unless you type another unit." in page.content.decode()
    sent = boxes(page)
    assert sent["harden_min"] == "788"
    owner_client.post(address, {**sent, "harden_min": "1475 F", "carbon": "0,92"})
    row.refresh_from_db()
    assert row.harden_min == pytest.approx((1475 - 32) / 1.8 + 273.15)
    assert row.carbon == pytest.approx(0.92)


def test_a_bar_is_added_with_its_steel(owner_client, loaded):
    row = Steel.objects.get(key="o1")
    address = reverse("admin:billets_steel_change", args=[row.pk])
    sent = boxes(owner_client.get(address))
    new = int(sent["bars-TOTAL_FORMS"]) - 1
    sent |= {f"bars-{new}-thickness": "1/8 in", f"bars-{new}-width": "1 1/4 in"}
    assert owner_client.post(address, sent).status_code == 302
    assert BarSize.objects.filter(steel=row, thickness=0.003175, width=0.03175).exists()


def test_a_helper_at_the_bench_is_kept_out(helper_client):
    answer = helper_client.get(reverse("admin:billets_steel_changelist"))
    assert answer.status_code == 302
