"""Addresses of the shop's door that belong to drafts and letters."""
from django.urls import path

from reports import api, api_hooks, api_sheet

urlpatterns = [
    path("hooks/", api_hooks.hooks, name="api-hooks"),
    path("hooks/<int:hook_id>/", api_hooks.hook, name="api-hook"),
    path("hooks/<int:hook_id>/test/", api_hooks.try_hook, name="api-hook-try"),
    path("hooks/messages/", api_hooks.sendings, name="api-hook-messages"),
    path("hooks/messages/<int:sent_id>/again/", api_hooks.send_again, name="api-hook-again"),
    path("cases/<str:number>/findings/", api.findings, name="api-findings"),
    path("cases/<str:number>/letter/", api.letter, name="api-letter"),
    path("cases/<str:number>/letter/pdf/", api.letter_pdf, name="api-letter-pdf"),
    path("cases/<str:number>/service-sheet/", api_sheet.sheet, name="api-service-sheet"),
    path("cases/<str:number>/service-sheet/pdf/", api_sheet.sheet_pdf, name="api-service-sheet-pdf"),
]
