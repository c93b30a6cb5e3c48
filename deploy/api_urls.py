"""The API: its description, a page to read it on, and the two rooms' own addresses."""
from django.urls import include, path
from drf_spectacular.views import SpectacularAPIView

from reports.api_page import api_page

# Anyone may read how the door works.
_open = {"authentication_classes": [], "permission_classes": []}

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(**_open), name="api-schema"),
    path("docs/", api_page, name="api-docs"),
    path("", include("intake.api_urls")),
    path("", include("reports.api_urls")),
]
