"""The way in for a web server; it starts no site whose rule packs are broken."""

import gc
import os

from django.core.wsgi import get_wsgi_application

from trips.project.packs import refuse_broken_packs

# As in `manage.py`. With Python's own figures every fourth page of a long record ended a full
# collection: 0.1 s of walking through 200,000 objects of modules, none of which ever goes.
gc.set_threshold(50_000, 20, 20)
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trips.project.settings")
application = get_wsgi_application()
refuse_broken_packs()
