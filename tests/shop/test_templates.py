"""Pages as the browser gets them: nothing inline, every box named, all words marked."""

import re

import django_tables2 as tables
import pytest
from django import forms
from django.conf import settings as django_settings
from django.contrib.staticfiles import finders
from django.template.loader import get_template, render_to_string

ROOT = django_settings.BASE_DIR
PAGES = sorted((ROOT / "templates").rglob("*.html"))
NAMES = [str(path.relative_to(ROOT / "templates")) for path in PAGES]


@pytest.fixture(params=PAGES, ids=NAMES)
def page(request):
    return request.param.read_text("utf-8")


# --- every template ---------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_template_compiles(name):
    assert get_template(name)


@pytest.mark.parametrize(
    "inline",
    [
        r"<script(?![^>]*\ssrc=)",
        r"<style\b",
        r"\sstyle\s*=",
        r"\son\w+\s*=",
        r"javascript:",
    ],
)
def test_nothing_is_inline(page, inline):
    assert not re.search(inline, page, re.IGNORECASE)


def test_nothing_comes_from_elsewhere(page):
    assert not re.search(r"(?:src|href)\s*=\s*[\"'](?:https?:)?//", page)


def test_what_is_trusted_says_why(page):
    for line in page.splitlines():
        if re.search(r"\|\s*safe\b|autoescape\s+off", line):
            assert "{#" in line


def test_static_files_exist(page):
    for name in re.findall(r"{%\s*static\s+['\"]([^'\"]+)", page):
        assert finders.find(name)


def test_every_word_can_be_translated(page):
    """The name of the tool is the one word that stays as it is in every language."""
    text = re.sub(r"{#.*?#}|{% comment.*?endcomment %}", "", page, flags=re.DOTALL)
    text = re.sub(
        r"{% blocktrans.*?{% endblocktrans(?:late)? %}", "", text, flags=re.DOTALL
    )
    text = re.sub(r"{%.*?%}|{{.*?}}", "", text, flags=re.DOTALL)
    text = re.sub(r"<[^>]*>|&\w+;", " ", text)
    assert set(re.findall(r"[^\W\d_]{3,}", text)) <= {"Hammerscale"}


@pytest.mark.parametrize("name", ["400.html", "404.html", "500.html"])
def test_error_page_needs_no_request(name):
    """Django writes 400 and 500 without a request, so without a shop or a user."""
    assert "<h1>" in render_to_string(name)


# --- forms ------------------------------------------------------------------------


class BladeForm(forms.Form):
    length = forms.CharField(label="Edge length", help_text="Heel to tip.")
    tang = forms.ChoiceField(
        label="Tang", widget=forms.RadioSelect, choices=[("hidden", "hidden")]
    )
    note = forms.CharField(label="Note", required=False)
    agreed = forms.BooleanField(label="Agreed")
    version = forms.IntegerField(widget=forms.HiddenInput)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["length"].unit = "mm"


def written(form, **others):
    return render_to_string(
        "forms/form.html", {"form": form, "form_key": "k1", **others}
    )


def ids_in(page):
    return re.findall(r'\sid="([^"]+)"', page)


def test_unit_stands_in_the_label_and_behind_the_box():
    field = render_to_string("forms/field.html", {"field": BladeForm()["length"]})
    assert ">Edge length, mm</label>" in field
    assert field.index("<input") < field.index('<span class="unit"')


def test_hint_then_error_then_box():
    field = str(BladeForm({})["length"].as_field_group())
    parts = ["<label", 'id="id_length_helptext"', 'id="id_length_error"', "<input"]
    assert sorted(parts, key=field.index) == parts


def test_box_names_its_hint_and_error():
    field = BladeForm({})["length"].as_field_group()
    assert 'aria-describedby="id_length_helptext id_length_error"' in field
    assert 'aria-invalid="true"' in field


def test_box_in_order_has_an_empty_error_line():
    """try.js writes into it; the style sheet hides it by :empty, so no space either."""
    assert '<p class="error" id="id_length_error"></p>' in str(
        BladeForm()["length"].as_field_group()
    )


