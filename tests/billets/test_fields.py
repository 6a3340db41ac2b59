"""Boxes of a form: what is typed, what is kept, and what is said if it cannot be."""

import math
from decimal import Decimal

import pytest
from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.forms import fields as stock
from django.test.utils import isolate_apps
from django.utils import translation

from billets.fields import (
    DateField,
    DecimalMoneyField,
    IntegerCountField,
    MeasuredFormMixin,
    MeasuredModelFormMixin,
    NumberField,
    QuantityField,
    SIField,
    TextCleanField,
    form_system,
    plain_formfield,
    typed_texts,
)
from billets.spellings import KINDS


class BarForm(MeasuredFormMixin, forms.Form):
    width = QuantityField(kind="length", min_value=0.005, max_value=0.5)
    thickness = QuantityField(kind="thickness", required=False)
    mass = QuantityField(kind="mass_kg", required=False)
    heat = QuantityField(kind="temperature", required=False)


@pytest.fixture
def bar_model():
    with isolate_apps("billets"):

        class Bar(models.Model):
            width = SIField(kind="length", min_value=0.005)
            mass = SIField(kind="mass_kg", null=True, blank=True)
            note = models.CharField(max_length=20, blank=True)
            count = models.PositiveIntegerField(default=1)
            price = models.DecimalField(max_digits=6, decimal_places=2, default=0)
            share = models.FloatField(default=0.5)
            day = models.DateField(null=True, blank=True)
            typed = models.JSONField(default=dict, editable=False)

            class Meta:
                app_label = "billets"

            def __str__(self):
                return self.note

        yield Bar


def bar_form(bar, *names):
    class Form(MeasuredModelFormMixin, forms.ModelForm):
        class Meta:
            model = bar
            fields = names or ("width", "mass")
            formfield_callback = plain_formfield

    return Form


def refusal(field, text):
    with pytest.raises(ValidationError) as caught:
        field.clean(text)
    return caught.value


# Quantities


@pytest.mark.parametrize(
    ("text", "system", "value"),
    [("25", "metric", 0.025), ("2", "inch", 0.0508), ('1 1/2"', "metric", 0.0381),
     ("25 mm", "inch", 0.025)],
)  # fmt: skip
def test_box_reads_the_shops_unit(text, system, value):
    form = BarForm({"width": text}, system=system)
    assert form.is_valid()
    assert form.cleaned_data["width"] == value
    assert typed_texts(form) == {"width": text}


def test_box_that_may_be_empty_gives_none():
    form = BarForm({"width": "25", "thickness": "  "})
    assert form.is_valid()
    assert form.cleaned_data["thickness"] is None


def test_unclear_text_is_asked_about_and_stays_in_the_box():
    form = BarForm({"width": "12.700"})
    assert not form.is_valid()
    assert form.errors.as_data()["width"][0].code == "ask"
    assert "type 12700 or 12.7" in form.errors["width"][0]
    assert 'value="12.700"' in str(form["width"])


@pytest.mark.parametrize(
    ("text", "system", "said"),
    [("4", "metric", "Type 5\u00a0mm or more."),
     ("600 mm", "metric", "500\u00a0mm or less"),
     ("0.1", "inch", "0.196850394\u00a0in or more"), ("", "metric", "such as 25 mm")],
)  # fmt: skip
def test_limits_are_said_in_the_shops_unit(text, system, said):
    form = BarForm({"width": text}, system=system)
    assert said in form.errors["width"][0]


def test_keyboard_has_the_signs_a_length_needs():
    form = BarForm()
    assert 'inputmode="text"' in str(form["width"])
    assert 'inputmode="decimal"' in str(form["mass"])
    assert 'inputmode="text"' in str(
        forms.BoundField(form, QuantityField(kind="hours"), "h")
    )
    assert "required" not in str(form["width"])


def test_box_knows_the_unit_for_its_label():
    form = BarForm(system="inch")
    assert [form.fields[n].unit for n in ("width", "mass", "heat")] == [
        "in",
        "lb",
        "°F",
    ]


INITIAL = {"width": 0.1 + 0.2, "thickness": 1 / 300, "mass": math.e, "heat": 1123.15}


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_saving_an_untouched_form_changes_nothing(system, language):
    with translation.override(language):
        shown = BarForm(initial=INITIAL, system=system)
        posted = {name: shown[name].value() for name in shown.fields}
        form = BarForm(posted, initial=INITIAL, system=system)
        assert form.is_valid(), form.errors
        assert form.cleaned_data == INITIAL
        assert form.changed_data == []


