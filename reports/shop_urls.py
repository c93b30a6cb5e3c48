"""The counter's addresses."""
from __future__ import annotations

from django.contrib.auth.views import LoginView, LogoutView
from django.urls import path

from reports import shop_hooks, shop_jobs, shop_keys, shop_pages, shop_tables
from reports.shop_sign_in import ShopSignIn

CASE = "case/<str:number>/"

urlpatterns = [
    path("sign-in/", LoginView.as_view(template_name="reports/shop/sign_in.html", authentication_form=ShopSignIn,
                                       next_page="shop-queue"), name="shop-sign-in"),
    path("sign-out/", LogoutView.as_view(next_page="shop-sign-in"), name="shop-sign-out"),
    path("", shop_pages.queue, name="shop-queue"),
    path("new/", shop_jobs.new_job, name="shop-new"),
    path(CASE, shop_pages.shop_case, name="shop-case"),
    path(f"{CASE}answers/", shop_jobs.answers, name="shop-answers"),
    path(f"{CASE}photo/", shop_jobs.photo_add, name="shop-photo-add"),
    path(f"{CASE}photo/<int:photo_id>/", shop_pages.shop_photo, name="shop-photo"),
    path(f"{CASE}next-round/", shop_jobs.next_round, name="shop-next-round"),
    path(f"{CASE}service-sheet.pdf", shop_pages.sheet_pdf, name="shop-sheet-pdf"),
    path(f"{CASE}letter.pdf", shop_pages.letter_pdf, name="shop-letter-pdf"),
    path("tables/", shop_tables.tables, name="shop-tables"),
    path("tables/empty.csv", shop_tables.empty, name="shop-table-empty"),
    path("tables/<int:table_id>/", shop_tables.table, name="shop-table"),
    path("tables/<int:table_id>/confirm/", shop_tables.confirm, name="shop-table-confirm"),
    path("hooks/", shop_hooks.hooks, name="shop-hooks"),
    path("hooks/<int:hook_id>/end/", shop_hooks.end, name="shop-hook-end"),
    path("hooks/<int:hook_id>/test/", shop_hooks.try_out, name="shop-hook-try"),
    path("hooks/messages/<int:sent_id>/again/", shop_hooks.again, name="shop-hook-again"),
    path("tokens/", shop_keys.tokens, name="shop-tokens"),
    path("tokens/<int:token_id>/renew/", shop_keys.renew, name="shop-token-renew"),
    path("tokens/<int:token_id>/revoke/", shop_keys.revoke, name="shop-token-revoke"),
]
