"""Addresses of prices, quotes and papers."""

from __future__ import annotations

from django.urls import path

from quotes.views import (
    after,
    draft,
    exports,
    floor,
    hour,
    hours,
    issue,
    papers,
    price,
    proposals,
    quotes,
    rates,
    sheet,
    sure,
    texts,
    work,
)

urlpatterns = [
    path("orders/<number:number>/price/", price.price_page, name="price"),
    path("orders/<number:number>/terms/", draft.terms_page, name="quote-terms"),
    path("orders/<number:number>/quotes/new/", issue.quote_new, name="quote-new"),
    path(
        "orders/<number:number>/quotes/<int:revision>/",
        quotes.quote_page,
        name="quote",
    ),
    path(
        "orders/<number:number>/quotes/<int:revision>/answer/",
        quotes.quote_answer,
        name="quote-answer",
    ),
    path(
        "orders/<number:number>/quotes/<int:revision>/quote.json",
        exports.json_file,
        name="quote-json",
    ),
    path(
        "orders/<number:number>/quotes/<int:revision>/quote.csv",
        exports.csv_file,
        name="quote-csv",
    ),
    path("knives/<serial:serial>/sheet/", sheet.sheet_page, name="sheet"),
    path("knives/<serial:serial>/stacks/", proposals.stacks_page, name="stacks"),
    path("orders/<number:number>/after/", after.after_page, name="after"),
    path("knives/<serial:serial>/weighed/", after.weighed_page, name="weighed"),
    path("knives/<serial:serial>/hours/", work.knife_hours, name="knife-hours"),
    path("floor/", floor.floor_page, name="floor"),
    path("papers/<int:pk>/", papers.paper_file, name="paper"),
    path("billets/<int:pk>/sure/", sure.sure_page, name="sure"),
    path("shop/rates/", rates.rates_page, name="rates"),
    path("shop/texts/", texts.texts_page, name="texts"),
    path("shop/hours/", hours.hours_page, name="hours"),
    path("shop/hour/", hour.hour_page, name="shop-hour"),
]
