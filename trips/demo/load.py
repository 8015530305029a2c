"""Load the demo's files: party, ground, papers, kit, trips and all their records."""

import csv
import datetime as dt
import tomllib
import uuid
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.db import transaction

from claims.models import (
    ConditionMark,
    Duty,
    DutyDone,
    Hole,
    Membership,
    Paper,
    PaperCondition,
    Party,
    Person,
    Site,
    SiteShape,
    Spot,
    User,
)
from trips.demo.pictures import PICTURES, draw
from trips.demo.places import RULE_PACK
from trips.demo.shelf import DemoFileError, Shelf, clean_and_save, from_text, named, set_related
from trips.demo.story import PASSWORD
from trips.demo.ways import ADDED_AT, TRACK_FILE, TRIP
from trips.demo.wet import load_floods
from trips.models import (
    Cost,
    Gear,
    GoldLot,
    HoursBlock,
    MergedLot,
    Price,
    Run,
    TestPan,
    Trip,
    TripPerson,
    TripSite,
    Vehicle,
    WeighIn,
)
from trips.services import files
from trips.services.derive import rebuild_party
from trips.services.tracks import keep_track

# Ids follow from the codes in the files, so that a record is the same one wherever it is loaded.
NAMESPACE = uuid.UUID("4b1f6e0a-6d0c-5c57-9a54-0c5b7e1d2031")
BEGAN_AT = dt.datetime(2030, 4, 1, 8, 0, tzinfo=dt.UTC)
VISITED = {"yes": True, "no": False, "": None}


def demo_uuid(table: str, code: str) -> uuid.UUID:
    return uuid.uuid5(NAMESPACE, f"{table}/{code}")


def said_areas(inside: Iterable[str], outside: Iterable[str]) -> dict[str, dict[str, str]]:
    """What was said about areas of the demo's rule pack, as a site keeps it."""
    values = {**dict.fromkeys(inside, "yes"), **dict.fromkeys(outside, "no")}
    return {
        f"area:{RULE_PACK}/{area}": {"value": value, "by": "Robin Vayle", "on": "1 Apr 2030"}
        for area, value in values.items()
    }


def load(folder: Path) -> dict[str, int]:
    """Bring the demo in this database to what the files say; rows by kind.

    All or nothing. Raises: DemoFileError naming file and row.
    """
    with transaction.atomic():
        loader = Loader(folder)
        loader.load_party()
        loader.load_ground()
        loader.load_papers()
        loader.load_duties()
        loader.load_kit()
        loader.load_trips()
        loader.load_gold()
        loader.load_work()
        load_floods(loader)
        loader.load_shapes()
        loader.load_pictures()
        loader.load_track()
        rebuild_party(loader.party)
    return loader.counts


