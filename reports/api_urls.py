"""Addresses of the shop's door that belong to drafts and letters."""
from django.urls import path

from reports import api, api_sheet

urlpatterns = [
    path("cases/<str:number>/findings/", api.findings, name="api-findings"),
    path("cases/<str:number>/letter/", api.letter, name="api-letter"),
    path("cases/<str:number>/letter/pdf/", api.letter_pdf, name="api-letter-pdf"),
    path("cases/<str:number>/service-sheet/", api_sheet.sheet, name="api-service-sheet"),
    path("cases/<str:number>/service-sheet/pdf/", api_sheet.sheet_pdf, name="api-service-sheet-pdf"),
]
