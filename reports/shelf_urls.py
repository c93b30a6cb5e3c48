"""Addresses of the shelf, below /desk/shelf/."""
from __future__ import annotations

from django.urls import path

from reports import desk_shelf

urlpatterns = [
    path("", desk_shelf.shelf, name="shelf"),
    path("new/<str:kind>/", desk_shelf.sheet_new, name="shelf-new"),
    path("import/", desk_shelf.shelf_import, name="shelf-import"),
    path("shelf.csv", desk_shelf.shelf_csv, name="shelf-csv"),
    path("<int:sheet>/", desk_shelf.sheet_page, name="shelf-sheet"),
    path("<int:sheet>/retire/", desk_shelf.sheet_retire, name="shelf-retire"),
    path("<int:sheet>/version/<int:version>/", desk_shelf.sheet_version, name="shelf-version"),
]
