"""Addresses of the shop's door that belong to the case file."""
from django.urls import path

from intake import api, api_rounds, api_tables, api_tokens

urlpatterns = [
    path("cases/", api.cases, name="api-cases"),
    path("cases/<str:number>/", api.case, name="api-case"),
    path("cases/<str:number>/document/", api.document, name="api-case-document"),
    path("cases/<str:number>/hand-in/", api.hand_in, name="api-hand-in"),
    path("cases/<str:number>/rounds/", api_rounds.rounds, name="api-rounds"),
    path("cases/<str:number>/rounds/<int:round_number>/", api_rounds.round_whole, name="api-round"),
    path("cases/<str:number>/photos/", api_rounds.photos, name="api-photos"),
    path("cases/<str:number>/photos/<int:photo_id>/", api_rounds.photo, name="api-photo"),
    path("tables/", api_tables.tables, name="api-tables"),
    path("tables/<int:table_id>/", api_tables.table, name="api-table"),
    path("tables/<int:table_id>/confirm/", api_tables.confirm, name="api-table-confirm"),
    path("tokens/", api_tokens.tokens, name="api-tokens"),
    path("tokens/rotate/", api_tokens.rotate, name="api-token-rotate"),
    path("tokens/<int:token_id>/", api_tokens.token, name="api-token"),
]
