"""Which address leads where: the rider's pages, the tuner's desk, the shop's API."""
from django.urls import include, path

from deploy import health

urlpatterns = [
    path("health/", health.health, name="health"),
    path("desk/", include("reports.urls")),
    path("shop/", include("reports.shop_urls")),
    path("api/", include("deploy.api_urls")),
    path("", include("reports.rider_urls")),
    path("", include("intake.urls")),
]
