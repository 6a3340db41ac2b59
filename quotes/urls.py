"""Addresses of prices, quotes and papers."""

from __future__ import annotations

from django.urls import path

from quotes.views import (
    after,
    cancelling,
    change_kept,
    changes,
    draft,
    exports,
    floor,
    hour,
    hours,
    invoices,
    issue,
    kept,
    links,
    mails,
    papers,
    pay,
    price,
    privacy,
    private,
    private_photos,
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
    path(
        "orders/<number:number>/cancel/", cancelling.order_cancel, name="order-cancel"
    ),
    path("orders/<number:number>/changes/new/", changes.change_new, name="change-new"),
    path(
        "orders/<number:number>/changes/<int:pk>/",
        change_kept.change_page,
        name="change",
    ),
    path("knives/<serial:serial>/sheet/", sheet.sheet_page, name="sheet"),
    path("knives/<serial:serial>/stacks/", proposals.stacks_page, name="stacks"),
    path("orders/<number:number>/after/", after.after_page, name="after"),
    path("knives/<serial:serial>/weighed/", after.weighed_page, name="weighed"),
    path("knives/<serial:serial>/hours/", work.knife_hours, name="knife-hours"),
    path("orders/<number:number>/payments/", pay.payments_page, name="payments"),
    path(
        "orders/<number:number>/payments/request/",
        pay.request_pdf,
        name="request-pdf",
    ),
    path("orders/<number:number>/invoices/", invoices.invoices_page, name="invoices"),
    path(
        "orders/<number:number>/invoices/<int:pk>/invoice.json",
        invoices.json_file,
        name="invoice-json",
    ),
    path("floor/", floor.floor_page, name="floor"),
    path("papers/<int:pk>/", papers.paper_file, name="paper"),
    path("billets/<int:pk>/sure/", sure.sure_page, name="sure"),
    path("orders/<number:number>/mail/<slug:kind>/", mails.mail_new, name="mail-new"),
    path("customers/<int:pk>/data/", privacy.data_page, name="customer-data"),
    path("shop/kept/", kept.kept_page, name="kept"),
    path("customers/<int:pk>/data/erase/", privacy.erase_page, name="customer-erase"),
    path("shop/rates/", rates.rates_page, name="rates"),
    path("shop/texts/", texts.texts_page, name="texts"),
    path("shop/hours/", hours.hours_page, name="hours"),
    path("shop/hour/", hour.hour_page, name="shop-hour"),
    path("orders/<number:number>/links/", links.links_page, name="links"),
    path(
        "orders/<number:number>/links/<int:pk>/end/",
        links.link_revoke,
        name="link-revoke",
    ),
    path(
        "orders/<number:number>/questions/<int:pk>/answered/",
        links.question_answered,
        name="question-answered",
    ),
    path("q/view/", private.private_view, name="private-view"),
    path("q/answer/", private.private_answer, name="private-answer"),
    path("q/ask/", private.private_ask, name="private-ask"),
    path(
        "q/paper/<slug:kind>/<int:revision>/",
        private.private_paper,
        name="private-paper",
    ),
    path(
        "q/photo/<photo:name>/<picture:size>/",
        private_photos.private_photo,
        name="private-photo",
    ),
    path("q/<str:token>/", private.private_open, name="private"),
]
