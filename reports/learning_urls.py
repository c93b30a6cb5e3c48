"""Addresses of what the desk learns from closed cases, below /desk/learning/."""
from __future__ import annotations

from django.urls import path

from reports import desk_learning, desk_rates

urlpatterns = [
    path("", desk_learning.learning, name="learning"),
    path("reliability.svg", desk_learning.reliability_figure, name="reliability-figure"),
    path("outcomes.csv", desk_learning.outcomes_csv, name="outcomes-csv"),
    path("outcomes.json", desk_learning.outcomes_json, name="outcomes-json"),
    path("rates/", desk_rates.rates, name="base-rates"),
    path("rates/count/", desk_rates.count_rates, name="count-rates"),
    path("rates/<int:version>/take-back/", desk_rates.take_back, name="take-back-rates"),
]