def test_touched_box_is_told_apart():
    form = BarForm({"width": "301", "heat": "nonsense"}, initial=INITIAL)
    assert set(form.changed_data) == {"width", "thickness", "mass", "heat"}


def test_german_page_shows_and_reads_commas():
    with translation.override("de"):
        form = BarForm(initial={"mass": 1.125})
        assert form["mass"].value() == "1,1250"


def test_typed_text_is_kept_beside_the_value_and_shown_again(bar_model):
    form = bar_form(bar_model)({"width": "1 1/2 in", "mass": ""})
    assert form.is_valid(), form.errors
    bar = form.save(commit=False)
    assert (bar.width, bar.typed) == (0.0381, {"width": "1 1/2 in"})
    assert bar_form(bar_model)(instance=bar)["width"].value() == "1 1/2 in"


def test_typed_text_that_no_longer_means_the_value_is_not_shown(bar_model):
    form = bar_form(bar_model)
    changed = bar_model(width=0.040, typed={"width": "1 1/2 in"})
    assert form(instance=changed)["width"].value() == "40"
    metric = bar_model(width=0.025, typed={"width": "25"})
    assert form(instance=metric, system="inch")["width"].value() == "0.984251969"
    broken = bar_model(width=0.025, typed={"width": ["no", "text"], "mass": "1.500"})
    assert form(instance=broken)["width"].value() == "25"


@pytest.mark.parametrize("typed", [{}, {"width": "25"}, {"width": "1 1/2 in"}])
@pytest.mark.parametrize("system", ["metric", "inch"])
def test_saving_an_untouched_row_changes_nothing(bar_model, typed, system):
    before = bar_model(width=0.0381, mass=1 / 3, typed=typed)
    shown = bar_form(bar_model)(instance=before, system=system)
    posted = {name: shown[name].value() for name in shown.fields}
    form = bar_form(bar_model)(posted, instance=before, system=system)
    assert form.is_valid(), form.errors
    after = form.save(commit=False)
    assert (after.width, after.mass) == (0.0381, 1 / 3)
    assert form.changed_data == []


def test_saving_keeps_the_text_of_boxes_on_other_pages(bar_model):
    bar = bar_model(width=0.025, mass=1.0, typed={"mass": "1 kg", "width": "1 in"})
    form = bar_form(bar_model, "width")({"width": "30"}, instance=bar)
    assert form.is_valid()
    assert form.save(commit=False).typed == {"mass": "1 kg", "width": "30"}


def test_migration_can_build_the_field_again():
    _name, path, args, kwargs = SIField(kind="length", max_value=1.0).deconstruct()
    assert (path, args, kwargs) == ("billets.fields.SIField", [], {"kind": "length"})
    assert SIField(*args, **kwargs).kind == "length"


def test_unknown_kind_stops_the_start():
    with pytest.raises(KeyError, match="no kind of quantity"):
        SIField(kind="lenght")


@pytest.mark.parametrize("value", [math.inf, math.nan])
def test_infinity_never_reaches_a_row(value):
    with pytest.raises(ValidationError):
        SIField(kind="length").to_python(value)
    with pytest.raises(ValueError, match="in the database"):
        SIField(kind="length", name="width").get_prep_value(value)


def test_rows_from_a_file_meet_the_limits_too(bar_model):
    with pytest.raises(ValidationError) as caught:
        bar_model(width=0.001).clean_fields()
    assert caught.value.message_dict == {"width": ["Type 5\u00a0mm or more."]}


# Money


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize(
    ("text", "value"),
    [("1.234,56", "1234.56"), ("1,234.56", "1234.56"), ("1 234,56", "1234.56"),
     ("1'234.56", "1234.56"), ("1,5", "1.50"), ("1.5", "1.50"), ("-0.00", "0.00"),
     ("12", "12.00"), ("€ 12,50", "12.50"), ("12.50 EUR", "12.50"),
     ("9999999.99", "9999999.99"), ("1.234.567", "1234567.00")],
)  # fmt: skip
def test_money_is_read_in_any_language(text, value, language):
    with translation.override(language):
        assert str(DecimalMoneyField().clean(text)) == value


@pytest.mark.parametrize(
    ("text", "said"),
    [("1.005", "“1.005” is 1005, or has more than 2 places"), ("0.005", "at most 2"),
     ("1.500", "type 1500 or 1.5"), ("12.3456", "at most 2"), ("-5", "0.00 or more"),
     ("99999999999999.99", "9999999.99 or less"), ("1e3", "cannot be read"),
     ("1.50.5", "cannot be read"), ("12,", "cannot be read"),
     ("$ 12", "is in USD, and this shop reckons in EUR"), ("12 chf", "is in CHF"),
     ("１２", "cannot be read"), ("9" * 5000, "longer than any number"), ("", "12.5")],
)  # fmt: skip
def test_money_is_never_rounded_or_guessed(text, said):
    assert said in refusal(DecimalMoneyField(), text).messages[0]


