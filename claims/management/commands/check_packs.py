"""Read all rule packs, run the situations beside them, or print the format as JSON Schema."""

import json
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

from django.conf import settings
from django.core.management import BaseCommand, CommandError

from claims.packs import SHIPPED, pack_folders
from claims.rules.evaluate import Kept, evaluate
from claims.rules.findings import as_data
from claims.rules.json_schema import json_schema, reference
from claims.rules.loader import SITUATIONS, LoadedPack, PackError, load_folders, stack
from claims.rules.schema import Pack
from claims.rules.situations import Outcome, SituationFile, as_situation, load_situations, run_file

SCHEMAS = {"pack": (Pack, "Rule pack"), "situations": (SituationFile, "Situations of a rule pack")}
BENCH_SITES, BENCH_DAYS = 8, 60


class Command(BaseCommand):
    help = (
        "Check every rule pack and run the situations beside it; exit status 1 if anything is "
        "wrong. With files of situations, run only those."
    )
    requires_system_checks = []  # a broken pack is what this command is there to explain

    def add_arguments(self, parser):
        parser.add_argument(
            "files", nargs="*", type=Path, metavar="situations.toml", help="files of situations"
        )
        parser.add_argument(
            "--folder",
            action="append",
            type=Path,
            default=[],
            help="one more folder of packs; may be given several times",
        )
        parser.add_argument("--json", action="store_true", help="print JSON instead of text")
        parser.add_argument(
            "--schema", choices=sorted(SCHEMAS), help="print the format as JSON Schema and stop"
        )
        parser.add_argument(
            "--fields",
            action="store_true",
            help="print every key of the format as Markdown and stop",
        )
        parser.add_argument(
            "--list",
            action="store_true",
            help="print the packs that come along as a Markdown table and stop",
        )
        parser.add_argument(
            "--bench",
            action="store_true",
            help=f"time {BENCH_SITES} sites on {BENCH_DAYS} dates against one evaluation",
        )

    def handle(self, *, files, folder, json: bool, schema, fields, bench, **options):
        if fields:
            self.stdout.write(reference(Pack, SituationFile))
            return
        if options["list"]:
            self.stdout.write(shipped_table())
            return
        if schema:
            self.stdout.write(as_json(json_schema(*SCHEMAS[schema])))
            return
        try:
            packs = load_folders(with_demo(folder))
            outcomes = run(packs, files or beside(with_demo(folder)))
        except PackError as error:
            self._refuse(error, json)
            return
        if bench:
            self.stdout.write(bench_words(packs, files or beside(with_demo(folder))))
            return
        if json:
            self.stdout.write(as_json(report(packs, outcomes)))
        else:
            self._say(packs, outcomes, in_full=bool(files))
        wrong = sum(bool(each.wrong) for each in outcomes)
        if wrong:
            raise CommandError(f"{wrong} of {len(outcomes)} situations came out otherwise.")

    def _refuse(self, error, as_json_text):
        if as_json_text:
            problems = [
                {"file": p.file, "line": p.line, "key": p.key, "message": p.message}
                for p in error.problems
            ]
            self.stdout.write(as_json({"problems": problems}))
        else:
            for problem in error.problems:
                self.stdout.write(str(problem))
        count = len(error.problems)
        raise CommandError(f"{count} {'mistake' if count == 1 else 'mistakes'} in rule packs.")

    def _say(self, packs, outcomes, *, in_full):
        if not in_full:
            for loaded in packs.values():
                head = loaded.pack.pack
                self.stdout.write(
                    f"{head.id} {head.version}: {len(loaded.pack.rule)} rules, to be read again "
                    f"by {head.review_by}"
                )
        for outcome in outcomes:
            mark = "otherwise" if outcome.wrong else "as expected"
            self.stdout.write(f"{outcome.file}: {outcome.name}: {mark}")
            for line in outcome.wrong:
                self.stdout.write(f"    {line}")
            if in_full:
                for finding in outcome.evaluation.findings:
                    self.stdout.write(f"    {finding.outcome:5} {finding.key}: {finding.text}")
        right = sum(not each.wrong for each in outcomes)
        self.stdout.write(
            f"{len(packs)} packs; {right} of {len(outcomes)} situations came out as expected."
        )


