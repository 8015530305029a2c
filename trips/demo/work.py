"""What the party did on its trips: pans, runs, hours, holes and weigh-ins, day by day."""

import datetime as dt

from trips.demo import ground, places, story
from trips.demo.chance import Chance
from trips.demo.schedule import Outing

SITE = {site["code"]: site for site in places.SITES}
SPOT = {spot["code"]: spot for site in places.SITES for spot in site["spots"]}
DEPTH_MM = {
    "overburden": (100, 250),
    "gravel": (300, 600),
    "clay": (450, 750),
    "false_bedrock": (500, 800),
    "bedrock": (600, 1100),
}
NEW_SCALE_ON = dt.date(2031, 3, 1)  # from then on a scale of 1 mg instead of 10 mg
NOT_TIMED = ("T2030-16-R2", "T2031-21-R1")  # nobody looked at the clock
ASSAYED = {"OSS": 902, "SKE": 867}  # known since the new scale came


class Diary:
    """Collects the rows of every table while the trips are lived through in order."""

    def __init__(self) -> None:
        self.hours: list[dict] = []
        self.pans: list[dict] = []
        self.runs: list[dict] = []
        self.holes: list[dict] = []
        self.weigh_ins: list[dict] = []
        self._seen: dict[tuple[str, int], list[float]] = {}  # spot and season: colours, litres
        self._dug: dict[tuple[str, int], int] = {}  # spot and season: trips that dug there

    def live(self, outing: Outing) -> None:
        """Let one trip happen."""
        if outing.state not in ("wrapped_up", "under_way"):
            return
        chance = Chance(outing.code)
        vials: dict[str, int] = {}
        for number in range(outing.days):
            day = outing.starts_on + dt.timedelta(days=number)
            for place, site in enumerate(outing.visited):
                leaves_soon = place + 1 < len(outing.visited)
                vials |= self._day_at(chance, outing, day, site, leaves_soon=leaves_soon)
            self._drive(chance, outing, day, number)
        if outing.weighed:
            self._weigh(chance, outing, vials)

    def _day_at(self, chance, outing, day, site, *, leaves_soon) -> dict[str, int]:
        """A day's work at one site; the true micrograms by record, for the scale."""
        after_first = day > outing.starts_on
        if outing.method == "pan":
            pan_count = chance.between(12, 17)
        elif leaves_soon and site != "DRE":
            pan_count = 6
        else:
            pan_count = chance.between(4, 5) if after_first else chance.between(7, 11)
        spots = self._spots_to_try(chance, site, day, few=leaves_soon or after_first)
        vials = self._test(chance, outing, day, site, spots, pan_count)
        digs = outing.method != "pan" and not (leaves_soon and site != "DRE")
        if digs:
            many = 2 if len(outing.visited) > 1 and site in ("DRE", "OSS") else None
            vials |= self._dig(chance, outing, day, site, self._best(spots, day), many)
        self._block(outing, day, "walk", 2 * SITE[site]["walk_minutes"], site)
        self._block(outing, day, "test", chance.around(8.5 * pan_count, 0.15, 5), site)
        return vials

    def _spots_to_try(self, chance, site, day, *, few) -> list[str]:
        names = list(ground.SPOT_NAMES[site])
        start = chance.between(0, len(names) - 1)
        wanted = 2 if few else 3
        tried = (names[start:] + names[:start])[:wanted]
        known = self._best(names, day)
        return tried if known in tried or self._rate(known, day) == 0 else [known, *tried[1:]]

    def _rate(self, spot, day) -> float:
        colours, litres = self._seen.get((spot, day.year), (0.0, 0.0))
        return colours / (litres + 10)  # a spot with few litres is not believed at once

    def _best(self, spots, day) -> str:
        return max(spots, key=lambda spot: (self._rate(spot, day), spot))

    def _factor(self, spot, day) -> float:
        """The spot's richness on this day: earlier digging in the season has thinned it."""
        fresh = ground.spot_factors(spot[:3], day)[spot]
        return fresh * 0.9 ** self._dug.get((spot, day.year), 0)

    def _test(self, chance, outing, day, site, spots, pan_count) -> dict[str, int]:
        vials = {}
        for number in range(pan_count):
            spot = spots[number * len(spots) // pan_count]
            layer = self._layer(chance, site, spot)
            volume_ml = chance.pick([5500, 5500, 5500, 5500, 5000, 2500, 8000])
            counts = ground.pan_colours(chance, site, self._factor(spot, day), layer, volume_ml)
            sequence = 1 + sum(pan["trip"] == outing.code for pan in self.pans)
            code = f"{outing.code}-P{sequence:02d}"
            seen = self._seen.setdefault((spot, day.year), [0.0, 0.0])
            seen[0] += sum(counts.values())
            seen[1] += volume_ml / 1000
            uncounted = chance.happens(0.04)
            true_ug = ground.mass_ug(chance, counts)
            alone = outing.method == "pan" and day >= NEW_SCALE_ON and true_ug >= 3000
            self.pans.append(
                {
                    "code": code,
                    "trip": outing.code,
                    "day": day,
                    "sequence": sequence,
                    "spot": spot,
                    "layer": layer,
                    "depth_mm": chance.between(*DEPTH_MM[layer], 50),
                    "volume_ml": volume_ml,
                    "coarse": counts["coarse"],
                    "medium": counts["medium"],
                    "fine": None if uncounted else counts["fine"],
                    "mass_ug": true_ug // 1000 * 1000 if alone else None,
                    "weigh_in": None,
                    "note": "fine colours not counted, light was fading" if uncounted else "",
                }
            )
            vials[code] = true_ug
        return vials

    def _layer(self, chance, site, spot) -> str:
        if SPOT[spot]["feature"] == "crevice":
            return "bedrock"
        bed = ground.TRUTH[site].bed
        return chance.pick([*bed, "gravel", "gravel", bed[-1]])

    def _dig(self, chance, outing, day, site, spot, many) -> dict[str, int]:
        vials, minutes = {}, 0
        is_box = outing.method in ("box", "hired")
        layer = "bedrock" if SPOT[spot]["feature"] == "crevice" else "gravel"
        run_count = many or (1 if outing.state == "under_way" else chance.between(2, 4))
        for before in range(run_count):
            run_minutes = chance.between(45, 70, 5) if is_box else chance.between(50, 85, 5)
            litres = run_minutes * (chance.between(9, 12) if is_box else chance.between(4, 6))
            volume_ml = litres // 10 * 10_000  # counted in buckets of ten litres
            factor = self._factor(spot, day)
            counts = ground.run_colours(chance, site, factor, before, volume_ml)
            sequence = 1 + sum(run["trip"] == outing.code for run in self.runs)
            code = f"{outing.code}-R{sequence}"
            self.runs.append(
                {
                    "code": code,
                    "trip": outing.code,
                    "day": day,
                    "sequence": sequence,
                    "spot": spot,
                    "gear": {"box": "box", "sluice": "sluice"}.get(outing.method),
                    "layer": layer,
                    "minutes": None if code in NOT_TIMED else run_minutes,
                    "volume_ml": None if chance.happens(0.03) else volume_ml,
                    **self._counted(chance, counts),
                    "weigh_in": None,
                    "note": "hired box" if outing.method == "hired" else "",
                }
            )
            vials[code] = ground.mass_ug(chance, counts)
            minutes += run_minutes
        self._dug[spot, day.year] = self._dug.get((spot, day.year), 0) + 1
        self._block(outing, day, "strip", chance.between(15, 40, 5), site)
        self._dig_hours(chance, outing, day, site)
        self._block(outing, day, "run", minutes, site)
        self._block(outing, day, "clean_up", 12 * run_count, site)
        if outing.state == "wrapped_up" and outing.code != "T2031-22":
            self._block(outing, day, "fill_in", chance.between(15, 30, 5), site)
        self._hole(chance, outing, day, spot)
        return vials

    def _counted(self, chance, counts) -> dict[str, int | None]:
        """What was counted at a clean-up: fine colours get overlooked, or nobody counted."""
        nobody = chance.happens(0.1)
        no_fine = nobody or chance.happens(0.14)
        return {
            "coarse": None if nobody else counts["coarse"],
            "medium": None if nobody else chance.thinned(counts["medium"], 0.98),
            "fine": None if no_fine else chance.thinned(counts["fine"], 0.92),
        }

    def _dig_hours(self, chance, outing, day, site) -> None:
        """Now and then the two don't dig equally long: then each has a block of their own."""
        minutes = chance.between(35, 60, 5)
        if len(outing.people) > 1 and chance.happens(0.12):
            for letter in outing.people:
                own = chance.around(minutes, 0.3, 5)
                self._block(outing, day, "dig", own, site, story.PERSON_OF[letter])
        else:
            self._block(outing, day, "dig", minutes, site)

    def _drive(self, chance, outing, day, number) -> None:
        """The way there on the first day, home on the last; between sites on a change."""
        legs = (number == 0) + (number + 1 == outing.days and outing.state == "wrapped_up")
        minutes = legs * SITE[outing.visited[0]]["drive_minutes"]
        minutes += 20 * (len(outing.visited) - 1)
        if minutes:
            self._block(outing, day, "drive", chance.around(minutes, 0.08, 5), None)
        if outing.method != "pan" or chance.happens(0.5):
            self._block(outing, day, "rest", chance.between(20, 45, 5), outing.visited[-1])

    def _block(self, outing, day, activity, minutes, site, person=None) -> None:
        number = 1 + sum(block["trip"] == outing.code for block in self.hours)
        self.hours.append(
            {
                "code": f"{outing.code}-H{number:02d}",
                "trip": outing.code,
                "day": day,
                "activity": activity,
                "minutes": minutes,
                "site": SITE[site]["name"] if site else "",
                "person": person or "",
                "note": "",
            }
        )

    def _hole(self, chance, outing, day, spot) -> None:
        left_open = outing.code in ("T2031-22", "T2031-24")
        if not left_open and not chance.happens(0.6):
            return
        if any(hole["code"] == f"{outing.code}-{spot}" for hole in self.holes):
            return  # the second day went on in the same hole
        measured = left_open or chance.happens(0.9)
        self.holes.append(
            {
                "code": f"{outing.code}-{spot}",
                "spot": spot,
                "opened_on": day,
                "filled_on": None if left_open else outing.ends_on,
                "length_mm": chance.between(800, 2200, 100) if measured else None,
                "width_mm": chance.between(600, 1400, 100) if measured else None,
                "depth_mm": chance.between(350, 1100, 50) if measured else None,
                "notes": "Left open for the next visit." if left_open else "",
            }
        )

    def _weigh(self, chance, outing, vials) -> None:
        """Weigh what was kept; the gorge's last trip weighs each day for itself."""
        by_day = outing.code == "T2031-20"
        days = [outing.starts_on, outing.ends_on] if by_day else [None]
        weighed_on = outing.ends_on + dt.timedelta(days=chance.between(1, 4))
        for number, day in enumerate(days, start=1):
            kept = [
                row
                for row in (*self.pans, *self.runs)
                if row["trip"] == outing.code
                and day in (None, row["day"])
                and row["spot"][:3] in self._kept_sites(outing)
            ]
            lost = [row for row in kept if "-R" in row["code"] and chance.happens(0.02)]
            kept = [row for row in kept if row not in lost]
            for row in lost:
                row["note"] = "concentrate spilled, not in the weigh-in"
            code = f"{outing.code}-W{number}"
            for row in kept:
                row["weigh_in"] = code
            true_ug = sum(vials[row["code"]] for row in kept)
            self.weigh_ins.append(self._weigh_in(chance, outing, code, weighed_on, true_ug))

    @staticmethod
    def _kept_sites(outing) -> tuple[str, ...]:
        """A first choice left after six pans gave nothing worth keeping."""
        return outing.visited if outing.visited[0] == "DRE" else outing.visited[-1:]

    @staticmethod
    def _weigh_in(chance, outing, code, weighed_on, true_ug) -> dict:
        step = 1_000 if outing.starts_on >= NEW_SCALE_ON else 10_000
        tare_ug = chance.between(3_900_000, 5_400_000, step)
        own = ASSAYED.get(outing.visited[-1]) if outing.starts_on >= NEW_SCALE_ON else None
        single = len(outing.visited) == 1
        note = "dried on the stove, magnet passed over" if chance.happens(0.3) else ""
        if true_ug < step:
            note = "less than one step of the scale"
        return {
            "code": code,
            "trip": outing.code,
            "weighed_on": weighed_on,
            "gross_ug": tare_ug + true_ug // step * step,
            "tare_ug": tare_ug,
            "resolution_ug": step,
            "fineness": own if single else None,
            "note": note,
        }
