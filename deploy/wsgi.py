"""The web server's way in."""
import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "deploy.settings")
application = get_wsgi_application()

# Loaded before the server's processes part, and not with each one's first request; and what is loaded by now is left
# alone by the search for garbage, which would write to it.  So they share its memory: a fifth of all.
from deploy import urls  # noqa: E402, F401

gc.collect()
gc.freeze()