def with_demo(extra: list[Path]) -> list[Path]:
    """The site's folders, the demo's among them whether it runs or not, and those asked for."""
    folders = pack_folders()
    demo = settings.BASE_DIR / "fixtures_demo" / "packs"
    return [*folders, *([] if demo in folders else [demo]), *extra]


def shipped_table() -> str:
    """The packs that come along, one line each, as a Markdown table."""
    heads = [(each.pack.pack, len(each.pack.rule)) for each in load_folders([SHIPPED]).values()]
    rows = [
        f"| `{head.id}` | {head.title} | {rules} | {head.sourcing} | {head.checked_on} | "
        f"{head.review_by} | {head.confirm_with} |"
        for head, rules in sorted(heads, key=lambda each: each[0].id)
    ]
    return "\n".join(
        [
            "| pack | place | rules | how well read | read on | read again by | confirm with |",
            "|---|---|---|---|---|---|---|",
            *rows,
        ]
    )


def beside(folders: list[Path]) -> list[Path]:
    """Files of situations in some folders, by name."""
    return sorted({path for folder in folders for path in folder.glob(f"*{SITUATIONS}")})


def run(packs: dict[str, LoadedPack], files: list[Path]) -> list[Outcome]:
    """Outcomes of all situations of some files."""
    outcomes: list[Outcome] = []
    for path in files:
        try:
            raw = path.read_bytes()
        except OSError as error:
            raise CommandError(f"{path} can't be read: {error.strerror}.") from error
        outcomes += run_file(load_situations(raw, path.name), path.name, packs)
    return outcomes


def report(packs, outcomes):
    """Packs and outcomes as plain data."""
    return {
        "packs": [
            {"id": each.id, "version": each.pack.pack.version, "sha256": each.sha256}
            for each in packs.values()
        ],
        "situations": [
            {
                "file": each.file,
                "name": each.name,
                "as_expected": not each.wrong,
                "wrong": list(each.wrong),
                "findings": [as_data(finding) for finding in each.evaluation.findings],
            }
            for each in outcomes
        ],
    }


def as_json(data) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False)


def bench_words(packs: dict[str, LoadedPack], files: list[Path]) -> str:
    """How long a page of candidates takes, as a ratio to one evaluation of the same packs."""
    chosen = sorted(packs.values(), key=lambda each: (-len(each.pack.rule), each.id))[:3]
    stacked = [each.pack for each in stack(packs, [each.id for each in chosen])][:3]
    first = load_situations(files[0].read_bytes(), files[0].name).situation[0]
    situation = as_situation(first)
    days = [date(2031, 5, 1) + timedelta(days=step) for step in range(BENCH_DAYS)]

    def one() -> None:
        evaluate(stacked, replace(situation, first_day=days[0], last_day=days[0]))

    def page() -> None:
        for _ in range(BENCH_SITES):
            kept = Kept()
            for day in days:
                evaluate(stacked, replace(situation, first_day=day, last_day=day), kept)

    single = min(_seconds(one, BENCH_SITES) for _ in range(BENCH_DAYS))
    whole = min(_seconds(page, 1) for _ in range(3))
    rules = sum(len(pack.rule) for pack in stacked)
    return (
        f"{BENCH_SITES} sites × {BENCH_DAYS} dates × {len(stacked)} packs ({rules} rules): "
        f"{whole:.3f} s of the process's own time, {whole / single:.0f} times one evaluation "
        f"({single * 1000:.2f} ms)."
    )


def _seconds(work: Callable[[], None], times: int) -> float:
    """The process's own seconds for one turn of some work; other programs don't count."""
    start = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - start) / times