class Loader:
    """Reads one file after the other and remembers the rows that later files name."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.counts: dict[str, int] = {}

    def toml(self, name: str) -> dict[str, Any]:
        with (self.folder / f"{name}.toml").open("rb") as file:
            try:
                return tomllib.load(file)
            except tomllib.TOMLDecodeError as problem:
                raise DemoFileError(f"{name}.toml: {problem}") from problem

    def csv(self, name: str) -> list[dict[str, str]]:
        with (self.folder / f"{name}.csv").open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        self.counts[name.replace("_", " ")] = len(rows)
        return rows

    def shelf(self, model, *key) -> Shelf:
        """The party's rows of a model; site and trip records are found through their owner."""
        owner = {
            Spot: "site__party",
            Membership: "party",
            PaperCondition: "paper__party",
            ConditionMark: "condition__paper__party",
            DutyDone: "duty__party",
        }.get(model, "party")
        return Shelf(model, key, model.objects.filter(**{owner: self.party}))

    def load_party(self) -> None:
        facts = self.toml("party")
        log_ins, people = facts.pop("log_ins"), facts.pop("people")
        del facts["as_of"]
        parties = Shelf(Party, ("name",), Party.objects.filter(name=facts["name"]))
        self.party = parties.put("party.toml", created_at=BEGAN_AT, **facts)
        users = {entry["username"]: self._log_in(entry) for entry in log_ins}
        members = self.shelf(Membership, "user")
        for entry in log_ins:
            user, where = users[entry["username"]], f"party.toml, {entry['username']}"
            members.put(where, party=self.party, user=user, role=entry["role"], joined_at=BEGAN_AT)
        persons = self.shelf(Person, "name")
        self.people = {}
        for entry in people:
            values = {**entry, "user": users[entry["username"]], "party": self.party}
            del values["username"]
            self.people[entry["name"]] = persons.put(f"party.toml, {entry['name']}", **values)

    @staticmethod
    def _log_in(entry) -> User:
        """The log-in with the demo's password, which everybody may know."""
        user = User.objects.filter(username=entry["username"]).first() or User(
            username=entry["username"], date_joined=BEGAN_AT
        )
        names = {name: entry[name] for name in ("first_name", "last_name")}
        if user.pk and user.check_password(PASSWORD):
            if all(getattr(user, name) == value for name, value in names.items()):
                return user
        else:
            user.set_password(PASSWORD)
        for name, value in names.items():
            setattr(user, name, value)
        clean_and_save(user, f"party.toml, {entry['username']}")
        return user

    def load_ground(self) -> None:
        sites, spots = self.shelf(Site, "name"), self.shelf(Spot, "uuid")
        self.sites, self.spots = {}, {}
        for entry in self.toml("sites")["sites"]:
            code, spot_entries = entry.pop("code"), entry.pop("spots")
            entry["rule_facts"] = said_areas(entry.pop("areas", ()), entry.pop("not_areas", ()))
            site = sites.put(f"sites.toml, {code}", party=self.party, **entry)
            self.sites[site.name] = site
            for spot in spot_entries:
                spot_code = spot.pop("code")
                self.spots[spot_code] = spots.put(
                    f"sites.toml, {spot_code}",
                    site=site,
                    uuid=demo_uuid("spots", spot_code),
                    **spot,
                )
        self.counts |= {"sites": len(self.sites), "spots": len(self.spots)}

    def load_papers(self) -> None:
        papers = self.shelf(Paper, "name", "number")
        self.papers: dict[tuple[str, str], Paper] = {}
        self.conditions: dict[tuple[int, int], PaperCondition] = {}
        entries = self.toml("papers")["papers"]
        for entry in entries:
            where = f"papers.toml, {entry['name']}"
            sites = [named(self.sites, name, where) for name in entry.pop("sites")]
            lines = entry.pop("lines", [])
            values = {
                "number": "",
                "currency": self.party.currency,
                "changed_at": BEGAN_AT,
                **entry,
            }
            paper = papers.put(where, party=self.party, **values)
            set_related(paper.sites, sites)
            self.papers[paper.name, paper.number] = paper
            for position, line in enumerate(lines, start=1):
                self._condition(paper, position, line, where)
        self.counts["papers"] = len(entries)

    def _condition(self, paper: Paper, position: int, line: dict[str, Any], where: str) -> None:
        where = f"{where}, line {position}"
        marks = line.pop("marks", [])
        conditions = self.shelf(PaperCondition, "paper", "position")
        condition = conditions.put(where, paper=paper, position=position, **line)
        self.conditions[paper.pk, position] = condition
        shelf = self.shelf(ConditionMark, "condition", "day")
        for mark in marks:
            shelf.put(where, condition=condition, **mark)

    def load_duties(self) -> None:
        """Duties of papers and sites, with the due days that are settled."""
        entries = self.toml("duties")["duties"]
        duties, settled = self.shelf(Duty, "uuid"), self.shelf(DutyDone, "duty", "due_on")
        for entry in entries:
            code, done = entry.pop("code"), entry.pop("settled", [])
            where, paper = f"duties.toml, {code}", entry.pop("paper", None)
            values: dict[str, Any] = {"changed_at": BEGAN_AT, **entry}
            if paper:
                values["paper"] = named(self.papers, tuple(paper), where)
            if "line" in values:
                values["condition"] = self.conditions[values["paper"].pk, values.pop("line")]
            if "site" in values:
                values["site"] = named(self.sites, values["site"], where)
            duty = duties.put(where, party=self.party, uuid=demo_uuid("duties", code), **values)
            for row in done:
                settled.put(where, duty=duty, **row)
        self.counts["duties"] = len(entries)

    def load_kit(self) -> None:
        kit = self.toml("kit")
        self.vehicles, self.gear = {}, {}
        for model, name, found in (
            (Vehicle, "vehicles", self.vehicles),
            (Gear, "gear", self.gear),
        ):
            shelf = self.shelf(model, "name")
            for entry in kit[name]:
                code = entry.pop("code")
                found[code] = shelf.put(f"kit.toml, {code}", party=self.party, **entry)
            self.counts[name] = len(found)

    def load_trips(self) -> None:
        trips = self.shelf(Trip, "uuid")
        plans: dict[str, list[dict[str, str]]] = {}
        for row in self.csv("trip_sites"):
            plans.setdefault(row["trip"], []).append(row)
        self.trips = {}
        for row in self.csv("trips"):
            code, people, gear = row.pop("code"), row.pop("people"), row.pop("gear")
            where = f"trips.csv, {code}"
            vehicle = named(self.vehicles, row.pop("vehicle"), where)
            values = from_text(Trip, row, where)
            planned_at = min(values["starts_on"], self.toml("party")["as_of"])
            trip = trips.put(
                where,
                party=self.party,
                uuid=demo_uuid("trips", code),
                vehicle=vehicle,
                created_at=dt.datetime.combine(
                    planned_at - dt.timedelta(days=3), dt.time(20), dt.UTC
                ),
                **values,
            )
            self.trips[code] = trip
            set_related(trip.gear, [named(self.gear, name, where) for name in gear.split(";")])
            self._people_of(
                trip, code, [named(self.people, name, where) for name in people.split(";")]
            )
            self._sites_of(trip, code, plans.get(code, []))

    def _people_of(self, trip, code, people) -> None:
        if {row.person_id for row in trip.trip_people.all()} == {one.pk for one in people}:
            return
        trip.trip_people.all().delete()
        for person in people:
            clean_and_save(TripPerson(trip=trip, person=person), f"trips.csv, {code}")

    def _sites_of(self, trip, code, plan) -> None:
        wanted = [
            (
                int(row["rank"]),
                named(self.sites, row["site"], f"trip_sites.csv, {code}").pk,
                row["trigger"],
                VISITED[row["was_visited"]],
            )
            for row in plan
        ]
        fields = ("rank", "site_id", "trigger", "was_visited")
        if list(trip.trip_sites.values_list(*fields)) == wanted:
            return
        trip.trip_sites.all().delete()
        for values in wanted:
            row = TripSite(trip=trip, **dict(zip(fields, values, strict=True)))
            clean_and_save(row, f"trip_sites.csv, {code}")

    def load_gold(self) -> None:
        self.weigh_ins = self._records("weigh_ins", WeighIn)
        self.merged = self._records("merged_lots", MergedLot)
        self._records("lots", GoldLot)
        prices = self.shelf(Price, "currency", "day")
        for row in self.csv("prices"):
            amount = Decimal(row.pop("amount"))
            where = f"prices.csv, {row['day']}"
            values = from_text(Price, row, where)
            micros = int(amount * 1_000_000)
            prices.put(where, party=self.party, amount_micros=micros, **values)

    def load_work(self) -> None:
        self._records("hours", HoursBlock)
        self._records("pans", TestPan)
        self._records("runs", Run)
        self._records("costs", Cost)
        self._records("holes", Hole)

    def load_shapes(self) -> None:
        shapes = Shelf(SiteShape, ("site",), SiteShape.objects.filter(site__party=self.party))
        for entry in self.toml("shapes")["shapes"]:
            where = f"shapes.toml, {entry['site']}"
            shapes.put(
                where,
                site=named(self.sites, entry["site"], where),
                outline=[[entry["latitude_longitude_udeg"]]],
                radius_m=entry["radius_m"],
            )

    def load_pictures(self) -> None:
        owners = {"spots": Spot.objects.filter(site__party=self.party), "holes": self.party.holes}
        for drawn in PICTURES:
            number = demo_uuid("pictures", f"{drawn.code} {drawn.scene}")
            if self.party.files.filter(uuid=number).exists():
                continue
            files.keep(
                party=self.party,
                owner=owners[drawn.table].get(uuid=demo_uuid(drawn.table, drawn.code)),
                content=draw(drawn),
                name=f"{drawn.scene}.jpg",
                user=None,
                now=ADDED_AT,
                uuid=number,
                caption=drawn.caption,
                role=drawn.role,
            )
        self.counts["pictures"] = len(PICTURES)

    def load_track(self) -> None:
        content = (self.folder / TRACK_FILE).read_bytes()
        keep_track(
            trip=self.trips[TRIP],
            content=content,
            name=TRACK_FILE,
            user=None,
            now=ADDED_AT,
            uuid=demo_uuid("tracks", TRIP),
        )
        self.counts["tracks"] = 1

    def _records(self, table: str, model) -> dict[str, Any]:
        """Rows with a code of their own; their id follows from it."""
        shelf, found = self.shelf(model, "uuid"), {}
        for row in self.csv(table):
            code = row.pop("code")
            where = f"{table}.csv, {code}"
            found[code] = shelf.put(
                where,
                party=self.party,
                uuid=demo_uuid(table, code),
                **self._others(model, row, where),
                **from_text(model, row, where),
            )
        return found

    def _others(self, model, row: dict[str, str], where: str) -> dict[str, Any]:
        """Take out of a row what names another row, and find it; an empty name is none."""
        known = {
            "trip": self.trips,
            "site": self.sites,
            "spot": self.spots,
            "person": self.people,
            "paid_by": self.people,
            "gear": self.gear,
            "weigh_in": getattr(self, "weigh_ins", {}),
            "merged": getattr(self, "merged", {}),
        }
        found = {}
        for column in [name for name in row if name in known]:
            name = row.pop(column)
            found[column] = named(known[column], name, where) if name else None
        if model is Hole:
            found["site"] = found["spot"].site
        return found
