"""The door for gunicorn; refuses to open over a database that may lose writes."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

application = get_wsgi_application()

from django.db import connection  # noqa: E402  settings must be loaded first

from shop.database import verify  # noqa: E402

verify(connection)
connection.close()  # a SQLite connection must not be carried over a fork
