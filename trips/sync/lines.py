"""Plain lines from any notes app → entries. Pure; the poorest phone and a paper still work.

One fact a line: its kind, where, and the figures in any order. Examples:
    pan Bend 0/1/4 5.5 L gravel 30 cm        colours coarse/medium/fine; - is not counted
    run Bend 84 L 1:30 0/3/20
    hours dig 1:30
    cost fuel 41.50
    hole Bend 1.2x0.8x0.5
    spot Upper bend
    note High water, brown
A line that starts with # or is empty is left out. What isn't a figure is the spot's name, so a spot
that nobody has named before is asked about: `unknown_spots`.
"""

import re
import uuid
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from trips.calc.words import say

SPACE = uuid.UUID("a3c7c6de-1c15-5c86-9a90-7d6d31f2c0de")
MOST_LINES = 500
LONGEST_LINE = 500
COUNT = r"(?:\d{1,5}|-|–|\?)"
COLOURS = re.compile(rf"(?<!\S)({COUNT})\s*[/·]\s*({COUNT})\s*[/·]\s*({COUNT})(?!\S)")
VOLUME = re.compile(r"(?<!\S)(\d[\d.,]*)\s*(L|l|litres?|US gal|imp gal)(?!\S)", re.IGNORECASE)
DEPTH = re.compile(r"(?<!\S)(\d[\d.,]*)\s*(cm|in|m|ft)(?!\S)")
TIME = re.compile(r"(?<!\S)(\d{1,2}:\d{2}|\d{1,4}\s*min|\d[\d.,]*\s*h)(?!\S)")
NUMBER = r"(\d[\d.,]*)"
SIZE = re.compile(rf"(?<!\S){NUMBER}\s*[x×]\s*{NUMBER}\s*[x×]\s*{NUMBER}\s*(m|cm|ft)?(?!\S)")
AMOUNT = re.compile(r"(?<!\S)(\d[\d.,]*)(?!\S)")
LAYERS = {
    "overburden": "overburden",
    "gravel": "gravel",
    "clay": "clay",
    "false bedrock": "false_bedrock",
    "bedrock": "bedrock",
}


class LineError(ValueError):
    """A line that can't be read; the message says what was expected."""


@dataclass(frozen=True)
class Line:
    """A line with its number from 1, and the entry it makes or why it makes none.

    `spot` is the spot's name as written, also where no such spot is known yet.
    """

    number: int
    text: str
    kind: str = ""
    body: Mapping[str, str | None] | None = None
    spot: str = ""
    problem: str = ""


def read_lines(
    text: str, *, day: str, pan: str, activities: Mapping[str, str], costs: Mapping[str, str]
) -> list[Line]:
    """Every line that says something. Raises: LineError for more lines than are read at once.

    Args:
        day: the day of all lines, YYYY-MM-DD. pan: what a pan holds, used where a line is silent.
        activities, costs: codes by the words people use, in lower case.
    """
    words = {"day": day, "pan": pan, "hours": activities, "cost": costs}
    lines = text.splitlines()
    if len(lines) > MOST_LINES:
        raise LineError(
            say(
                "{lines} lines at once; at most {most_lines} are read. Nothing was "
                "stored. Paste them in parts: a line that comes twice is taken "
                "once.",
                lines=len(lines),
                most_lines=MOST_LINES,
            )
        )
    found = []
    for number, raw in enumerate(lines, start=1):
        line = raw.strip()
        if not line or line.startswith("#"):
            continue
        try:
            if len(line) > LONGEST_LINE:
                raise LineError(
                    say(
                        "A line is at most {longest_line} characters long.",
                        longest_line=LONGEST_LINE,
                    )
                )
            kind, body, spot = _read(line, words)
        except LineError as problem:
            found.append(Line(number, line[:LONGEST_LINE], problem=str(problem)))
        else:
            found.append(Line(number, line, kind, body, spot))
    return found


def unknown_spots(lines: list[Line], known: Collection[str], site: str) -> list[Line]:
    """The lines whose spot is neither known nor told of by a `spot` line, each with its problem.

    A figure in a form that isn't read would else become part of a new spot's name.

    Args: known: names in lower case.
    """
    told = {
        str(line.body["name"]).casefold() for line in lines if line.kind == "spot" and line.body
    }
    return [
        replace(
            line,
            problem=say(
                "there is no spot “{spot}” at {site}. Write its name as it is "
                "there and figures as in the examples, or add the line “spot "
                "{spot}”.",
                spot=line.spot,
                site=site,
            ),
        )
        for line in lines
        if line.spot and line.spot.casefold() not in known and line.spot.casefold() not in told
    ]


