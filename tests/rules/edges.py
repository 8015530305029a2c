"""Both sides of every bound and day that stands in a test of a shipped rule, read from the texts.

What an effect itself bounds (a number on gear, an amount, a window) goes through the battery in
`test_packs`, held to the texts by `test_shipped`. Here are the others: bounds inside tests, days
of notice, waits, hours, days on which a text begins or ends. Outcomes are named from the text that
stands beside each, for one rule alone; "silent" is no line at all.
"""

import pytest

FOREST = "place = { name = 'S', land = 'state_forest' }"
MOVED = "amounts = [{ amount = 'moved_volume', day = 2031-05-13, much = '%s', people = 2 }]"
TAKEN = "amounts = [{ amount = 'removed_mass', day = 2031-05-13, much = '%s' }]"
PLANNED = "planned = [{ amount = '%s', much = '0 %s' }]"
EXPLORATION = "place = { title = 'exploration' }"
OWN_CLAIM = "place = { title = 'own_claim' }"


def people(*ages):
    """People of these ages as a situation writes them."""
    rows = ", ".join(f"{{ name = 'p{n}', age = {age} }}" for n, age in enumerate(ages))
    return f"people = [{rows}]"


def dredge(**numbers):
    """A motorised dredge with these numbers."""
    more = "".join(f", {name} = '{value}'" for name, value in numbers.items())
    return f"gear = [{{ name = 'dredge', class = 'dredge_suction', power = 'engine'{more} }}]"


def edges(source, rule, *cases):
    """Cases of one rule: (what it is about, outcome, text of the plan, day)."""
    mark = pytest.mark.outside(source)
    return [
        pytest.param(rule, outcome, "\n".join(lines), day, marks=mark, id=f"{rule}: {name}")
        for name, outcome, day, *lines in cases
    ]


