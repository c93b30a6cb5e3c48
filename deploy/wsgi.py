"""The web server's way in."""
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")
application = get_wsgi_application()

# Loaded before the server's processes part, and not with each one's first request: they share the memory, and the
# first rider does not wait.
from deploy import urls  # noqa: E402, F401