def keys(lines: list[Line], trip: uuid.UUID, day: str) -> list[uuid.UUID]:
    """An id for each line that follows from trip, day and text: pasted again, it is the same.

    Equal lines of one paste are told apart by which of them it is.
    """
    seen: Counter[str] = Counter()
    made = []
    for line in lines:
        plain = " ".join(line.text.casefold().split())
        seen[plain] += 1
        made.append(uuid.uuid5(SPACE, f"{trip}|{day}|{plain}|{seen[plain]}"))
    return made


def _read(line: str, words) -> tuple[str, dict[str, str | None], str]:
    head, _, rest = line.partition(" ")
    kind = head.rstrip(":").casefold()
    readers = {
        "pan": _pan,
        "run": _run,
        "hours": _hours,
        "cost": _cost,
        "hole": _hole,
        "spot": _spot,
        "note": _note,
    }
    if kind not in readers:
        raise LineError(
            say(
                "A line starts with {readers}; this starts with “{head}”.",
                readers=", ".join(readers),
                head=head[:30],
            )
        )
    return kind, *readers[kind](rest.strip(), words)


def _take(pattern: re.Pattern[str], text: str) -> tuple[re.Match[str] | None, str]:
    """The last match and the text without it: a spot's own name may hold a number."""
    found = None
    for found in pattern.finditer(text):  # noqa: B007 (the last one is wanted)
        pass
    if found is None:
        return None, text
    return found, f"{text[: found.start()]} {text[found.end() :]}".strip()


def _washed(rest: str, words) -> tuple[dict[str, str | None], str]:
    colours, rest = _take(COLOURS, rest)
    volume, rest = _take(VOLUME, rest)
    body: dict[str, str | None] = {"day": words["day"], "layer": "unknown"}
    for name, count in zip(
        ("coarse", "medium", "fine"), colours.groups() if colours else (None,) * 3, strict=True
    ):
        body[name] = count if count and count.isdigit() else None
    for word in sorted(LAYERS, key=len, reverse=True):
        if re.search(rf"(?<!\S){word}(?!\S)", rest, re.IGNORECASE):
            rest = re.sub(rf"(?<!\S){word}(?!\S)", " ", rest, count=1, flags=re.IGNORECASE)
            body["layer"] = LAYERS[word]
            break
    body["volume"] = f"{volume[1]} {_unit(volume[2])}" if volume else None
    return body, rest


def _unit(word: str) -> str:
    plain = word.casefold()
    return "L" if plain.startswith("l") else word


def _pan(rest: str, words):
    body, rest = _washed(rest, words)
    depth, rest = _take(DEPTH, rest)
    body["depth"] = f"{depth[1]} {depth[2]}" if depth else None
    body["volume"] = body["volume"] or words["pan"] or None
    return body, _name(rest)


def _run(rest: str, words):
    body, rest = _washed(rest, words)
    time, rest = _take(TIME, rest)
    body["minutes"] = time[1] if time else None
    return body, _name(rest)


def _hours(rest: str, words):
    time, rest = _take(TIME, rest)
    if time is None:
        raise LineError(say("How long? Write it like: hours dig 1:30"))
    activity = words["hours"].get(" ".join(rest.casefold().split()))
    if activity is None:
        raise LineError(
            say(
                "“{rest}” isn't an activity; expected {words}.",
                rest=rest[:40],
                words=", ".join(words["hours"]),
            )
        )
    return {"day": words["day"], "activity": activity, "minutes": time[1]}, ""


def _cost(rest: str, words):
    if len(AMOUNT.findall(rest)) > 1:
        raise LineError(say("Which of the numbers is the amount? Write one: cost fuel 41.50"))
    amount, rest = _take(AMOUNT, rest)
    if amount is None:
        raise LineError(say("How much? Write it like: cost fuel 41.50"))
    rest = " ".join(rest.split())
    first, _, note = rest.partition(" ")
    what = words["cost"].get(first.casefold())
    body = {"what": what or "other", "amount": amount[1], "note": note if what else rest}
    return body, ""


def _hole(rest: str, words):
    size, rest = _take(SIZE, rest)
    body: dict[str, str | None] = {"opened_on": words["day"]}
    if size:
        unit = size[4] or "m"
        for number, name in enumerate(("length", "width", "depth"), start=1):
            body[name] = f"{size[number]} {unit}"
    return body, _name(rest)


def _spot(rest: str, words):
    return {"name": _name(rest), "feature": "other"}, ""


def _note(rest: str, words):
    if not rest:
        raise LineError(say("The note is empty."))
    return {"day": words["day"], "text": rest}, ""


def _name(rest: str) -> str:
    name = " ".join(rest.split()).strip(" ,;:")
    if not name:
        raise LineError(say("At which spot? Write its name after the first word."))
    if len(name) > 120:
        raise LineError(say("A spot's name is at most 120 characters long."))
    return name