def test_only_optional_boxes_say_so():
    form = BladeForm()
    assert "(optional)" in form["note"].as_field_group()
    assert "(optional)" not in form["length"].as_field_group()


def test_choices_are_a_group_with_a_legend():
    field = BladeForm({})["tang"].as_field_group()
    assert '<fieldset aria-describedby="id_tang_error"><legend>Tang</legend>' in field


def test_summary_has_one_link_for_each_error_in_a_box():
    form = BladeForm({"version": "1"})
    summary = render_to_string("forms/errors.html", {"form": form})
    assert (
        summary.count("<a ") == sum(len(errors) for errors in form.errors.values()) == 3
    )


def test_summary_links_lead_to_boxes():
    page = written(BladeForm({}))
    links = re.findall(r'href="#([^"]+)"', page)
    assert links
    assert set(links) <= set(ids_in(page))


def test_summary_takes_the_focus_only_with_errors():
    assert "autofocus" in written(BladeForm({}))
    assert "autofocus" not in written(BladeForm())
    assert re.search(r'id="errors"[^>]* hidden>', written(BladeForm()))


def test_error_of_the_whole_form_heads_the_summary():
    form = BladeForm({})
    form.add_error(None, "The bar is too short for this knife.")
    page = written(form)
    assert page.index("too short") < page.index('href="#id_length"')


def test_error_in_a_hidden_box_is_told():
    assert page_of_errors(BladeForm({})).count("<li>") == 4


def page_of_errors(form):
    return render_to_string("forms/errors.html", {"form": form})


def test_error_of_a_step_names_the_step():
    steps = forms.formset_factory(BladeForm)(
        {"form-TOTAL_FORMS": "2", "form-INITIAL_FORMS": "2"}
    )
    summary = render_to_string("forms/errors.html", {"formset": steps})
    assert re.search(r'href="#id_form-1-length">2\. Edge length: ', summary)


def test_no_id_is_used_twice():
    ids = ids_in(written(BladeForm({})))
    assert len(ids) == len(set(ids))


def test_key_and_hidden_boxes_are_sent():
    page = written(BladeForm())
    assert 'name="form_key" value="k1"' in page
    assert 'name="version"' in page


def test_enter_presses_the_named_button_first():
    page = written(BladeForm(), press="try")
    assert re.findall(r'<button[^>]*name="(\w+)"', page)[0] == "try"


# --- tables -----------------------------------------------------------------------


class BladeTable(tables.Table):
    caption = "Blades"
    name = tables.Column()
    mass = tables.Column(
        attrs={"th": {"class": "num"}, "td": {"class": "num"}}, orderable=False
    )

    class Meta:
        empty_text = "No blades yet: begin with an enquiry."


def as_written(rf, rows=(), address="/?q=ash&after=7", **options):
    table = BladeTable(rows, **options)
    return render_to_string(
        "tables/table.html", {"table": table}, request=rf.get(address)
    )


def test_table_has_caption_and_scopes(rf):
    page = as_written(rf, [{"name": "petty", "mass": 61}])
    assert "<caption>Blades</caption>" in page
    assert page.count('<th scope="col"') == 2
    assert '<th scope="row" >petty</th>' in page
    assert re.search(r'<td class="num">61</td>', page)


def test_sorted_column_says_so_in_words(rf):
    assert 'aria-sort="ascending"' in as_written(rf, order_by="name")
    assert "(rising)" in as_written(rf, order_by="name")
    assert "(falling)" in as_written(rf, order_by="-name")
    assert "(rising)" not in as_written(rf)


def test_sorting_keeps_the_search_and_goes_to_the_first_page(rf):
    link = re.search(r'href="([^"]+)"', as_written(rf)).group(1)
    assert "q=ash" in link
    assert "sort=name" in link
    assert "after" not in link


def test_unsortable_column_is_no_link(rf):
    assert as_written(rf).count("<a ") == 1


def test_empty_table_says_what_belongs_there(rf):
    assert "No blades yet: begin with an enquiry." in as_written(rf)
