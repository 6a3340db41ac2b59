"""Addresses of billets."""

from __future__ import annotations

from django.urls import path

from billets import gas_views, views

urlpatterns = [
    path("billets/", views.plan_list, name="plans"),
    path("billets/new/", views.plan_new, name="plan-new"),
    path("billets/<int:pk>/", views.plan_page, name="plan"),
    path("forges/<int:pk>/gas/", gas_views.gas_page, name="gas"),
]
