"""Numbers that others gave: an account, a bank, a tax office, a country, a site."""

import pytest
from django.core.exceptions import ValidationError

from shop.forms.numbers import (
    BicField,
    CountryField,
    IbanField,
    SiteField,
    VatField,
)
from shop.models import Shop
from tests.shop.typing_in import errors_on, key_on


@pytest.mark.parametrize(
    "number",
    ["GB82 WEST 1234 5698 7654 32", "DE89 3704 0044 0532 0130 00",
     "FR14 2004 1010 0505 0001 3M02 606", "BE68 5390 0754 7034"],
)  # fmt: skip
def test_accounts_of_the_registry_are_taken_and_kept_without_spaces(number):
    """Examples of the IBAN registry (SWIFT), quoted from memory, verify."""
    assert IbanField().clean(number.lower()) == number.replace(" ", "")


def test_every_slip_of_one_digit_in_an_account_is_found():
    """Law of ISO 7064 MOD 97-10: a single wrong digit never passes."""
    good = "DE89370400440532013000"
    for place in range(2, len(good)):
        for digit in "0123456789":
            slip = good[:place] + digit + good[place + 1 :]
            if slip != good:
                with pytest.raises(ValidationError, match="check digits"):
                    IbanField().clean(slip)


@pytest.mark.parametrize(
    ("box", "typed", "said"),
    [
        (IbanField, "hello", "IBAN"),
        (IbanField, "DE8937040044053201300", "IBAN"),
        (BicField, "COBADE", "8 or 11"),
        (BicField, "COBAZZFF", "no BIC"),
        (CountryField, "Germany", "two letters"),
        (CountryField, "ZZ", "two letters"),
        (VatField, "136695976", "letters of the country"),
        (VatField, "DE136695977", "check digit"),
        (VatField, "ATU1358562", "too few"),
        (SiteField, "forge.example", "like https"),
        (SiteField, "http://forge.example", "Begin with https"),
        (SiteField, "https://forge.example/shop", "up to the name"),
        (SiteField, "javascript:alert(1)", "like https"),
        (SiteField, "https://[", "like https"),
    ],
)
def test_what_is_wrong_is_said_in_a_sentence(box, typed, said):
    with pytest.raises(ValidationError, match=said):
        box().clean(typed)


@pytest.mark.parametrize(
    ("box", "typed", "kept"),
    [
        (BicField, "cobadeffxxx", "COBADEFFXXX"),
        (CountryField, "de", "DE"),
        (VatField, "DE 136 695 976", "DE136695976"),
        (VatField, "ATU13585627", "ATU13585627"),
        (VatField, "EL 094259216", "EL094259216"),
        (VatField, "US12-3456789", "US12-3456789"),
        (SiteField, "https://forge.example/", "https://forge.example"),
        (SiteField, "http://127.0.0.1:8000", "http://127.0.0.1:8000"),
    ],
)
def test_right_numbers_are_kept_bare(box, typed, kept):
    """VAT numbers of python-stdnum's own documentation, which checks their digits."""
    assert box().clean(typed) == kept


def test_no_number_is_asked_for():
    for box in (IbanField, BicField, VatField, CountryField, SiteField):
        assert box(required=False).clean(" ") == ""


# --- on the page of settings ------------------------------------------------------


def sent(client, **changes):
    page = client.get("/shop/")
    form = page.context["form"]
    found = {name: form[name].value() or "" for name in form.fields}
    told = {name: text for name, text in found.items() if text is not False}
    told |= {"form_key": key_on(page), "version": page.context["version"]}
    return client.post("/shop/", told | changes)


@pytest.mark.django_db
def test_account_and_rules_are_saved_and_shown_in_fours(owner_client):
    sent(
        owner_client, iban="de89 3704 0044 0532 0130 00", account_holder="T Grauwacke",
        country="de", vat_number="DE136695976", deposit_locks="on",
        site="https://forge.example",
    )  # fmt: skip
    shop = Shop.current()
    assert (shop.iban, shop.country) == ("DE89370400440532013000", "DE")
    assert (shop.deposit_locks, shop.deposit_covers) == (True, False)
    page = owner_client.get("/shop/").content.decode()
    assert 'value="DE89 3704 0044 0532 0130 00"' in page
    sent(owner_client)  # saving it untouched changes nothing
    after = Shop.current()
    assert (after.iban, after.deposit_locks) == (shop.iban, True)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "box"),
    [
        ({"iban": "DE89370400440532013001", "account_holder": "Me"}, "iban"),
        ({"iban": "DE89370400440532013000"}, "account_holder"),
        ({"vat_number": "DE136695977"}, "vat_number"),
        ({"bic": "NOBANK"}, "bic"),
    ],
)
def test_wrong_numbers_stay_in_their_boxes_and_nothing_is_saved(
    owner_client, changes, box
):
    page = sent(owner_client, **changes)
    assert errors_on(page, box)
    for name, typed in changes.items():
        assert page.context["form"][name].value() == typed
    assert not Shop.objects.exists()
