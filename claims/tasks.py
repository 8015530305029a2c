"""What the task library runs: on a laptop inside the request, on a hosted site in a worker."""

from django_tasks import task

from claims.services import jobs
from claims.web.asof import moment


@task()
def run_job(pk: int, attempt: int) -> None:
    jobs.run(pk, attempt, clock=moment)
