"""The API: its description, a page to read it on, and the two rooms' own addresses."""
from csp.constants import SELF, UNSAFE_INLINE
from csp.decorators import csp_update
from django.urls import include, path
from django.views.decorators.http import require_safe
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView

# Anyone may read how the door works; the page's own script is a file, only its styles are inline.
_open = {"authentication_classes": [], "permission_classes": []}
_docs = require_safe(csp_update({"style-src": [SELF, UNSAFE_INLINE]})(
    SpectacularSwaggerSplitView.as_view(url_name="api-schema", **_open)
))

urlpatterns = [
    path("schema/", SpectacularAPIView.as_view(**_open), name="api-schema"),
    path("docs/", _docs, name="api-docs"),
    path("", include("intake.api_urls")),
    path("", include("reports.api_urls")),
]
