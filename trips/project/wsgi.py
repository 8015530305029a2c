import os

from django.core.wsgi import get_wsgi_application

from trips.project.packs import refuse_broken_packs

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "trips.project.settings")
application = get_wsgi_application()
refuse_broken_packs()
