"""Addresses of prices, quotes and papers."""

from __future__ import annotations

from django.urls import path

from quotes.views import issue, papers, price, proposals, quotes, rates, risk, sheet

urlpatterns = [
    path("orders/<number:number>/price/", price.price_page, name="price"),
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
    path("knives/<serial:serial>/sheet/", sheet.sheet_page, name="sheet"),
    path("knives/<serial:serial>/stacks/", proposals.stacks_page, name="stacks"),
    path("papers/<int:pk>/", papers.paper_file, name="paper"),
    path("billets/<int:pk>/sure/", risk.sure_page, name="sure"),
    path("shop/rates/", rates.rates_page, name="rates"),
]
