"""Every address of the shop; those of billets and quotes are included by name."""

from __future__ import annotations

from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path

from shop import converters  # noqa: F401  registers <number:>, <serial:> and more
from shop.forms.login import LoginForm
from shop.views import customers, front, knives, orders, photos, settings, stages

urlpatterns = [
    path("", front.front, name="front"),
    path("orders/", orders.order_list, name="orders"),
    path("orders/new/", orders.order_new, name="order-new"),
    path("orders/<number:number>/", orders.order_page, name="order"),
    path("orders/<number:number>/edit/", orders.order_edit, name="order-edit"),
    path("orders/<number:number>/decline/", orders.order_decline, name="order-decline"),
    path("orders/<number:number>/knives/new/", knives.knife_new, name="knife-new"),
    path("customers/", customers.customer_list, name="customer-list"),
    path("customers/new/", customers.customer_new, name="customer-new"),
    path("customers/<int:pk>/", customers.customer_page, name="customer"),
    path("customers/<int:pk>/edit/", customers.customer_edit, name="customer-edit"),
    path("knives/<serial:serial>/", knives.knife_page, name="knife"),
    path("knives/<serial:serial>/edit/", knives.knife_edit, name="knife-edit"),
    path("knives/<serial:serial>/billet/", knives.assign_plan, name="assign-plan"),
    path("knives/<serial:serial>/move/", stages.knife_move, name="knife-move"),
    path("knives/<serial:serial>/back/", stages.knife_back, name="knife-back"),
    path("knives/<serial:serial>/leave/", stages.knife_leave, name="knife-leave"),
    path("knives/<serial:serial>/photos/", photos.photos_page, name="photos"),
    path(
        "knives/<serial:serial>/photos/marks/", photos.photos_marks, name="photos-marks"
    ),
    path("knives/photo/<photo:name>/back/", photos.photo_back, name="photo-back"),
    path("knives/photo/<photo:name>/<picture:size>/", photos.photo_file, name="photo"),
    path("shop/", settings.shop_page, name="shop"),
    path("shop/tax/", settings.tax_new, name="shop-tax"),
    path(
        "login/",
        auth.LoginView.as_view(authentication_form=LoginForm),
        name="login",
    ),
    path("logout/", auth.LogoutView.as_view(), name="logout"),
    path("", include("billets.urls")),
    path("", include("quotes.urls")),
    path("admin/", admin.site.urls),
]
