"""Serve the person's own record on this machine."""

from django.core.management import BaseCommand, CommandError, call_command
from django.core.wsgi import get_wsgi_application
from django.db import OperationalError
from django.utils import timezone

from claims.not_saved import reason
from claims.services import jobs
from claims.services.undo import forget_old_files
from trips.serve import NoFreePort, address, bound_socket, open_browser_soon, serve

LOOPBACK = {"127.0.0.1", "localhost", "::1"}


class Command(BaseCommand):
    help = "Bring the database up to date and serve your own record until you press Ctrl+C."

    def add_arguments(self, parser):
        add_serving_arguments(parser)
        parser.add_argument(
            "--host",
            default="127.0.0.1",
            help="address to listen on; only this machine reaches the usual 127.0.0.1",
        )

    def handle(self, *, port, no_browser, host, **options):
        # The first start makes every table, which takes a while: nobody should think it hangs.
        self.stdout.write("Opening your record …")
        self.stdout.flush()
        try:
            call_command("migrate", interactive=False, verbosity=0)
        except OperationalError as problem:
            raise CommandError(
                f"{reason(problem)} The database said: {problem}. Check that the folder and the "
                "file of DATA_DIR or DATABASE_URL are yours to write, and that the disk has room."
            ) from problem
        call_command("rebuild", old=True, stdout=self.stdout)
        now = timezone.now()
        forget_old_files(now)
        jobs.forget_old(now)
        if host not in LOOPBACK:
            self.stdout.write(
                "Anyone on this network can now reach the sign-in page, and what is typed travels "
                "without encryption. The names or addresses they use must be in ALLOWED_HOSTS."
            )
        serve_until_stopped(self, port=port, host=host, no_browser=no_browser, lines=())


def add_serving_arguments(parser):
    parser.add_argument("--port", type=int, help="port to use; otherwise the first free from 8000")
    parser.add_argument("--no-browser", action="store_true", help="do not open a browser")


def serve_until_stopped(command, *, port, host, no_browser, lines):
    """Take a port, say where it is, open the browser, serve. `lines` are said below the address."""
    command.check()  # commands called from within others skip it: a broken pack stops here
    application = get_wsgi_application()
    try:
        sock = bound_socket(port, host)
    except NoFreePort as problem:
        raise CommandError(str(problem)) from problem
    with sock:
        url = address(host, sock.getsockname()[1])
        for line in (f"Gravel Ledger is at {url}", *lines, "Stop it with Ctrl+C."):
            command.stdout.write(line)
        command.stdout.flush()
        if not no_browser:
            open_browser_soon(url)
        serve(application, sock)
