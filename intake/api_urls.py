"""Addresses of the shop's door that belong to the case file."""
from django.urls import path

from intake import api

urlpatterns = [
    path("cases/", api.cases, name="api-cases"),
    path("cases/<str:number>/", api.case, name="api-case"),
    path("cases/<str:number>/document/", api.document, name="api-case-document"),
]