MAY = "2031-05-14"
BOUNDS = [
    *edges(
        "State forest permit conditions, NSW: 1 cubic metre in any 48 hours (seen in a copy)",
        "au-nsw/forest-volume-party",
        *(
            (f"{moved} of two people", outcome, MAY,
             FOREST, MOVED % moved, PLANNED % ("moved_volume", "L"))
            for moved, outcome in (("1 m3", "silent"), ("1001 L", "ask"))
        ),
    ),
    *edges(
        "Forestry Corporation of NSW, Fossicking permits: family of 5, 2 adults, 3 children (seen)",
        "au-nsw/forest-permit-cover",
        ("2 adults and 3 children", "know", MAY, FOREST, people(40, 41, 17, 10, 9)),
        ("an 18-year-old is an adult", "ask", MAY, FOREST, people(40, 41, 18, 10, 9)),
        ("3 adults", "ask", MAY, FOREST, people(40, 41, 42)),
        ("4 children", "ask", MAY, FOREST, people(40, 17, 10, 9, 8)),
        ("6 people", "ask", MAY, FOREST, people(40, 41, 17, 10, 9, 8)),
    ),
    *edges(
        "Oregon DSL page: less than 25 cubic yards in a year (seen)",
        "us-or/habitat-cap-party",
        *(
            (f"{moved} of two people", outcome, MAY, "papers = []",
             "place = { areas = ['salmon_habitat'] }",
             MOVED % moved, PLANNED % ("moved_volume", "L"))
            for moved, outcome in (("24.999 yd3", "silent"), ("25 yd3", "ask"))
        ),
    ),
    *edges(
        "WA department, Miner's Rights: samples up to 20 kg (seen)",
        "au-wa/samples-period",
        ("20 kg", "silent", MAY, TAKEN % "20 kg", PLANNED % ("removed_mass", "g")),
        ("1 g more", "ask", MAY, TAKEN % "20001 g", PLANNED % ("removed_mass", "g")),
    ),
    *edges(
        "Mining Act 1978 (WA), former s 20A(1): up to three persons (seen in a copy)",
        "au-wa/permit-joint",
        ("3 people", "silent", MAY, EXPLORATION, people(40, 41, 42)),
        ("4 people", "ask", MAY, EXPLORATION, people(40, 41, 42, 43)),
    ),
    *edges(
        "New Zealand Gazette 2000-ln2042: 20 m either side (seen)",
        "nz/corridor",
        *(
            (by, outcome, MAY, "papers = []",
             "place = { areas = ['gfa_20'], "
             f"distances = [{{ to = 'creek_centre_line', by = '{by}' }}] }}")
            for by, outcome in (("19.999 m", "know"), ("20 m", "know"), ("20.001 m", "stop"))
        ),
    ),
    *edges(
        "New Zealand Gazette 2000-ln2042: about 2,900 m and 2,500 m (seen)",
        "nz/corridor-length",
        *(
            (f"{area} {by}", outcome, MAY,
             f"place = {{ areas = ['{area}'], not_areas = ['{other}'], "
             f"distances = [{{ to = 'lake', by = '{by}' }}] }}")
            for area, other, by, outcome in (
                ("gfa_20", "gfa_21", "2900 m", "silent"),
                ("gfa_20", "gfa_21", "2900.001 m", "ask"),
                ("gfa_21", "gfa_20", "2500 m", "silent"),
                ("gfa_21", "gfa_20", "2500.001 m", "ask"),
            )
        ),
    ),
    *edges(
        "BC natural resource portal: 18 or over (seen)",
        "ca-bc/certificate-holder",
        ("17 years", "ask", MAY, people(17)),
        ("18 years", "know", MAY, people(18)),
    ),
    *edges(
        "Tukes, frequently asked questions: an adult (seen)",
        "fi/holder",
        *(
            (f"{age} years", outcome, MAY, people(age), "papers = []",
             "answers = { applicant_fits = true }", "place = { land = 'state' }")
            for age, outcome in ((17, "stop"), (18, "know"))
        ),
    ),
    *edges(
        "Prospecting Guide leaflet, Victoria: under 18 with an adult holder (seen in a copy)",
        "au-vic/right",
        *(
            (f"{age} years beside an adult", outcome, MAY, "papers = []",
             f"people = [{{ name = 'Cy', age = {age}, supervised = true }}]")
            for age, outcome in ((17, "know"), (18, "stop"))
        ),
    ),
    *edges(
        "AB 1032 digest: within 100 yards (seen in a copy)",
        "us-ca/possession",
        *(
            (by, outcome, MAY, dredge(),
             f"place = {{ distances = [{{ to = 'closed_water', by = '{by}' }}] }}")
            for by, outcome in (("99.9 yd", "ask"), ("100 yd", "ask"), ("100.1 yd", "silent"))
        ),
    ),
    *edges(
        "Idaho Code 47-1313(e): above 8 inches (seen)",
        "us-id/big-intake",
        *(
            (by, outcome, MAY, dredge(intake=by), "papers = []")
            for by, outcome in (("7.9 in", "silent"), ("8 in", "silent"), ("8.1 in", "stop"))
        ),
    ),
]  # fmt: skip


def near(by, begins, ends, sunset="21:30"):
    """A pump within some distance of a home in Oregon, and hours of work."""
    return (
        "gear = [{ name = 'pump', class = 'pump', power = 'engine', use = ['process'] }]\n"
        "answers = { claim_waiver = false }\n"
        f"begins = '{begins}'\nends = '{ends}'\nsunrise = '05:30'\nsunset = '{sunset}'\n"
        "place = { title = 'none', distances = ["
        f"{{ to = 'residence', by = '{by}' }}, {{ to = 'campground', by = '9 km' }}] }}"
    )


HOURS = edges(
    "ORS 468B.116: 1,000 ft; earlier of 8 p.m. or sunset until 8 a.m. (seen in a copy)",
    "us-or/motor-hours",
    ("from 08:00 to 20:00", "know", MAY, near("1000 ft", "08:00", "20:00")),
    ("until 20:01", "stop", MAY, near("1000 ft", "08:00", "20:01")),
    ("from 07:59", "stop", MAY, near("1000 ft", "07:59", "12:00")),
    ("until sunset at 19:30", "know", MAY, near("1000 ft", "08:00", "19:30", "19:30")),
    ("a minute after it", "stop", MAY, near("1000 ft", "08:00", "19:31", "19:30")),
    ("all night, 1000.1 ft away", "silent", MAY, near("1000.1 ft", "20:00", "04:00")),
    ("all night, 999.9 ft away", "stop", MAY, near("999.9 ft", "20:00", "04:00")),
)


def asked_on(day):
    """The day on which somebody looks at the plan, with no papers."""
    return f"as_of = {day}\npapers = []"