def test_money_below_zero_where_it_makes_sense():
    assert DecimalMoneyField(min_value=None).clean("-5") == Decimal("-5.00")


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("places", [0, 2, 3, 4])
@pytest.mark.parametrize("value", ["0", "1.5", "1234", "1234.5", "999.25", "1.125"])
def test_money_shown_in_a_box_is_read_back(value, places, language):
    amount = round(Decimal(value), places)
    field = DecimalMoneyField(decimal_places=places)
    with translation.override(language):
        assert field.clean(field.prepare_value(amount)) == amount


def test_money_shows_its_cents():
    assert DecimalMoneyField().prepare_value(Decimal("1234.5")) == "1234.50"


# Counts and plain numbers


@pytest.mark.parametrize(
    ("text", "said"),
    [("2,5", "no whole number"), ("1.500", "type 1500 or 1.5"), ("-1", "0 or more"),
     ("9" * 5000, "longer"), ("1e3", "cannot be read"), ("1000001", "1000000 or less"),
     ("٣", "cannot be read"), ("", "12.5")],
)  # fmt: skip
def test_count_is_a_whole_number(text, said):
    assert said in refusal(IntegerCountField(), text).messages[0]


def test_count_is_read():
    assert IntegerCountField().clean(" 1 234 ") == 1234
    assert IntegerCountField().clean("3.0") == 3


def test_number_is_read():
    assert NumberField().clean("0,35") == 0.35
    assert NumberField().prepare_value(0.125) == "0.125"
    assert NumberField().prepare_value(1.125) == "1.1250"


def test_plain_fields_of_a_row_get_our_boxes(bar_model):
    form = bar_form(bar_model, "note", "count", "price", "share", "day", "width")()
    assert [type(field) for field in form.fields.values()] == [
        TextCleanField, IntegerCountField, DecimalMoneyField, NumberField, DateField,
        QuantityField,
    ]  # fmt: skip
    assert form["price"].value() == "0.00"


# No stock words, nothing lost, nothing but a ValidationError

BAD = [
    "", " ", "1,500", "1.500", "1.50.5", "12,", "1e3", "NaN", "0x10", "１２", "-5", "½",
    "9" * 5000, "50 mm 2 in", "1/0 in", "25:00", "\x00", "\u200b", "\u202e", "\ud800",
    "0000-00-00", "30.02.2026", "03/04/2026", "<script>alert(1)</script>", "{width}",
    "{{7*7}}{% load x %}", "%s%d", "'; DROP TABLE x;--", "x" * 100_000,
]  # fmt: skip
BOXES = [
    *(QuantityField(kind=kind, min_value=1, max_value=2) for kind in KINDS),
    NumberField(), IntegerCountField(), DecimalMoneyField(), DateField(),
    TextCleanField(max_length=80),
]  # fmt: skip
STOCK = {
    str(message)
    for box in vars(stock).values()
    if isinstance(box, type) and issubclass(box, stock.Field)
    for message in getattr(box, "default_error_messages", {}).values()
}


@pytest.mark.parametrize("text", BAD, ids=range(len(BAD)))
@pytest.mark.parametrize("box", BOXES, ids=lambda box: getattr(box, "kind", type(box)))
def test_bad_text_is_answered_in_our_own_words(box, text):
    try:
        box.clean(text)
    except ValidationError as error:
        said = [str(message) for message in error.messages]
        for message in said:
            words = message.casefold()
            assert not any(
                w in words for w in ("invalid", "required", "please", "oops")
            )
            assert len(message) < 200
        assert not STOCK & set(said)


def test_other_boxes_of_our_forms_speak_plainly_too():
    class Form(forms.Form):
        mail = forms.EmailField()
        size = forms.ChoiceField(choices=[("a", "A")])
        name = forms.CharField(max_length=3)
        empty = forms.CharField()

    form = Form({"mail": "nobody", "size": "b", "name": "four\x00"})
    form_system(form, "metric")
    assert form.errors["mail"] == ["Type an e-mail address like name@example.org."]
    assert form.errors["size"] == ["Choose one of the list."]
    assert "Use at most 3 signs here: this has 5." in form.errors["name"]
    assert "A hidden sign is in this text: type it again." in form.errors["name"]
    assert form.errors["empty"] == ["This box is empty: fill it in."]
