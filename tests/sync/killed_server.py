"""A web server of the site in a process of its own that dies at a chosen moment.

Run with a folder and the address of a database. It makes the tables and a day's trip, then takes
commands from its standard input, one a line, and answers each with one line of JSON. Django is
loaded once; every server is a fork of this process, so that a kill costs no start.

    serve NAME WHAT N   a server on database NAME that kills itself (SIGKILL) at its N-th statement
                        or before its N-th answer to a sending; WHAT: statement, answer, never
    end                 kill the server if it still lives; how many statements it had seen
    rows NAME           what the tables hold
"""

import json
import mmap
import os
import signal
import socket
import sys

SEEN = mmap.mmap(-1, 8)  # shared with the forks
LOOK = {
    "TestPan": "uuid trip_id spot__name day layer volume_ml coarse medium fine note sequence",
    "Run": "uuid began_at ended_at minutes volume_ml coarse medium fine",
    "HoursBlock": "uuid activity minutes",
    "Cost": "uuid kind amount_minor",
    "FieldNote": "uuid text",
    "FieldRecord": "uuid kind state head reason",
    "DerivedTripFigures": "washed_ml door_minutes outlay_minor",
}


def prepare():
    """The tables straight from the models: their history is tested elsewhere."""
    from django.core.management import call_command

    call_command("migrate", run_syncdb=True, interactive=False, verbosity=0)
    from django.conf import settings
    from django.test import Client

    from tests import factories as make
    from tests.sync.test_apply import a_days_entries

    party = make.make_party()
    user = make.make_member(party).user
    trip = make.make_trip(party, state="under_way")
    client = Client()
    client.force_login(user)
    # Whatever loads at the first request is loaded before the first fork.
    client.get("/field/hello", headers={"host": "localhost"})
    empty = {"party": party.pk, "entries": []}
    headers = {"host": "localhost"}
    said = client.post("/field/sync", empty, content_type="application/json", headers=headers)
    assert said.status_code == 200, said.content
    return {
        "entries": a_days_entries(trip, trip.trip_sites.get().site),
        "party": party.pk,
        "cookie": client.cookies[settings.SESSION_COOKIE_NAME].value,
        "cookie_name": settings.SESSION_COOKIE_NAME,
    }


def die():
    os.kill(os.getpid(), signal.SIGKILL)


def serve(listening, what, number):
    """The site, one request after the other, until it is killed."""
    from wsgiref.simple_server import WSGIRequestHandler, WSGIServer

    from django.core.wsgi import get_wsgi_application
    from django.db.backends.signals import connection_created

    def count(execute, *args):
        seen = int.from_bytes(SEEN[:8], "big") + 1
        SEEN[:8] = seen.to_bytes(8, "big")
        if what == "statement" and seen == number:
            die()
        return execute(*args)

    connection_created.connect(
        lambda connection, **_: connection.execute_wrappers.append(count), weak=False
    )
    site, answered = get_wsgi_application(), 0

    def app(environ, start):
        nonlocal answered
        answer = site(environ, start)
        answered += environ["PATH_INFO"].endswith("/sync")
        if what == "answer" and answered == number:
            die()  # stored, and the phone never hears of it
        return answer

    class Quiet(WSGIRequestHandler):
        def log_message(self, *args):
            pass

    server = WSGIServer(listening.getsockname(), Quiet, bind_and_activate=False)
    server.socket.close()
    server.socket = listening
    server.server_name, server.server_port = "localhost", listening.getsockname()[1]
    server.setup_environ()
    server.set_app(app)
    server.serve_forever()


def use(name):
    from django.db import connections

    connections["default"].settings_dict["NAME"] = name


def rows():
    from django.apps import apps
    from django.db import connection

    from claims.models import Hole, Spot
    from trips.models import FieldEntry

    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            assert cursor.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            assert cursor.execute("PRAGMA foreign_key_check").fetchall() == []
    found = {
        name: sorted(map(str, apps.get_model("trips", name).objects.values_list(*fields.split())))
        for name, fields in LOOK.items()
    }
    found["Spot"] = sorted(map(str, Spot.objects.values_list("uuid", "name")))
    holes = Hole.objects.values_list("uuid", "length_mm", "depth_mm", "opened_on", "filled_on")
    found["Hole"] = sorted(map(str, holes))
    found["entries"] = sorted(str(key) for key in FieldEntry.objects.values_list("uuid", flat=True))
    return found


def say(value):
    sys.stdout.write(json.dumps(value) + "\n")
    sys.stdout.flush()


def main():
    import django
    from django.conf import settings
    from django.db import connections

    settings.MIGRATION_MODULES = dict.fromkeys(
        ("claims", "trips", "reports", "axes", "auth", "contenttypes", "sessions", "admin")
    )
    django.setup()
    say(prepare())
    connections.close_all()
    child = None
    for line in sys.stdin:
        command, *rest = line.split()
        if command == "serve":
            listening = socket.create_server(("127.0.0.1", 0))
            SEEN[:8] = bytes(8)
            child = os.fork()
            if not child:
                use(rest[0])
                serve(listening, rest[1], int(rest[2]))
            say(listening.getsockname()[1])
            listening.close()
        elif command == "end":
            os.kill(
                child, signal.SIGKILL
            )  # one that is dead already is still there to be waited for
            os.waitpid(child, 0)
            say(int.from_bytes(SEEN[:8], "big"))
        elif command == "rows":
            use(rest[0])
            say(rows())
            connections.close_all()


if __name__ == "__main__":
    main()