PASTORAL = (
    "place = { land = 'pastoral', not_areas = ['declared_area'], distances = ["
    "{ to = 'homestead', by = '%s' }, { to = 'stockyard', by = '%s' }] }\n"
    "answers = { pastoral_use = false }"
)
NO_LISTED = "place = { land = '%s', not_areas = ['declared_area'] }"

# Trips of 14 May 2031, a Wednesday: 7, 14 and 15 days before are 7 May, 30 April and 29 April;
# five working days before is Wednesday 7 May, ten Wednesday 30 April; two months before 14 March.
AHEAD = [
    *edges(
        "NT Land access bulletin: notice 7 days; within 2 km and 1 km consent 14 days (seen)",
        "au-nt/pastoral",
        *(
            (f"{homestead} and {stockyard}, {day}", outcome, MAY,
             asked_on(day), PASTORAL % (homestead, stockyard))
            for homestead, stockyard, day, outcome in (
                ("2001 m", "1001 m", "2031-05-07", "do"),
                ("2001 m", "1001 m", "2031-05-08", "stop"),
                ("2 km", "1001 m", "2031-05-01", "stop"),
                ("2001 m", "1 km", "2031-05-01", "stop"),
                ("2 km", "1 km", "2031-04-30", "do"),
            )
        ),
    ),
    *(
        case
        for rule, place in (
            ("private", NO_LISTED % "private"),
            ("aboriginal-land", NO_LISTED % "indigenous"),
            ("reserved", "place = { areas = ['reserved_land'], not_areas = ['declared_area'] }"),
            ("lease", "place = { title = 'lease', not_areas = ['declared_area'] }"),
        )
        for case in edges(
            "NT Land access bulletin: all 14 days (seen)",
            f"au-nt/{rule}",
            ("asked on the 14th day", "do", MAY, asked_on("2031-04-30"), place),
            ("a day late", "stop", MAY, asked_on("2031-05-01"), place),
        )
    ),
    *(
        case
        for work, last, late in (
            ("false", "2031-05-07", "2031-05-08"),
            ("true", "2031-04-30", "2031-05-01"),
        )
        for case in edges(
            "NT Land access bulletin: notice 7 days for gold; work under way 14 days (seen)",
            "au-nt/exploration",
            *(
                (f"work under way {work}, {day}", outcome, MAY, asked_on(day),
                 "place = { title = 'exploration', not_areas = ['declared_area'] }",
                 f"answers = {{ title_work = {work} }}")
                for day, outcome in ((last, "do"), (late, "stop"))
            ),
        )
    ),
    *edges(
        "43 CFR 3809.31: 15 calendar days (seen in a copy)",
        "us-fed/special-areas",
        *(
            (day, outcome, MAY, asked_on(day), "place = { areas = ['cumulative_effects'] }")
            for day, outcome in (("2031-04-29", "do"), ("2031-04-30", "stop"))
        ),
    ),
    *edges(
        "NSW Crown Lands, Fossicking on Crown land: 2 months before the trip (seen)",
        "au-nsw/crown-application",
        *(
            (day, outcome, MAY, asked_on(day), "place = { land = 'public' }",
             "answers = { crown_permission_needed = true }")
            for day, outcome in (("2031-03-14", "do"), ("2031-03-15", "stop"))
        ),
    ),
    *edges(
        "ABLIS, Prospecting licence: about 5 business days (seen)",
        "au-tas/apply",
        *(
            (day, outcome, MAY, asked_on(day), "place = { not_areas = ['fossicking_area'] }")
            for day, outcome in (("2031-05-07", "do"), ("2031-05-08", "stop"))
        ),
    ),
    *edges(
        "NZP&M access page: 10 working days (seen in a copy)",
        "nz/permit-entry",
        *(
            (day, outcome, MAY, f"as_of = {day}", "answers = { sensitive_parcel = false }",
             "place = { land = 'private', not_areas = ['fossicking_area', 'gfa_20', 'gfa_21'] }",
             "papers = [{ code = 'minerals_permit', issued = 2031-01-01, expires = 2031-12-31 }]")
            for day, outcome in (("2031-04-30", "do"), ("2031-05-01", "stop"))
        ),
    ),
    *edges(
        "WA department, Permit Section 40E: first 21 days after issue (seen)",
        "au-wa/permit-wait",
        *(
            (f"issued {issued}", outcome, MAY,
             EXPLORATION, "answers = { licensee_statement = false }",
             f"papers = [{{ code = 's40e_permit', issued = {issued}, expires = 2031-07-23 }}]")
            for issued, outcome in (("2031-04-23", "stop"), ("2031-04-22", "know"))
        ),
    ),
]  # fmt: skip


def season(rule, source, text, *days):
    return edges(source, rule, *((day, outcome, day, text) for day, outcome in days))


CLEARWATER = "place = { water = 'South Fork Clearwater River' }\npapers = []\nas_of = 2023-01-01"
MCCOY = "place = { water = 'McCoy Creek' }\npapers = []\nas_of = %s"
DAYS = [
    *season(
        "ca-ab/season",
        "Alberta, Minerals placer mining tool kit: 15 May to 15 September (seen)",
        "place = { areas = ['class_a_b'] }",
        ("2031-05-14", "stop"), ("2031-05-15", "know"),
        ("2031-09-15", "know"), ("2031-09-16", "stop"),
    ),
    *season(
        "uk-sct/season",
        "SEPA gold panning position: 1 November to 31 May (seen in a copy)",
        "answers = { fish = true }",
        ("2031-10-31", "silent"), ("2031-11-01", "stop"), ("2031-12-31", "stop"),
        ("2032-01-01", "stop"), ("2032-02-29", "stop"), ("2032-05-31", "stop"),
        ("2032-06-01", "silent"),
    ),
    *season(
        "us-nf/bow-season",
        "Medicine Bow leaflet: 1 July to 10 September (seen in a copy)",
        "place = { areas = ['medicine_bow'] }\n" + dredge(),
        ("2031-06-30", "stop"), ("2031-07-01", "know"),
        ("2031-09-10", "know"), ("2031-09-11", "stop"),
    ),
    *season(
        "us-fed/fee-old",
        "BLM announcement of 2024-06-28: 165 before, from 1 September 2024 200 (seen)",
        OWN_CLAIM,
        ("2024-08-31", "know"), ("2024-09-01", "silent"),
    ),
    *season(
        "us-fed/fee",
        "BLM announcement of 2024-06-28: 165 before, from 1 September 2024 200 (seen)",
        OWN_CLAIM,
        ("2024-08-31", "silent"), ("2024-09-01", "know"),
    ),
    *season(
        "us-ca/motors",
        "California Department of Fish and Wildlife, Current status: since 1 January 2016 (seen)",
        "answers = { away_from_stream = false }\n"
        "gear = [{ name = 'box', class = 'sluice_pumped', power = 'engine' }]",
        ("2015-12-31", "silent"), ("2016-01-01", "stop"),
    ),
    *season(
        "us-id/discharge-term",
        "US EPA, Idaho suction dredge general permit: cover ended on 31 May 2023 (seen)",
        dredge(),
        ("2023-05-31", "know"), ("2023-06-01", "ask"),
    ),
    *season(
        "us-id/clearwater-deadline",
        "IDWR permit forms: 2024 season (seen)",
        CLEARWATER,
        ("2023-12-31", "silent"), ("2024-01-01", "do"), ("2024-12-31", "do"), ("2025-01-01", "ask"),
    ),
    *season(
        "us-id/mccoy-deadline",
        "IDWR permit forms: 2024 season (seen)",
        MCCOY % "2024-05-01",
        ("2023-12-31", "silent"), ("2024-01-01", "do"), ("2024-12-31", "do"), ("2025-01-01", "ask"),
    ),
    *edges(
        "IDWR permit forms: McCoy Creek 1 April to 1 July 2024 (seen)",
        "us-id/mccoy-deadline",
        *(
            (f"applied for on {day}", outcome, "2024-07-20", MCCOY % day)
            for day, outcome in (
                ("2024-03-31", "stop"), ("2024-04-01", "do"),
                ("2024-07-01", "do"), ("2024-07-02", "stop"),
            )
        ),
    ),
    *edges(
        "IDWR permit forms: South Fork Clearwater by 1 June 2024 (seen)",
        "us-id/clearwater-deadline",
        *(
            (f"applied for on {day}", outcome, "2024-07-20",
             "place = { water = 'South Fork Clearwater River' }", "papers = []", f"as_of = {day}")
            for day, outcome in (("2024-06-01", "do"), ("2024-06-02", "stop"))
        ),
    ),
]  # fmt: skip
